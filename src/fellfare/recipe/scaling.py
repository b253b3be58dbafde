"""How much of it for ten?  Mass grows with the eaters, salt and spice less.

A line's mass is multiplied by ``(eaters / serves) ** exponent``.  The exponent
is 1 for food, and :data:`SEASONING_EXPONENT` for salt, spices and dried herbs:
cooks scale seasoning by less than the head count and correct by taste (common
practice, no source).  A line of the document may state its own exponent.
"""

from __future__ import annotations

from math import isfinite
from typing import Final

from fellfare.mistake import Mistake
from fellfare.pantry.food import Food
from fellfare.recipe.document import Line

#: Doubling a dish takes 1.8 times the seasoning; ten times, about 7 times.
SEASONING_EXPONENT: Final = 0.85
#: More eaters than any kitchen of this trade feeds at once.
MOST_EATERS: Final = 10_000


def exponent_of(line: Line, food: Food) -> float:
    """The exponent that the line states, or the one usual for its food."""
    if line.scale_exponent is not None:
        return line.scale_exponent
    seasoning = food.group == "spice" or (food.group == "herb" and food.form != "fresh")
    return SEASONING_EXPONENT if seasoning or food.id == "salt" else 1.0


def factor_for(eaters: int, serves: int) -> float:
    """How many times the recipe is made.

    Raises
    ------
    Mistake
        ``eaters-out-of-range``.
    """
    if not (isfinite(eaters) and 1 <= eaters <= MOST_EATERS):
        raise Mistake(
            "eaters-out-of-range",
            what=f"cannot scale to {eaters} eaters",
            mend=f"give a whole number from 1 to {MOST_EATERS}",
        )
    return eaters / serves


def scaled_g(mass_g: float, factor: float, exponent: float) -> float:
    """Mass of one line in a recipe made ``factor`` times [g].

    Scaling by a and then by b is scaling by a × b, whatever the exponent.
    """
    return mass_g * (factor if exponent == 1.0 else factor**exponent)
