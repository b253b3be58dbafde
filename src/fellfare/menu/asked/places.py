"""What is it like where a meal is made: warmth, height, fire, water, time?"""

from __future__ import annotations

from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.camp.cooking import cooking_time_factor
from fellfare.camp.soaking.minutes import PRECOOKED, arrhenius_time_factor
from fellfare.camp.timetable import Span, WaterPoint, Wetting, wetting_window
from fellfare.camp.water import boil_at
from fellfare.menu.asked.dishes import AskedDish
from fellfare.menu.asked.making import WRITTEN_FOR_C
from fellfare.mistake import Mistake
from fellfare.safety import check
from fellfare.safety.trip.planned import hold_minutes_of
from fellfare.trip.dish_day import springs_on
from fellfare.trip.fuelling import water_c_of
from fellfare.trip.kit import Kitchen
from fellfare.trip.meals import DayMeal
from fellfare.trip.plan import PlanDay, TripPlan
from fellfare.trip.timetable import MEAL_HOURS

#: Water in which something soaks is not colder than this [°C].
LEAST_SOAK_C: Final = 1.0
#: Nobody simmers longer than this for a dish [min] (judgement: fuel, patience).
MOST_FLAME_MINUTES: Final = 30.0


#: On a day that gets no warmer a jar of cold water freezes before it soaks [°C] (judgement).
FREEZES_C: Final = 0.0


class PlaceOfMeal(Struct, frozen=True, kw_only=True, eq=False):
    """One eating time of one day for one kitchen."""

    day: int
    #: Name of the eating time.
    eating: str
    #: Index of the kitchen; None = the trip names none.
    kitchen: int | None
    walkers: tuple[str, ...]
    #: How often on that day.
    count: int
    #: Where on the day's way [m], and its part of the day's way, 0 to 1.
    at_m: float
    along: float
    #: Height where it is made [m]; None = not known.
    height_m: float | None
    #: Warmest air of the day, and water at the source [°C].
    air_c: float | None
    water_c: float
    #: Whether anything can be heated, and why not ('').
    hot: bool
    cold_because: str
    #: From the first water to the last bite at most [min].
    hold_minutes: float
    #: It comes again and again while walking.
    walking: bool
    #: In camp, before or after the walk; else on the way.
    in_camp: bool
    #: Is there water where it is made?  None = not known.
    water_here: bool | None
    #: Earliest and latest hour of beginning to eat.
    eat: Span
    springs: tuple[WaterPoint, ...]
    #: What is cooked for all at most [mL]: all pots, all batches, filled as far as one may.
    pot_ml: float | None
    jar_ml: float | None
    #: Batches that this is for.
    batches: int = 1
    #: When the walkers wake, and, for a meal in camp after the walk, when they are likely to
    #: be there [min after midnight]; None = not so.
    up_min: float | None = None
    there_min: float | None = None
    #: Coldest of the night before a meal in camp in the morning [°C]; None = not so, not known.
    night_c: float | None = None


def places_of(plan: TripPlan) -> tuple[PlaceOfMeal, ...]:
    """Every eating time that is carried, kitchen by kitchen, in the order of the days."""
    trip = plan.trip
    kitchens: list[tuple[int | None, Kitchen | None, tuple[str, ...]]] = [
        (number, kitchen, kitchen.walkers) for number, kitchen in enumerate(trip.kitchens)
    ]
    if not kitchens:
        kitchens = [(None, None, tuple(walker.name for walker in trip.walkers))]
    return tuple(
        _place(plan, day, meal, number, kitchen, walkers)
        for day in plan.days
        for meal in day.meals
        if not meal.bought
        for number, kitchen, walkers in kitchens
    )


def _place(
    plan: TripPlan,
    day: PlanDay,
    meal: DayMeal,
    number: int | None,
    kitchen: Kitchen | None,
    walkers: tuple[str, ...],
) -> PlaceOfMeal:
    stage = day.stage
    length = stage.distance_m
    before = meal.at_m <= 0.0
    after = length <= 0.0 or meal.at_m >= length
    night = plan.days[day.day - 2] if before and day.day > 1 else day
    hot, why = _can_heat(day, meal, number, kitchen)
    drunk = night.water
    hour = meal.hour
    if hour is None:
        hour = day.hours.set_out_hour + meal.at_m / max(length, 1.0) * day.hours.under_way_hours
    eat = Span(early=60.0 * hour, late=60.0 * hour)
    if after and not before and day.hours.under_way_hours > 0:
        begin = day.hours.set_out_hour + day.arrival.early_hours
        late = day.hours.set_out_hour + day.arrival.late_hours
        eat = Span(early=60.0 * max(hour, begin), late=60.0 * max(hour, late))
    return PlaceOfMeal(
        day=day.day,
        eating=meal.name,
        kitchen=number,
        walkers=walkers,
        count=meal.count,
        at_m=meal.at_m,
        along=min(max(meal.at_m / length, 0.0), 1.0) if length > 0 else 0.0,
        height_m=_height_m(plan, day, before, after),
        air_c=stage.day_c,
        water_c=water_c_of(plan.trip, night.stage),
        hot=hot,
        cold_because=why,
        hold_minutes=hold_minutes_of(stage.day_c),
        walking=meal.hour is None,
        in_camp=before or after,
        water_here=drunk.water_at_camp if before or after else None,
        eat=eat,
        springs=springs_on(day, meal),
        pot_ml=None if kitchen is None else kitchen.meal_ml,
        batches=1 if kitchen is None else kitchen.batches,
        jar_ml=None if kitchen is None else kitchen.jar_ml,
        up_min=60.0 * plan.trip.way.wake_hour,
        there_min=60.0 * day.hours.arrival_hour if after else None,
        night_c=night.stage.night_c if before and day.day > 1 else None,
    )


