"""Which keys of a trip document have a field of their own, and how are they asked for?

Whatever is not here is written as text; no key is lost by the form.
"""

from __future__ import annotations

from typing import Final, get_args

from fellfare.camp import FUELS, STOVES
from fellfare.camp.heat import PotMaterial
from fellfare.pantry.allergens import GROUPS
from fellfare.pantry.food import Allergen
from fellfare.trip.care import Agency, Treatment
from fellfare.trip.way import FIRE_RULES, Reliability
from fellfare.walk.pace.rules import RULE_NAMES
from fellfare.walk.terrain import TERRAINS
from fellfare.walk.walker import Diet, HighRisk
from fellfare.web.pages.trips.asking import (
    AIR,
    BODY,
    CLOCK,
    DAYS,
    DISTANCE,
    DRUNK,
    GRAMS,
    HOLDS,
    HOURS,
    LITRES,
    NET_G,
    OXYGEN,
    PACKED,
    PER_BODY,
    PER_ENERGY,
    RISE,
    SODIUM_MG,
    STATURE,
    YEARS,
    Field,
    Options,
    Part,
    plain,
)

FIRE_WORDS: Final = {
    "none": "no fire rule",
    "no-open-fire": "no open fire",
    "gas-only": "gas stoves only",
    "no-flame": "no flame at all",
}

NOT_TOLD: Final = (("", "not told"),)
_GROUND: Final = plain(tuple(one.name for one in TERRAINS))
_RULES: Final[Options] = tuple((word, FIRE_WORDS[word]) for word in FIRE_RULES)
_FIRE: Final[Options] = (*NOT_TOLD, *_RULES)
_TERRAIN: Final[Options] = (("", "as the walk"), *_GROUND)
_WIND: Final[Options] = plain(("calm", "breeze", "strong"))
_AS_WALK: Final[Options] = (("", "as the walk"),)
_AS_USUAL: Final[Options] = (("", "as usual"), ("yes", "yes"), ("no", "no"))

