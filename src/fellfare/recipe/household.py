"""How much is that in spoons and cups?  Back from grams, by the food's own measure."""

from __future__ import annotations

from fellfare.measure.printing import Printed, print_mass, print_volume
from fellfare.measure.units import System
from fellfare.pantry.food import Food
from fellfare.recipe.sheet import SheetLine
from fellfare.recipe.weighing import SPOON_ML, VOLUME_ML, volume_measure


def in_household(line: SheetLine, system: System) -> Printed | None:
    """The line's mass in the household measures of ``system``.

    None when the line is unmeasured or its food has no volume measure; a
    counted line ('2 cloves') is told by :func:`counted` instead.
    """
    return (
        None if line.mass_g is None else household(line.food, line.mass_g, system, line.line.note)
    )


def household(food: Food, mass_g: float, system: System, note: str = "") -> Printed | None:
    """``mass_g`` of ``food`` as spoons or cups; None without a volume measure."""
    cup = volume_measure(food, "cup", 2 * SPOON_ML, note)
    if cup is None:
        return None
    volume_ml = mass_g / cup.mass_g * VOLUME_ML[cup.unit]
    if volume_ml < SPOON_ML:  # a spoon's own weight is nearer to the truth
        spoon = volume_measure(food, "tbsp", volume_ml, note) or cup
        volume_ml = mass_g / spoon.mass_g * VOLUME_ML[spoon.unit]
    return print_volume(volume_ml, system)


def counted(line: SheetLine) -> str | None:
    """'2 cloves' for a line that was written in counted things, scaled; else None."""
    amount = line.amount
    if amount.kind != "count" or line.mass_g is None or not line.weighed.mass_g:
        return None
    number = float(amount.value) * line.mass_g / line.weighed.mass_g
    unit = "" if amount.unit == "piece" else f" {amount.unit}"
    return f"{number:.3g}{unit}"


def grams(mass_g: float) -> Printed:
    """Metric mass as a kitchen scale shows it."""
    return print_mass(mass_g, "metric")
