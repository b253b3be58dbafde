"""What comes when on a day: leave, eat, last water, wet the jar, arrive?

Hours are likely ones; the band of arrival stands beside the day.  How long a dish soaks is
known with the menu: see :func:`fellfare.camp.timetable.wetting_window`.
"""

from __future__ import annotations

from typing import Final, Literal

from msgspec import Struct

from fellfare.trip.drinking import CAMP_WATER_M
from fellfare.trip.meals import DayMeal
from fellfare.trip.plan import PlanDay, TripPlan

#: How long eating takes [h] (judgement).
MEAL_HOURS: Final = 20.0 / 60.0

#: 'wet': no dinner jar is wetted before, or it stands too long until the last bite, 'eat-by';
#: with a dish in the timetable (:mod:`fellfare.trip.dish_day`) when it is wetted, 'ready' when
#: its soak is done, 'cook' when the stove is lit.
What = Literal["leave", "eat", "last-water", "wet", "arrive", "eat-by", "ready", "cook"]


class Moment(Struct, frozen=True, kw_only=True):
    """One thing on one day."""

    #: Hour of the clock; above 24 it is after midnight.
    hour: float
    what: What
    #: Of the eating time, the source, the camp; for 'wet' where the water is from.
    name: str
    #: Metres walked that day.
    at_m: float


def timetable_of(plan: TripPlan, day: PlanDay, *, hold_minutes: float) -> tuple[Moment, ...]:
    """A day by the clock, in its order.

    Parameters
    ----------
    plan, day
        The plan and one of its days.
    hold_minutes
        Longest time from wetting a jar to the last bite on that day [min].
    """
    length, hours = day.stage.distance_m, day.hours
    out = [
        Moment(hour=hour, what="eat", name=meal.name, at_m=at_m)
        for meal in day.meals
        for hour, at_m in _eaten(day, meal)
    ]
    if hours.under_way_hours > 0:
        out.append(Moment(hour=hours.set_out_hour, what="leave", name="", at_m=0.0))
        camp = day.stage.camp or ("" if day.day < len(plan.days) else "the end")
        out.append(Moment(hour=hours.arrival_hour, what="arrive", name=camp, at_m=length))
    on_way = [s for s in day.water.springs if s.counted]
    before = [s for s in on_way if 0 < s.at_m < length - CAMP_WATER_M]
    if before:
        last = before[-1]
        out.append(
            Moment(hour=_at(day, last.at_m), what="last-water", name=last.name, at_m=last.at_m)
        )
    wet = _wetting(plan, day, hold_minutes)
    if wet is not None:
        out.append(wet)
        last_bite = wet.hour + hold_minutes / 60.0
        out.append(Moment(hour=last_bite, what="eat-by", name="", at_m=length))
    order = {"eat": 0, "leave": 1, "last-water": 2, "arrive": 3, "wet": 4, "eat-by": 5}
    return tuple(sorted(out, key=lambda one: (one.hour, order[one.what])))


def _at(day: PlanDay, at_m: float) -> float:
    """Hour at which one is there, going evenly with the time under way."""
    length = day.stage.distance_m
    share = at_m / length if length > 0 else 0.0
    return day.hours.set_out_hour + share * day.hours.under_way_hours


def _eaten(day: PlanDay, meal: DayMeal) -> list[tuple[float, float]]:
    """(hour, metres) of each time that it is eaten."""
    if meal.hour is not None:
        return [(meal.hour, meal.at_m)]
    step = day.stage.distance_m / (meal.count + 1)
    return [(_at(day, step * (n + 1)), step * (n + 1)) for n in range(meal.count)]


def _wetting(plan: TripPlan, day: PlanDay, hold_minutes: float) -> Moment | None:
    """From when on those who eat cold may wet dinner; None when nobody does, or bought."""
    cold = bool(plan.trip.kitchens) and not all(day.can_heat)
    dinner = next((m for m in day.meals if m.name == "dinner" and not m.bought), None)
    if not cold or dinner is None or dinner.hour is None:
        return None
    hour = dinner.hour + MEAL_HOURS - hold_minutes / 60.0
    if day.water.water_at_camp and hour >= day.hours.arrival_hour:
        return Moment(hour=hour, what="wet", name="camp", at_m=day.stage.distance_m)
    passed = [s for s in day.water.springs if s.counted and _at(day, s.at_m) <= hour]
    spring = passed[-1] if passed else None
    share = (hour - day.hours.set_out_hour) / max(day.hours.under_way_hours, 1e-9)
    at_m = day.stage.distance_m * min(max(share, 0.0), 1.0)
    return Moment(hour=hour, what="wet", name=spring.name if spring else "", at_m=at_m)
