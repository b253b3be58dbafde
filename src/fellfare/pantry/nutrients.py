"""Composition of 100 g of a food.  Missing is None, never zero."""

from __future__ import annotations

from typing import Final

from msgspec import Struct
from msgspec.structs import astuple

#: The order in which nutrients stand everywhere; the unit is in the name.
#: Definitions are those of USDA SR28: energy by the food's own factors,
#: carbohydrate by difference (fibre included), protein from nitrogen.
NUTRIENTS: Final = (
    "energy_kcal",
    "protein_g",
    "fat_g",
    "saturated_g",
    "carbohydrate_g",
    "fibre_g",
    "sugars_g",
    "sodium_mg",
    "potassium_mg",
    "calcium_mg",
    "iron_mg",
    "magnesium_mg",
    "vitamin_c_mg",
    "water_g",
    "alcohol_g",
    "ash_g",
)


class Nutrients(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What 100 g of edible food hold; None means that nobody has told us."""

    energy_kcal: float | None = None
    protein_g: float | None = None
    fat_g: float | None = None
    saturated_g: float | None = None
    carbohydrate_g: float | None = None
    fibre_g: float | None = None
    sugars_g: float | None = None
    sodium_mg: float | None = None
    potassium_mg: float | None = None
    calcium_mg: float | None = None
    iron_mg: float | None = None
    magnesium_mg: float | None = None
    vitamin_c_mg: float | None = None
    water_g: float | None = None
    alcohol_g: float | None = None
    ash_g: float | None = None

    @property
    def in_order(self) -> tuple[float | None, ...]:
        """The values in the order of :data:`NUTRIENTS`."""
        return astuple(self)


#: Parts of which 100 g consist.
_PROXIMATES: Final = ("water_g", "protein_g", "fat_g", "carbohydrate_g", "ash_g", "alcohol_g")
#: A part of another part cannot be more than it.
_PART_OF: Final = {
    "saturated_g": "fat_g",
    "fibre_g": "carbohydrate_g",
    "sugars_g": "carbohydrate_g",
}
#: Pure fat holds 9.02 kcal/g in the tables [kcal per 100 g].
MOST_ENERGY_KCAL: Final = 910.0


def ceiling(per_100g: Nutrients, nutrient: str) -> float | None:
    """What 100 g can hold at most of a nutrient that nobody has told.

    A part is at most what the known parts leave of 100 g, or the part that it
    belongs to (fibre: carbohydrate); energy is at most that of pure fat.  None
    = no bound worth having (minerals, vitamins).  A told nutrient is its own
    bound.
    """
    told: float | None = getattr(per_100g, nutrient)
    if told is not None:
        return told
    if nutrient == "energy_kcal":
        return MOST_ENERGY_KCAL
    whole = _PART_OF.get(nutrient)
    if whole is not None:
        return ceiling(per_100g, whole)
    if nutrient in _PROXIMATES:
        others = [getattr(per_100g, part) for part in _PROXIMATES if part != nutrient]
        known: float = sum(part for part in others if part is not None)
        return max(0.0, 100.0 - known)
    return None
