"""What do we know of one food?"""

from __future__ import annotations

from typing import Final, Literal

from msgspec import Struct

from fellfare.pantry.nutrients import Nutrients

#: How well a figure is known, from best to worst; 'written' is the author's own word.
Trust = Literal[
    "measured", "written", "tabulated", "derived", "label", "common-practice", "memory", "unknown"
]  # fmt: skip

#: The state in which the food is bought or packed.
Form = Literal[
    "fresh",  # as grown or slaughtered, wet
    "dried",  # dried with heat or air; cooks or soaks slowly
    "freeze-dried",  # dried by sublimation; soaks in minutes
    "powder",  # fine: flour, milk powder, ground spice
    "instant",  # made to be ready with water alone
    "precooked",  # cooked at the works, then dried: couscous, bulgur, bean flakes
    "baked",  # bread, cracker, biscuit, bar
    "cured",  # salted, smoked or fermented, moist
    "canned",  # sealed and sterile: can, pouch, jar
    "oil",  # liquid or solid fat without water
    "liquid",  # syrup, sauce, vinegar
    "paste",  # nut butter, tomato paste
    "raw-dry",  # dry as sold and raw: rice, pasta, lentils, flour grains
    "crystal",  # sugar, salt, citric acid
    "solid",  # chocolate, cheese, dates: eaten as it is, neither dry nor wet
]

#: What can be done with it in camp, by what it needs.
Way = Literal[
    "dry",  # eaten as it is
    "cold-soak",  # unheated water and time
    "hot-pour",  # boiling water poured on, then rest
    "boil",  # must simmer on the fire
]

#: Shop section, the order of a shopping list.
Group = Literal[
    "grain", "bread", "pulse", "soy", "vegetable", "mushroom", "fruit", "herb", "spice",
    "nut", "seed", "dairy", "egg", "meat", "fish", "oil", "sweet", "drink", "sauce", "soup",
    "baking", "ready",
]  # fmt: skip

#: What may go wrong with it; the safety room reads these, one rule each.
Hazard = Literal[
    "lectin-pulse",  # raw bean with phytohaemagglutinin: kidney, black, white, broad, soya ...
    "raw-pulse",  # other raw pulse that must be boiled: lentil, split pea, chickpea
    "raw-flour",  # flour, meal, dry dough or batter mix that no kill step has met
    "raw-egg",
    "raw-meat",  # raw meat or poultry
    "raw-fish",
    "raw-milk",
    "sprouts",  # raw sprouted seeds
    "fresh-aromatic",  # fresh garlic, herb, chilli or vegetable: never under oil
    "dried-meat",  # jerky, meat or fish dried; home-made needs a heat step first
    "animal-powder",  # milk, egg, cheese, meat powder: perishable once wet
    "perishable",  # needs cold as sold: fresh meat, milk, soft cheese, cooked food
    "listeria-prone",  # soft cheese, cold-smoked fish, uncured deli meat
    "honey",  # not for infants under one year
    "sulphite-likely",  # often sulphured: dried apricots, sultanas
    "caffeine",
    "nitrate-or-toxin-label",  # only as the label says (bitter kernels and the like)
]

#: Allergenic agents, finer than either law's list; see pantry.allergens.
Allergen = Literal[
    "milk", "egg", "fish", "crustacean", "mollusc", "peanut", "soy", "sesame",
    "wheat", "rye", "barley", "oats",
    "almond", "hazelnut", "walnut", "cashew", "pecan", "brazil-nut", "pistachio",
    "macadamia", "pine-nut",
    "celery", "mustard", "lupin", "sulphite",
]  # fmt: skip

#: What the pack does to it, or it to the pack.
Trait = Literal["melts", "freezes", "leaks", "crushes", "aromatic", "sticky", "dusty"]


