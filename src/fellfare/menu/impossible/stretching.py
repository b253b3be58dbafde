"""Solving the model on springs: which wishes clash, which sets of wishes let it through."""

from __future__ import annotations

from collections.abc import Collection, Iterable

import numpy as np
from msgspec.structs import replace

from fellfare.menu.impossible.singles import EACH_WISH
from fellfare.menu.impossible.springs import Sprung
from fellfare.menu.model.board import Flags, Floats
from fellfare.menu.solver import Effort, Outcome, Problem, solve
from fellfare.menu.solver.problem import Floats as Column
from fellfare.menu.solver.problem import Ints

#: A relaxation that must stretch by less than this is taken to hold without.
NOTHING = 1e-7
#: A wish that is missed by less than this part of its size does not give.
SLACK = 1e-6


def stretch_cost(model: Sprung, each: float = 0.0) -> Column:
    """What stretching costs: by each wish's price, and ``each`` for every group that gives."""
    cost = np.zeros(model.problem.columns)
    for spring in model.springs:
        cost[spring.column] += model.apart.singles[spring.single].price
    cost[model.group_column : model.group_column + model.groups] = each
    return cost


def parts_allowed(model: Sprung, groups_whole: bool) -> Flags:
    """Which columns are whole numbers when dishes may be mixed in parts."""
    whole = np.zeros(model.problem.columns, dtype=np.bool_)
    whole[model.group_column : model.group_column + model.groups] = groups_whole
    return whole


def firm(model: Sprung, groups: Iterable[int]) -> Floats:
    """Upper bounds of the columns with these groups not giving at all."""
    held = set(groups)
    high = model.problem.high.copy()
    for spring in model.springs:
        if model.group_of(spring) in held:
            high[spring.column] = 0.0
    return high


def without(problem: Problem, model: Sprung, groups: Collection[int]) -> Problem:
    """The model, with one row more: not all of these groups give together."""
    columns = [model.group_column + group for group in sorted(groups)]
    return replace(
        problem,
        row_low=np.append(problem.row_low, -np.inf),
        row_high=np.append(problem.row_high, len(columns) - 1.0),
        start=np.append(problem.start, problem.start[-1] + len(columns)).astype(np.int32),
        index=np.append(problem.index, columns).astype(np.int32),
        value=np.append(problem.value, np.ones(len(columns))),
    )


def giving(model: Sprung, x: Floats) -> set[int]:
    """The groups that are stretched."""
    return {model.group_of(s) for s in model.springs if x[s.column] > SLACK}


def relaxed_least(model: Sprung, effort: Effort, free: Collection[int] = ()) -> Outcome:
    """The least stretching when dishes may be mixed in parts: above 0, there is no menu.

    The groups in ``free`` may give as they like: what is above 0 then is the others' clash.
    """
    cost = stretch_cost(model)
    for spring in model.springs:
        if model.group_of(spring) in free:
            cost[spring.column] = 0.0
    return solve(replace(model.problem, cost=cost, whole=parts_allowed(model, False)), effort)


def stretched_least(model: Sprung, held: Iterable[int], effort: Effort) -> Outcome:
    """The same where these groups do not give at all; 'impossible': the others cannot do it."""
    problem = replace(model.problem, cost=stretch_cost(model), high=firm(model, held))
    return solve(replace(problem, whole=parts_allowed(model, False)), effort)


def priced_groups(model: Sprung, duals: Floats) -> set[int]:
    """The groups whose rows carry a price in the relaxation: together they prove it impossible."""
    rows = np.nonzero((np.abs(duals) > 1e-9) & (model.row_single >= 0))[0]
    return {model.apart.singles[int(model.row_single[row])].group for row in rows}


def clashes(model: Sprung, groups: Collection[int], effort: Effort, whole: bool) -> Outcome:
    """Can these groups be kept together, all others giving freely? ('impossible': they cannot)"""
    problem = replace(model.problem, high=firm(model, groups))
    if not whole:
        problem = replace(problem, whole=parts_allowed(model, False))
    return solve(problem, effort)


def cheapest_set(model: Sprung, problem: Problem, effort: Effort, whole: bool) -> Outcome:
    """The cheapest set of groups to give; dishes mixed in parts, or (``whole``) as they are."""
    problem = replace(problem, cost=stretch_cost(model, each=EACH_WISH))
    if not whole:
        problem = replace(problem, whole=parts_allowed(model, True))
    return solve(problem, effort)


def with_whole_dishes(model: Sprung, groups: Collection[int], effort: Effort) -> Outcome:
    """A menu of whole dishes and steps in which only these groups give, as little as was found.

    First the dishes, with portions of any size; then the portions in whole steps.
    """
    others = [group for group in range(model.groups) if group not in groups]
    problem = replace(model.problem, cost=stretch_cost(model), high=firm(model, others))
    whole = problem.whole.copy()
    first = model.x_cell.shape[0]
    whole[first : first + model.e_plate.shape[0]] = False
    dishes = solve(replace(problem, whole=whole), effort)
    if dishes.x is None:
        return dishes
    menu = np.arange(first, dtype=np.int32), np.rint(dishes.x[:first])
    portions = improved(model, groups, menu, effort, dishes_stand=True)
    return replace(portions, seconds=dishes.seconds + portions.seconds)


def improved(
    model: Sprung,
    groups: Collection[int],
    menu: tuple[Ints, Floats],
    effort: Effort,
    dishes_stand: bool,
) -> Outcome:
    """As ``with_whole_dishes``, beginning from a menu; ``dishes_stand``: only portions move."""
    others = [group for group in range(model.groups) if group not in groups]
    low, high = model.problem.low, firm(model, others)
    if dishes_stand:
        chosen = model.x_cell.shape[0]
        low = low.copy()
        low[:chosen] = high[:chosen] = menu[1][:chosen]
    problem = replace(model.problem, cost=stretch_cost(model), low=low, high=high)
    return solve(problem, effort, start=menu)
