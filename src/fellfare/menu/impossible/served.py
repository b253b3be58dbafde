"""The menu that an answer of the model on springs stands for."""

from __future__ import annotations

import numpy as np

from fellfare.menu.answer import Plate, Portion
from fellfare.menu.impossible.springs import Sprung
from fellfare.menu.model.board import Floats
from fellfare.menu.pool import Question


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
