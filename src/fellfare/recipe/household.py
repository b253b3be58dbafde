"""How much is that in spoons and cups?  Back from grams, by the food's own measure."""

from __future__ import annotations

from fellfare.measure.printing import Printed, print_mass, print_volume
from fellfare.measure.units import UNITS, System
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
    measure = volume_measure(food, "cup", 2 * SPOON_ML, note)
    if measure is None:
        return None
    volume_ml = mass_g / measure.mass_g * VOLUME_ML[measure.unit]
    if volume_ml < SPOON_ML:  # a spoon's own weight is nearer to the truth than a cup's
        spoon = "tsp" if volume_ml < VOLUME_ML["tbsp"] else "tbsp"
        measure = volume_measure(food, spoon, volume_ml, note) or measure
        volume_ml = mass_g / measure.mass_g * VOLUME_ML[measure.unit]
    return print_volume(volume_ml, system)


def counted(line: SheetLine) -> str | None:
    """'2 cloves' for a line that was written in counted things, scaled; else None."""
    amount = line.amount
    if amount.kind != "count" or line.mass_g is None or not line.weighed.mass_g:
        return None
    number = float(amount.value) * line.mass_g / line.weighed.mass_g
    count = f"{number:.3g}" if number < 100 else f"{number:.0f}"
    if amount.unit == "piece":
        return count
    noun = UNITS[amount.unit].singular if number <= 1 else UNITS[amount.unit].plural
    return f"{count} {noun}"


def grams(mass_g: float) -> Printed:
    """Metric mass as a kitchen scale shows it."""
    return print_mass(mass_g, "metric")
