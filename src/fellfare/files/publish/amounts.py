"""How much of it, in both measure systems?  Grams lead; ounces, cups and spoons follow.

Everything printed here can be typed into ``fellfare read`` again: the first mass of a line
is its mass.  Cups and spoons are US customary.  Ounces below a tenth are left out where a
spoon says it better; where they would be wrong by more than a tenth, grams stand instead.
"""

from __future__ import annotations

import re
from typing import Final, Literal

from fellfare.files.publish.names import spoken_name
from fellfare.measure.printing import print_mass, print_volume
from fellfare.measure.units import OUNCE_G, US_GALLON_ML
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.household import counted, in_household
from fellfare.recipe.sheet import SheetLine

Measures = Literal["metric", "us", "both"]

#: Ounces that are further from the mass than this are not printed.
_MOST_ERROR: Final = 0.10
#: Under a tenth of an ounce a kitchen scale in ounces shows nothing useful [g].
_LEAST_OUNCES_G: Final = float(OUNCE_G) / 10
#: Cups that are further from the water than this do not stand alone.
_MOST_WATER_ERROR: Final = 0.03
_FL_OZ_ML: Final = float(US_GALLON_ML) / 128
_IN_ONE_MEASURE: Final = re.compile(r"[^+]*(?:cups?|tbsp)")


def mass_text(mass_g: float, measures: Measures) -> str:
    """'161 g (5.7 oz)', or one of both; grams alone where no scale shows the ounces."""
    metric, us = print_mass(mass_g, "metric").text, print_mass(mass_g, "us")
    if abs(us.error) > _MOST_ERROR:
        return metric
    return {"metric": metric, "us": us.text, "both": f"{metric} ({us.text})"}[measures]


def water_text(volume_ml: float, measures: Measures, words: str = "water") -> str:
    """'230 ml cold water (1 cup)': the volume before the water, so that it reads back."""
    metric, cups = print_volume(volume_ml, "metric").text, print_volume(volume_ml, "us")
    if measures == "metric":
        return f"{metric} {words}"
    if measures == "both" or volume_ml < _FL_OZ_ML:
        return f"{metric} {words} ({cups.text})"
    if _IN_ONE_MEASURE.fullmatch(cups.text) and abs(cups.error) <= _MOST_WATER_ERROR:
        return f"{cups.text} {words}"
    # '1 cup + 2 tbsp water' would read as 2 tbsp of it.
    return f"{round(volume_ml / _FL_OZ_ML, 1):g} fl oz {words} ({cups.text})"


def ingredient_text(line: SheetLine, pantry: Pantry, measures: Measures) -> str:
    """One ingredient line: '30 g (1.1 oz / ¼ cup) walnuts, toasted, chopped'."""
    name = spoken_name(line.food, pantry)
    tail = ", optional" if line.line.optional else ""
    if line.line.note:
        tail = f", {line.line.note}{tail}"
    if line.mass_g is None:
        return _unmeasured(line, name) + tail
    return f"{amount_text(line, measures)} {name}{tail}"


def amount_text(line: SheetLine, measures: Measures) -> str:
    """The amount of a measured line: '30 g (1.1 oz / ¼ cup)'."""
    assert line.mass_g is not None
    grams, us = print_mass(line.mass_g, "metric").text, print_mass(line.mass_g, "us")
    # No ounce scale shows 0.1 g: grams say it even in a US text.
    ounces = us.text if abs(us.error) <= _MOST_ERROR else grams
    spoons = _spoons(line)
    if measures == "metric":
        pieces = counted(line)
        return f"{grams} ({pieces})" if pieces else grams
    if measures == "us":
        return f"{ounces} ({spoons})" if spoons else ounces
    if ounces == grams or (spoons and line.mass_g < _LEAST_OUNCES_G):
        return f"{grams} ({spoons})" if spoons else grams
    return f"{grams} ({ounces} / {spoons})" if spoons else f"{grams} ({ounces})"


def _spoons(line: SheetLine) -> str:
    pieces = counted(line)
    if pieces is not None:
        return pieces if line.amount.unit != "piece" else f"{pieces} pieces"
    printed = in_household(line, "us")
    return "" if printed is None else printed.text


def _unmeasured(line: SheetLine, name: str) -> str:
    amount = line.line.amount.strip()
    if line.amount.unit in ("to-taste", "as-needed"):
        return f"{amount} {name}"
    return f"{amount} of {name}"
