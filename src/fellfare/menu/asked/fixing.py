"""Dishes that somebody has fixed: where they stand, and where they may not stand then."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from typing import TypeAlias

from msgspec.structs import replace

from fellfare.menu.asked.dishes import AskedDish, LeftOut
from fellfare.menu.asked.offering import may_eat
from fellfare.menu.asked.places import PlaceOfMeal
from fellfare.menu.pool import Lock, Walker
from fellfare.mistake import Finding
from fellfare.trip.plan import TripPlan
from fellfare.trip.wishes import FixedDish

#: By dish that stands at a time which is not its own: (that time, (day, slot) of its places).
Moved: TypeAlias = dict[str, tuple[str, frozenset[tuple[int, str]]]]


def locks_of_trip(
    plan: TripPlan,
    places: Mapping[tuple[int, str], PlaceOfMeal],
    offered: Sequence[AskedDish],
    gone: Sequence[LeftOut],
) -> tuple[
    tuple[Lock, ...],
    dict[str, tuple[str, frozenset[tuple[int, str]]]],
    tuple[Finding, ...],
]:
    """Fixed dishes; dishes that are eaten at a time which is not theirs; what cannot be fixed.

    The second is by dish: (eating time, places at which it may stand then).
    """
    known = {one.id: one for one in offered}
    lost = {one.dish: one.why for one in gone}
    locks: list[Lock] = []
    moved: dict[str, tuple[str, frozenset[tuple[int, str]]]] = {}
    found: list[Finding] = []
    for want in plan.trip.fixed:
        if want.dish not in known:
            found.append(_unfixed(want, lost.get(want.dish, "it is left out")))
            continue
        spots = [
            (key, [who for who in place.walkers if not want.walkers or who in want.walkers])
            for key, place in places.items()
            if place.day == want.day and place.eating == want.eating
        ]
        if not any(eaters for _, eaters in spots):
            found.append(_unfixed(want, "nothing is planned for that day and time"))
            continue
        for key, eaters in spots:
            if not eaters:
                continue
            if want.eating not in known[want.dish].dish.meals:
                before = moved.get(want.dish, (want.eating, frozenset()))[1]
                moved[want.dish] = (want.eating, before | {key})
            shared = want.eating == "dinner" and len(places[key].walkers) > 1
            locks += [
                Lock(day=key[0], time=key[1], dish=want.dish, walker=None if shared else who)
                for who in (eaters[:1] if shared else eaters)
            ]
    return tuple(dict.fromkeys(locks)), moved, tuple(found)


def _unfixed(want: FixedDish, why: str) -> Finding:
    return Finding(
        severity="error",
        rule="fixed-dish-left-out",
        text=f"Day {want.day}, {want.eating}: {want.dish} is fixed and cannot be planned: {why}.",
        source="the document",
        about=(want.dish,),
    )


def with_meals(
    one: AskedDish, moved: Mapping[str, tuple[str, frozenset[tuple[int, str]]]]
) -> AskedDish:
    if one.id not in moved:
        return one
    return replace(one, dish=replace(one.dish, meals=(*one.dish.meals, moved[one.id][0])))


def kept_locks(
    locks: Sequence[Lock],
    barred: Mapping[tuple[str, int, str], str],
    places: Mapping[tuple[int, str], PlaceOfMeal],
    offered: Sequence[AskedDish],
    eaters: Sequence[Walker],
    named: Container[tuple[int, str, str]] = (),
) -> tuple[tuple[Lock, ...], tuple[Finding, ...]]:
    """The fixed dishes that can be kept, and an error for every other one.

    Neither a place nor an allergy or diet gives way to a wish.  A dish that was fixed for all,
    with nobody ``named`` (day, eating time, dish), stands for those kitchens that can have it:
    that others cannot is then a caution.
    """
    dishes = {one.id: one.dish for one in offered}
    kept: list[Lock] = []
    found: dict[tuple[int, str, str], Finding] = {}
    barred_locks: list[tuple[Lock, str, tuple[str, ...]]] = []
    for lock in locks:
        who = places[lock.day, lock.time].walkers if lock.walker is None else (lock.walker,)
        why = barred.get((lock.dish, lock.day, lock.time), "")
        barring = [w.id for w in eaters if w.id in who and not may_eat(w, dishes[lock.dish])]
        if not why and barring:
            why = f"{', '.join(barring)} may not eat it"
        if not why:
            kept.append(lock)
            continue
        barred_locks.append((lock, why, who))

    def wish(lock: Lock) -> tuple[int, str, str]:
        return lock.day, places[lock.day, lock.time].eating, lock.dish

    stands = {wish(lock) for lock in kept}
    for lock, why, who in barred_locks:
        some = wish(lock) in stands and wish(lock) not in named
        found[lock.day, lock.time, lock.dish] = Finding(
            severity="caution" if some else "error",
            rule="fixed-dish-barred",
            text=f"Day {lock.day}, {lock.time}: {lock.dish} is fixed and cannot stand there: {why}."
            + (
                f"  The others have it; {', '.join(who)} not."
                if some
                else "  The menu is made without it."
            ),
            source="the document, the walkers and the place",
            about=(lock.dish,),
        )
    return tuple(kept), tuple(found.values())
