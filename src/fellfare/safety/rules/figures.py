"""Can these figures be true at all?"""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from typing import Final

from fellfare.measure.units import US_GALLON_ML
from fellfare.mistake import Finding
from fellfare.pantry.food import Food
from fellfare.pantry.nutrients import NUTRIENTS
from fellfare.safety.case import Case
from fellfare.safety.reading import short
from fellfare.safety.rule import Hit, rule

#: Fat yields 9 kcal/g by the general factor and no food yields more; the rest is rounding.
MOST_KCAL_PER_100G: Final = 910.0
#: What the weighed parts of 100 g may add up to [g]; analysis and rounding, own judgement.
MOST_SUM_G: Final = 105.0
#: Solid rock salt: no food lies denser in a cup [g/mL].
MOST_DENSITY: Final = 2.2
#: A written mass may differ so much from the written volume: cooks' cups do, own judgement.
MISMATCH: Final = 0.10
MISMATCH_G: Final = 1.0
#: Longer than this a minutes column is likely to hold hours read wrongly, or the reverse [min].
ODD_MINUTES: Final = 24 * 60.0

_CUP_ML: Final = float(US_GALLON_ML / 16)
_ML: Final = {"cup": _CUP_ML, "fl-oz": _CUP_ML / 8, "tbsp": _CUP_ML / 16, "tsp": _CUP_ML / 48}


@rule(
    "impossible-figure",
    "error",
    "physics: conservation of mass, 9 kcal per g of fat (21 CFR 101.9(c)(1)(i)) [CFR-101.9]",
    "A figure that no food or day can have: negative, not a number, over 100 g in 100 g, over "
    "9.1 kcal/g, a water activity outside 0 to 1.",
)
def impossible_figure(case: Case) -> Iterator[Hit]:
    for part in case.parts:
        for food in (part.food, *part.swaps):
            wrong = [*_wrong_composition(food), *_wrong_packing(food)]
            if wrong:
                yield Hit("error", f"{food.name}: {'; '.join(wrong)}.", (f"food {food.id}",))
        if part.mass_g is not None and not _is_amount(part.mass_g):
            yield Hit("error", f"A mass of {part.mass_g:g} g cannot be.", (f"line {part.number}",))
    for event in case.events:
        step = event.step
        if step.minutes is not None and not _is_amount(step.minutes):
            yield Hit("error", f"{step.minutes:g} minutes cannot be.", (event.said,))
        if step.at_c is not None and not -60.0 <= step.at_c <= 350.0:
            yield Hit("error", f"{step.at_c:g} °C is no kitchen temperature.", (event.said,))
    held = case.recipe.hold_minutes
    if held is not None and not _is_amount(held):
        yield Hit("error", f"hold_minutes of {held:g} cannot be.", ("hold_minutes",))


def _is_amount(value: float) -> bool:
    return isfinite(value) and value >= 0


def _wrong_composition(food: Food) -> Iterator[str]:
    for nutrient in NUTRIENTS:
        value: float | None = getattr(food.per_100g, nutrient)
        if value is None:
            continue
        if not _is_amount(value):
            yield f"{nutrient} of {value:g} in 100 g"
        elif nutrient == "energy_kcal" and value > MOST_KCAL_PER_100G:
            yield f"{value:g} kcal in 100 g is more than pure fat holds"
        elif nutrient.endswith("_g") and value > 100.0:
            yield f"{value:g} g of {nutrient.removesuffix('_g')} in 100 g"
        elif nutrient.endswith("_mg") and value > 100_000.0:
            yield f"{value:g} mg of {nutrient.removesuffix('_mg')} in 100 g"
    of = food.per_100g
    parts = (of.water_g, of.protein_g, of.fat_g, of.carbohydrate_g, of.alcohol_g, of.ash_g)
    total = sum(value for value in parts if value is not None)
    if isfinite(total) and total > MOST_SUM_G:
        yield f"its parts add up to {total:g} g in 100 g"