_WEEK: Final = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
#: Shares and factors without a unit say what they are.
_SHARE: Final = "0 to 1"

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
        Field("age_y", "Age", "number", measure=YEARS, must=True),
        Field("height_cm", "Height", "number", measure=STATURE, must=True),
        Field("mass_kg", "Body mass", "number", measure=BODY, must=True),
        Field("base_pack_kg", "Base pack", "number", hint="without food and water", measure=BODY,
              must=True),
        Field("diets", "Diets", "ticks", plain(get_args(Diet))),
        Field("avoids", "Must not meet", "ticks", plain((*GROUPS, *get_args(Allergen)))),
        Field("high_risk", "Whom an illness would hit harder", "ticks", plain(get_args(HighRisk))),
        Field("pace_factor", "Pace over the median hiker's", "number", hint="1 is the median",
              group="Pace and energy"),
        Field("pace_factor_sd", "Doubt about it", "number", hint="0.2 when nothing is known",
              group="Pace and energy"),
        Field("energy_factor", "Walking energy over the model's", "number", hint="1 is the model",
              group="Pace and energy"),
        Field("energy_factor_sd", "Doubt about it", "number", hint="left empty: nothing is learnt",
              group="Pace and energy"),
        Field("capacity_ml_per_kg_min", "Greatest oxygen uptake", "number", measure=OXYGEN,
              hint="left empty: a fit adult's", group="Pace and energy"),
    ), many=True, one="person",
        lead="Everybody by a name of their own. Allergies and diets never give way to a lighter "
        "menu; what is not known of a food counts against it."),
    Part("walk", "The walk", (
        Field("hours_per_day", "Hours of walking a day", "numbers",
              hint="with a track: cuts it into days; the last figure serves all further days"),
        Field("camps", "Camps, in walking order", "words", offers="places",
              hint="named places of the track; left empty: all its camps"),
        Field("days", "Days meant", "whole"),
        Field("terrain", "Ground underfoot", "choice", (("", "not told: a path"), *_GROUND)),
        Field("day_c", "By day", "number", measure=AIR),
        Field("night_c", "By night", "number", measure=AIR),
        Field("fire", "Fire rule", "choice", _FIRE, "ask the land manager; the order of the day "
              "counts, not this word"),
        Field("wind", "Wind at the stove", "choice", (("", "not told: calm"), *_WIND)),
        Field("start_hour", "Sets out on day 1", "number", measure=CLOCK,
              hint="8.5 is half past eight"),
        Field("walk_from_hour", "Sets out on other days", "number", measure=CLOCK),
        Field("bottles_ml", "Bottles of one person", "number", measure=HOLDS),
        Field("start_m", "Height of the start", "number", hint="only for a table of stages",
              measure=RISE),
        Field("wake_hour", "Wakes at", "number", measure=CLOCK, group="Clock, pace, thirst"),
        Field("end_hour", "Ends on the last day at", "number", measure=CLOCK,
              hint="left empty: as it is reckoned", group="Clock, pace, thirst"),
        Field("sleep_hours", "Asleep a night", "number", measure=HOURS,
              group="Clock, pace, thirst"),
        Field("pace_rule", "Speed by", "choice", (("", "not told: Campbell 2022"),
              *RULE_NAMES.items()), group="Clock, pace, thirst"),
        Field("moving_share", "Part of the time on the move", "number", hint="0.3 to 1; usual 0.8",
              group="Clock, pace, thirst"),
        Field("drink_ml_per_hour", "Drunk while walking", "number", measure=DRUNK,
              group="Clock, pace, thirst"),
        Field("water_c", "Water at the source", "number", measure=AIR,
              hint="left empty: reckoned from the air", group="Clock, pace, thirst"),
        Field("dry_risk", "Not counted on: a source as likely dry as", "number",
              hint="0 to 1; usual 0.05", group="Clock, pace, thirst"),
    ), under="On the way"),
    Part("stage", "Stages", (
        Field("name", "Way"),
        Field("distance_m", "Distance", "number", measure=DISTANCE, must=True),
        Field("ascent_m", "Up", "number", measure=RISE),
        Field("descent_m", "Down", "number", measure=RISE),
        Field("camp", "Camp"),
        Field("camp_m", "Its height", "number", measure=RISE),
        Field("water_m", "Water after", "numbers", measure=DISTANCE),
        Field("terrain", "Ground", "choice", _TERRAIN, group="Ground underfoot"),
    ), many=True, one="day", lead="One row for each day where there is no track; a distance of 0 "
        "is a rest day."),
    Part("day", "Days that are otherwise", (
        Field("day", "Day", "whole", must=True),
        Field("fire", "Fire rule", "choice", (*_AS_WALK, *_RULES)),
        Field("day_c", "By day", "number", measure=AIR),
        Field("night_c", "By night", "number", measure=AIR),
        Field("terrain", "Ground", "choice", _TERRAIN),
        Field("wind", "Wind", "choice", (*_AS_WALK, *_WIND)),
        Field("snow_share", "Water from snow", "number", hint="0 to 1 of the camp's water"),
        Field("note", "Note"),
    ), many=True, one="day"),
    Part("fire", "Fire rules that change", (
        Field("rule", "From then on", "choice", (("", "choose one"), *_RULES), must=True),
        Field("from_date", "From the date", "date", hint="needs a first day of the trip"),
        Field("from_place", "or from the place", hint="a place of the way, or a camp",
              offers="places"),
        Field("note", "Note", hint="whose order it is"),
    ), many=True, one="rule", lead="Each holds until the next one; on the day on which one comes "
        "past the place the stricter of both. What a single day says goes before all of them."),
    Part("water", "Water on the way", (
        Field("name", "Name", must=True, offers="places"),
        Field("reliability", "How far to be trusted", "choice",
              (*NOT_TOLD, *plain(get_args(Reliability)))),
        Field("chance_dry", "Chance that it is dry", "number", hint=_SHARE),
        Field("day", "Day", "whole", hint="left empty where the track has a place of that name"),
        Field("at_m", "After", "number", hint="walked that day", measure=DISTANCE),
        Field("cloudy", "Runs cloudy", "answer", group="What is in it"),
        Field("chemicals", "Mine, field, road, works, algae or salt", "answer",
              group="What is in it"),
        Field("note", "Note", group="What is in it"),
    ), many=True, one="source", lead="How far a water point of the track can be trusted, or one "
        "that the track does not have. Doubtful and dry ones are not counted on."),
    Part("stop", "Stops", (
        Field("name", "Name", must=True, offers="places"),
        Field("kind", "What it is", "choice", plain(("hut", "shop", "box")), must=True),
        Field("day", "Day", "whole", hint="left empty where the track has a place of that name"),
        Field("at_m", "After", "number", hint="walked that day", measure=DISTANCE),
        Field("offers", "What can be had", "words", hint="ids of foods, or words"),
        Field("meals", "Eaten there", "words", hint="eating times that are not carried",
              offers="times"),
        Field("resupply", "Food taken up there", "answer", _AS_USUAL,
              "for what follows; usual at a shop or box"),
        Field("posted", "Posted on", "date", group="A box"),
        Field("transit_days", "Under way, days", "pair", group="A box"),
        Field("hold_days", "Kept for", "whole", measure=DAYS, group="A box"),
        Field("warmest_c", "Warmest on its way", "number", measure=AIR, group="A box"),
        Field("most_kg", "Holds at most", "number", measure=BODY, group="A box"),
        Field("most_litres", "and no more than", "number", measure=LITRES, group="A box"),
        Field("fee", "Costs to use it", "money", hint="postage or fare", group="A box"),
        Field("effort_min", "Takes beside the way, minutes", "number", group="A box"),
        Field("fuels", "Fuels", "words", hint="ids: gas, spirit-95; left empty: nobody has told",
              group="Fuel, opening days, allergies"),
        Field("shut", "Shut on", "ticks", plain(_WEEK), group="Fuel, opening days, allergies"),
        Field("asked", "Asked what those with an allergy can eat there", "answer",
              group="Fuel, opening days, allergies"),
        Field("place", "Its name in the track", hint="where it differs", offers="places",
              group="Fuel, opening days, allergies"),
        Field("note", "Note", group="Fuel, opening days, allergies"),
    ), many=True, one="stop", lead="Huts, shops, and boxes that were posted ahead."),
    Part("kitchen", "Kitchens", (
        Field("walkers", "Who eats from it", "words", offers="people",
              hint="left empty: everybody who is in no other kitchen"),
        Field("stove", "Stove", "choice", (("", "no stove"), *plain(tuple(STOVES)))),
        Field("fuel", "Fuel", "choice", (("", "none"), *plain(tuple(FUELS)))),
        Field("pot_ml", "A pot holds", "number", measure=HOLDS),
        Field("pot_g", "Pot with lid", "number", measure=GRAMS),
        Field("kit_g", "Stove kit", "number", hint="with lighter and screen", measure=GRAMS),
        Field("jar_ml", "Soak jar holds", "number", measure=HOLDS),
        Field("jar_g", "Soak jar", "number", measure=GRAMS),
        Field("cooking_place", "Stove burns", "choice",
              (*NOT_TOLD, ("outside", "outside"), ("inside", "inside a tent, hut or vehicle"))),
        Field("own_pot", "A pot of their own", "words", hint="for an allergy", offers="people"),
        Field("pots", "Pots of that kind", "whole", group="Several pots, fuel, wind"),
        Field("batches", "Batches for one meal", "whole", hint="how often they may be filled",
              group="Several pots, fuel, wind"),
        Field("pot_material", "Pot of", "choice", (("", "not told: aluminium"),
              *plain(get_args(PotMaterial))), group="Several pots, fuel, wind"),
        Field("canisters_g", "Canisters to choose from", "numbers", measure=NET_G,
              hint="net fills; left empty: all common ones", group="Several pots, fuel, wind"),
        Field("reserve", "Fuel on top, a share", "number", hint="usual 0.15",
              group="Several pots, fuel, wind"),
        Field("efficiency", "Own weighed efficiency", "number", hint=_SHARE,
              group="Several pots, fuel, wind"),
        Field("wind", "Wind at the stove", "choice", (("", "that of the day"), *_WIND),
              group="Several pots, fuel, wind"),
    ), many=True, one="kitchen", lead="Who cooks and eats together, on a stove or without.",
        under="What comes along"),
    Part("container", "Food bags and canisters", (
        Field("walker", "Who carries it", must=True, offers="people"),
        Field("litres", "Holds", "number", measure=LITRES, must=True),
        Field("hard", "What it is", "answer",
              (("", "a food bag"), ("yes", "a canister that animals cannot open")), usual=False),
        Field("mass_g", "Weighs", "number", measure=GRAMS),
    ), many=True, one="container", lead="What holds the food; the menu tells when it does not "
        "fit."),
    Part("eating", "Eating times", (
        Field("name", "Name", must=True),
        Field("hour", "Hour of the clock", "number", hint="12.5 is half past twelve"),
        Field("every_walking_hours", "or every so many hours of walking", "number"),
        Field("kinds", "Kinds of recipe", "words"),
        Field("share", "Part of the day's food", "number", hint=_SHARE),
        Field("energy_share", "Of the day's energy", "pair",
              hint="0.2 and 0.3: a fifth to three tenths"),
        Field("most_of_one_dish", "One dish at most", "whole"),
        Field("days_between", "Days between two of one dish", "whole"),
        Field("base_days_between", "Days between two of one base", "whole",
              hint="rice, pasta, oats: by the recipes' tags"),
        Field("flavour_days_between", "Days between two of one flavour", "whole",
              hint="curry, tomato: by the recipes' tags"),
    ), many=True, one="time", lead="Left empty: breakfast, something every two hours of walking, "
        "lunch and dinner.", under="What is eaten"),
    Part("rules", "What the food must be", (
        Field("coverage", "Part of the need that is carried", "number", hint="0.5 to 1.2"),
        Field("energy_band", "A day's energy over its target", "pair"),
        Field("protein_g_per_kg", "Protein", "number", measure=PER_BODY),
        Field("least_dinners", "Different dinners at least", "whole"),
        Field("most_of_one_dish", "One dish at most", "whole", hint="times on the whole walk"),
        Field("days_between", "Days between two of one dish", "whole"),
        Field("base_days_between", "Days between two of one base", "whole",
              hint="rice, pasta, oats: by the recipes' tags"),
        Field("flavour_days_between", "Days between two of one flavour", "whole",
              hint="curry, tomato: by the recipes' tags"),
        Field("add_at_table", "Left out of a pot: on the others' plates", "answer",
              usual=False),
        Field("cold_instead", "Without fire, poured-on dishes are soaked cold", "answer",
              usual=False),
        Field("make_least", "Made least", "choice", (("", "the mass"),
              ("mass-by-distance", "the mass times the way it is carried")), usual="mass"),
        Field("order", "What counts, in order", "words",
              hint="mass, liking, variety, cost; left empty: mass alone"),
        Field("most_food_kg", "Food on one back at most", "number", measure=BODY),
        Field("never", "Dishes that nobody wants", "words", hint="names of recipes",
              offers="recipes"),
        Field("traces", "What may hold traces", "choice",
              (("", "is told of"), ("avoid", "is kept off the menu")), usual="caution"),
        Field("sodium_mg", "Sodium", "pair", measure=SODIUM_MG, group="Nutrients"),
        Field("fibre_g_per_1000_kcal", "Fibre at least", "number", measure=PER_ENERGY,
              group="Nutrients"),
        Field("protein_share", "Protein, part of the energy", "pair", group="Nutrients"),
        Field("fat_share", "Fat, part of the energy", "pair", group="Nutrients"),
        Field("carbohydrate_share", "Carbohydrate, part of the energy", "pair",
              group="Nutrients"),
        Field("budget", "All food costs at most", "money", group="Money"),
        Field("currency", "in", hint="EUR, GBP, USD …", group="Money"),
        Field("spare_days", "Spare food", "number", measure=DAYS, hint="carried all the way",
              group="Portions, spare food, load"),
        Field("portions", "Of a recipe's serving", "pair", group="Portions, spare food, load"),
        Field("by_ration", "Fed by weight", "words", hint="eating times", offers="times",
              group="Portions, spare food, load"),
        Field("follow_appetite", "Eaten by the appetite of the day", "answer", _AS_USUAL,
              group="Portions, spare food, load"),
        Field("kcal_per_g", "Food as packed, until a menu knows", "number", measure=PACKED,
              group="Portions, spare food, load"),
        Field("most_load_share", "Caution from a pack of", "number",
              hint="a share of the body mass; usual 0.33", group="Portions, spare food, load"),
    )),
    Part("fixed", "Dishes that are fixed", (
        Field("day", "Day", "whole", must=True),
        Field("eating", "Eating time", must=True, offers="times"),
        Field("dish", "Recipe", must=True, offers="recipes"),
        Field("walkers", "For whom", "words", hint="left empty: for all who may eat it",
              offers="people"),
    ), many=True, one="dish", lead="They stand, whatever else the menu does."),
    Part("liked", "Dishes that are liked", (
        Field("dish", "Recipe", must=True, offers="recipes"),
        Field("times", "At least so often", "whole", hint="for everybody who can have it"),
    ), many=True, one="dish"),
    Part("care", "Asked beforehand", (
        Field("health_asked", "Everybody was asked about allergies, illness, medicine", "answer"),
        Field("water_treatment", "What is done with water", "ticks", plain(get_args(Treatment))),
        Field("water_cloudy", "The water runs cloudy", "answer"),
        Field("water_chemicals", "Mines, fields, roads or algae above it", "answer"),
        Field("flies", "Somebody flies to the walk", "answer"),
        Field("raw_pulses", "A raw pulse is cooked on the way", "answer"),
        Field("water_agency", "Whose boiling time counts", "choice",
              (("", "the strictest"), *plain(get_args(Agency)[1:])), usual="strictest"),
    ), under="Settled"),
)  # fmt: skip

#: By table.
PART_OF: Final = {part.table: part for part in PARTS}