class Source(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Where the composition of a food comes from."""

    kind: Trust
    #: 'SR28 NDB 20028', 'label', 'unknown: in none of the tables searched'.
    ref: str
    #: For a derived row: the parent, the factor and how it was reckoned.
    parent: str | None = None
    factor: float | None = None
    note: str | None = None


class HouseholdMeasure(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What one spoon, cup or piece of this food weighs."""

    #: 'cup', 'tbsp', 'tsp', 'fl-oz', or a counted thing: 'piece', 'clove', 'packet' ...
    unit: str
    #: Mass of one such unit [g].
    mass_g: float
    #: How it lies in the cup: 'chopped', 'packed', 'sifted'; empty when plain.
    note: str = ""
    trust: Trust = "tabulated"
    source: str = ""


class Allergens(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Three answers; what stands in none of them is merely 'not declared'."""

    contains: tuple[Allergen, ...] = ()
    #: Cross-contact is usual in the trade, or precaution is printed on most packs.
    may_contain: tuple[Allergen, ...] = ()
    #: It differs from maker to maker: read the label.
    unknown: tuple[Allergen, ...] = ()
    #: A mix whose parts we do not know: every other allergen is unknown too.
    open_mix: bool = False


class Keeping(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """How long it keeps its quality, in the cool and dry, by its source."""

    id: str
    #: Shortest and longest published figure, unopened [days]; None = unknown.
    unopened_days: tuple[int, int] | None = None
    opened_days: tuple[int, int] | None = None
    #: Temperature to which those days belong [°C].
    at_c: float = 21.0
    #: What ends it: 'fat' (rancid), 'moisture', 'mould', 'aroma', 'colour', 'bacteria'.
    ends: str = ""
    trust: Trust = "unknown"
    source: str = ""


class Soak(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One way to make it fit to eat with water."""

    way: Way
    #: Usual time until it is fit to eat, and the end of the usual range [min].
    minutes: float
    most_minutes: float | None = None
    #: Water temperature to which the minutes belong [°C]; None for boiling water.
    at_c: float | None = None
    #: Water that it takes up or is made with [mL per g dry]; None = unknown.
    water_ml_per_g: float | None = None
    trust: Trust = "common-practice"
    source: str = "common practice, no source"


class Food(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One food of the pantry; every figure can say who says so."""

    #: Lower case with hyphens; never changes.
    id: str
    #: Plain name as it stands on a shopping list.
    name: str
    group: Group
    form: Form
    source: Source
    per_100g: Nutrients
    #: Other whole names under which people write it, lower case.
    words: tuple[str, ...] = ()
    ndb: str | None = None
    #: kcal per g protein, fat, carbohydrate of this very food (SR28), if published.
    energy_factors: tuple[float, float, float] | None = None
    #: Carbohydrate without fibre, where a label in the EU manner states it [g/100 g].
    available_carbohydrate_g: float | None = None
    #: Inedible share of the food as bought [%].
    refuse_percent: float | None = None
    measures: tuple[HouseholdMeasure, ...] = ()
    ways: tuple[Way, ...] = ()
    soaks: tuple[Soak, ...] = ()
    allergens: Allergens = Allergens()
    hazards: tuple[Hazard, ...] = ()
    traits: tuple[Trait, ...] = ()
    keeping: Keeping | None = None
    #: Water activity, lowest and highest to expect as sold [0-1]; None = unknown.
    water_activity: tuple[float, float] | None = None
    water_activity_source: str = ""
    #: How densely it lies in a bag [g/mL]; None = unknown.
    bulk_density_g_per_ml: float | None = None
    bulk_density_trust: Trust = "unknown"
    bulk_density_source: str = ""
    #: Absorbed water of the cooked twin [mL per g dry] (dry-matter balance).
    uptake_ml_per_g: float | None = None
    uptake_source: str = ""

    @property
    def is_dry(self) -> bool:
        """Under 0.60 water activity throughout: nothing grows (Beuchat 1981)."""
        return self.water_activity is not None and self.water_activity[1] <= DRY_LIMIT_AW


#: Below this water activity no mould, yeast or bacterium grows [Beuchat-1981].
DRY_LIMIT_AW: Final = 0.60
