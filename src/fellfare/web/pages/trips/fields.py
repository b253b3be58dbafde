"""Which keys of a trip document have a field of their own, and how are they asked for?

Whatever is not here is written as text; no key is lost by the form.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Literal, get_args

from msgspec import Struct

from fellfare.camp import FUELS, STOVES
from fellfare.pantry.allergens import GROUPS
from fellfare.pantry.food import Allergen
from fellfare.trip.care import Treatment
from fellfare.trip.way import FIRE_RULES
from fellfare.walk.terrain import TERRAINS
from fellfare.walk.walker import Diet

#: 'pair' is two numbers, 'words' and 'numbers' lists with commas, 'answer' yes, no or not told.
Asks = Literal[
    "text", "long", "number", "whole", "date", "choice", "words", "numbers", "ticks", "pair",
    "answer",
]  # fmt: skip
Options = tuple[tuple[str, str], ...]


class Field(Struct, frozen=True):
    """One key."""

    key: str
    label: str
    asks: Asks = "text"
    options: Options = ()
    hint: str = ""
    #: What stands in the document for 1 of the form (1000: the form asks for kilometres).
    scale: float = 1.0
    must: bool = False


class Part(Struct, frozen=True):
    """A table of the document, or its plain keys (''); ``many``: one row for each."""

    table: str
    title: str
    fields: tuple[Field, ...]
    many: bool = False
    #: What one row is.
    one: str = ""
    lead: str = ""


FIRE_WORDS: Final = {
    "none": "no fire rule",
    "no-open-fire": "no open fire",
    "gas-only": "gas stoves only",
    "no-flame": "no flame at all",
}


def _plain(words: Iterable[str]) -> Options:
    return tuple((word, word.replace("-", " ")) for word in words)


NOT_TOLD: Final = (("", "not told"),)
_GROUND: Final = _plain(one.name for one in TERRAINS)
_FIRE: Final[Options] = (*NOT_TOLD, *((word, FIRE_WORDS[word]) for word in FIRE_RULES))
_TERRAIN: Final[Options] = (("", "as the walk"), *_GROUND)
_WIND: Final[Options] = _plain(("calm", "breeze", "strong"))

PARTS: Final = (
    Part("", "The trip", (
        Field("title", "Title", must=True),
        Field("start_date", "First day", "date", hint="may be left open"),
        Field("about", "What it is", "long"),
    )),
    Part("walker", "People", (
        Field("name", "Name", must=True),
        Field("sex", "Sex", "choice", (("female", "female"), ("male", "male")),
              "the published equations know two; take what fits the body better", must=True),
        Field("age_y", "Age [years]", "number", must=True),
        Field("height_cm", "Height [cm]", "number", must=True),
        Field("mass_kg", "Body mass [kg]", "number", must=True),
        Field("base_pack_kg", "Base pack [kg]", "number", hint="without food and water", must=True),
        Field("diets", "Diets", "ticks", _plain(get_args(Diet))),
        Field("avoids", "Must not meet", "ticks", _plain((*GROUPS, *get_args(Allergen)))),
    ), many=True, one="person",
        lead="Everybody by a name of their own. Allergies and diets never give way to a lighter "
        "menu; what is not known of a food counts against it."),
    Part("walk", "The walk", (
        Field("hours_per_day", "Hours of walking a day", "numbers",
              hint="with a track: cuts it into days; the last figure serves all further days"),
        Field("camps", "Camps, in walking order", "words",
              hint="named places of the track; left empty: all its camps"),
        Field("days", "Days meant", "whole"),
        Field("terrain", "Ground underfoot", "choice", (("", "not told: a path"), *_GROUND)),
        Field("day_c", "By day [°C]", "number"),
        Field("night_c", "By night [°C]", "number"),
        Field("fire", "Fire rule", "choice", _FIRE, "ask the land manager; the order of the day "
              "counts, not this word"),
        Field("wind", "Wind at the stove", "choice", (("", "not told: calm"), *_WIND)),
        Field("start_hour", "Sets out on day 1 [h]", "number"),
        Field("walk_from_hour", "Sets out on other days [h]", "number"),
        Field("bottles_ml", "Bottles of one person [L]", "number", scale=1000.0),
        Field("start_m", "Height of the start [m]", "number", hint="only for a table of stages"),
    )),
    Part("stage", "Stages", (
        Field("name", "Way"),
        Field("distance_m", "Distance [km]", "number", scale=1000.0, must=True),
        Field("ascent_m", "Up [m]", "number"),
        Field("descent_m", "Down [m]", "number"),
        Field("camp", "Camp"),
        Field("camp_m", "Its height [m]", "number"),
        Field("water_m", "Water at [km]", "numbers", scale=1000.0),
    ), many=True, one="day", lead="One row for each day where there is no track; 0 km is a rest "
        "day."),
    Part("day", "Days that are otherwise", (
        Field("day", "Day", "whole", must=True),
        Field("fire", "Fire rule", "choice", (("", "as the walk"), *_FIRE[1:])),
        Field("day_c", "By day [°C]", "number"),
        Field("night_c", "By night [°C]", "number"),
        Field("terrain", "Ground", "choice", _TERRAIN),
        Field("wind", "Wind", "choice", (("", "as the walk"), *_WIND)),
        Field("note", "Note"),
    ), many=True, one="day"),
    Part("kitchen", "Kitchens", (
        Field("walkers", "Who eats from it", "words",
              hint="left empty: everybody who is in no other kitchen"),
        Field("stove", "Stove", "choice", (("", "no stove"), *_plain(STOVES))),
        Field("fuel", "Fuel", "choice", (("", "none"), *_plain(FUELS))),
        Field("pot_ml", "Pot holds [L]", "number", scale=1000.0),
        Field("pot_g", "Pot with lid [g]", "number"),
        Field("kit_g", "Stove kit [g]", "number", hint="with lighter and screen"),
        Field("jar_ml", "Soak jar holds [L]", "number", scale=1000.0),
        Field("jar_g", "Soak jar [g]", "number"),
        Field("cooking_place", "Stove burns", "choice",
              (*NOT_TOLD, ("outside", "outside"), ("inside", "inside a tent, hut or vehicle"))),
        Field("own_pot", "A pot of their own", "words", hint="for an allergy"),
    ), many=True, one="kitchen", lead="Who cooks and eats together, on a stove or without."),
    Part("stop", "Stops", (
        Field("name", "Name", must=True),
        Field("kind", "What it is", "choice", _plain(("hut", "shop", "box")), must=True),
        Field("day", "Day", "whole", hint="left empty where the track has a place of that name"),
        Field("at_m", "After [km]", "number", hint="walked that day", scale=1000.0),
        Field("offers", "What can be had", "words", hint="ids of foods, or words"),
        Field("meals", "Eaten there", "words", hint="eating times that are not carried"),
        Field("posted", "Posted on", "date", hint="a box"),
        Field("hold_days", "Kept for [days]", "whole"),
        Field("warmest_c", "Warmest there [°C]", "number", hint="a box"),
        Field("most_kg", "Holds at most [kg]", "number"),
    ), many=True, one="stop"),
    Part("eating", "Eating times", (
        Field("name", "Name", must=True),
        Field("hour", "Hour of the clock", "number", hint="12.5 is half past twelve"),
        Field("every_walking_hours", "or every so many hours of walking", "number"),
        Field("kinds", "Kinds of recipe", "words"),
        Field("share", "Part of the day's food", "number", hint="0 to 1"),
        Field("most_of_one_dish", "One dish at most", "whole"),
        Field("days_between", "Days between two of one dish", "whole"),
    ), many=True, one="time", lead="Left empty: breakfast, something every two hours of walking, "
        "lunch and dinner."),
    Part("rules", "What the food must be", (
        Field("coverage", "Part of the need that is carried", "number", hint="0.5 to 1.2"),
        Field("energy_band", "A day's energy over its target", "pair"),
        Field("protein_g_per_kg", "Protein [g for 1 kg of body a day]", "number"),
        Field("fat_share", "Fat, part of the energy", "pair"),
        Field("fibre_g_per_1000_kcal", "Fibre [g per 1 000 kcal]", "number"),
        Field("most_of_one_dish", "One dish at most", "whole"),
        Field("days_between", "Days between two of one dish", "whole"),
        Field("least_dinners", "Different dinners at least", "whole"),
        Field("most_food_kg", "Food on one back at most [kg]", "number"),
        Field("spare_days", "Spare food [days]", "number"),
        Field("by_ration", "Fed by weight", "words", hint="eating times"),
        Field("never", "Dishes that nobody wants", "words", hint="names of recipes"),
        Field("traces", "What may hold traces", "choice",
              (("", "is told of"), ("avoid", "is kept off the menu"))),
    )),
    Part("care", "Asked beforehand", (
        Field("health_asked", "Everybody was asked about allergies, illness, medicine", "answer"),
        Field("water_treatment", "What is done with water", "ticks", _plain(get_args(Treatment))),
        Field("water_cloudy", "The water runs cloudy", "answer"),
        Field("water_chemicals", "Mines, fields, roads or algae above it", "answer"),
        Field("flies", "Somebody flies to the walk", "answer"),
    )),
)  # fmt: skip

#: By table.
PART_OF: Final = {part.table: part for part in PARTS}
