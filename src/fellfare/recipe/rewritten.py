"""The same recipe written for another number of eaters, in grams."""

from __future__ import annotations

from msgspec.structs import replace

from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Line, Recipe, Step
from fellfare.recipe.sheet import SheetLine, make_sheet
from fellfare.recipe.watering import WateredStep


def for_eaters(recipe: Recipe, pantry: Pantry, eaters: int) -> Recipe:
    """A recipe whose amounts are grams for ``eaters``.

    Grams are written to a hundredth, water to a millilitre; unmeasured amounts
    ('to taste') stay as they are.  Minutes stay too: a larger pot takes longer
    to heat, not to soak.

    Raises
    ------
    Mistake
        As :func:`fellfare.recipe.sheet.make_sheet`.
    """
    sheet = make_sheet(recipe, pantry, eaters)
    return replace(
        recipe,
        serves=eaters,
        lines=tuple(_line(line) for line in sheet.lines),
        steps=tuple(_step(step) for step in sheet.steps),
    )


def _line(line: SheetLine) -> Line:
    if line.mass_g is None:
        return line.line
    return replace(line.line, amount=f"{_short(line.mass_g, 2)} g")


def _step(step: WateredStep) -> Step:
    if step.step.water is None or step.water_ml is None:
        return step.step
    return replace(step.step, water=f"{_short(step.water_ml, 0)} ml")


def _short(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
