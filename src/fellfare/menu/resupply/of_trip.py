"""Which boxes and shops of a trip are worth using?"""

from __future__ import annotations

from collections.abc import Callable

import msgspec
from msgspec.structs import replace

from fellfare.menu.asked import Asked
from fellfare.menu.pool import Question
from fellfare.menu.resupply.choosing import choose_stops
from fellfare.menu.resupply.stops import Resupply, Stop, Worth
from fellfare.menu.trying import Trying, Watch
from fellfare.mistake import Mistake


class StopOfTrip(msgspec.Struct, frozen=True, kw_only=True):
    """A stop as it is weighed: from which day on it feeds, how much it has, what it asks."""

    name: str
    kind: str
    day: int
    #: Dishes that can be had there, of so many; None = all.
    dishes: int | None
    of: int
    fee: float | None
    effort_min: float | None


class StopsOfTrip(msgspec.Struct, frozen=True, kw_only=True):
    """The sets of stops weighed against one another, and what each stop is."""

    stops: tuple[StopOfTrip, ...]
    resupply: Resupply
    currency: str = ""
    #: Stops that feed no whole day, or from day 1 on, and were not weighed.
    left_out: tuple[str, ...] = ()


def stops_of_trip(
    asked: Asked,
    tries: Trying,
    worth: Worth | None = None,
    watch: Watch | None = None,
    *,
    stopped: Callable[[], bool] = lambda: False,
) -> StopsOfTrip:
    """Every set of the trip's boxes and shops: mean load, money, effort.

    For the need of the plan; without usual wishes for variety where there is no menu with
    them. A fee or an effort that nobody told counts as nothing.

    Raises
    ------
    Mistake
        ``no-stops``, and as :func:`~fellfare.menu.resupply.choosing.choose_stops`.
    """
    stops, told, left_out = _stops(asked)
    if not stops:
        raise Mistake(
            "no-stops",
            what="the trip has no box or shop that feeds a later day",
            mend='give one: [[stop]] with kind = "box" or "shop", and its day',
            where="stop",
        )
    found = choose_stops(_plain(asked, usual=True), stops, worth, tries=tries, watch=watch)
    if found.best is None and asked.usual and not stopped():
        left = replace(tries, seconds=max(tries.seconds - found.seconds, 1.0))
        found = choose_stops(_plain(asked, usual=False), stops, worth, tries=left, watch=watch)
    return StopsOfTrip(
        stops=told,
        resupply=found,
        currency=asked.plan.trip.rules.currency,
        left_out=left_out,
    )


def _plain(asked: Asked, *, usual: bool) -> Question:
    """What is asked, with mass weighed by the days that it is carried and not by the way.

    What a night's bags and a box hold is asked leg by leg anew.
    """
    question = asked.question(asked.first_need_kcal, usual=usual)
    slots = tuple(replace(slot, mass_weights=(1.0,)) for slot in question.slots)
    return replace(question, slots=slots, box_caps=())


def _stops(
    asked: Asked,
) -> tuple[tuple[Stop, ...], tuple[StopOfTrip, ...], tuple[str, ...]]:
    days = len(asked.plan.days)
    stops, told, left_out = [], [], []
    for take in asked.takes[1:]:
        assert take.stop is not None  # only the start has none
        own = take.stop.stop
        late = take.at_m > 0.5 * asked.plan.days[take.day - 1].stage.distance_m
        day = take.day + 1 if late else take.day
        if not 2 <= day <= days:
            left_out.append(take.name)
            continue
        had = tuple(one.id for one in asked.dishes if take.has(one.foods))
        dishes = None if take.has_all else had
        stops.append(
            Stop(
                name=take.name,
                day=day,
                fee=0.0 if own.fee is None else float(own.fee),
                effort_min=own.effort_min or 0.0,
                dishes=dishes,
                most_g=None if own.most_kg is None else 1000.0 * own.most_kg,
                most_ml=None if own.most_litres is None else 1000.0 * own.most_litres,
            )
        )
        told.append(
            StopOfTrip(
                name=take.name,
                kind=own.kind,
                day=day,
                dishes=None if dishes is None else len(dishes),
                of=len(asked.dishes),
                fee=None if own.fee is None else float(own.fee),
                effort_min=own.effort_min,
            )
        )
    return tuple(stops), tuple(told), tuple(left_out)
