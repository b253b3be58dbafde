"""Which dish is it that comes too often, and for whom?"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from fellfare.menu.answer import Plate
from fellfare.menu.impossible.singles import times
from fellfare.menu.pool import Question, Repeat

#: So many are named, the most frequent first.
NAMED = 2


class TooOften(msgspec.Struct, frozen=True, kw_only=True):
    """A dish (base, family) that one walker has ``many`` times in the rule's days."""

    walker: str
    word: str
    many: int


def too_often(question: Question, repeat: Repeat, plates: Sequence[Plate]) -> tuple[TooOften, ...]:
    """Every dish and eater for whom a rule on repeats is passed, the worst first."""
    dishes = {dish.id: dish for dish in question.dishes}
    days: dict[tuple[str, str], list[int]] = {}
    for plate in plates:
        if repeat.times and plate.time not in repeat.times:
            continue
        dish = dishes[plate.dish]
        word = dish.title if repeat.key == "dish" else getattr(dish, repeat.key)
        for portion in plate.portions if word else ():
            days.setdefault((portion.walker, word), []).extend([plate.day] * plate.times)
    found = []
    for (walker, word), on in days.items():
        many = max(
            sum(first <= day < first + repeat.within_days for day in on) for first in set(on)
        )
        if many > repeat.most:
            found.append(TooOften(walker=walker, word=word, many=many))
    return tuple(sorted(found, key=lambda one: (-one.many, one.word, one.walker)))


def named(question: Question, repeat: Repeat, plates: Sequence[Plate]) -> str:
    """'Oat bar for Ana and Ben 7 times, Dates for Ben 5 times and 2 more'; '' = none."""
    merged: dict[tuple[str, int], list[str]] = {}
    for one in too_often(question, repeat, plates):
        merged.setdefault((one.word, one.many), []).append(one.walker)
    everybody = len(question.walkers)
    told = []
    for (word, many), walkers in list(merged.items())[:NAMED]:
        names = ", ".join(walkers[:-1]) + f" and {walkers[-1]}" if len(walkers) > 1 else walkers[0]
        whose = " for all" if len(walkers) == everybody > 3 else f" for {names}"
        if len(walkers) > 3 and len(walkers) < everybody:
            whose = f" for {len(walkers)} walkers"
        told.append(f"{word}{whose} {times(many)}")
    more = f" and {len(merged) - NAMED} more" if len(merged) > NAMED else ""
    return ", ".join(told) + more
