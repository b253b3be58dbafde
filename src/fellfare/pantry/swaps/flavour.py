"""How much of the dried, ground or sour kind tastes like so much of the fresh one?

Published kitchen lists disagree, for some pairs by a factor of ten; both ends
are shown.  They aim at flavour, not at dry matter: a clove of garlic weighs more
dry than the powder that tastes like it.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite
from typing import Final

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.pantry.food import Food
from fellfare.pantry.swaps.difference import difference
from fellfare.pantry.swaps.form import bought_g
from fellfare.pantry.swaps.swap import Swap

_LISTS: Final = "household substitution lists of extension services, seen in several public copies"


class Spread(Struct, frozen=True, kw_only=True):
    """One published swap: so many of one measure for so many of another."""

    food: str
    #: Household measure of the food (pantry), and how many of it.
    unit: str
    count: float
    stand_in: str
    #: Household measure of the stand-in, and the published ends.
    other_unit: str
    low: float
    high: float
    #: Water that goes with it, as published: lower and upper end [mL]; None = not said.
    water_ml: tuple[float, float] | None = None
    note: str = ""
    source: str = _LISTS


_TBSP_ML: Final = 14.78676478125  # US customary, NIST SP 811
_CUP_ML: Final = 236.5882365


def _herb(fresh: str, dried: str) -> Spread:
    """Three volumes of the fresh leaf for one of the dried; one list says a third to a half."""
    note = "usual rule 3 : 1 by volume; one list gives 1/3 to 1/2 tsp for 1 tbsp fresh"
    return Spread(
        food=fresh, unit="tbsp", count=1, stand_in=dried, other_unit="tsp", low=1 / 3, high=1,
        note=note,
    )  # fmt: skip


SPREADS: Final = (
    Spread(
        food="garlic", unit="clove", count=1, stand_in="garlic-powder", other_unit="tsp",
        low=1 / 8, high=1 / 3, note="six lists say 1/8 tsp, one 1/4, one 1/3",
    ),
    Spread(
        food="garlic", unit="clove", count=1, stand_in="garlic-granules", other_unit="tsp",
        low=1 / 4, high=1 / 2,
    ),
    Spread(
        food="garlic", unit="clove", count=1, stand_in="garlic-flakes", other_unit="tsp",
        low=1 / 2, high=1 / 2,
    ),
    Spread(
        food="onion", unit="piece", count=1, stand_in="onion-flakes-dried", other_unit="tbsp",
        low=1, high=4, note="1 tbsp, 2 tbsp and 1/4 cup in three lists",
    ),
    Spread(
        food="onion", unit="piece", count=1, stand_in="onion-powder", other_unit="tsp",
        low=1, high=1.5,
    ),
    Spread(
        food="ginger-root", unit="tbsp", count=1, stand_in="ginger-ground", other_unit="tsp",
        low=1 / 8, high=1.5, note="1/8 and 1/4 tsp for 1 tbsp, 1/2 tsp for 1 tsp: factor 12",
    ),
    _herb("basil-fresh", "basil-dried"),
    _herb("oregano-fresh", "oregano-dried"),
    _herb("thyme-fresh", "thyme-dried"),
    _herb("rosemary-fresh", "rosemary-dried"),
    _herb("sage-fresh", "sage-dried"),
    _herb("dill-fresh", "dill-weed-dried"),
    _herb("parsley-fresh", "parsley-dried"),
    _herb("coriander-leaf-fresh", "coriander-leaf-dried"),
    _herb("mint-fresh", "spearmint-dried"),
    Spread(
        food="lemon", unit="piece", count=1, stand_in="lemon-juice", other_unit="tbsp",
        low=2, high=3, note="the juice alone",
    ),
    Spread(
        food="lemon-juice", unit="tbsp", count=1, stand_in="citric-acid", other_unit="tsp",
        low=1 / 6, high=1 / 6, water_ml=(_TBSP_ML, _TBSP_ML),
        note="the sourness alone", source="juice taken at 5 % citric acid, from memory",
    ),
    Spread(
        food="egg", unit="piece", count=1, stand_in="egg-powder", other_unit="tbsp",
        low=2, high=2.5, water_ml=(2.5 * _TBSP_ML, 2.5 * _TBSP_ML),
    ),
    Spread(
        food="milk-skimmed", unit="cup", count=1, stand_in="milk-powder", other_unit="cup",
        low=1 / 3, high=1 / 3, water_ml=(0.75 * _CUP_ML, _CUP_ML),
    ),
    Spread(
        food="butter", unit="cup", count=1, stand_in="rapeseed-oil", other_unit="cup",
        low=7 / 8, high=7 / 8, note="and a pinch of salt",
    ),
    Spread(
        food="red-bell-pepper", unit="piece", count=1, stand_in="red-bell-pepper-dried",
        other_unit="cup", low=1 / 4, high=1 / 4,
    ),
)  # fmt: skip

#: How many measures of the stand-in one measure of its own gives, where the pantry
#: has only the neighbouring spoon or cup.
_SPOONS: Final = {"tsp": 1.0, "tbsp": 3.0, "cup": 48.0}


def by_flavour(food: Food, mass_g: float, foods: Iterable[Food]) -> tuple[Swap, ...]:
    """Every published flavour swap for so much of this food, with both ends.

    A pair whose household measure the pantry does not know is left without a
    mass.

    Raises
    ------
    Mistake
        ``mass-out-of-range``.
    """
    if not (isfinite(mass_g) and 0.0 <= mass_g <= 1e6):
        raise Mistake(
            "mass-out-of-range",
            what=f"a mass of {mass_g:g} g is outside 0 to 1e+06 g",
            mend="give grams, zero or more",
        )
    known = {other.id: other for other in foods}
    return tuple(
        _swap(food, mass_g, known[spread.stand_in], spread)
        for spread in SPREADS
        if spread.food == food.id and spread.stand_in in known
    )


def _swap(food: Food, mass_g: float, other: Food, spread: Spread) -> Swap:
    unit_g, other_g = unit_mass_g(food, spread.unit), unit_mass_g(other, spread.other_unit)
    low = high = water_ml = None
    notes = [spread.note] if spread.note else []
    if unit_g is None or other_g is None:
        notes.append("no household measure of one of them is known, so no mass can be reckoned")
    else:
        times = mass_g / (unit_g * spread.count)
        low, high = times * spread.low * other_g, times * spread.high * other_g
        if spread.water_ml is not None:
            water_ml = times * sum(spread.water_ml) / 2
    return Swap(
        food=food,
        stand_in=other,
        basis="flavour",
        mass_g=mass_g,
        low_g=low,
        high_g=high,
        water_ml=water_ml,
        buy_g=None if high is None else bought_g(other, high),
        difference=difference(food, other),
        notes=tuple(notes),
        trust="unknown" if low is None else "common-practice",
        source=spread.source,
    )


def unit_mass_g(food: Food, unit: str) -> float | None:
    """Mass of one household measure of the food [g]; spoons and cups stand in for each other."""
    plain = [one for one in food.measures if one.unit == unit]
    if plain:
        return plain[0].mass_g
    if unit in _SPOONS:
        for one in food.measures:
            if one.unit in _SPOONS:
                return one.mass_g / _SPOONS[one.unit] * _SPOONS[unit]
    return None
