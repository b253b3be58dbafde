"""How many grams does it cost to pay less?

Every gram of weight and every unit of money on one scale, at a rate of exchange:
a menu that is lightest at some rate lies on the front, and its bound is a
straight line under the whole of it (weight >= bound - rate x money). The rates
are those of the chords between menus already found, the widest gap first
(the 'weighting' or chord method for two goals; Aneja and Nair 1979, Management
Science 25: 73-78, from memory).
"""

from __future__ import annotations

from itertools import pairwise

import msgspec

from fellfare.menu.front.clock import Clocked
from fellfare.menu.front.menus import menu_of
from fellfare.menu.front.told import FrontPoint, many_kinds
from fellfare.menu.model.carried import plan_on
from fellfare.menu.model.plan import Plan
from fellfare.menu.planning import Made, make
from fellfare.menu.pool import Budget, Question
from fellfare.menu.telling import money_of
from fellfare.mistake import Mistake

#: Stands for 'no limit' where nobody has set a budget.
NO_LIMIT = 1e6
#: The far end of the front is sought at this multiple of the first menu's weight per money.
FAR = 40.0
#: Menus that differ by less money are the same one.
SAME = 0.005


class Line(msgspec.Struct, frozen=True, kw_only=True):
    """A straight floor under the front: weight >= ``bound_g`` - ``rate_g`` x money."""

    rate_g: float
    bound_g: float

    def at(self, cost: float) -> float:
        """What any menu for no more than this money weighs at least [g]."""
        return self.bound_g - self.rate_g * cost


class _Spot(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    cost: float
    weight: float
    plan: Plan
    made: Made


def with_prices(question: Question) -> Question:
    """The same question, with money counted even where nobody limits it."""
    unpriced = [dish for dish in question.dishes if dish.cost is None and not dish.foods]
    if len(unpriced) == len(question.dishes):
        raise Mistake(
            "front-no-prices",
            what="no dish has a price",
            mend="give prices to dishes or packs; a front against money needs them",
        )
    if question.budget is not None:
        return question
    return msgspec.structs.replace(question, budget=Budget(wish="no budget", most=NO_LIMIT))


def at_rate(question: Question, rate_g: float) -> Question:
    """One unit of money weighs so many grams more than the wishes say."""
    weights = msgspec.structs.replace(question.weights, cost_g=question.weights.cost_g + rate_g)
    return msgspec.structs.replace(question, weights=weights)


def cost_points(
    question: Question, times: tuple[str, ...], points: int, made: Made, clock: Clocked
) -> tuple[list[FrontPoint], str]:
    """Menus of less and less money, and why there are no more of them.

    ``made`` is the first menu of ``with_prices(question)``.
    """
    board = made.board

    def spot(found: Made) -> _Spot | None:
        if found.plan is None:
            return None
        plan = plan_on(board, found.board, found.plan)
        cost = money_of(question, board, plan)
        if cost is None or not plan.whole:
            return None
        return _Spot(cost=cost, weight=plan.cost(), plan=plan, made=found)

    first = spot(made)
    if first is None:
        return [], "a price is not known"
    lines = [Line(rate_g=0.0, bound_g=made.menu.bound_g)]
    spots = [first]
    solves = made.menu.solves
    ended = ""
    tried: set[float] = set()
    while len(spots) < points:
        chosen = _next_rate(spots, lines, tried)
        if chosen is None:
            ended = "what lies between is proven to be no better"
            break
        rate, near = chosen
        tried.add(rate)
        if clock.halt("less money", spots[-1].weight, lines[0].bound_g):
            ended = "the time was over, or it was stopped"
            break
        tries = msgspec.structs.replace(clock.tries, seconds=clock.left())
        found = make(at_rate(question, rate), tries, None, near.made)
        clock.solver_seconds += found.menu.seconds
        solves += found.menu.solves
        if found.menu.bound_g > float("-inf"):
            lines.append(Line(rate_g=rate, bound_g=found.menu.bound_g))
        new = spot(found)
        if new is not None and all(abs(new.cost - old.cost) > SAME for old in spots):
            spots.append(new)
            spots.sort(key=lambda each: -each.cost)
    told = []
    for each in spots:
        bound = max(line.at(each.cost) for line in lines)
        menu = menu_of(question, board, each.plan, bound, clock.tries.gap, solves)
        if menu is not None:
            told.append(FrontPoint(different=many_kinds(menu, times), cost=each.cost, menu=menu))
    return told, ended


def _next_rate(
    spots: list[_Spot], lines: list[Line], tried: set[float]
) -> tuple[float, _Spot] | None:
    """The rate at which most is still open, and the menu to begin from."""
    first = spots[0]
    far = FAR * max(first.weight, 1.0) / max(first.cost, SAME)
    if not tried:
        return far, first
    best: tuple[float, float, _Spot] | None = None
    for dear, cheap in pairwise(spots):
        saved = dear.cost - cheap.cost
        rate = (cheap.weight - dear.weight) / saved if saved > SAME else 0.0
        if rate <= 1e-9 or any(abs(rate - old) < 1e-6 * old for old in tried):
            continue
        middle = 0.5 * (dear.cost + cheap.cost)
        floor = max(line.at(middle) for line in lines)
        room = 0.5 * (dear.weight + cheap.weight) - floor
        if room > 1e-3 and (best is None or room * saved > best[0]):
            best = (room * saved, rate, dear)
    return None if best is None else (best[1], best[2])
