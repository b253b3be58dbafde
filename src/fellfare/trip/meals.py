"""What is eaten on a day, when, where on the way, and which part of the day's food is it?"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.trip.trip import Trip
from fellfare.trip.wishes import USUAL_SHARES, Eating
from fellfare.walk.load import Meal
from fellfare.walk.stages import Clock, EatingTime, eaten_on

#: Part of a day's food for an eating time that has no usual one (judgement).
OTHER_SHARE: Final = 0.15


class DayMeal(Struct, frozen=True, kw_only=True):
    """One eating time of one day; what comes while walking is one entry with its count."""

    name: str
    #: Hour of the clock; None for what is eaten while walking.
    hour: float | None
    count: int
    #: Its part of what is eaten of trail food and at stops on that day, 0 to 1.
    share: float
    #: Where on the day's way it is eaten [m]; the first of several.
    at_m: float
    #: It is eaten at a stop and not carried.
    bought: bool = False


class DayHours(Struct, frozen=True, kw_only=True):
    """When one walks on a day."""

    day: int
    #: Hour of the clock of setting out.
    set_out_hour: float
    #: Moving time, and time under way with stops for food [h].
    moving_hours: float
    under_way_hours: float

    @property
    def arrival_hour(self) -> float:
        """Hour of the clock of arrival; above 24 it is after midnight."""
        return self.set_out_hour + self.under_way_hours


def clock_of(trip: Trip, end_hour: float | None) -> Clock:
    """The trip's eating times and hours for :func:`fellfare.walk.stages.eaten_on`."""
    return Clock(
        eating=tuple(
            EatingTime(name=time.name, hour=time.hour, every_walking_hours=time.every_walking_hours)
            for time in trip.eating
        ),
        start_hour=trip.way.start_hour,
        end_hour=None if end_hour is None else min(end_hour, 24.0),
        walk_from_hour=trip.way.walk_from_hour,
    )


def usual_share(time: Eating) -> float:
    """Its part of a whole day's food: its own, or the usual one of its name."""
    return USUAL_SHARES.get(time.name, OTHER_SHARE) if time.share is None else time.share


def meals_of_day(
    trip: Trip, hours: DayHours, days: int, length_m: float, bought: frozenset[str]
) -> tuple[DayMeal, ...]:
    """The meals of one day in walking order.

    On the first day what the clock shows before setting out is eaten at home; on the last,
    what it shows after arrival is.  Distances go evenly with the time under way.
    """
    end = hours.arrival_hour if trip.way.end_hour is None else trip.way.end_hour
    eaten = eaten_on(hours.day, days, clock_of(trip, end), hours.moving_hours)
    weights = {time.name: usual_share(time) for time in trip.eating}
    whole = sum(weights[one.name] for one in eaten)
    meals = []
    for one in eaten:
        count = one.count or 1
        part = _part(hours, one.hour, 1.0 / (count + 1))
        meals.append(
            DayMeal(
                name=one.name,
                hour=one.hour,
                count=count,
                share=weights[one.name] / whole if whole > 0 else 1.0 / len(eaten),
                at_m=part * length_m,
                bought=one.name in bought,
            )
        )
    return tuple(sorted(meals, key=lambda meal: (meal.at_m, meal.hour or 0.0)))


def _part(hours: DayHours, hour: float | None, walking: float) -> float:
    """Part of the day's way, 0 to 1, at an hour of the clock or a part of the walking time."""
    if hour is None:
        return walking
    if hour <= hours.set_out_hour:
        return 0.0
    if hours.under_way_hours <= 0 or hour >= hours.arrival_hour:
        return 1.0
    return (hour - hours.set_out_hour) / hours.under_way_hours


def carried_meals(meals: tuple[DayMeal, ...], length_m: float) -> tuple[Meal, ...]:
    """What of a day's food is carried, for the load; shares sum to 1.

    A day on which nothing carried is eaten gets one empty-handed meal at its start.
    """
    carried = [meal for meal in meals if not meal.bought]
    whole = sum(meal.share for meal in carried)
    if whole <= 0:
        return (Meal(at_m=0.0, share=1.0),)
    out = []
    for meal in carried:
        share = meal.share / whole
        if meal.hour is not None or meal.count == 1:
            out.append(Meal(at_m=meal.at_m, share=share))
            continue
        step = length_m / (meal.count + 1)
        out += [Meal(at_m=step * (k + 1), share=share / meal.count) for k in range(meal.count)]
    return tuple(sorted(out, key=lambda meal: meal.at_m))


def carried_share(meals: tuple[DayMeal, ...]) -> float:
    """Part of a day's food that must be carried, 0 to 1; 0 when nothing is eaten."""
    return float(sum(meal.share for meal in meals if not meal.bought))
