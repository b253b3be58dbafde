"""What would a US nutrition label print for one serving?

Rounding of 21 CFR 101.9(c) and (d)(7)(ii), and the Daily Values for adults and
children from four years of (c)(8)(iv) and (c)(9), as amended in 2016
[CFR-101.9].  Where the rule says 'may', the choice is told beside the function.
STATUS: steps and Daily Values seen in public copies of the rule; the Daily
Values of magnesium and vitamin C, and the 7 kcal per g of alcohol, from memory.

It is label arithmetic for a home recipe, not a label fit for trade.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_FLOOR, Decimal
from typing import Final

from msgspec import Struct

from fellfare.recipe.panel.figure import (
    ZERO,
    Figures,
    Kind,
    Row,
    Span,
    Step,
    bound,
    digits,
    exact,
    round_half_up,
    rounded,
    rounded_down,
)

_HALF = Decimal("0.5")
_ONE = Decimal(1)
_FIVE = Decimal(5)
_TEN = Decimal(10)


class UsPanel(Struct, frozen=True, kw_only=True):
    """Rows for one serving, and how its energy was reckoned."""

    serving_g: float | None
    serving_text: str
    rows: tuple[Row, ...]
    #: How the declared energy was reckoned.
    basis: str
    #: Energy of the serving before rounding [kcal]; None when a food's is unknown.
    energy_kcal: float | None
    #: Energy by 4-4-9, (c)(1)(i)(B), beside it [kcal]; None when a part is unknown.
    energy_449_kcal: float | None
    #: ``energy_449_kcal`` less ``energy_kcal`` [kcal].
    difference_kcal: float | None
    notes: tuple[str, ...]


def calories_step(value: Decimal) -> Decimal | None:
    """(c)(1): under 5 may be zero (we do); to 50 by fives; above 50 by tens."""
    return None if value < 5 else _FIVE if value <= 50 else _TEN


def fat_step(value: Decimal) -> Decimal | None:
    """(c)(2): under 0.5 g shall be zero; under 5 g by halves; else whole grams."""
    return None if value < _HALF else _HALF if value < 5 else _ONE


def cholesterol_step(value: Decimal) -> Decimal | None:
    """(c)(3): under 2 mg may be zero (we do); above 5 mg by fives."""
    return None if value < 2 else _FIVE


def sodium_step(value: Decimal) -> Decimal | None:
    """(c)(4): under 5 mg zero; 5 to 140 mg by fives; above by tens.  Potassium alike."""
    return None if value < 5 else _FIVE if value <= 140 else _TEN


def gram_step(value: Decimal) -> Decimal | None:
    """(c)(6), (c)(7): under 0.5 g may be zero (we do); else whole grams."""
    return None if value < _HALF else _ONE


def vitamin_percent_step(value: Decimal) -> Decimal | None:
    """(c)(8)(iii): under 2 % may be zero (we do); to 10 by 2, to 50 by 5, above by 10."""
    return None if value < 2 else Decimal(2) if value <= 10 else _FIVE if value <= 50 else _TEN


def drv_percent_step(value: Decimal) -> Decimal | None:
    """(d)(7)(ii): the nearest 1 %."""
    return _ONE


def _to(step: str) -> Step:
    """(c)(8)(iii): as fine as (c)(8)(iv) prints the RDI, or finer where it is small."""
    return lambda value: Decimal(step)


def calories(value: float | Decimal) -> Decimal:
    """Calories as declared [kcal]."""
    return rounded(exact(value), calories_step)


def fat_g(value: float | Decimal) -> Decimal:
    """Total, saturated, trans or other fat as declared [g]."""
    return rounded(exact(value), fat_step)


def sodium_mg(value: float | Decimal) -> Decimal:
    """Sodium (and potassium) as declared [mg]."""
    return rounded(exact(value), sodium_step)


def cholesterol_text(value: float | Decimal) -> str:
    """Cholesterol as declared: '0 mg', 'less than 5 mg', '15 mg'."""
    amount = exact(value)
    if 2 <= amount <= 5:
        return "less than 5 mg"
    return f"{digits(rounded(amount, cholesterol_step))} mg"


def gram_text(value: float | Decimal) -> str:
    """Carbohydrate, fibre, sugars or protein as declared: '0 g', 'less than 1 g', '12 g'."""
    amount = exact(value)
    if _HALF <= amount < 1:
        return "less than 1 g"
    return f"{digits(rounded(amount, gram_step))} g"


def vitamin_percent(value: float | Decimal) -> int:
    """% Daily Value of a vitamin or mineral as declared."""
    return int(rounded(exact(value), vitamin_percent_step))


def drv_percent(value: float | Decimal) -> int:
    """% Daily Value of fat, sodium, carbohydrate and the like as declared."""
    return int(rounded(exact(value), drv_percent_step))


class _Item(Struct, frozen=True):
    nutrient: str
    name: str
    step: Step
    unit: str
    level: int = 0
    daily_value: Decimal | None = None
    #: % Daily Value by the steps of the vitamins instead of whole per cents.
    vitamin: bool = False


#: The order of (d)(7) and (d)(8); magnesium and vitamin C are voluntary.
_ITEMS: Final = (
    _Item("energy_kcal", "Calories", calories_step, ""),
    _Item("fat_g", "Total Fat", fat_step, " g", 0, Decimal(78)),
    _Item("saturated_g", "Saturated Fat", fat_step, " g", 1, Decimal(20)),
    _Item("trans_g", "Trans Fat", fat_step, " g", 1),
    _Item("cholesterol_mg", "Cholesterol", cholesterol_step, " mg", 0, Decimal(300)),
    _Item("sodium_mg", "Sodium", sodium_step, " mg", 0, Decimal(2300)),
    _Item("carbohydrate_g", "Total Carbohydrate", gram_step, " g", 0, Decimal(275)),
    _Item("fibre_g", "Dietary Fiber", gram_step, " g", 1, Decimal(28)),
    _Item("sugars_g", "Total Sugars", gram_step, " g", 1),
    _Item("added_sugars_g", "Includes Added Sugars", gram_step, " g", 2, Decimal(50)),
    _Item("protein_g", "Protein", gram_step, " g"),
    _Item("vitamin_d_mcg", "Vitamin D", _to("0.1"), " mcg", 0, Decimal(20), True),
    _Item("calcium_mg", "Calcium", _to("1"), " mg", 0, Decimal(1300), True),
    _Item("iron_mg", "Iron", _to("0.1"), " mg", 0, Decimal(18), True),
    _Item("potassium_mg", "Potassium", sodium_step, " mg", 0, Decimal(4700), True),
    _Item("magnesium_mg", "Magnesium", _to("1"), " mg", 0, Decimal(420), True),
    _Item("vitamin_c_mg", "Vitamin C", _to("1"), " mg", 0, Decimal(90), True),
)

#: Asked for by the rule, absent from the tables we work with.
_NOT_IN_OUR_TABLES: Final = ("trans_g", "cholesterol_mg", "added_sugars_g", "vitamin_d_mcg")


def us_panel(
    totals: Mapping[str, float | None],
    unknown: Mapping[str, tuple[str, ...]],
    serving_g: float | None,
    basis: str = "food-specific factors (USDA SR28)",
    most: Mapping[str, float | None] | None = None,
) -> UsPanel:
    """The panel of one serving.

    Parameters
    ----------
    totals
        What the foods that we know of hold together in ONE serving, by the
        names of :data:`fellfare.pantry.nutrients.NUTRIENTS`; None or absent =
        nothing known.  ``trans_g``, ``cholesterol_mg``, ``added_sugars_g`` and
        ``vitamin_d_mcg`` may be given too.
    unknown
        For each nutrient the foods whose share is not known; a nutrient with
        such foods prints as 'at least'.
    serving_g
        Mass of the serving [g]; None = not known.
    basis
        How ``totals["energy_kcal"]`` was reckoned.
    most
        For each nutrient of partly unknown share the most that it can be; then
        both ends are printed.

    Raises
    ------
    Mistake
        ``amount-out-of-range``: a total or the mass is negative, NaN or infinite.
    """
    known = Figures(totals, unknown, most or {})
    rows = tuple(_row(item, known) for item in _ITEMS)
    energy = known.span("energy_kcal")
    by_449 = _energy_449(known)
    own = energy.high if energy.kind == "known" else None
    difference = None if own is None or by_449 is None else by_449 - own
    notes = [
        "Label arithmetic for a home recipe, not a label fit for trade.",
        f"Calories by {basis}"
        + ("." if by_449 is None else f"; by 4-4-9 they are {digits(calories(by_449))}."),
    ]
    missing = [item.name for item in _ITEMS if _is_missing(item.nutrient, totals)]
    if missing:
        notes.append("Not in the tables used, so not known: " + ", ".join(missing) + ".")
    return UsPanel(
        serving_g=serving_g,
        serving_text=serving_text(serving_g),
        rows=rows,
        basis=basis,
        energy_kcal=None if own is None else float(own),
        energy_449_kcal=None if by_449 is None else float(by_449),
        difference_kcal=None if difference is None else float(difference),
        notes=tuple(notes),
    )


def serving_text(serving_g: float | None) -> str:
    """(b)(7): the serving in grams, to the gram from 5 g up, to 0.1 g below."""
    if serving_g is None:
        return "not known"
    mass = exact(serving_g)
    step = _ONE if mass >= 5 else Decimal("0.1")
    return f"{digits(round_half_up(mass, step))} g"


def servings_text(servings: float | Decimal) -> str:
    """(b)(8): servings per container; 2 to 5 by halves, else whole, 'about' where rounded."""
    number = exact(servings)
    step = _HALF if 2 <= number <= 5 else _ONE
    shown = max(round_half_up(number, step), _ONE)
    return digits(shown) if shown == number else f"about {digits(shown)}"


#: (g)(5): may not be found more than a fifth above what is declared.
_CEILING: Final = frozenset(
    ("energy_kcal", "fat_g", "saturated_g", "trans_g", "cholesterol_mg", "sodium_mg",
     "sugars_g", "added_sugars_g")
)  # fmt: skip
#: (g)(4)(ii): where it occurs naturally, at least four fifths must be found (from memory).
_FLOOR: Final = frozenset(
    ("protein_g", "fibre_g", "carbohydrate_g", "calcium_mg", "iron_mg", "potassium_mg",
     "magnesium_mg", "vitamin_c_mg", "vitamin_d_mcg")
)  # fmt: skip


def is_within_tolerance(
    nutrient: str, declared: float | Decimal, found: float | Decimal
) -> bool | None:
    """Whether a laboratory's figure bears out a declared one, (g)(4)(ii) and (g)(5).

    Energy, fats, cholesterol, sodium and sugars: at most 20 % above; protein,
    fibre, carbohydrate, vitamins and minerals as they occur: at least 80 %.
    None = the rule sets no such limit.
    """
    said, seen = exact(declared), exact(found)
    if nutrient in _CEILING:
        return seen <= said * Decimal("1.2")
    if nutrient in _FLOOR:
        return seen >= said * Decimal("0.8")
    return None


def _is_missing(nutrient: str, totals: Mapping[str, float | None]) -> bool:
    return nutrient in _NOT_IN_OUR_TABLES and totals.get(nutrient) is None


def _energy_449(known: Figures) -> Decimal | None:
    """(c)(1)(i)(B): 4, 4 and 9 kcal per g; alcohol, where told, at 7 (from memory)."""
    parts = (("protein_g", 4), ("carbohydrate_g", 4), ("fat_g", 9))
    total = ZERO
    for nutrient, factor in parts:
        amount = known.span(nutrient)
        if amount.kind != "known":
            return None
        total += amount.low * factor
    return total + known.span("alcohol_g").low * 7


def _row(item: _Item, known: Figures) -> Row:
    amount = known.span(item.nutrient)
    percent, percent_text = _percent(item, amount)
    text: str
    number: float | None
    kind: Kind = "known"
    if amount.kind == "known":
        number = float(rounded(amount.low, item.step))
        if item.step is gram_step:
            text = gram_text(amount.low)
        elif item.step is cholesterol_step:
            text = cholesterol_text(amount.low)
        else:
            text = f"{digits(rounded(amount.low, item.step))}{item.unit}"
    else:
        text, number, kind = bound(amount, item.step, _ONE, item.unit)
    return Row(
        nutrient=item.nutrient,
        name=item.name,
        text=text,
        amount=number,
        kind=kind,
        percent=percent,
        percent_text=percent_text,
        level=item.level,
        unknown=known.unknown.get(item.nutrient, ()),
    )


def _percent(item: _Item, amount: Span) -> tuple[int | None, str]:
    """From the amount before rounding, as (d)(7)(ii) allows; zero when zero is declared."""
    if item.daily_value is None:
        return None, ""
    step = vitamin_percent_step if item.vitamin else drv_percent_step
    share = amount.low * 100 / item.daily_value
    if amount.kind == "known":
        declared_zero = not item.vitamin and item.step(amount.low) is None
        percent = 0 if declared_zero else int(rounded(share, step))
        return percent, f"{percent} %"
    percent = int(rounded_down(share, step).quantize(_ONE, ROUND_FLOOR))
    return (percent, f"at least {percent} %") if percent > 0 else (None, "not known")
