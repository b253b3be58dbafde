"""From a question to a board: cells, plates, costs, and the rows of every wish."""

from __future__ import annotations

import numpy as np

from fellfare.menu.model.board import Board, Floats
from fellfare.menu.model.cells import lay_cells
from fellfare.menu.model.figures import figure_table, supplies_of, supply_name
from fellfare.menu.model.fitting import why_not
from fellfare.menu.model.rows.bands import band_rows
from fellfare.menu.model.rows.choices import choice_rows
from fellfare.menu.model.rows.draft import ExtraDraft, Ground, RowDraft
from fellfare.menu.model.rows.money import money_rows
from fellfare.menu.model.rows.rooms import room_rows
from fellfare.menu.pool import Question


def lay_board(question: Question) -> Board:
    """The whole board. The question has been checked (``menu.asking``) before.

    Raises ``menu-too-large`` before memory is asked for, and what a dish that
    is fixed where it cannot stand raises (``model.cells``).
    """
    cells = lay_cells(question)
    figures, place = figure_table(question)
    ground = Ground(question, place, cells)
    draft, extras = RowDraft(), ExtraDraft()
    band_rows(ground, draft)
    room_rows(ground, draft)
    money_rows(ground, draft, extras)
    families = choice_rows(ground, draft, extras)
    families_of: list[list[int]] = [[] for _ in cells.day]
    for at, family in enumerate(families):
        for cell in family.cells.tolist():
            families_of[cell].append(at)
    weights = question.weights
    steps = np.array([dish.steps_per_serving for dish in question.dishes], dtype=np.float64)
    return Board(
        days=question.days,
        dish_ids=tuple(dish.id for dish in question.dishes),
        walker_ids=tuple(walker.id for walker in question.walkers),
        figures=figures,
        least=np.array([dish.least_steps for dish in question.dishes]) / steps,
        most=np.array([dish.most_steps for dish in question.dishes]) / steps,
        steps=steps,
        cell_day=ground.cell_day,
        cell_time=tuple(cells.time),
        cell_slot=ground.cell_slot,
        cell_walker=ground.cell_walker,
        cell_least=np.array(cells.least, dtype=np.int64),
        cell_most=np.array(cells.most, dtype=np.int64),
        cell_twice=np.array(cells.twice, dtype=np.int64),
        cell_mask=np.array(cells.mask, dtype=np.int64),
        masks=cells.masks,
        plate_start=ground.plate_start,
        plate_cell=ground.plate_cell,
        plate_walker=ground.plate_walker,
        plate_cost=_plate_cost(ground, figures.shape[1]),
        dish_bonus=np.array([-weights.liking_g * dish.liking for dish in question.dishes]),
        cell_bonus=(),
        rows=draft.done(ground.plate_cell.shape[0]),
        families=families,
        families_of=tuple(tuple(each) for each in families_of),
        extras=extras.done(),
        offset=weights.cost_g * sum(leg.fee for leg in ground.legs),
        legs=ground.leg_of_day,
    )


def _plate_cost(ground: Ground, width: int) -> Floats:
    """Plates x figures: what a unit of a figure costs in the objective [g]."""
    question, place = ground.question, ground.place
    weights = question.weights
    day_weight = np.array(weights.day or (1.0,) * question.days, dtype=np.float64)
    water = np.array([slot.water_g_per_ml for slot in question.slots])
    cost = np.zeros((ground.plate_cell.shape[0], width))
    slot = ground.cell_slot[ground.plate_cell]
    by_day = weights.mass * day_weight[ground.plate_day - 1]
    first = np.array([each.mass_weights[0] for each in question.slots])
    cost[:, place["carried_g"]] = by_day * first[slot]
    for supply in supplies_of(question):
        own = np.array(
            [each.mass_weights[min(supply, len(each.mass_weights) - 1)] for each in question.slots]
        )
        cost[:, place[supply_name(supply)]] = by_day * (own - first)[slot]
    cost[:, place["water_ml"]] = weights.mass * water[slot]
    cost[:, place["cost"]] = weights.cost_g
    return cost


__all__ = ["lay_board", "why_not"]
