"""What does one dish do on one day: can it be made, cold instead, or not at all; and when?

Whoever knows the dish gives its minutes in that day's water and at that height; here they meet
the fire rule, the kitchen, the water on the way and the clock.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from fellfare.camp.timetable import Span, WaterPoint, Wetting, wetting_window
from fellfare.mistake import Mistake
from fellfare.pantry.food import Way
from fellfare.trip.kit import Kitchen
from fellfare.trip.meals import DayMeal
from fellfare.trip.plan import PlanDay, TripPlan
from fellfare.trip.timetable import MEAL_HOURS, Moment, timetable_of


class DishSteps(Struct, frozen=True, kw_only=True):
    """What a dish asks of the camp."""

    way: Way
    #: From wetting until fit to eat, in that day's water [min]; None = not told.  For 'hot-pour'
    #: it stands covered so long; for 'boil' it is on the flame so long at that height.
    minutes: Span | None = None
    #: The same when it is soaked in cold water instead [min]; None = it has no cold way.
    cold_minutes: Span | None = None


class DishDay(Struct, frozen=True, kw_only=True):
    """One dish at one eating time."""

    #: 'no rule fired' is another matter: see the safety room.
    verdict: Literal["can-be-made", "cold-instead", "impossible"]
    #: How it is made then.
    way: Way
    #: Why cold, or why not at all; '' when it is made as it is meant.
    reason: str
    #: Of a soak in cold water; None when nothing is soaked cold.
    wetting: Wetting | None
    #: The day by the clock with this dish in it; without it when impossible.
    moments: tuple[Moment, ...]


def dish_on(
    plan: TripPlan,
    day: PlanDay,
    eating: str,
    steps: DishSteps,
    *,
    kitchen: int | None,
    hold_minutes: float,
    carrying_water: bool = False,
) -> DishDay:
    """What one dish does on one day under the rule in force.

    Parameters
    ----------
    plan, day
        The plan and one of its days.
    eating
        Name of an eating time with an hour.
    steps
        What the dish asks.
    kitchen
        Index of the kitchen that makes it; None = the trip names none.
    hold_minutes
        Longest time from wetting to the last bite on that day [min].
    carrying_water
        They have water for the jar with them all day.

    Raises
    ------
    Mistake
        ``unknown-eating-time`` when that time is not eaten out of the pack on that day, or has
        no hour; those of :func:`~fellfare.camp.timetable.wetting_window`.
    """
    meal = next((m for m in day.meals if m.name == eating and not m.bought), None)
    if meal is None or meal.hour is None:
        told = ", ".join(m.name for m in day.meals if m.hour is not None and not m.bought)
        raise Mistake(
            "unknown-eating-time",
            what=f"nothing is made at '{eating}' on day {day.day}",
            mend=f"choose one of: {told or 'none on that day'}",
        )
    plain = tuple(
        one
        for one in timetable_of(plan, day, hold_minutes=hold_minutes)
        if one.what not in ("wet", "eat-by")
    )
    if steps.way == "dry":
        return DishDay(verdict="can-be-made", way="dry", reason="", wetting=None, moments=plain)
    cold_because = ""
    way, minutes = steps.way, steps.minutes
    if way in ("hot-pour", "boil"):
        cold_because = no_heat_because(
            None if kitchen is None else plan.trip.kitchens[kitchen],
            kitchen is not None and day.can_heat[kitchen],
            day,
        )
        if not cold_because:
            return _hot(day, meal, steps, plain)
        if steps.cold_minutes is None:
            return DishDay(
                verdict="impossible",
                way=way,
                reason=f"{cold_because}, and it has no cold way",
                wetting=None,
                moments=plain,
            )
        way, minutes = "cold-soak", steps.cold_minutes
    if minutes is None:
        return DishDay(
            verdict="impossible",
            way=way,
            reason="nobody has told how long it soaks",
            wetting=None,
            moments=plain,
        )
    wetting = wetting_window(
        _eat(day, meal),
        minutes,
        hold_minutes,
        springs_on(day, meal),
        water_at_camp=_water_there(plan, day, meal),
        # On the way it comes out of the bottle, in the morning from what stands in camp.
        carrying_water=carrying_water or meal.at_m < day.stage.distance_m,
        meal_minutes=60.0 * MEAL_HOURS,
    )
    if wetting.outcome == "impossible":
        both = f"{cold_because}; cold: " if cold_because else ""
        return DishDay(
            verdict="impossible",
            way=way,
            reason=both + wetting.text.removeprefix("Impossible here: "),
            wetting=wetting,
            moments=plain,
        )
    return DishDay(
        verdict="cold-instead" if cold_because else "can-be-made",
        way=way,
        reason=cold_because,
        wetting=wetting,
        moments=_in_order((*plain, *_soaked(day, wetting, minutes))),
    )


def no_heat_because(kitchen: Kitchen | None, may_heat: bool, day: PlanDay) -> str:
    """Why nothing is heated there, in words; '' when it may be."""
    if kitchen is None:
        return "the trip names no kitchen"
    if kitchen.stoveless:
        return "there is no stove"
    return "" if may_heat else f"the fire rule of day {day.day} is '{day.fire}'"


def springs_on(day: PlanDay, meal: DayMeal) -> tuple[WaterPoint, ...]:
    """Water that is counted on and passed before a meal, with the band of passing [min]."""
    length = day.stage.distance_m
    if length <= 0 or meal.at_m <= 0:
        return ()
    begin = day.hours.set_out_hour
    return tuple(
        WaterPoint(
            name=spring.name,
            passed=Span(
                early=60.0 * (begin + spring.at_m / length * day.arrival.early_hours),
                late=60.0 * (begin + spring.at_m / length * day.arrival.late_hours),
            ),
        )
        for spring in day.water.springs
        if spring.counted and spring.at_m <= meal.at_m
    )


def _eat(day: PlanDay, meal: DayMeal) -> Span:
    """When eating begins [min]: at its hour, or on arrival when that is later."""
    assert meal.hour is not None
    early = late = meal.hour
    if meal.at_m >= day.stage.distance_m > 0:
        early = max(early, day.hours.set_out_hour + day.arrival.early_hours)
        late = max(late, day.hours.set_out_hour + day.arrival.late_hours)
    return Span(early=60.0 * early, late=60.0 * late)


def _water_there(plan: TripPlan, day: PlanDay, meal: DayMeal) -> bool:
    """Water where it is eaten; taken to be there where nobody has told (a caution says so)."""
    if 0 < meal.at_m < day.stage.distance_m:
        return False
    night = plan.days[day.day - 2] if meal.at_m <= 0 and day.day > 1 else day
    return night.water.water_at_camp is not False


def _hot(day: PlanDay, meal: DayMeal, steps: DishSteps, plain: tuple[Moment, ...]) -> DishDay:
    """Made with heat: the stove is lit so that it is done at its hour, not before arrival."""
    begin = _eat(day, meal)
    minutes = steps.minutes
    moments = plain
    if minutes is not None:
        earliest = day.hours.arrival_hour if meal.at_m >= day.stage.distance_m > 0 else 0.0
        hour = max(begin.early / 60.0 - minutes.late / 60.0, earliest)
        moments = _in_order(
            (*plain, Moment(hour=hour, what="cook", name=meal.name, at_m=meal.at_m))
        )
    return DishDay(verdict="can-be-made", way=steps.way, reason="", wetting=None, moments=moments)


def _soaked(day: PlanDay, wetting: Wetting, minutes: Span) -> tuple[Moment, ...]:
    """Wet it as late as it is still done in time; done; and the last bite."""
    assert wetting.latest_min is not None
    assert wetting.earliest_min is not None
    wet_min = wetting.latest_min if wetting.outcome == "ready" else wetting.earliest_min
    source = wetting.wet_at or wetting.carry_from
    place = "camp" if wetting.outcome == "in-camp" else source[-1] if source else ""
    return (
        Moment(hour=wet_min / 60.0, what="wet", name=place, at_m=_where(day, wet_min / 60.0)),
        Moment(
            hour=(wet_min + minutes.late) / 60.0,
            what="ready",
            name="",
            at_m=_where(day, (wet_min + minutes.late) / 60.0),
        ),
        Moment(
            hour=(wet_min + wetting.hold_minutes) / 60.0,
            what="eat-by",
            name="",
            at_m=_where(day, (wet_min + wetting.hold_minutes) / 60.0),
        ),
    )


def _where(day: PlanDay, hour: float) -> float:
    """Metres walked by then, going evenly with the time under way."""
    under_way = day.hours.under_way_hours
    share = (hour - day.hours.set_out_hour) / under_way if under_way > 0 else 0.0
    return day.stage.distance_m * min(max(share, 0.0), 1.0)


def _in_order(moments: tuple[Moment, ...]) -> tuple[Moment, ...]:
    return tuple(sorted(moments, key=lambda one: one.hour))
