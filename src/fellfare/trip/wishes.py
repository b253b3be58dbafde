"""What shall the food be like?  Eating times and the rules that a menu must keep."""

from __future__ import annotations

from decimal import Decimal
from typing import Final, Literal

from msgspec import Struct


class Eating(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """One eating time: by the clock, or again and again while walking."""

    name: str
    #: Hour of the clock: 12.5 is half past twelve.
    hour: float | None = None
    #: Once for every so many hours of walking.
    every_walking_hours: float | None = None
    #: Its part of a whole day's food; all times of it together where it comes
    #: again and again.  None = the usual one of this name, else an even part.
    share: float | None = None
    #: Which kinds of recipe are eaten then ('snack', 'sweet'); () = the usual ones of this name.
    kinds: tuple[str, ...] = ()
    #: The rules of these names, for this eating time alone; None = as the rules say.
    most_of_one_dish: int | None = None
    days_between: int | None = None
    base_days_between: int | None = None
    flavour_days_between: int | None = None
    #: Least and most of the day's target that its dishes bring on a whole day.
    energy_share: tuple[float, float] | None = None


#: Common practice, no source: by energy breakfast 20 to 25 %, lunch and what is eaten
#: while walking 40 to 50 %, dinner 25 to 35 %.
USUAL_SHARES: Final[dict[str, float]] = {
    "breakfast": 0.22,
    "snack": 0.24,
    "lunch": 0.20,
    "dinner": 0.34,
}

#: Kinds of recipe at an eating time that does not name its own; any other: its own name.
USUAL_KINDS: Final[dict[str, tuple[str, ...]]] = {"snack": ("snack", "sweet")}

USUAL_EATING: Final = (
    Eating(name="breakfast", hour=7.0),
    Eating(name="snack", every_walking_hours=2.0),
    Eating(name="lunch", hour=12.5),
    Eating(name="dinner", hour=18.5),
)


class FixedDish(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """A dish that somebody wants on that day at that time."""

    day: int
    eating: str
    #: File name of the recipe without its ending.
    dish: str
    #: For whom; empty = for all who may eat it.
    walkers: tuple[str, ...] = ()


class LikedDish(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """A dish that is liked; with ``times``, one that is wanted so often at least."""

    #: File name of the recipe without its ending.
    dish: str
    #: On the whole walk, for everybody who can have it; None = no such rule.
    times: int | None = None


#: What is made least, and what counts beside it.
MakeLeast = Literal["mass", "mass-by-distance"]
Counts = Literal["mass", "liking", "variety", "cost"]


class Rules(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """What a menu must keep to; None = no such rule."""

    #: Share of the need that is to be carried, 0.5 to 1.2.
    coverage: float = 1.0
    #: Eat by the walker's appetite of the day, on top of the coverage.
    follow_appetite: bool = True
    #: Energy of a gram of food as packed, until a menu knows it [kcal/g].
    kcal_per_g: float = 4.4
    #: A day's energy over its target, least and most.
    energy_band: tuple[float, float] = (0.95, 1.10)
    #: Protein of a day for a kilogram of body mass, at least [g/kg].
    protein_g_per_kg: float | None = None
    #: Shares of the energy, least and most.
    protein_share: tuple[float, float] | None = None
    fat_share: tuple[float, float] | None = None
    carbohydrate_share: tuple[float, float] | None = None
    #: Fibre, at least [g per 1 000 kcal]; sodium of a day, least and most [mg].
    fibre_g_per_1000_kcal: float | None = None
    sodium_mg: tuple[float, float] | None = None
    #: How often one dish may come on the whole walk, and days between.
    most_of_one_dish: int | None = None
    days_between: int | None = None
    #: Days between two of one base (tag 'base-rice') or of one flavour family (the author's
    #: first tag of flavour: 'curry'), at each eating time by itself.
    base_days_between: int | None = None
    flavour_days_between: int | None = None
    #: Different dinners, at least.
    least_dinners: int | None = None
    #: Whole days of food kept for what goes wrong.
    spare_days: float = 0.0
    #: Pack over body mass from which a caution is given; None = a third.
    most_load_share: float | None = None
    #: Money for all food, and its currency ('EUR').
    budget: Decimal | None = None
    currency: str = ""
    #: Eating times that are fed by weight and not by dish: a bag of snacks for the day.
    by_ration: tuple[str, ...] = ()
    #: Least and most of a recipe's serving that somebody gets; None = the usual ones.
    portions: tuple[float, float] | None = None
    #: A dish that may contain traces of what an eater avoids: told of, or kept off the menu.
    traces: Literal["caution", "avoid"] = "caution"
    #: Food and packing on one back at the start of a carry, at most [kg].
    most_food_kg: float | None = None
    #: What is left out of a pot for one eater is carried for the plates of the others.
    add_at_table: bool = False
    #: Where there is no fire a poured-on dish is soaked cold, if all its foods can be.
    cold_instead: bool = False
    #: What is made least: the mass, or the mass times the way that it is carried.
    make_least: MakeLeast = "mass"
    #: What counts, the weightiest first; what is not named does not count.
    order: tuple[Counts, ...] = ("mass",)
    #: Dishes that nobody wants: file names of recipes without their ending.
    never: tuple[str, ...] = ()
