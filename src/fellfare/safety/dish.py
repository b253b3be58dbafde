"""The case of a dish: its sheet, seen with the eyes of the rules."""

from __future__ import annotations

from collections.abc import Sequence

from fellfare.pantry.pantry import Pantry
from fellfare.recipe.sheet import Sheet
from fellfare.safety.case import Case, Eater, case_of


def case_of_dish(
    sheet: Sheet,
    pantry: Pantry,
    *,
    eaters: Sequence[Eater] = (),
    air_c: float | None = None,
    altitude_m: float | None = None,
    storage_days: float | None = None,
    storage_c: float | None = None,
) -> Case:
    """What the rules look at, taken from a sheet; see :func:`~fellfare.safety.case.case_of`.

    ``pantry`` gives the foods of the lines' swaps; a swap that is not in it is
    one of which nothing is known.
    """
    foods = {line.food.id: line.food for line in sheet.lines}
    for line in sheet.recipe.lines:
        foods |= {swap: pantry.food(swap) for swap in line.swap if swap in pantry}
    return case_of(
        sheet.recipe,
        foods,
        {index: line.mass_g for index, line in enumerate(sheet.lines)},
        eaters=eaters,
        air_c=air_c,
        altitude_m=altitude_m,
        storage_days=storage_days,
        storage_c=storage_c,
        own_measures={
            index: line.weighed.own_measure_g * (line.mass_g / line.weighed.mass_g)
            for index, line in enumerate(sheet.lines)
            if line.weighed.own_measure_g is not None and line.mass_g and line.weighed.mass_g
        },
        waters={
            index: step.water_ml
            for index, step in enumerate(sheet.steps)
            if step.water_trust == "written"
        },
        servings=sheet.eaters,
    )
