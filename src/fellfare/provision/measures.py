"""How is an amount said, in both systems, with the spoons and cups of both?"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from fellfare.measure import print_mass, print_volume
from fellfare.pantry.food import Food
from fellfare.recipe.household import household


class Measure(Struct, frozen=True, kw_only=True):
    """One amount, as a scale or jug shows it and in household measures."""

    #: Millilitres of water, or grams of food.
    value: float
    #: '310 ml' or '14 g'.
    metric: str
    #: '1¼ cups' of 250 ml; '' when there is no such measure.
    metric_household: str
    #: '1⅓ cups' (US customary), or '0.49 oz' with the spoons in ``us_household``.
    us: str
    us_household: str = ""


def water_measure(water_ml: float) -> Measure:
    """Water in millilitres, metric cups and US cups."""
    return Measure(
        value=water_ml,
        metric=print_volume(water_ml).text,
        metric_household=print_volume(water_ml, spoons=True).text,
        us=print_volume(water_ml, "us").text,
    )


def food_measure(foods: Sequence[Food], mass_g: float, note: str = "") -> Measure:
    """A mass, with spoons when it is one food that has such a measure."""
    metric = us = None
    if len({food.id for food in foods}) == 1:
        metric = household(foods[0], mass_g, "australian", note)
        us = household(foods[0], mass_g, "us", note)
    return Measure(
        value=mass_g,
        metric=print_mass(mass_g).text,
        metric_household="" if metric is None else metric.text,
        us=print_mass(mass_g, "us").text,
        us_household="" if us is None else us.text,
    )


def minutes_said(minutes: float, most: float | None = None) -> str:
    """'5 min', '20 to 30 min', '1 h 30 min'."""
    if most is not None and most > minutes:
        if most < 120:
            return f"{minutes:.0f} to {most:.0f} min"
        return f"{minutes_said(minutes)} to {minutes_said(most)}"
    if minutes < 120:
        return f"{minutes:.3g} min"
    hours, rest = divmod(round(minutes), 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"
