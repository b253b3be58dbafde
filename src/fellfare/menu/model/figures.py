"""What figures does a dish bring to the sums? One column each, unknown as 0."""

from __future__ import annotations

from typing import Final

import numpy as np

from fellfare.menu.model.board import Floats
from fellfare.menu.pool import SHARE_KCAL_PER_G, Band, Question

NUTRIENTS: Final = (
    "energy_kcal",
    "protein_g",
    "fat_g",
    "carbohydrate_g",
    "fibre_g",
    "sodium_mg",
)
#: Figures of every dish, in this order; shares and foods in packs follow.
BASE: Final = ("carried_g", "water_ml", *NUTRIENTS, "volume_ml", "cost", "pot_ml")
#: The place of each of them.
FIGURE: Final = {name: at for at, name in enumerate(BASE)}
UNIT: Final = {
    "energy_kcal": "kcal",
    "protein_g": "g",
    "fat_g": "g",
    "carbohydrate_g": "g",
    "fibre_g": "g",
    "sodium_mg": "mg",
}


def figure_table(question: Question) -> tuple[Floats, dict[str, int]]:
    """Dishes x figures per serving, and the place of each figure (shares and foods too).

    A share 'fat at most 40 % of the energy' is a figure of its own: 9 kcal/g x
    fat less 0.4 x energy, whose sum over a day must not be above 0.
    """
    place = dict(FIGURE)
    columns = [
        [dish.mass_g + dish.fuel_g for dish in question.dishes],
        [dish.water_ml for dish in question.dishes],
    ]
    columns += [
        [getattr(dish, name) or 0.0 for dish in question.dishes]
        for name in (*NUTRIENTS, "volume_ml", "cost", "pot_ml")
    ]
    for band in question.bands:
        for limit in (band.low, band.high) if band.share else ():
            if limit is None or share_name(band, limit) in place:
                continue
            place[share_name(band, limit)] = len(columns)
            factor = SHARE_KCAL_PER_G[band.nutrient]
            columns.append(
                [
                    factor * (getattr(dish, band.nutrient) or 0.0) - limit * dish.energy_kcal
                    for dish in question.dishes
                ]
            )
    for supply in supplies_of(question):
        place[supply_name(supply)] = len(columns)
        columns.append(
            [d.mass_g + d.fuel_g if d.supply == supply else 0.0 for d in question.dishes]
        )
    for food in sorted({pack.food for pack in question.packs}):
        place[food_name(food)] = len(columns)
        columns.append([sum(g for f, g in dish.foods if f == food) for dish in question.dishes])
    return np.array(columns, dtype=np.float64).T.copy(), place


def share_name(band: Band, limit: float) -> str:
    """The figure that a limit on a share of energy is reckoned with."""
    return f"share {band.nutrient} {limit}"


def supplies_of(question: Question) -> tuple[int, ...]:
    """Kinds of supply whose mass may weigh otherwise than that of the first."""
    if all(len(slot.mass_weights) == 1 for slot in question.slots):
        return ()
    return tuple(sorted({dish.supply for dish in question.dishes} - {0}))


def supply_name(supply: int) -> str:
    """The figure 'grams carried of dishes of this kind of supply'."""
    return f"carried of supply {supply}"


def food_name(food: str) -> str:
    """The figure 'grams of this food'."""
    return f"food {food}"
