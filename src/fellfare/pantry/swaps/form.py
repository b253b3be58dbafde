"""How much of another form holds the same dry matter, and how much water makes up for it?"""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite
from typing import Final

from fellfare.mistake import Mistake
from fellfare.pantry.food import Food, Way
from fellfare.pantry.swaps.difference import difference
from fellfare.pantry.swaps.family import relatives
from fellfare.pantry.swaps.swap import Swap

#: Heaviest line that anybody swaps [g].
MOST_G: Final = 1e6

_SOURCE: Final = "dry-matter balance of the two rows' water"
_WORDS: Final[dict[Way, str]] = {
    "dry": "eaten as it is",
    "cold-soak": "cold soak",
    "hot-pour": "hot water poured on",
    "boil": "boiling",
}


def equal_dry_mass_g(m: float, w: float, w_other: float) -> float:
    """Mass of another form with the same dry matter [g]: m (100 - w)/(100 - w').

    Parameters
    ----------
    m
        Mass of the food [g], zero or more.
    w, w_other
        Water of the food and of the other form [g per 100 g], 0 to under 100.

    Raises
    ------
    Mistake
        ``mass-out-of-range``, ``moisture-out-of-range``.

    Notes
    -----
    Mass balance of the solids: nothing but water comes or goes.  Trimming,
    dripping and cooking losses are extra.  Checked against pairs of fresh and
    dried rows that SR28 tabulates itself [SR28].
    """
    if not (isfinite(m) and 0.0 <= m <= MOST_G):
        raise Mistake(
            "mass-out-of-range",
            what=f"a mass of {m:g} g is outside 0 to {MOST_G:g} g",
            mend="give grams, zero or more",
        )
    for water in (w, w_other):
        if not 0.0 <= water < 100.0:  # NaN fails too
            raise Mistake(
                "moisture-out-of-range",
                what=f"a water content of {water:g} g per 100 g is outside 0 to 100",
                mend="give grams of water in 100 g of the food",
            )
    return m * (100.0 - w) / (100.0 - w_other)


def by_form(food: Food, mass_g: float, foods: Iterable[Food]) -> tuple[Swap, ...]:
    """Every other form of the same plant or animal, the lightest first.

    A form whose water nobody tells stands at the end, without a mass.

    Raises
    ------
    Mistake
        ``mass-out-of-range``.
    """
    equal_dry_mass_g(mass_g, 0.0, 0.0)  # refuses an odd mass before any row is read
    swaps = [form_swap(food, mass_g, other) for other in relatives(food, foods)]
    return tuple(sorted(swaps, key=lambda swap: (swap.low_g is None, swap.low_g or 0.0)))


def form_swap(food: Food, mass_g: float, other: Food) -> Swap:
    """``other`` for ``mass_g`` of ``food`` at equal dry matter, all water kept.

    The water to add is what the stand-in lacks, so that the dish ends up with
    the water it had.  What a dried food really takes up is less (its structure
    has collapsed); the rest stays as broth.
    """
    w, w_other = food.per_100g.water_g, other.per_100g.water_g
    stand_in_g = water_ml = buy_g = None
    if w is not None and w_other is not None:
        stand_in_g = equal_dry_mass_g(mass_g, w, w_other)
        water_ml = mass_g - stand_in_g
        buy_g = bought_g(other, stand_in_g)
    return Swap(
        food=food,
        stand_in=other,
        basis="dry matter",
        mass_g=mass_g,
        low_g=stand_in_g,
        high_g=stand_in_g,
        water_ml=water_ml,
        buy_g=buy_g,
        difference=difference(food, other),
        notes=_notes(food, other),
        trust="unknown" if stand_in_g is None else "derived",
        source=_SOURCE,
    )


def bought_g(food: Food, edible_g: float) -> float | None:
    """Mass as bought, with peel, stones and bones [g]; None = refuse unknown.

    Only fresh food is bought with its refuse; nuts come shelled, dried and
    canned food ready to eat.
    """
    if food.form != "fresh":
        return edible_g
    if food.refuse_percent is None:
        return None
    return edible_g / (1.0 - food.refuse_percent / 100.0)


def _notes(food: Food, other: Food) -> tuple[str, ...]:
    said = []
    if food.per_100g.water_g is None or other.per_100g.water_g is None:
        said.append("the water of one of them is not known, so no mass can be reckoned")
    lost = [_WORDS[way] for way in food.ways if way not in other.ways]
    if lost:
        said.append(f"no longer: {', '.join(lost)}")
    gained = [_WORDS[way] for way in other.ways if way not in food.ways]
    if gained:
        said.append(f"now also: {', '.join(gained)}")
    pair = {food.form, other.form}
    if food.group in ("meat", "fish") and {"raw-meat", "raw-fish"} & {
        *food.hazards,
        *other.hazards,
    }:
        said.append("cooking drives out juice and fat: take some more of the raw kind")
    if pair == {"raw-dry", "canned"}:
        said.append("the canned kind has lost some starch and minerals to its water")
    if "powder" in pair and len(pair) > 1:
        said.append("powder gives taste and body, no pieces")
    if {"dried", "freeze-dried"} == pair:
        said.append(
            "freeze-dried soaks in minutes, crumbles, and needs two to three times the room"
        )
    return tuple(said)
