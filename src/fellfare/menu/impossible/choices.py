"""Which dishes are worth a try when there are too many for one model?"""

from __future__ import annotations

import numpy as np

from fellfare.menu.model.board import Board
from fellfare.menu.pool import Dish, Question

INFINITE = float("inf")
#: Above so many choices only the most promising dishes of each eating time are kept.
MOST_CHOICES = 2_000
#: So many by each of several figures.
NEAR = 3


def choices(board: Board, question: Question, original: Question) -> tuple[list[list[int]], bool]:
    """Per cell the dishes that may be chosen: all, or those that are best at something."""
    every = [np.nonzero(board.allowed(cell))[0].tolist() for cell in range(board.cells)]
    if sum(len(each) for each in every) <= MOST_CHOICES:
        return every, True
    wanted = {lock.dish for lock in original.locks}
    for often in original.oftens:
        wanted.update(often.dishes)
    scores = [
        np.array([score(dish) for dish in question.dishes])
        for score in (_heavy, _lean, _salty, _fat, _bulky, _dear, _disliked)
    ]
    chosen: dict[int, list[int]] = {}
    for cell in range(board.cells):
        mask = int(board.cell_mask[cell])
        if mask not in chosen:
            fits = np.array(every[cell], dtype=np.int64)
            kept = {r for r in every[cell] if question.dishes[r].id in wanted}
            for score in scores:
                kept.update(fits[np.argsort(score[fits], kind="stable")][:NEAR].tolist())
            chosen[mask] = sorted(kept)
    return [chosen[int(board.cell_mask[cell])] for cell in range(board.cells)], False


def _per_kcal(value: float | None, dish: Dish) -> float:
    return INFINITE if value is None else value / max(dish.energy_kcal, 1.0)


def _heavy(dish: Dish) -> float:
    return _per_kcal(dish.mass_g + dish.fuel_g, dish)


def _lean(dish: Dish) -> float:
    return -_per_kcal(dish.protein_g or 0.0, dish)


def _salty(dish: Dish) -> float:
    return _per_kcal(dish.sodium_mg, dish)


def _fat(dish: Dish) -> float:
    return _per_kcal(dish.fat_g, dish)


def _bulky(dish: Dish) -> float:
    return _per_kcal(dish.volume_ml, dish)


def _dear(dish: Dish) -> float:
    return _per_kcal(dish.cost, dish)


def _disliked(dish: Dish) -> float:
    return -dish.liking
