"""The front of a trip, and why there is none: one way for command, page and batch."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from msgspec.structs import replace

from fellfare.menu.asked import Asked
from fellfare.menu.asked.dishes import AskedDish
from fellfare.menu.asked.offering import TRACE_G
from fellfare.menu.front.drawing import front
from fellfare.menu.front.told import By, Front
from fellfare.menu.pool import Question
from fellfare.menu.trying import Trying, Watch
from fellfare.mistake import Mistake

#: Part of the time for a front with usual wishes for variety.
WITH_USUAL: Final = 0.6
#: So many foods without a price are named, those of the most dishes first.
NAMED: Final = 6


def front_of_trip(
    asked: Asked,
    by: By,
    tries: Trying,
    watch: Watch | None = None,
    *,
    stopped: Callable[[], bool] = lambda: False,
) -> Front:
    """Mass against different dinners, or against money, for the need of the plan.

    Counted are the dinners; every eating time where there is none. Against money
    only dishes stand of which every food of 5 g a serving or more has a price, and
    ``left_out`` says what that leaves out. Usual wishes for variety give way where
    there is no menu with them, as they do for a menu. Where there is no front,
    ``ended`` says why.

    Raises
    ------
    Mistake
        As :func:`fellfare.menu.front.front`.
    """
    left_out = _without_price(asked) if by == "cost" else ""
    if left_out and all(one.dish.cost is None for one in asked.dishes):
        raise Mistake(
            "front-no-prices",
            what=f"not one dish has a price: {left_out}",
            mend="give prices of these foods ([[pack]] of provision.toml beside the trip); a front "
            "against money needs them",
        )
    began = tries.clock() if tries.clock else 0.0
    first = replace(tries, seconds=tries.seconds * (WITH_USUAL if asked.usual else 1.0))
    drawn = _drawn(asked, by, first, watch, usual=True)
    gave_way = False
    if not drawn.points and asked.usual and not stopped():
        spent = tries.clock() - began if tries.clock else 0.0
        left = replace(tries, seconds=max(tries.seconds - spent, 1.0))
        drawn, gave_way = _drawn(asked, by, left, watch, usual=False), True
    ended = drawn.ended
    if not drawn.points:
        ended = _why_none(drawn, left_out, tries.seconds)
    elif gave_way:
        left_out = " ".join(
            [f"No menu was found with {'; '.join(asked.usual)}: it gave way.", left_out]
        ).strip()
    return replace(drawn, ended=ended, left_out=left_out)


def _drawn(asked: Asked, by: By, tries: Trying, watch: Watch | None, *, usual: bool) -> Front:
    question = asked.question(asked.first_need_kcal, usual=usual)
    if by == "cost":
        question = _of_known_price(question)
    dinners = tuple(dict.fromkeys(slot.time for slot in question.slots if slot.meal == "dinner"))
    times = dinners or tuple(dict.fromkeys(slot.time for slot in question.slots))
    return front(question, by, times, tries=tries, watch=watch)


def _of_known_price(question: Question) -> Question:
    """A dish is not cheap because half of what is in it has no price."""
    dishes = tuple(
        dish if dish.cost is not None else replace(dish, foods=()) for dish in question.dishes
    )
    return replace(question, dishes=dishes)


def _without_price(asked: Asked) -> str:
    """'12 of 43 dishes are left out: no price is known of bulgur (5 dishes), ...'; '' = none."""
    sold = {pack.food for pack in asked.base.packs}
    out = [one for one in asked.dishes if one.dish.cost is None]
    if not out:
        return ""
    counts: dict[str, int] = {}
    for one in out:
        for food in _dear(one, sold):
            counts[food] = counts.get(food, 0) + 1
    ranked = sorted(counts.items(), key=lambda each: (-each[1], each[0]))
    named = [f"{food} ({many})" for food, many in ranked[:NAMED]]
    more = f", and {len(ranked) - NAMED} more foods" if len(ranked) > NAMED else ""
    return (
        f"{len(out)} of {len(asked.dishes)} dishes are left out, for want of the price of "
        f"{', '.join(named)}{more} (in how many dishes)."
    )


def _dear(one: AskedDish, sold: set[str]) -> list[str]:
    grams: dict[str, float] = {}
    for line in one.sheet.lines:
        food = line.food.id
        grams[food] = grams.get(food, 0.0) + (line.mass_g or 0.0) / one.sheet.eaters
    return [food for food, each in grams.items() if food not in sold and each >= TRACE_G]


def _why_none(drawn: Front, left_out: str, seconds: float) -> str:
    first = drawn.first
    if first.verdict != "impossible":
        return f"no first menu was found in {seconds:g} s, which proves nothing; give it more time"
    if left_out:
        said = "; ".join(give.gives for give in first.gives[:2])
        of_these = f": {said}" if said else ""
        return f"no menu can be made of the dishes whose price is known{of_these}"
    return (
        "no menu keeps all the rules; asked for a menu alone (without --front), what would have "
        "to give is told"
    )
