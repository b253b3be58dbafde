"""From a plan on the board to words: plates, packs, money, what is not known."""

from __future__ import annotations

import msgspec
import numpy as np

from fellfare.menu.answer import Plate, Portion
from fellfare.menu.model.board import Board
from fellfare.menu.model.fitting import legs_of
from fellfare.menu.model.plan import Plan
from fellfare.menu.model.pricing import Prices, priced
from fellfare.menu.pool import Question


def plates_of(question: Question, board: Board, plan: Plan) -> tuple[Plate, ...]:
    """The plan in words: every dish at its time with everybody's portion."""
    order = {(slot.day, slot.time): at for at, slot in enumerate(question.slots)}
    plates = []
    for cell in sorted(plan.picks):
        first = int(board.plate_start[cell])
        for r, times, steps in plan.picks[cell]:
            dish = question.dishes[r]
            portions = tuple(
                Portion(
                    walker=board.walker_ids[int(board.plate_walker[first + at])],
                    steps=many,
                    mass_g=(dish.mass_g + dish.fuel_g) * many / dish.steps_per_serving,
                    energy_kcal=dish.energy_kcal * many / dish.steps_per_serving,
                )
                for at, many in enumerate(steps)
            )
            plates.append(
                Plate(
                    day=int(board.cell_day[cell]),
                    time=board.cell_time[cell],
                    dish=dish.id,
                    shared=int(board.cell_walker[cell]) < 0,
                    times=times,
                    portions=portions,
                )
            )
    plates.sort(key=lambda p: (order[p.day, p.time], p.portions[0].walker, p.dish))
    return tuple(plates)


def mass_of(plates: tuple[Plate, ...]) -> float:
    """Food, packaging and fuel [g]."""
    return float(sum(portion.mass_g for plate in plates for portion in plate.portions))


def packs_of(board: Board, plan: Plan) -> tuple[tuple[str, int], ...]:
    """(food, whole packs) of what is bought in packs, if anybody asked about money."""
    bought = plan.packs() if board.extras.count else np.zeros(0)
    return tuple(
        (food, int(bought[e])) for e, food in enumerate(board.extras.food) if food and bought[e] > 0
    )


def money_of(question: Question, board: Board, plan: Plan) -> float | None:
    """What it costs, or None when a price is not known or nothing was asked about money."""
    if question.budget is None and question.weights.cost_g == 0:
        return None
    total = sum(leg.fee for leg in legs_of(question))
    price = {pack.food: pack.price for pack in question.packs}
    total += sum(price[food] * many for food, many in packs_of(board, plan))
    _, dish, servings = plan.portions()
    for r, amount in zip(dish.tolist(), servings.tolist(), strict=True):
        own = question.dishes[r].cost
        if own is None and not question.dishes[r].foods:
            return None
        total += (own or 0.0) * amount
    return float(total)


def unknown_of(question: Question, plates: tuple[Plate, ...]) -> tuple[tuple[str, str], ...]:
    """(nutrient, dish) of figures that a rule asks for and nobody knows."""
    asked = {band.nutrient for band in question.bands}
    eaten = {plate.dish for plate in plates}
    return tuple(
        (nutrient, dish.id)
        for nutrient in sorted(asked)
        for dish in question.dishes
        if dish.id in eaten and getattr(dish, nutrient) is None
    )


def only_mass(question: Question, board: Board) -> bool:
    """Is the objective nothing but the mass of food, packaging and fuel?"""
    weights = question.weights
    return (
        weights.mass == 1
        and weights.liking_g == 0
        and weights.cost_g == 0
        and all(day == 1 for day in weights.day)
        and all(slot.water_g_per_ml == 0 for slot in question.slots)
        and all(set(slot.mass_weights) == {1.0} for slot in question.slots)
        and all(different.worth_g == 0 for different in question.differents)
        and not board.cell_bonus
    )


def mass_bound(question: Question, board: Board, prices: Prices, bound: float) -> float:
    """A proven floor of the mass of food, packaging and fuel alone [g].

    The objective's own bound where it is nothing but mass; else what the same
    prices prove when only mass costs anything, which is a weaker floor.
    """
    if only_mass(question, board):
        return bound
    return max(0.0, priced(mass_board(board), prices, keep=1).bound)


def mass_board(board: Board) -> Board:
    """The same rules, where nothing weighs but food, packaging and fuel."""
    cost = np.zeros_like(board.plate_cost)
    cost[:, 0] = 1.0
    return msgspec.structs.replace(
        board,
        plate_cost=cost,
        dish_bonus=np.zeros_like(board.dish_bonus),
        cell_bonus=(),
        offset=0.0,
        extras=msgspec.structs.replace(board.extras, cost=np.zeros(board.extras.count)),
    )
