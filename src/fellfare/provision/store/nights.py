"""Does the food fit into the canister or bag, every night?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import isfinite

from msgspec import Struct

from fellfare.menu.asked.stowing import GAPS, RUBBISH_G, RUBBISH_G_PER_ML, SMELLABLES_L
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.food import Allergen, Food
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.store.denser import SaveSwap, best_swaps


class Store(Struct, frozen=True, kw_only=True):
    """What the food is kept in at night."""

    litres: float
    #: Soap, toothpaste, first-aid cream: all that smells [L].
    smellables_l: float = SMELLABLES_L
    rubbish_g: tuple[float, float] = RUBBISH_G
    rubbish_g_per_ml: float = RUBBISH_G_PER_ML
    #: Volume of packed bags over the sum of their own.
    gaps: float = GAPS


class Night(Struct, frozen=True, kw_only=True):
    """The night after one day."""

    day: int
    leg: int
    food_l: float
    #: Least and most.
    rubbish_l: tuple[float, float]
    total_l: tuple[float, float]
    #: Room left with the most rubbish; below zero it does not fit [L].
    room_l: float
    fits: bool
    #: Foods whose volume nobody knows: the night is fuller than told.
    unknown: tuple[str, ...]


class Fit(Struct, frozen=True, kw_only=True):
    """All nights of one store."""

    litres: float
    nights: tuple[Night, ...]
    #: Numbers of the bags that are eaten before the first night of each carry: outside.
    outside_first_day: tuple[int, ...]
    swaps: tuple[SaveSwap, ...]
    findings: tuple[Finding, ...]


def nights(
    bags: Sequence[PlannedBag],
    eaters: int,
    store: Store,
    foods: Iterable[Food] = (),
    *,
    last_night_day: int | None = None,
    avoids: Iterable[Allergen] = (),
) -> Fit:
    """How full the store is on each night.

    A night comes after each day that is followed by another day of the plan (or
    up to ``last_night_day``).  In it lie the bags of the carry that are still to
    be eaten, the rubbish of the carry so far, and what smells.  What is eaten on
    the first day of a carry never has to fit.

    Parameters
    ----------
    bags
        Of the whole plan.
    eaters
        People whose rubbish goes in.
    store
        The canister or bag, or all of them together.
    foods
        Among which the swaps are sought; none when empty.
    last_night_day
        Day before the last night; None = the last but one on which something is eaten.
    avoids
        What nobody may be offered in a swap.

    Raises
    ------
    Mistake
        ``store-out-of-range``, ``eaters-out-of-range``.
    """
    _check(store, eaters)
    days = sorted({(bag.day, bag.leg) for bag in bags})
    if not days:
        return Fit(litres=store.litres, nights=(), outside_first_day=(), swaps=(), findings=())
    last = max(day for day, _ in days) - 1 if last_night_day is None else last_night_day
    starts = {leg: min(_begins(bag) for bag in bags if bag.leg == leg) for _, leg in days}
    told = []
    for day in range(min(*starts.values(), days[0][0]), last + 1):
        leg = max((one for one, start in starts.items() if start <= day), default=days[0][1])
        told.append(_night(day, leg, day - starts[leg] + 1, bags, eaters, store))
    tight = [night for night in told if not night.fits]
    first = {leg: min(day for day, other in days if other == leg) for _, leg in days}
    outside = tuple(b.number for b in bags if b.day == first[b.leg] == starts[b.leg])
    fullest = max(told, key=lambda night: night.total_l[1], default=None)
    waiting = [] if fullest is None else [b for b in bags if _waits(b, fullest.day, fullest.leg)]
    unknown = tuple(dict.fromkeys(food for night in told for food in night.unknown))
    return Fit(
        litres=store.litres,
        nights=tuple(told),
        outside_first_day=outside,
        swaps=best_swaps(waiting, foods, avoids=avoids),
        findings=(*(_overfull(night, store) for night in tight), *_untold(unknown)),
    )


def _night(
    day: int, leg: int, days_out: int, bags: Sequence[PlannedBag], eaters: int, store: Store
) -> Night:
    left = [bag for bag in bags if _waits(bag, day, leg)]
    food_l = store.gaps * sum(bag.volume_ml for bag in left) / 1000.0
    low, high = (
        days_out * eaters * grams / store.rubbish_g_per_ml / 1000.0 for grams in store.rubbish_g
    )
    total = (food_l + low + store.smellables_l, food_l + high + store.smellables_l)
    return Night(
        day=day,
        leg=leg,
        food_l=food_l,
        rubbish_l=(low, high),
        total_l=total,
        room_l=store.litres - total[1],
        fits=total[1] <= store.litres,
        unknown=tuple(dict.fromkeys(food for bag in left for food in bag.volume_unknown)),
    )


def _begins(bag: PlannedBag) -> int:
    """Day from whose night on the bag is with the walkers."""
    return bag.day if bag.taken_on is None else bag.taken_on


def _waits(bag: PlannedBag, day: int, leg: int) -> bool:
    """Whether the bag is carried on that night and not eaten yet."""
    return bag.leg <= leg and bag.day > day


def _check(store: Store, eaters: int) -> None:
    low, high = store.rubbish_g
    fits = (
        isfinite(store.litres)
        and 0.1 <= store.litres <= 1000
        and 0 <= store.smellables_l <= 100
        and 0 <= low <= high <= 2000
        and 0.01 <= store.rubbish_g_per_ml <= 2
        and 1 <= store.gaps <= 3
    )
    if not fits:
        raise Mistake(
            "store-out-of-range",
            what=f"a store of {store.litres:g} L with rubbish of {low:g} to {high:g} g: none",
            mend="give litres (0.1 to 1000), rubbish in grams per person and day, gaps from 1",
        )
    if not 1 <= eaters <= 10_000:
        raise Mistake(
            "eaters-out-of-range", f"{eaters} eaters", "give a whole number from 1 to 10000"
        )


def _overfull(night: Night, store: Store) -> Finding:
    sure = night.total_l[0] > store.litres
    return Finding(
        severity="error" if sure else "caution",
        rule="store-too-small",
        text=f"Night after day {night.day}: {night.total_l[0]:.1f} to {night.total_l[1]:.1f} L for "
        f"{store.litres:g} L.  "
        + (
            "It does not fit: swap, eat it earlier, or take another store."
            if sure
            else "It fits only with little rubbish."
        ),
        source="bulk densities of the pantry, rubbish 15 to 40 g per person and day (common "
        "practice, no source); local rules on food storage come first",
        about=(f"day {night.day}",),
    )


def _untold(unknown: tuple[str, ...]) -> tuple[Finding, ...]:
    if not unknown:
        return ()
    return (
        Finding(
            severity="caution",
            rule="volume-unknown",
            text=f"Nobody has told how densely these lie: {', '.join(unknown)}.  The nights are "
            "fuller than reckoned.",
            source="own judgement: what is not known is not nothing",
            about=unknown,
        ),
    )
