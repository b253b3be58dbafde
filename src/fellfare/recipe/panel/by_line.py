"""Between which ends do EU energy and carbohydrate lie, food by food?

Of the whole dish only sums are known; of each food more: fibre and carbohydrate
of one row belong together, a label in the EU manner states carbohydrate without
fibre outright, and no food holds more energy than fat of its own mass.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from fellfare.pantry.food import Food
from fellfare.pantry.nutrients import Nutrients, ceiling

#: EU 1169/2011 Annex XIV [kJ/g, kcal/g].
_FAT: Final = (37.0, 9.0)
_PROTEIN: Final = (17.0, 4.0)
_CARBOHYDRATE: Final = (17.0, 4.0)
_FIBRE: Final = (8.0, 2.0)
_ALCOHOL: Final = (29.0, 7.0)

#: A lower and an upper end; None = no upper end.
Ends = tuple[float, float | None]
_KJ_PER_KCAL: Final = 4.184


def eu_ends(foods: Iterable[tuple[Food, float | None]]) -> dict[str, Ends]:
    """Ends of available carbohydrate [g] and energy [kJ, kcal] of foods with their mass [g].

    Factors of Regulation (EU) 1169/2011 Annex XIV.  An unmeasured food has no
    upper end, unless it holds none of the thing.
    """
    sums: dict[str, Ends] = dict.fromkeys(
        ("carbohydrate_g", "energy_kj", "energy_kcal"), (0.0, 0.0)
    )
    for food, mass_g in foods:
        for name, (low, high) in _per_100g(food).items():
            so_far, top = sums[name]
            if mass_g is None:
                sums[name] = (so_far, top if high == 0 else None)
            else:
                end = None if top is None else top + high * mass_g / 100
                sums[name] = (so_far + low * mass_g / 100, end)
    return sums


def _per_100g(food: Food) -> dict[str, tuple[float, float]]:
    per_100g = food.per_100g
    free, fibre = _free(food), _span(per_100g, "fibre_g")
    if food.available_carbohydrate_g is not None and per_100g.energy_kcal is not None:
        energy = per_100g.energy_kcal  # an EU label: its energy is by these factors already
        kj = energy * _KJ_PER_KCAL
        return {"carbohydrate_g": free, "energy_kj": (kj, kj), "energy_kcal": (energy, energy)}
    ends = {"carbohydrate_g": free}
    for unit, name in enumerate(("energy_kj", "energy_kcal")):
        sure = [(_FAT[unit], "fat_g"), (_PROTEIN[unit], "protein_g"), (_ALCOHOL[unit], "alcohol_g")]
        low = sum(factor * _span(per_100g, part)[0] for factor, part in sure)
        high = sum(factor * _span(per_100g, part)[1] for factor, part in sure)
        whole = per_100g.carbohydrate_g
        if whole is None:
            low += _CARBOHYDRATE[unit] * free[0] + _FIBRE[unit] * fibre[0]
            high += _CARBOHYDRATE[unit] * free[1] + _FIBRE[unit] * fibre[0]
        else:  # what is not the one is the other
            low += _CARBOHYDRATE[unit] * free[0] + _FIBRE[unit] * max(whole - free[0], 0.0)
            high += _CARBOHYDRATE[unit] * free[1] + _FIBRE[unit] * max(whole - free[1], 0.0)
        ends[name] = (low, max(low, min(high, 100 * _FAT[unit])))
    return ends


def _free(food: Food) -> tuple[float, float]:
    """Carbohydrate without fibre, per 100 g."""
    if food.available_carbohydrate_g is not None:
        return food.available_carbohydrate_g, food.available_carbohydrate_g
    per_100g = food.per_100g
    whole_low, whole_high = _span(per_100g, "carbohydrate_g")
    fibre_low, fibre_high = _span(per_100g, "fibre_g")
    sugars = min(_span(per_100g, "sugars_g")[0], max(whole_high - fibre_low, 0.0))
    return max(whole_low - fibre_high, sugars, 0.0), max(whole_high - fibre_low, sugars, 0.0)


def _span(per_100g: Nutrients, nutrient: str) -> tuple[float, float]:
    told: float | None = getattr(per_100g, nutrient)
    most = ceiling(per_100g, nutrient)
    return (0.0, 100.0 if most is None else most) if told is None else (told, told)
