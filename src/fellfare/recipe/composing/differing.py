"""Which few differ most?  Farthest first.

Begin with the best, then always take the dish whose nearest taken neighbour is farthest
away: the smallest distance among those taken is at least half of what the best choice could
reach [GONZALEZ-1985].
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fellfare.recipe.composing.laying import Floats
from fellfare.recipe.composing.sweeping import Dish


def distances(dishes: Sequence[Dish], one: Dish) -> Floats:
    """How far each dish is from ``one``: parts with other foods count whole, other amounts
    a tenth; a metric."""
    far = np.zeros(len(dishes))
    for at, dish in enumerate(dishes):
        for mine, theirs in zip(dish.fillings, one.fillings, strict=True):
            if {p.food.id for p in mine} != {p.food.id for p in theirs}:
                far[at] += 1.0
            elif {(p.food.id, p.amount) for p in mine} != {(p.food.id, p.amount) for p in theirs}:
                far[at] += 0.1
    return far


def most_different(dishes: Sequence[Dish], many: int = 12) -> tuple[Dish, ...]:
    """``many`` dishes, the first of ``dishes`` first, that differ most from one another."""
    if many <= 0 or not dishes:
        return ()
    taken = [0]
    nearest = distances(dishes, dishes[0])
    while len(taken) < min(many, len(dishes)):
        at = int(np.argmax(nearest))
        if nearest[at] <= 0:
            break
        taken.append(at)
        nearest = np.minimum(nearest, distances(dishes, dishes[at]))
    return tuple(dishes[at] for at in taken)
