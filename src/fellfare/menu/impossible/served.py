"""The menu that an answer of the model on springs stands for, and the way back."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fellfare.menu.answer import Plate, Portion
from fellfare.menu.impossible.springs import Sprung
from fellfare.menu.model.board import Floats
from fellfare.menu.pool import Question
from fellfare.menu.solver.problem import Ints


def plates_of(question: Question, model: Sprung, x: Floats) -> tuple[Plate, ...]:
    """The menu that the columns stand for."""
    board = model.board
    first_e = model.x_cell.shape[0]
    above = {
        (int(p), int(r)): round(float(x[first_e + k]))
        for k, (p, r) in enumerate(zip(model.e_plate, model.e_dish, strict=True))
    }
    order = {(slot.day, slot.time): at for at, slot in enumerate(question.slots)}
    made = []
    for k in np.nonzero(x[:first_e] > 0.5)[0].tolist():
        cell, r, times = int(model.x_cell[k]), int(model.x_dish[k]), round(float(x[k]))
        dish = question.dishes[r]
        portions = []
        for p in range(int(board.plate_start[cell]), int(board.plate_start[cell + 1])):
            steps = dish.least_steps * times + above.get((p, r), 0)
            portions.append(
                Portion(
                    walker=board.walker_ids[int(board.plate_walker[p])],
                    steps=steps,
                    mass_g=(dish.mass_g + dish.fuel_g) * steps / dish.steps_per_serving,
                    energy_kcal=dish.energy_kcal * steps / dish.steps_per_serving,
                )
            )
        made.append(
            Plate(
                day=int(board.cell_day[cell]),
                time=board.cell_time[cell],
                dish=dish.id,
                shared=int(board.cell_walker[cell]) < 0,
                times=times,
                portions=tuple(portions),
            )
        )
    made.sort(
        key=lambda plate: (order[plate.day, plate.time], plate.portions[0].walker, plate.dish)
    )
    return tuple(made)


def columns_of(model: Sprung, plates: Sequence[Plate]) -> tuple[Ints, Floats] | None:
    """The choices and portions of a menu as columns of the model; None: it has not all of them."""
    board = model.board
    cells: dict[tuple[int, str, str], int] = {}
    for cell in range(board.cells):
        who = int(board.cell_walker[cell])
        owner = "" if who < 0 else board.walker_ids[who]
        cells[int(board.cell_day[cell]), board.cell_time[cell], owner] = cell
    dish_at = {name: at for at, name in enumerate(board.dish_ids)}
    marks = zip(model.x_cell.tolist(), model.x_dish.tolist(), strict=True)
    x_at = {mark: k for k, mark in enumerate(marks)}
    first = model.x_cell.shape[0]
    e_marks = zip(model.e_plate.tolist(), model.e_dish.tolist(), strict=True)
    e_at = {mark: first + k for k, mark in enumerate(e_marks)}
    value = np.zeros(first + model.e_plate.shape[0])
    for plate in plates:
        owner = "" if plate.shared else plate.portions[0].walker
        cell, r = cells[plate.day, plate.time, owner], dish_at[plate.dish]
        if (cell, r) not in x_at:
            return None
        value[x_at[cell, r]] += plate.times
        least = round(float(board.least[r] * board.steps[r])) * plate.times
        of = {portion.walker: portion.steps for portion in plate.portions}
        for p in range(int(board.plate_start[cell]), int(board.plate_start[cell + 1])):
            if (p, r) in e_at:
                steps = of[board.walker_ids[int(board.plate_walker[p])]]
                value[e_at[p, r]] += steps - least
    return np.arange(value.shape[0], dtype=np.int32), value
