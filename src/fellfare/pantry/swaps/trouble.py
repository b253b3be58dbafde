"""What stands in when it would melt, or when no flame may burn?"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from msgspec import Struct

from fellfare.pantry.food import Food
from fellfare.pantry.swaps.difference import difference
from fellfare.pantry.swaps.form import bought_g, by_form
from fellfare.pantry.swaps.swap import Basis, Swap

_CUSTOM: Final = "common practice, no source"


class StandIn(Struct, frozen=True, kw_only=True):
    """One stand-in by hand: so many grams for one gram."""

    food: str
    stand_in: str
    #: Grams of the stand-in for one gram of the food: both ends of what is usual.
    low: float
    high: float
    note: str


#: Food that melts in a warm pack, and what does not.  Chocolate softens near 27 °C
#: (walkers' reports), cocoa butter melts near 34 °C, butter near 32 °C (from memory).
HEAT: Final = (
    StandIn(food="butter", stand_in="olive-oil", low=0.8, high=0.9,
            note="7/8 by volume, and salt; a tight bottle"),
    StandIn(food="butter", stand_in="ghee", low=0.8, high=0.9,
            note="melts too, but keeps: a tight jar"),
    StandIn(food="butter-unsalted", stand_in="olive-oil", low=0.8, high=0.9, note="a tight bottle"),
    StandIn(food="coconut-oil", stand_in="rapeseed-oil", low=1, high=1,
            note="liquid from the start: a tight bottle"),
    StandIn(food="ghee", stand_in="rapeseed-oil", low=1, high=1, note="a tight bottle"),
    StandIn(food="cheddar", stand_in="cheddar-freeze-dried", low=0.6, high=0.7,
            note="eaten dry or stirred in"),
    StandIn(food="cheddar", stand_in="parmesan-grated", low=0.5, high=0.8,
            note="harder and saltier"),
    StandIn(food="gouda", stand_in="parmesan", low=0.6, high=1, note="harder and saltier"),
    StandIn(food="emmental", stand_in="parmesan", low=0.6, high=1, note="harder and saltier"),
    StandIn(food="gruyere", stand_in="parmesan", low=0.6, high=1, note="harder and saltier"),
    StandIn(food="mozzarella", stand_in="parmesan-grated", low=0.3, high=0.5,
            note="another taste; keeps"),
    StandIn(food="salami", stand_in="beef-jerky", low=0.5, high=0.8, note="does not sweat fat"),
    StandIn(food="dark-chocolate", stand_in="cocoa-powder", low=0.3, high=0.4,
            note="with the same again of sugar, in a drink or porridge"),
    StandIn(food="dark-chocolate-60", stand_in="cocoa-powder", low=0.3, high=0.4,
            note="with the same again of sugar, in a drink or porridge"),
    StandIn(food="dark-chocolate-70", stand_in="cocoa-powder", low=0.3, high=0.4,
            note="with the same again of sugar, in a drink or porridge"),
    StandIn(food="milk-chocolate", stand_in="halva", low=1, high=1, note="does not run; sesame"),
    StandIn(food="hazelnut-spread", stand_in="hazelnut-roasted", low=0.8, high=1,
            note="whole, with a little sugar"),
    StandIn(food="gummies", stand_in="hard-candy", low=1, high=1, note="does not run"),
)  # fmt: skip

#: Food that must boil, and what is ready with cold water alone.  Masses keep the dry
#: matter, near enough, where both are dry.
NO_FLAME: Final = (
    StandIn(food="quinoa", stand_in="couscous", low=1, high=1,
            note="wheat; cold soak 20 to 30 min"),
    StandIn(food="millet", stand_in="couscous", low=1, high=1,
            note="wheat; cold soak 20 to 30 min"),
    StandIn(food="pearl-couscous", stand_in="couscous", low=1, high=1,
            note="cold soak 20 to 30 min"),
    StandIn(food="polenta", stand_in="potato-flakes", low=0.8, high=1,
            note="no maize that soaks cold is known; cold soak 5 min"),
    StandIn(food="instant-polenta", stand_in="potato-flakes", low=0.8, high=1,
            note="even instant polenta fails cold (walkers' tests); cold soak 5 min"),
    StandIn(food="rice-basmati", stand_in="rice-instant", low=1, high=1, note="cold soak 45 min"),
    StandIn(food="rice-jasmine", stand_in="rice-instant", low=1, high=1, note="cold soak 45 min"),
    StandIn(food="rice-parboiled", stand_in="rice-instant", low=1, high=1,
            note="cold soak 45 min"),
    StandIn(food="rice-white-medium", stand_in="rice-instant", low=1, high=1,
            note="cold soak 45 min"),
    StandIn(food="rice-white-short", stand_in="rice-instant", low=1, high=1,
            note="cold soak 45 min"),
    StandIn(food="spaghetti", stand_in="pasta-precooked", low=0.9, high=1,
            note="cooked and dried; raw pasta stays raw starch in cold water"),
    StandIn(food="macaroni", stand_in="pasta-precooked", low=0.9, high=1,
            note="cooked and dried; raw pasta stays raw starch in cold water"),
    StandIn(food="red-lentils", stand_in="lentils-precooked", low=0.9, high=1,
            note="raw pulses never soak cold"),
    StandIn(food="egg-noodles", stand_in="rice-vermicelli", low=0.9, high=1, note="thin kind"),
)  # fmt: skip


def melts(food: Food) -> bool:
    """Whether it runs or sweats in a warm pack."""
    return "melts" in food.traits


def needs_flame(food: Food) -> bool:
    """Whether it can be eaten neither as it is nor after a cold soak."""
    return not {"dry", "cold-soak"} & set(food.ways)


def heat_safe(food: Food, mass_g: float, foods: Iterable[Food]) -> tuple[Swap, ...]:
    """Stand-ins that do not melt; none for a food that does not melt itself.

    Ghee is told as a stand-in for butter although it melts: it does not turn.
    """
    if not melts(food):
        return ()
    return _by_hand(HEAT, "heat", food, mass_g, {other.id: other for other in foods})


def without_flame(food: Food, mass_g: float, foods: Iterable[Food]) -> tuple[Swap, ...]:
    """Stand-ins that need no flame: other forms of the same first, then those by hand.

    None for a food that needs no flame itself.
    """
    if not needs_flame(food):
        return ()
    foods = tuple(foods)
    kin = [
        swap
        for swap in by_form(food, mass_g, foods)
        if not needs_flame(swap.stand_in) and swap.stand_in.form != "powder"
    ]
    said = {swap.stand_in.id for swap in kin}
    known = {other.id: other for other in foods if other.id not in said and not needs_flame(other)}
    hand = _by_hand(NO_FLAME, "no flame", food, mass_g, known)
    return (*kin, *hand)


def _by_hand(
    table: tuple[StandIn, ...], basis: Basis, food: Food, mass_g: float, known: dict[str, Food]
) -> tuple[Swap, ...]:
    return tuple(
        Swap(
            food=food,
            stand_in=known[row.stand_in],
            basis=basis,
            mass_g=mass_g,
            low_g=mass_g * row.low,
            high_g=mass_g * row.high,
            water_ml=None,
            buy_g=bought_g(known[row.stand_in], mass_g * row.high),
            difference=difference(food, known[row.stand_in]),
            notes=(row.note,),
            trust="common-practice",
            source=_CUSTOM,
        )
        for row in table
        if row.food == food.id and row.stand_in in known
    )
