"""The same recipe written for another number of eaters, in grams."""

from __future__ import annotations

from math import floor, log10

from msgspec.structs import replace

from fellfare.measure.reading import read_amount
from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Line, Recipe, Step
from fellfare.recipe.sheet import SheetLine, make_sheet
from fellfare.recipe.watering import WateredStep


def for_eaters(recipe: Recipe, pantry: Pantry, eaters: int) -> Recipe:
    """A recipe whose amounts are grams for ``eaters``.

    Grams are written to a hundredth, water to a millilitre, little ones to three
    figures; unmeasured amounts ('to taste') stay as they are.  Minutes stay
    too: a larger pot takes longer to heat, not to soak.

    Raises
    ------
    Mistake
        As :func:`fellfare.recipe.sheet.make_sheet`; ``cannot-be-scaled`` when a
        mass would be more or less than a document can say.
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
    return replace(line.line, amount=_readable(f"{_short(line.mass_g, 2)} g", line.food.id))


def _step(step: WateredStep) -> Step:
    if step.step.water is None or step.water_ml is None:
        return step.step
    return replace(step.step, water=_readable(f"{_short(step.water_ml, 0)} ml", step.name))


def _readable(text: str, about: str) -> str:
    """The amount, unless the document could not be read again with it."""
    try:
        read_amount(text)
    except Mistake as mistake:
        raise Mistake(
            "cannot-be-scaled",
            what=f"{about} would come to {text}, which no document can say",
            mend="scale in smaller steps, or to a number of eaters nearer to the recipe's own",
        ) from mistake
    return text


def _short(value: float, places: int) -> str:
    """To so many places after the point, and to three figures where that would be little."""
    if 0 < value < 10.0 ** (2 - places):
        places = min(6, 2 - floor(log10(value)))
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
