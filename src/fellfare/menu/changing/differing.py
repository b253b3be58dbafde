"""What stands otherwise in the new menu than in the old one, and why?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Final

import msgspec

from fellfare.menu.answer import Plate
from fellfare.menu.checking import Broken
from fellfare.menu.model.fitting import why_not
from fellfare.menu.pool import Question


class Change(msgspec.Struct, frozen=True, kw_only=True):
    """One dish for another at one eating time; ``walker`` None: what all eat there.

    ``before`` None: nothing stood there; ``after`` None: nothing comes instead.
    """

    day: int
    time: str
    walker: str | None
    before: str | None
    after: str | None
    why: str


#: Rules that a single dish breaks by itself (words of the checker): they explain its own
#: going, not that of others.
OF_A_DISH: Final = frozenset([
    "the plan", "portion sizes", "kinds of meal", "ways of making", "common pot", "supply",
    "keeping", "allergies", "diets", "dislikes", "banned by you", "fixed by you",
    "a dish at every eating time", "not the same twice",
])  # fmt: skip

Place = tuple[int, str, str | None]


def changes_of(
    old: Iterable[Plate],
    new: Iterable[Plate],
    question: Question,
    broken: Iterable[Broken] = (),
) -> tuple[Change, ...]:
    """Every dish that stands otherwise, in the order of the walk.

    ``question`` is the new one; ``broken`` are the rules of it that the old
    plates do not keep: they are the reason where nothing speaks against the
    old dish itself.
    """
    old, new = tuple(old), tuple(new)
    common = _common(old) & _common(new)
    before, after = _stands(old, common), _stands(new, common)
    order = {(slot.day, slot.time): at for at, slot in enumerate(question.slots)}
    titles = {dish.id: dish.title for dish in question.dishes}
    wishes = tuple(dict.fromkeys(each.wish for each in broken))
    changes = []
    for place in sorted(
        before.keys() | after.keys(),
        key=lambda each: (each[0], order.get(each[:2], len(order)), each[2] or ""),
    ):
        gone = list((before.get(place, Counter()) - after.get(place, Counter())).elements())
        come = list((after.get(place, Counter()) - before.get(place, Counter())).elements())
        for at in range(max(len(gone), len(come))):
            was = gone[at] if at < len(gone) else None
            now = come[at] if at < len(come) else None
            changes.append(
                Change(
                    day=place[0],
                    time=place[1],
                    walker=place[2],
                    before=was,
                    after=now,
                    why=_why(question, place, was, now, wishes, titles),
                )
            )
    return tuple(changes)


def _common(plates: tuple[Plate, ...]) -> set[tuple[int, str]]:
    own = {(plate.day, plate.time) for plate in plates if not plate.shared}
    return {(plate.day, plate.time) for plate in plates if plate.shared} - own


def _stands(plates: tuple[Plate, ...], common: set[tuple[int, str]]) -> dict[Place, Counter[str]]:
    """Place -> dishes; what all eat counts once where it is common in both menus."""
    there: dict[Place, Counter[str]] = {}
    for plate in plates:
        if (plate.day, plate.time) in common:
            who: tuple[str | None, ...] = (None,)
        else:
            who = tuple(portion.walker for portion in plate.portions)
        for one in who:
            there.setdefault((plate.day, plate.time, one), Counter())[plate.dish] += plate.times
    return there


def _why(
    question: Question,
    place: Place,
    was: str | None,
    now: str | None,
    wishes: tuple[str, ...],
    titles: Mapping[str, str],
) -> str:
    day, time, walker = place
    slot = next((s for s in question.slots if (s.day, s.time) == (day, time)), None)
    if slot is None:
        return "there is no such eating time any more"
    for lock in question.locks:
        if (lock.day, lock.time, lock.dish) == (day, time, now) and lock.walker in (None, walker):
            return "it is fixed there by you"
    if was is None and slot.least == slot.most:
        return "nothing stood there that could stay"
    if was is not None:
        dish = next((each for each in question.dishes if each.id == was), None)
        if dish is None:
            return "the old dish is not among the dishes any more"
        reason = why_not(question, slot, walker, dish)
        if reason is not None:
            return f"{titles[was]}: {reason}"
    of_sums = [wish for wish in wishes if wish not in OF_A_DISH]
    if of_sums:
        named = ", ".join(of_sums[:3]) + (" and others" if len(of_sums) > 3 else "")
        return f"so that this is kept: {named}"
    return "it goes with the other changes, or saves more than a change is worth"


def portions_changed(old: Iterable[Plate], new: Iterable[Plate]) -> int:
    """How many portions of dishes that stay have another size."""

    def sizes(plates: Iterable[Plate]) -> dict[tuple[int, str, str, str], int]:
        return {
            (plate.day, plate.time, plate.dish, portion.walker): portion.steps
            for plate in plates
            for portion in plate.portions
        }

    before, after = sizes(old), sizes(new)
    return sum(before[key] != after[key] for key in before.keys() & after.keys())
