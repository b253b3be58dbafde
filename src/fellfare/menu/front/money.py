"""How many grams does it cost to pay less?

Weight and money on one scale, at a rate of exchange (grams for one unit of
money): a menu that is lightest at some rate lies on the front, and its bound is
a straight line under the whole of it: weight >= bound - rate x money (the
weighting of two goals, Aneja and Nair 1979 [ANEJA-NAIR-1979], from memory). A
few rates are planned for; the menus between are put together from both of their
neighbours (``front.between``).
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import msgspec
import numpy as np

from fellfare.menu.front.between import between
from fellfare.menu.front.clock import Clocked
from fellfare.menu.front.ladder import Line, Rung, lines_between, rung_at
from fellfare.menu.front.massing import cost_masses, with_masses
from fellfare.menu.front.menus import menu_of
from fellfare.menu.front.purse import Purse
from fellfare.menu.front.told import FrontPoint, many_kinds
from fellfare.menu.model.plan import Plan, planned
from fellfare.menu.planning import Made, make
from fellfare.menu.pool import Budget, Question
from fellfare.mistake import Mistake

#: Stands for 'no limit' where nobody has set a budget.
NO_LIMIT = 1e6
#: Rates that are planned for, as multiples of the first menu's weight for its
#: money, in this order: near the light end, the far end, then what time allows.
RATES = (0.25, 2.0, 0.7, 6.0, 0.08)
#: So many of them in any case.
LEAST_RATES = 2
#: Menus that differ by less money are the same one.
SAME = 0.005
#: Rates, and the whole front, may take so many times what the first menu took.
WHOLE, ALL = 2.3, 2.7
#: A point is searched on for no less than this part of what the first menu took, and no
#: less than this [s].
SHARE, LEAST_SECONDS = 0.3, 0.05


def with_prices(question: Question) -> Question:
    """The same question, with money counted even where nobody limits it."""
    if all(dish.cost is None and not dish.foods for dish in question.dishes):
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


class _Spot(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    cost: float
    weight: float
    plan: Plan


def cost_points(
    question: Question, times: tuple[str, ...], points: int, made: Made, clock: Clocked
) -> tuple[list[FrontPoint], str]:
    """Menus of less and less money, and why there are no more of them.

    ``made`` is the first menu of ``with_prices(question)``.
    """
    assert made.plan is not None
    assert made.prices is not None
    board = made.board
    purse = Purse(question, board)
    cost = purse.money(made.plan)
    if cost is None:
        return [], "a price is not known"
    first = Rung(
        rate_g=0.0, board=board, prices=made.prices, bound_g=made.menu.bound_g, plan=made.plan
    )
    unit = max(made.plan.cost(), 1.0) / max(cost, SAME)
    ladder, ended = _ladder(question, first, unit, clock)
    lines = [Line(rate_g=rung.rate_g, bound_g=rung.bound_g) for rung in ladder]
    for one, other in pairwise(ladder):
        lines += lines_between(lambda rate: at_rate(question, rate), one, other)

    plans = [planned(board, rung.plan.picks) for rung in ladder]
    for light, cheap in pairwise(tuple(plans)):
        plans += between(light, cheap, purse.money)
    spots = _chosen(_spots(plans, purse.money), points)
    floor = Floor(lines)
    spots = _searched_on(question, made, spots, floor, purse, clock)
    told = []
    for spot in spots:
        menu = menu_of(
            question, board, spot.plan, floor.at(spot.cost), clock.tries.gap, clock.solves
        )
        if menu is not None:
            kinds = many_kinds(menu, times)
            told.append(FrontPoint(different=kinds, cost=spot.cost, menu=menu))
    return with_masses(told, cost_masses(question, made, ladder, clock)), ended


def _ladder(question: Question, first: Rung, unit: float, clock: Clocked) -> tuple[list[Rung], str]:
    """The rungs by rising rate, and what ended the ladder ('' = nothing did)."""
    ladder, ended = [first], ""
    for number, multiple in enumerate(RATES):
        rate = multiple * unit
        begun = clock.spent()
        allowed = WHOLE * clock.first_seconds
        each = (begun - clock.first_seconds) / max(1, number)
        if number >= LEAST_RATES and begun + each > allowed:
            ended = "the search went no further; that there is no cheaper menu is not proven"
            break
        if clock.halt(f"money at {rate:.3g} g", first.plan.cost(), first.bound_g):
            return ladder, "the time was over, or it was stopped"
        near = min(ladder, key=lambda rung: abs(np.log((rung.rate_g + unit / 4) / rate)))
        rung = rung_at(at_rate(question, rate), rate, near, clock)
        if rung is None:
            return ladder, "the time was over"
        if rung.plan.whole:
            ladder.append(rung)
            ladder.sort(key=lambda each: each.rate_g)
    return ladder, ended


class Floor:
    """What any menu for no more than some money weighs at least: lines, and steps."""

    def __init__(self, lines: list[Line]) -> None:
        self.lines = lines
        self.steps: list[tuple[float, float]] = []

    def step(self, cost: float, bound_g: float) -> None:
        """Proven: no menu for ``cost`` or less weighs less than ``bound_g``."""
        self.steps.append((cost, bound_g))

    def at(self, cost: float) -> float:
        """The floor for menus of no more than this money [g]."""
        line = max(line.at(cost) for line in self.lines)
        return max([line, *(bound for most, bound in self.steps if cost <= most)])

    def gap(self, spot: _Spot) -> float:
        """How far a menu is above it, as a part of its weight."""
        return (spot.weight - self.at(spot.cost)) / max(spot.weight, 1e-9)


def _searched_on(
    question: Question, made: Made, spots: list[_Spot], floor: Floor, purse: Purse, clock: Clocked
) -> list[_Spot]:
    """The widest gaps searched on, each with its own money as the budget, in what time is left."""
    begun = clock.spent()
    rest = clock.left_of(ALL)
    wide = [spot for spot in spots if floor.gap(spot) > clock.tries.gap]
    wide.sort(key=lambda spot: -floor.gap(spot))
    many = min(len(wide), max(0, int(rest / max(SHARE * clock.first_seconds, 1e-9))))
    better = {id(spot): spot for spot in spots}
    for at, spot in enumerate(wide[:many]):
        share = (rest - (clock.spent() - begun)) / (many - at)
        if share < LEAST_SECONDS or clock.stopped:
            break
        cost = spot.cost * (1.0 + 1e-9) + 1e-9
        asked = msgspec.structs.replace(question, budget=Budget(wish="its own money", most=cost))
        warm = Made(menu=made.menu, board=made.board, plan=spot.plan, prices=made.prices)
        again = make(asked, msgspec.structs.replace(clock.tries, seconds=share), None, warm)
        clock.solver_seconds += again.menu.seconds
        clock.solves += again.menu.solves
        floor.step(cost, again.menu.bound_g)
        if again.plan is None:
            continue
        plan = planned(made.board, again.plan.picks)
        money = purse.money(plan)
        if money is not None and plan.whole and plan.cost() < spot.weight:
            better[id(spot)] = _Spot(cost=money, weight=plan.cost(), plan=plan)
    return list(better.values())


def _spots(plans: list[Plan], money: Callable[[Plan], float | None]) -> list[_Spot]:
    """Whole plans of which none is heavier and dearer than another, the dearest first."""
    found = []
    for plan in plans:
        cost = money(plan) if plan.whole else None
        if cost is not None:
            found.append(_Spot(cost=cost, weight=plan.cost(), plan=plan))
    found.sort(key=lambda spot: (spot.weight, spot.cost))
    kept: list[_Spot] = []
    for spot in found:
        if not kept or spot.cost < kept[-1].cost - SAME:
            kept.append(spot)
    return kept


def _chosen(spots: list[_Spot], points: int) -> list[_Spot]:
    """So many of them, both ends among them, as evenly along the front as they lie."""
    if len(spots) <= points:
        return spots
    cost = np.array([spot.cost for spot in spots])
    weight = np.array([spot.weight for spot in spots])
    steps = np.hypot(
        np.diff(cost) / max(np.ptp(cost), 1e-9), np.diff(weight) / max(np.ptp(weight), 1e-9)
    )
    along = np.concatenate([[0.0], np.cumsum(steps)])
    wanted = np.linspace(0.0, along[-1], points)
    chosen = sorted({int(np.argmin(np.abs(along - each))) for each in wanted})
    return [spots[at] for at in chosen]
