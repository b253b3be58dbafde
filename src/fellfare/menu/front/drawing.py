"""The front: the lightest menus of more and more variety, or of less and less money."""

from __future__ import annotations

import msgspec

from fellfare.menu.front.clock import Clocked
from fellfare.menu.front.money import cost_points, with_prices
from fellfare.menu.front.steps import variety_points
from fellfare.menu.front.told import By, Front, sentences, stepped, undominated
from fellfare.menu.planning import make
from fellfare.menu.pool import Question
from fellfare.menu.trying import Trying, Watch
from fellfare.mistake import Mistake

#: Part of the time that the first menu may take.
FIRST = 1.0 / 3.0
#: No more points than this are drawn.
MOST_POINTS = 200


def front(
    question: Question,
    by: By = "variety",
    times: tuple[str, ...] = ("dinner",),
    points: int = 10,
    tries: Trying | None = None,
    watch: Watch | None = None,
) -> Front:
    """The front of weight against variety, or against money.

    Parameters
    ----------
    question
        What is asked of every menu of the front.
    by
        'variety': how many different dishes stand at ``times``; 'cost': what all
        costs, packs and fees of the legs with it.
    times
        Eating times whose dishes are counted.
    points
        About so many menus, the lightest and the richest among them.
    tries
        As for ``plan_menu``; ``seconds`` ends the whole, and the first menu has a
        third of them, or all where it is not found by then.
    watch
        Hears of every point; True ends the front where it stands.

    Returns
    -------
    Front
        Each menu keeps every rule and has its own proven bound.

    Raises
    ------
    Mistake
        As ``plan_menu``; ``front-points``, ``front-times``, ``front-no-prices``.
    """
    if not 2 <= points <= MOST_POINTS:
        raise Mistake(
            "front-points", what=f"{points} points", mend=f"ask for 2 to {MOST_POINTS} points"
        )
    known = {slot.time for slot in question.slots}
    if not times or not set(times) <= known:
        missing = sorted(set(times) - known) or ["none"]
        raise Mistake(
            "front-times",
            what=f"no eating time is called {', '.join(missing)}",
            mend=f"name some of: {', '.join(sorted(known))}",
        )
    tries = tries or Trying()
    clock = Clocked(tries, watch)
    if by == "cost":
        question = with_prices(question)
    made = make(question, msgspec.structs.replace(tries, seconds=tries.seconds * FIRST), watch)
    if made.plan is None and made.menu.verdict == "stopped" and not clock.quiet("", None):
        left = msgspec.structs.replace(tries, seconds=clock.left())
        made = make(question, left, watch, made if made.prices is not None else None)
    clock.first(made)
    if made.plan is None or made.prices is None:
        return Front(by=by, times=times, first=made.menu, ended="there is no first menu")
    if by == "variety":
        found, ended = variety_points(question, times, points, made, clock)
    else:
        found, ended = cost_points(question, times, points, made, clock)
    kept = stepped(undominated(found, by))
    return Front(
        by=by,
        times=times,
        first=made.menu,
        points=kept,
        sentences=sentences(by, _noun(question, times), kept),
        ended=ended,
        first_seconds=clock.first_seconds,
        seconds=clock.spent(),
    )


def _noun(question: Question, times: tuple[str, ...]) -> str:
    """'dinner' where all those times take one kind of meal, else 'dish'."""
    meals = {slot.meal for slot in question.slots if slot.time in times}
    return meals.pop() if len(meals) == 1 else "dish"