def _can_heat(
    day: PlanDay, meal: DayMeal, number: int | None, kitchen: Kitchen | None
) -> tuple[bool, str]:
    """Fire rule, stove, and whether the kitchen lights it at this eating time."""
    if kitchen is None:
        return False, "the trip names no kitchen"
    if kitchen.stoveless:
        return False, "no stove"
    if number is None or not day.can_heat[number]:
        return False, f"fire rule of day {day.day}: {day.fire}"
    if all(hot.eating != meal.name for hot in kitchen.hot):
        return False, f"the stove stays packed at {meal.name}"
    return True, ""


def _height_m(plan: TripPlan, day: PlanDay, before: bool, after: bool) -> float | None:
    """Of the camp before the walk or after it; on the way the higher end, where water is coolest.

    None = not known.
    """
    end = _end_m(day)
    start = day.stage.start_m if day.day == 1 else _end_m(plan.days[day.day - 2])
    if before:
        return start
    if after:
        return end
    return max((m for m in (start, end) if m is not None), default=None)


def _end_m(day: PlanDay) -> float | None:
    return day.stage.end_m if day.stage.camp_m is None else day.stage.camp_m


def soak_minutes_at(written: float, water_c: float) -> float:
    """A written soak in water of another warmth [min].

    Arrhenius, precooked food (see :mod:`fellfare.camp.soaking.minutes`), from the 20 °C that
    a recipe means.  Warmer water is not counted on: the written minutes are the least.
    """
    at_c = min(max(water_c, LEAST_SOAK_C), WRITTEN_FOR_C)
    known = WRITTEN_FOR_C + 273.15
    return written * arrhenius_time_factor(PRECOOKED.usual, at_c + 273.15, known)


def wetting_of(dish: AskedDish, place: PlaceOfMeal) -> Wetting | None:
    """When it is to be wetted there; None = it needs no soak, or nobody told how long."""
    if not dish.making.soak_minutes:
        return None
    return wetting_at(dish.making.soak_minutes, place)


def wetting_at(written_minutes: float, place: PlaceOfMeal) -> Wetting:
    """When a soak of so many minutes, as written, is to be begun there."""
    minutes = soak_minutes_at(written_minutes, place.water_c)
    return wetting_window(
        place.eat,
        Span(early=minutes, late=minutes),
        place.hold_minutes,
        place.springs,
        water_at_camp=place.water_here is not False,
        # On the way it comes out of the bottle, in the morning from what stands in camp.
        carrying_water=not place.in_camp or place.at_m <= 0.0,
        meal_minutes=60.0 * MEAL_HOURS,
    )


def why_not_here(dish: AskedDish, place: PlaceOfMeal) -> str:
    """Why the dish cannot be made at that eating time; '' = nothing speaks against it.

    Looked at: whether one sits down to it, flame and fire rule, minutes on the flame at that
    height, the soak in that water within the longest advised hold, the rules of safety at that
    height and warmth.  Who may eat it is another matter.
    """
    making = dish.making
    if place.walking and making.way != "dry" and "drink" not in dish.kinds:
        return "it wants water and a jar, and is eaten while walking"
    if making.way in ("hot-pour", "boil") and not place.hot:
        return f"needs heat: {place.cold_because}"
    if making.way == "boil":
        told = _too_long_on_fire(making.flame_minutes, place.height_m)
        if told:
            return told
    if making.soak_minutes is None:
        return "nobody has told how long it soaks"
    if making.soak_minutes > 0 and place.air_c is not None and place.air_c <= FREEZES_C:
        return f"its jar would freeze: it gets no warmer than {place.air_c:.0f} °C"
    try:
        wetting = wetting_of(dish, place)
    except Mistake as mistake:
        return f"its soak cannot be planned: {mistake.what}"
    if wetting is not None and wetting.outcome == "impossible":
        return wetting.text.split(". ")[0].removeprefix("Impossible here: ")
    if dish.making.way == "cold-soak" and _jar_too_small(dish, place):
        return f"it does not go into a jar of {place.jar_ml:g} ml"
    return _unsafe(dish, place)


def _too_long_on_fire(minutes: float | None, height_m: float | None) -> str:
    if minutes is None:
        return "nobody has told how long it cooks"
    height = 0.0 if height_m is None else height_m
    long = minutes * cooking_time_factor(boil_at(height).boils_c)
    if long > MOST_FLAME_MINUTES and long > minutes:
        return f"would take {long:.0f} min on the flame at {height:.0f} m"
    return ""


def _jar_too_small(dish: AskedDish, place: PlaceOfMeal) -> bool:
    """Food and water of the least portion, at a gram for a millilitre (judgement)."""
    if place.jar_ml is None:
        return False
    serving_ml = dish.sheet.mass.value / dish.sheet.eaters + dish.making.water_ml
    return dish.dish.least_steps / dish.dish.steps_per_serving * serving_ml > place.jar_ml


def _unsafe(dish: AskedDish, place: PlaceOfMeal) -> str:
    """The first error of the safety rules at that height and warmth."""
    case = replace(
        dish.case,
        air_c=dish.case.air_c if place.air_c is None else max(place.air_c, -20.0),
        altitude_m=place.height_m,
        eaters=(),
    )
    grave = [finding for finding in check(case) if finding.severity == "error"]
    return f"the rules of safety say: {grave[0].text}" if grave else ""