def _wrong_packing(food: Food) -> Iterator[str]:
    aw = food.water_activity
    if aw is not None and not 0.0 <= aw[0] <= aw[1] <= 1.0:
        yield f"a water activity of {aw[0]:g} to {aw[1]:g}"
    for density in (food.bulk_density_g_per_ml, *_measure_densities(food)):
        if density is not None and not 0.0 < density <= MOST_DENSITY:
            yield f"it would lie at {density:.2g} g/mL in the cup"


def _measure_densities(food: Food) -> Iterator[float]:
    for measure in food.measures:
        if measure.unit in _ML:
            yield measure.mass_g / _ML[measure.unit]


@rule(
    "odd-spoons",
    "caution",
    "US customary: 3 teaspoons to the tablespoon, 16 tablespoons to the cup [NIST-HB-44]",
    "A food's spoon and cup weights contradict each other by more than 40 %.",
)
def odd_spoons(case: Case) -> Iterator[Hit]:
    for part in case.parts:
        plain = [m for m in part.food.measures if m.unit in _ML and not m.note]
        densities = [m.mass_g / _ML[m.unit] for m in plain]
        if densities and min(densities) > 0 and max(densities) / min(densities) > 1.4:
            told = ", ".join(f"1 {m.unit} = {m.mass_g:g} g" for m in plain)
            yield Hit(
                "caution",
                f"{short(part.food)}: {told} contradict each other; weigh it.",
                (f"food {part.food.id}",),
            )


@rule(
    "odd-minutes",
    "caution",
    "own judgement: published soak tables were found with hours in a minutes column",
    "A step of more than a day, or a soak or boil of no time at all.",
)
def odd_minutes(case: Case) -> Iterator[Hit]:
    for event in case.events:
        minutes = event.step.minutes
        if minutes is None:
            continue
        long = minutes > ODD_MINUTES and event.step.act not in ("dry", "rest", "pack")
        if long or (minutes == 0 and event.step.act in ("soak", "steep", "boil", "simmer")):
            yield Hit(
                "caution", f"{event.said} lasts {minutes:g} min: minutes, not hours?", (event.said,)
            )


@rule(
    "measure-mismatch",
    "caution",
    "own judgement (10 %): household measures differ by country, food and hand [NIST-SP-811]",
    "The mass written in a line differs from what its written cup, spoon or count would weigh.",
)
def mismatched_measures(case: Case) -> Iterator[Hit]:
    for part in case.parts:
        yield from _mismatch(part.mass_g, part.own_measure_g, part.said)


def measure_mismatch(
    written_g: float | None, own_measure_g: float | None, about: str
) -> tuple[Finding, ...]:
    """One line's written mass [g] against what the measure beside it would weigh [g].

    None for either = nothing to compare.  ``about`` names the line.
    """
    return tuple(
        mismatched_measures.sign(hit) for hit in _mismatch(written_g, own_measure_g, about)
    )


#: What such a ratio often turns out to be.
_LIKELY: Final = (
    (3.0, "a tablespoon written as a teaspoon"),
    (1 / 3, "a teaspoon written as a tablespoon"),
    (20 / 14.78676478125, "an Australian tablespoon (20 mL)"),
    (284.130625 / 236.5882365, "a British cup (284 mL)"),
    (28.349523125, "grams that are ounces"),
    (1 / 28.349523125, "ounces that are grams"),
)


def _mismatch(written_g: float | None, own_g: float | None, about: str) -> Iterator[Hit]:
    if written_g is None or own_g is None:
        return
    if abs(written_g - own_g) <= max(MISMATCH * own_g, MISMATCH_G):
        return
    ratio = written_g / own_g if own_g > 0 else float("inf")
    guess = next((said for at, said in _LIKELY if abs(ratio / at - 1) < 0.06), "")
    yield Hit(
        "caution",
        f"{written_g:g} g is written, but the measure beside it weighs {own_g:.3g} g; the mass "
        f"counts.{f'  Perhaps {guess}?' if guess else ''}",
        (about,),
    )
