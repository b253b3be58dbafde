"""What does this amount of this food weigh?  And says who?

Mass is the truth.  A volume or a count becomes mass only through that food's
own household measure, and the answer names the measure.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.measure.amount import Amount
from fellfare.measure.units import US_GALLON_ML
from fellfare.mistake import Mistake
from fellfare.pantry.food import Food, HouseholdMeasure, Trust
from fellfare.pantry.names import fold

#: The cups and spoons of the tables are US customary [mL].
_CUP_ML: Final = float(US_GALLON_ML / 16)
VOLUME_ML: Final = {
    "cup": _CUP_ML,
    "fl-oz": _CUP_ML / 8,
    "tbsp": _CUP_ML / 16,
    "tsp": _CUP_ML / 48,
    "ml": 1.0,
    "dl": 100.0,
    "l": 1000.0,
}
#: Below this volume a spoon measure is nearer to the truth than a cup [mL].
SPOON_ML: Final = 60.0

#: A heaped, rounded or scant spoon, as a share of the level one: common practice, no
#: source; cooks differ by a third and more, so the sheet says so.
FILL: Final = {"level": 1.0, "scant": 0.9, "rounded": 1.25, "heaped": 1.5}


class Weighed(Struct, frozen=True, kw_only=True):
    """The mass of one line, and how it was found."""

    #: Middle of a range; None when the author did not measure it [g].
    mass_g: float | None
    #: Ends of a written range [g]; equal to ``mass_g`` when it is no range.
    low_g: float | None
    high_g: float | None
    #: 'by mass', '1 cup = 81 g (SR28 NDB 08120: cup)', 'unmeasured: to taste'.
    measure: str
    trust: Trust
    #: Where both were written, the mass that the volume or count alone would give.
    own_measure_g: float | None = None
    #: Level spoons were not meant.
    fill: str = "level"


def weigh(amount: Amount, food: Food, note: str = "") -> Weighed:
    """The mass of ``amount`` of ``food``.

    Parameters
    ----------
    amount
        As read by :func:`fellfare.measure.read_amount`.
    food
        Gives the household measures.
    note
        How it is prepared ('chopped'); picks between two cups of one food.

    Raises
    ------
    Mistake
        ``no-measure``: a volume or count of a food that has no such measure.
    """
    if amount.unmeasured is not None:
        said = f"unmeasured: {amount.unmeasured}"
        return Weighed(mass_g=None, low_g=None, high_g=None, measure=said, trust="unknown")
    ends = amount.mass_range_g
    if ends is None:
        return _by_measure(amount, food, note)
    low_g, high_g = float(ends[0]), float(ends[1])
    return Weighed(
        mass_g=(low_g + high_g) / 2,
        low_g=low_g,
        high_g=high_g,
        measure="by mass",
        trust="measured",
        own_measure_g=_own_measure_g(amount, food, note),
    )


def _own_measure_g(amount: Amount, food: Food, note: str) -> float | None:
    """What the volume or count beside a mass would weigh by the food's own measure."""
    if amount.beside is None:
        return None
    part: Amount | None = amount
    while part is not None:
        alone = replace(part, beside=None)
        if alone.mass_g is None:
            try:
                return _by_measure(alone, food, note).mass_g
            except Mistake:
                return None
        part = part.beside
    return None


def _by_measure(amount: Amount, food: Food, note: str) -> Weighed:
    note = f"{note} {amount.note}"
    ends = amount.volume_range_ml
    share = FILL[amount.fill]
    if ends is None and share != 1.0:
        ends = replace(amount, fill="level").volume_range_ml
    if ends is not None:
        middle_ml = float(ends[0] + ends[1]) / 2
        measure = volume_measure(food, amount.unit, middle_ml, note)
        if measure is None:
            raise _no_measure(food, "volume", "cup")
        g_per_unit = measure.mass_g / VOLUME_ML[measure.unit] * share
    else:
        ends = (amount.low, amount.low if amount.high is None else amount.high)
        alike = (one for one in food.measures if one.unit == amount.unit)
        # Not the note: 'in large chunks' says nothing of the onion's size.
        measure = _noted(alike, amount.size)
        if measure is None:
            raise _no_measure(food, amount.unit, amount.unit)
        g_per_unit = measure.mass_g
    low_g, high_g = float(ends[0]) * g_per_unit, float(ends[1]) * g_per_unit
    said = f"1 {measure.unit}{f' {measure.note}' if measure.note else ''} = {measure.mass_g:g} g"
    return Weighed(
        mass_g=(low_g + high_g) / 2,
        low_g=low_g,
        high_g=high_g,
        measure=f"{said} ({measure.source})",
        trust=measure.trust if share == 1.0 else "common-practice",
        fill=amount.fill,
    )


#: Words of a note that tell nothing of how the food lies in the cup.
_EMPTY: Final = frozenset("a an and at by for from in of on or the to with without".split())


def _noted(measures: Iterable[HouseholdMeasure], note: str) -> HouseholdMeasure | None:
    """The measure whose own note agrees best with ``note``; the first when none does.

    Most words in common count, then the fewest that were not asked for: 'packed'
    is not '(not packed)'.
    """
    measures = tuple(measures)
    asked = set(fold(note)) - _EMPTY
    best = measures[0] if measures else None
    if not asked:
        return best
    best_score = (0, 0)
    for measure in measures:
        words = set(fold(measure.note)) - _EMPTY
        common = len(asked & words)
        score = (common, common - len(words))
        if common and (best_score[0] == 0 or score > best_score):
            best, best_score = measure, score
    return best


def volume_measure(
    food: Food, unit: str, volume_ml: float, note: str = ""
) -> HouseholdMeasure | None:
    """The food's measure that tells best what ``volume_ml`` of it weighs.

    The same unit first; else a spoon for small volumes and a cup for large
    ones; between two cups the one whose note agrees ('chopped').
    """
    spoons, cups = ("tbsp", "tsp"), ("cup", "fl-oz", "dl", "l", "ml")
    order = (unit, *(spoons + cups if volume_ml < SPOON_ML else cups + spoons))
    for wanted in order:
        found = _noted((one for one in food.measures if one.unit == wanted), note)
        if found is not None and wanted in VOLUME_ML:
            return found
    return None


def _no_measure(food: Food, what: str, unit: str) -> Mistake:
    known = ", ".join(f"1 {one.unit} = {one.mass_g:g} g" for one in food.measures[:4])
    has = f"it has {known}" if known else "it has no household measure at all"
    return Mistake(
        "no-measure",
        what=f"nobody has told what a {what} of {food.id} weighs; {has}",
        mend=f"write grams, or both: '1 {unit} (… g)'; or give your own food a [[measure]]",
    )
