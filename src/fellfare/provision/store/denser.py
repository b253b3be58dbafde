"""Which swaps save most room?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from msgspec import Struct

from fellfare.pantry.allergens import combine
from fellfare.pantry.food import Allergen, Food
from fellfare.pantry.swaps.difference import difference
from fellfare.pantry.swaps.family import family_of
from fellfare.pantry.swaps.form import by_form
from fellfare.provision.bags.plan import PlannedBag

#: How many swaps are told.
MOST_SWAPS: Final = 5


class SaveSwap(Struct, frozen=True, kw_only=True):
    """One swap and the room that it saves."""

    food: Food
    stand_in: Food
    mass_g: float
    stand_in_g: float
    saves_ml: float
    #: What it adds in weight [g]; below zero it is lighter too.
    adds_g: float
    basis: str
    #: Allergens or hazards that come with it.
    minds: tuple[str, ...]


#: Bulky food and what feeds as well in less room, at equal energy (common practice:
#: flat bread for rolls, long pasta for short, dense for puffed).
DENSER: Final = (
    ("whole-wheat-bread", "whole-wheat-tortilla"),
    ("white-bread", "flour-tortilla"),
    ("bagel", "flour-tortilla"),
    ("macaroni", "spaghetti"),
    ("pasta", "spaghetti"),
    ("corn-flakes", "muesli"),
    ("bran-flakes", "muesli"),
    ("puffed-rice", "muesli"),
    ("tortilla-chips", "oatcakes"),
    ("corn-chips", "oatcakes"),
    ("potato-sticks", "peanut-salted"),
    ("croutons", "oatcakes"),
    ("rice-instant", "couscous"),
    ("rice-noodles", "rice-vermicelli"),
    ("instant-noodles", "couscous"),
    ("pretzels", "peanut-salted"),
    ("marshmallows", "dark-chocolate-70"),
    ("potato-flakes", "couscous"),
    ("rolled-oats", "muesli"),
)


def best_swaps(
    bags: Iterable[PlannedBag],
    foods: Iterable[Food],
    most: int = MOST_SWAPS,
    avoids: Iterable[Allergen] = (),
) -> tuple[SaveSwap, ...]:
    """The swaps that save most room in these bags, one for each food.

    Other forms at equal dry matter, and denser food at equal energy.  Allergens
    and hazards that come with it stand beside it; what brings, or may bring, one
    of ``avoids`` that was not there before is no swap.
    """
    avoids = tuple(avoids)
    known = {food.id: food for food in foods}
    families: dict[str | None, list[Food]] = {}
    for food in known.values():
        families.setdefault(family_of(food), []).append(food)
    grams: dict[str, tuple[Food, float]] = {}
    for bag in bags:
        for content in bag.contents:
            if content.mass_g:
                _, so_far = grams.get(content.food.id, (content.food, 0.0))
                grams[content.food.id] = (content.food, so_far + content.mass_g)
    best = []
    for food, mass_g in grams.values():
        options = [*_other_forms(food, mass_g, families), *_denser(food, mass_g, known)]
        saving = [one for one in options if one.saves_ml > 0 and not _harms(one, avoids)]
        if saving:
            best.append(max(saving, key=lambda one: one.saves_ml))
    return tuple(sorted(best, key=lambda one: -one.saves_ml)[:most])


def _other_forms(
    food: Food, mass_g: float, families: Mapping[str | None, Sequence[Food]]
) -> list[SaveSwap]:
    found = []
    for swap in by_form(food, mass_g, families.get(family_of(food), ())):
        if swap.low_g is None or {"perishable", "raw-meat"} & set(swap.stand_in.hazards):
            continue
        saves = _saves_ml(food, mass_g, swap.stand_in, swap.low_g)
        if saves is not None and not swap.difference.asks_more:
            found.append(_told(food, mass_g, swap.stand_in, swap.low_g, saves, "dry matter"))
    return found


def _denser(food: Food, mass_g: float, known: Mapping[str, Food]) -> list[SaveSwap]:
    found = []
    for bulky, dense in DENSER:
        other = known.get(dense)
        if bulky != food.id or other is None:
            continue
        kcal, other_kcal = food.per_100g.energy_kcal, other.per_100g.energy_kcal
        if not kcal or not other_kcal:
            continue
        other_g = mass_g * kcal / other_kcal
        saves = _saves_ml(food, mass_g, other, other_g)
        if saves is not None:
            found.append(_told(food, mass_g, other, other_g, saves, "energy"))
    return found


def _harms(one: SaveSwap, avoids: Iterable[Allergen]) -> bool:
    """Whether it brings what somebody avoids; unknown counts like 'contains'."""
    before, after = combine((one.food,)), combine((one.stand_in,))
    return any(
        after.of(agent) != "not declared" and after.of(agent) != before.of(agent)
        for agent in avoids
    )


def _saves_ml(food: Food, mass_g: float, other: Food, other_g: float) -> float | None:
    dense, other_dense = food.bulk_density_g_per_ml, other.bulk_density_g_per_ml
    if dense is None or other_dense is None:
        return None
    return mass_g / dense - other_g / other_dense


def _told(
    food: Food, mass_g: float, other: Food, other_g: float, saves_ml: float, basis: str
) -> SaveSwap:
    told = difference(food, other)
    minds = [f"contains {agent}" for agent in told.contains]
    minds += [f"may contain {agent}" for agent in told.may_contain]
    minds += [f"not known: {agent}" for agent in told.unknown]
    minds += list(told.hazards_new)
    return SaveSwap(
        food=food,
        stand_in=other,
        mass_g=mass_g,
        stand_in_g=other_g,
        saves_ml=saves_ml,
        adds_g=other_g - mass_g,
        basis=basis,
        minds=tuple(minds),
    )
