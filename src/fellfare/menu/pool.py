"""What may be eaten, when, by whom, and what is wished: the plain input of a menu.

These values know nothing of recipe documents or trip documents; an adapter
fills them. Days count from 1. All figures are per serving as carried (dry),
unless a name says otherwise. None is 'unknown' and stays so:

* in a floor (protein at least ...) an unknown figure counts as nothing;
* in a ceiling (sodium at most ...) it cannot be counted, so the total is told
  as 'at least' with the dishes of unknown figure named (``Menu.unknown``);
* a dish of unknown volume is not put where litres are limited, one of unknown
  price not where money is, one of unknown keeping only on the first day of a leg.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

import msgspec

Nutrient: TypeAlias = Literal[
    "energy_kcal", "protein_g", "fat_g", "carbohydrate_g", "fibre_g", "sodium_mg"
]

#: kcal per g by which shares of energy are reckoned: general factors 4, 9, 4 of
#: FAO (2003), Food and Nutrition Paper 77, table 3.1 (from memory).
SHARE_KCAL_PER_G: dict[str, float] = {"protein_g": 4.0, "fat_g": 9.0, "carbohydrate_g": 4.0}


#: So many packs are no limit.
ENDLESS_PACKS = 10_000


class Dish(msgspec.Struct, frozen=True, kw_only=True):
    """A dish, snack, drink or ration that may stand on the menu.

    ``mass_g`` holds the packaging. A portion is a whole number of steps,
    ``steps_per_serving`` to a serving, from ``least_steps`` to ``most_steps``:
    20, 12 and 32 let one serving be scaled 0.6 to 1.6 by twentieths; 1, 1, 1 is
    a fixed pack. ``ways`` are the ways of making it, any one of which will do.
    ``foods`` are the foods (pantry id, g per serving) that are bought in packs;
    ``cost`` then is what comes on top of those packs.
    ``stops`` are the names of the legs for which it can be had; None: all.
    ``supply`` says which of a slot's ``mass_weights`` counts for it.
    ``same_as`` names the dish of which it is another way: rules on repeats take both for one.
    """

    id: str
    title: str
    meals: tuple[str, ...]
    mass_g: float
    energy_kcal: float
    protein_g: float | None = None
    fat_g: float | None = None
    carbohydrate_g: float | None = None
    fibre_g: float | None = None
    sodium_mg: float | None = None
    water_ml: float = 0.0
    fuel_g: float = 0.0
    volume_ml: float | None = None
    pot_ml: float | None = None
    cost: float | None = None
    liking: float = 0.0
    family: str = ""
    base: str = ""
    ways: tuple[str, ...] = ("dry",)
    contains: tuple[str, ...] = ()
    may_contain: tuple[str, ...] = ()
    unknown_allergens: tuple[str, ...] = ()
    diets: tuple[str, ...] = ()
    keeps_days: float | None = float("inf")
    steps_per_serving: int = 20
    least_steps: int = 12
    most_steps: int = 32
    foods: tuple[tuple[str, float], ...] = ()
    stops: tuple[str, ...] | None = None
    shared_only: bool = False
    supply: int = 0
    same_as: str = ""


class Slot(msgspec.Struct, frozen=True, kw_only=True):
    """An eating time of one day: who eats, from which kind of dish, how many dishes.

    ``shared``: one dish for all who eat, each with a portion of their own;
    otherwise every walker has a choice of their own. ``twice`` is how often one
    dish may stand in the slot (a slot 'snacks' of three picks may hold a bar
    twice). ``carried_share`` is how much of the day the food is carried (0 for
    breakfast at camp, 1 for supper). ``water_g_per_ml`` weighs water that has to
    be carried to the meal (dry camp): 1 when it is carried as far as the food.
    ``pot_ml`` is what may be cooked for all who share it, in all ``batches`` of the pots.
    ``mass_weights`` are what a gram of food eaten then weighs in the balance, by the dish's
    ``supply`` (where it is taken up, and so how far it is carried); a single one is for all.
    """

    day: int
    time: str
    meal: str
    walkers: tuple[str, ...]
    shared: bool = False
    least: int = 1
    most: int = 1
    twice: int = 1
    ways: tuple[str, ...] = ("dry", "cold-soak", "hot-pour", "boil")
    carried_share: float = 1.0
    water_g_per_ml: float = 0.0
    pot_ml: float | None = None
    batches: int = 1
    mass_weights: tuple[float, ...] = (1.0,)


class Avoid(msgspec.Struct, frozen=True, kw_only=True):
    """An allergen that a walker must not meet, and how far doubt counts as meeting it."""

    allergen: str
    may_contain: bool = True
    unknown: bool = True


class Walker(msgspec.Struct, frozen=True, kw_only=True):
    """One eater: what must not be on the plate, and the share of common food carried.

    ``load_kcal_per_kg`` lets the energy need grow with the food carried, in
    kcal a day for each kg (0: the need given already holds the load).
    ``common_share`` None means an equal share among all walkers.
    """

    id: str
    avoids: tuple[Avoid, ...] = ()
    diets: tuple[str, ...] = ()
    dislikes: tuple[str, ...] = ()
    load_kcal_per_kg: float = 0.0
    common_share: float | None = None


class Leg(msgspec.Struct, frozen=True, kw_only=True):
    """Days between two supplies, first and last included; ``fee`` is paid for the leg as such."""

    name: str
    first_day: int
    last_day: int
    fee: float = 0.0


class Band(msgspec.Struct, frozen=True, kw_only=True):
    """A floor or ceiling on what one walker eats in a day (or, ``whole``, over those days).

    ``share``: low and high are shares of the day's energy (0 to 1), for protein,
    fat and carbohydrate. ``days`` empty means all days. ``times`` are the eating times that
    are counted; empty: all.
    """

    wish: str
    walker: str
    nutrient: Nutrient
    low: float | None = None
    high: float | None = None
    days: tuple[int, ...] = ()
    share: bool = False
    whole: bool = False
    times: tuple[str, ...] = ()


class Repeat(msgspec.Struct, frozen=True, kw_only=True):
    """No more than ``most`` of one dish, base or family within so many days, at those times."""

    wish: str
    key: Literal["dish", "base", "family"]
    within_days: int
    most: int = 1
    times: tuple[str, ...] = ()


class Often(msgspec.Struct, frozen=True, kw_only=True):
    """One of these dishes at least ``least`` times on the menu (one walker's, or in all)."""

    wish: str
    dishes: tuple[str, ...]
    least: int
    walker: str | None = None


class Beside(msgspec.Struct, frozen=True, kw_only=True):
    """A dish that may stand at a time only beside one certain dish out of the common pot.

    ``pot_time`` names a shared slot of that day with one dish.
    """

    day: int
    time: str
    dish: str
    pot_time: str
    pot_dish: str


class Different(msgspec.Struct, frozen=True, kw_only=True):
    """At least so many different dishes at those times over the whole walk.

    ``worth_g`` is what each different one may weigh on top, and still be chosen.
    """

    wish: str
    times: tuple[str, ...]
    least: int
    worth_g: float = 0.0


class Budget(msgspec.Struct, frozen=True, kw_only=True):
    """What all may cost: whole packs, other costs, fees of the legs."""

    wish: str
    most: float


class Pack(msgspec.Struct, frozen=True, kw_only=True):
    """How a food is sold: only whole packs are bought; what is left over stays at home."""

    food: str
    size_g: float
    price: float
    most: int = ENDLESS_PACKS


class Litres(msgspec.Struct, frozen=True, kw_only=True):
    """Room for food at night: what is still to be eaten in the leg, and the rubbish so far.

    ``rubbish_share`` is the volume that stays of what was eaten. Holds for the
    night after each of ``days`` (0 and the days before a leg's first are the
    night before it); empty: every night on which there is food.
    """

    wish: str
    litres: float
    walkers: tuple[str, ...] = ()
    days: tuple[int, ...] = ()
    rubbish_share: float = 0.1


class LoadCap(msgspec.Struct, frozen=True, kw_only=True):
    """Food and fuel that a walker carries at the start of a day, at most."""

    wish: str
    walker: str
    most_g: float
    days: tuple[int, ...] = ()


class BoxCap(msgspec.Struct, frozen=True, kw_only=True):
    """What a leg's box may hold."""

    wish: str
    leg: str
    most_g: float | None = None
    most_ml: float | None = None


class Lock(msgspec.Struct, frozen=True, kw_only=True):
    """A dish that the person has fixed at an eating time (for one walker where choice is free)."""

    day: int
    time: str
    dish: str
    walker: str | None = None


class Ban(msgspec.Struct, frozen=True, kw_only=True):
    """A dish that shall not be eaten: ever, or on that day, at that time, by that walker.

    ``firm``: the place does not allow it (fire, water, keeping, safety, supply). That is
    no wish, and never gives.
    """

    dish: str
    day: int | None = None
    time: str | None = None
    walker: str | None = None
    firm: bool = False


class Weights(msgspec.Struct, frozen=True, kw_only=True):
    """What counts, all in grams: 'one point of liking is worth carrying half a gram'.

    ``day`` weighs the mass of each day's food; empty: every day 1. ``unit_km`` is how far
    a gram that weighs 1 is carried, where slots weigh mass by the way; None: they do not.
    """

    mass: float = 1.0
    liking_g: float = 0.0
    cost_g: float = 0.0
    day: tuple[float, ...] = ()
    unit_km: float | None = None


class Question(msgspec.Struct, frozen=True, kw_only=True):
    """All that a menu is made from."""

    days: int
    dishes: tuple[Dish, ...]
    walkers: tuple[Walker, ...]
    slots: tuple[Slot, ...]
    legs: tuple[Leg, ...] = ()
    bands: tuple[Band, ...] = ()
    repeats: tuple[Repeat, ...] = ()
    oftens: tuple[Often, ...] = ()
    differents: tuple[Different, ...] = ()
    besides: tuple[Beside, ...] = ()
    budget: Budget | None = None
    packs: tuple[Pack, ...] = ()
    litres: tuple[Litres, ...] = ()
    load_caps: tuple[LoadCap, ...] = ()
    box_caps: tuple[BoxCap, ...] = ()
    locks: tuple[Lock, ...] = ()
    bans: tuple[Ban, ...] = ()
    weights: Weights = Weights()
