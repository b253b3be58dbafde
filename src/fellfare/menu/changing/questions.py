"""Change one thing: from a question to the question that is asked instead."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from msgspec.structs import replace

from fellfare.menu.pool import Avoid, Ban, Lock, Question, Slot, Walker
from fellfare.mistake import Mistake

#: What needs no fire.
FIRELESS: Final = ("dry", "cold-soak")


def with_lock(
    question: Question, day: int, time: str, dish: str, walker: str | None = None
) -> Question:
    """The dish is fixed at that eating time (for one walker where each chooses).

    Fixing it once more changes nothing. Raises ``change-unknown-name``,
    ``change-no-such-time``.
    """
    _known_dish(question, dish)
    slot = _slot(question, day, time)
    if walker is not None:
        _eats(slot, walker)
    lock = Lock(day=day, time=time, dish=dish, walker=walker)
    if lock in question.locks:
        return question
    return replace(question, locks=(*question.locks, lock))


def without_lock(
    question: Question, day: int, time: str, dish: str, walker: str | None = None
) -> Question:
    """The dish is no longer fixed there."""
    lock = Lock(day=day, time=time, dish=dish, walker=walker)
    return replace(question, locks=tuple(each for each in question.locks if each != lock))


def with_ban(
    question: Question,
    dish: str,
    day: int | None = None,
    time: str | None = None,
    walker: str | None = None,
) -> Question:
    """The dish shall not be eaten: ever, or on that day, at that time, by that walker.

    Raises ``change-unknown-name``; ``change-ban-of-fixed-dish`` where the person
    has fixed that very dish.
    """
    _known_dish(question, dish)
    ban = Ban(dish=dish, day=day, time=time, walker=walker)
    for lock in question.locks:
        if lock.dish == dish and day in (None, lock.day) and time in (None, lock.time):
            if walker is not None and lock.walker is not None and walker != lock.walker:
                continue
            raise Mistake(
                "change-ban-of-fixed-dish",
                what=f"'{_title(question, dish)}' is to be left out, but it is fixed there",
                mend="take off the one or the other",
                where=f"day {lock.day} > {lock.time}",
            )
    if ban in question.bans:
        return question
    return replace(question, bans=(*question.bans, ban))


def with_swap(
    question: Question, day: int, time: str, before: str, after: str, walker: str | None = None
) -> Question:
    """One dish instead of another at one eating time: the old is banned there, the new fixed.

    A lock on the old dish at that time is taken off.
    """
    _known_dish(question, before)
    if before == after:
        raise Mistake(
            "change-swap-of-itself",
            what=f"'{_title(question, before)}' instead of itself",
            mend="name another dish",
            where=f"day {day} > {time}",
        )
    free = tuple(
        lock
        for lock in question.locks
        if (lock.dish, lock.day, lock.time) != (before, day, time)
        or (walker is not None and lock.walker not in (None, walker))
    )
    lifted = tuple(
        ban
        for ban in question.bans
        if ban.firm or (ban.dish, ban.day, ban.time, ban.walker) != (after, day, time, walker)
    )
    plain = replace(question, locks=free, bans=lifted)
    return with_lock(with_ban(plain, before, day, time, walker), day, time, after, walker)


def with_no_fire_from(question: Question, day: int) -> Question:
    """No fire from that day on: only what is eaten dry or soaked cold.

    Raises ``change-no-fire-nothing-left`` when an eating time knows no such way.
    """
    slots = []
    for slot in question.slots:
        ways = slot.ways
        if slot.day >= day:
            ways = tuple(way for way in slot.ways if way in FIRELESS)
            if not ways:
                raise Mistake(
                    "change-no-fire-nothing-left",
                    what=f"without fire nothing can be made: only {', '.join(slot.ways)}",
                    mend="allow 'dry' or 'cold-soak' at that time",
                    where=f"day {slot.day} > {slot.time}",
                )
        slots.append(replace(slot, ways=ways))
    return replace(question, slots=tuple(slots))


def with_diet(question: Question, walker: str, diet: str) -> Question:
    """One walker keeps a diet from now on; a dish must be known to fit it."""

    def changed(one: Walker) -> Walker:
        return one if diet in one.diets else replace(one, diets=(*one.diets, diet))

    return _with_walker(question, walker, changed)


def with_avoid(
    question: Question,
    walker: str,
    allergen: str,
    may_contain: bool = True,
    unknown: bool = True,
) -> Question:
    """One walker must not meet an allergen; by default doubt counts as meeting it.

    An avoid of the same allergen that is already there is never made weaker.
    """

    def changed(one: Walker) -> Walker:
        same = [each for each in one.avoids if each.allergen == allergen]
        others = tuple(each for each in one.avoids if each.allergen != allergen)
        avoid = Avoid(
            allergen=allergen,
            may_contain=may_contain or any(each.may_contain for each in same),
            unknown=unknown or any(each.unknown for each in same),
        )
        return replace(one, avoids=(*others, avoid))

    return _with_walker(question, walker, changed)


def _with_walker(question: Question, name: str, changed: Callable[[Walker], Walker]) -> Question:
    if name not in {one.id for one in question.walkers}:
        raise _unknown("walker", name)
    return replace(
        question,
        walkers=tuple(changed(one) if one.id == name else one for one in question.walkers),
    )


def _known_dish(question: Question, name: str) -> None:
    if name not in {dish.id for dish in question.dishes}:
        raise _unknown("dish", name)


def _title(question: Question, name: str) -> str:
    return next(dish.title for dish in question.dishes if dish.id == name)


def _slot(question: Question, day: int, time: str) -> Slot:
    for slot in question.slots:
        if (slot.day, slot.time) == (day, time):
            return slot
    raise Mistake(
        "change-no-such-time",
        what=f"there is no eating time '{time}' on day {day}",
        mend="give a day of the walk and one of its eating times",
    )


def _eats(slot: Slot, walker: str) -> None:
    if walker not in slot.walkers or slot.shared:
        raise Mistake(
            "change-no-such-time",
            what=f"'{walker}' has no choice of their own there",
            mend="leave the walker out where all eat the same",
            where=f"day {slot.day} > {slot.time}",
        )


def _unknown(kind: str, name: str) -> Mistake:
    return Mistake(
        "change-unknown-name",
        what=f"there is no {kind} '{name}'",
        mend="check the spelling",
    )
