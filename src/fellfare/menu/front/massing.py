"""What is proven of the mass alone, at every place of a front.

A front is sought by what is weighed (liking, and water carried for a dish, with
the mass). Its bounds are of that sum, and would stand beside a mass as a bound
that is none. So mass alone gets bounds of its own: the same rules, nothing but
mass costs anything, and any prices prove a bound.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final

from msgspec.structs import replace

from fellfare.menu.front.clock import Clocked
from fellfare.menu.front.floors import floors
from fellfare.menu.front.ladder import Line, Rung
from fellfare.menu.front.told import FrontPoint
from fellfare.menu.model.bounding import relax_for_bound
from fellfare.menu.model.carried import prices_on
from fellfare.menu.model.laying import lay_board
from fellfare.menu.model.pricing import Prices, priced
from fellfare.menu.model.relaxing import StoppedError
from fellfare.menu.planning import Made
from fellfare.menu.pool import Question, Weights

#: How near the prices of mass alone are sought.
NEAR: Final = 5e-4


def by_mass(question: Question, rate_g: float = 0.0) -> Question:
    """The same rules, where nothing weighs but mass (and money, at a rate)."""
    slots = tuple(replace(slot, water_g_per_ml=0.0, mass_weights=(1.0,)) for slot in question.slots)
    differents = tuple(replace(one, worth_g=0.0) for one in question.differents)
    weights = Weights(cost_g=rate_g)
    return replace(question, slots=slots, differents=differents, weights=weights)


def only_mass(question: Question) -> bool:
    """Is nothing weighed but mass?"""
    weights = question.weights
    return (
        weights.mass == 1
        and weights.liking_g == 0
        and weights.cost_g == 0
        and all(day == 1 for day in weights.day)
        and all(slot.water_g_per_ml == 0 for slot in question.slots)
        and all(set(slot.mass_weights) == {1.0} for slot in question.slots)
        and all(different.worth_g == 0 for different in question.differents)
    )


def variety_masses(
    question: Question, times: tuple[str, ...], made: Made, clock: Clocked
) -> Callable[[FrontPoint], float]:
    """What a menu of as many different dishes as a point has weighs at least [g]."""
    if only_mass(question):
        return lambda point: point.menu.bound_g
    board = lay_board(by_mass(question))
    assert made.prices is not None
    prices = prices_on(board, made.board, made.prices)
    cells = [cell for cell in range(board.cells) if board.cell_time[cell] in times]
    floor = floors(board, prices, cells)
    better = _prices(by_mass(question), prices, clock)
    if better is not None:
        floor = floor.or_better(floors(board, better, cells))
    least = made.menu.bound_mass_g
    return lambda point: max(least, floor.at(point.different))


def cost_masses(
    question: Question, made: Made, ladder: Iterable[Rung], clock: Clocked
) -> Callable[[FrontPoint], float]:
    """What a menu for no more money than a point costs weighs at least [g]."""
    if only_mass(question):
        return lambda point: point.menu.bound_g
    lines = []
    for rung in ladder:
        asked = by_mass(question, rung.rate_g)
        there = lay_board(asked)
        warm = prices_on(there, rung.board, rung.prices)
        for prices in (warm, _prices(asked, warm, clock)):
            if prices is not None:
                bound = priced(there, prices, keep=1).bound
                lines.append(Line(rate_g=rung.rate_g, bound_g=bound))
    least = made.menu.bound_mass_g
    return lambda point: max([least, *(line.at(point.cost or 0.0) for line in lines)])


def _prices(asked: Question, warm: Prices, clock: Clocked) -> Prices | None:
    """Prices for what weighs by mass, in what time is left."""
    if clock.quiet("", None):
        return None
    try:
        relaxed = relax_for_bound(lay_board(asked), clock.effort(0.0), NEAR, warm)
    except StoppedError:
        return None
    clock.solver_seconds += relaxed.seconds
    clock.solves += relaxed.solves
    return relaxed.prices


def with_masses(
    points: list[FrontPoint], least_g: Callable[[FrontPoint], float]
) -> list[FrontPoint]:
    """The points, each with the proven floor of its mass."""
    told = []
    for point in points:
        mass = point.menu.mass_g or 0.0
        bound = min(mass, max(0.0, point.menu.bound_mass_g, least_g(point)))
        told.append(replace(point, menu=replace(point.menu, bound_mass_g=bound)))
    return told
