"""What is wrong with a trip, before anybody looks at its track?

All faults of a document together, each with the field in which it stands
(``kitchen[0].walkers``), so that the ``files`` room can name the line.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from typing import Final

from fellfare.camp.fuel.canister import SIZES
from fellfare.camp.fuel.efficiency import STOVES
from fellfare.camp.fuel.fuels import FUELS
from fellfare.mistake import Mistake
from fellfare.trip.kit import USUAL_HOT
from fellfare.trip.ranges import range_faults
from fellfare.trip.trip import Trip
from fellfare.trip.wishes import Eating
from fellfare.walk.stages.cutting import MOST_DAYS
from fellfare.walk.terrain import TERRAINS

#: Years in which a walk may begin: calendars end, and a slip of the pen begins in 0203.
START_YEARS: Final = (1900, 2500)


def faults_of(trip: Trip) -> tuple[Mistake, ...]:
    """Every fault of the document, in its order; empty when there is none.

    Codes: ``no-title``, ``party-empty``, ``start-out-of-range``, ``names-not-unlike``, ``no-way``,
    ``way-twice``, ``hours-reversed``, ``unknown-terrain``, ``day-out-of-range``,
    ``day-twice``, ``unknown-walker``, ``walker-in-two-kitchens``,
    ``walker-without-kitchen``, ``unknown-stove``, ``unknown-fuel``,
    ``stove-without-fuel``, ``unknown-canister``, ``unknown-eating-time``,
    ``eating-time``, ``eating-time-twice``, ``place-unclear``, ``place-off-day``, ``stop-twice``,
    ``post-unclear``, ``budget-without-currency``, ``order-unclear``, ``shares-beyond-whole``,
    ``share-by-weight``, ``liked-twice``, ``liked-and-never``, and those of
    :func:`fellfare.trip.ranges.range_faults`.
    """
    return (
        *_whole(trip),
        *_way(trip),
        *_days(trip),
        *_kitchens(trip),
        *_places(trip),
        *_eating(trip),
        *range_faults(trip),
    )


def _whole(trip: Trip) -> Iterator[Mistake]:
    if not trip.title.strip():
        yield Mistake("no-title", "the title is empty", 'name the trip: title = "…"', "title")
    if not trip.walkers:
        yield Mistake("party-empty", "nobody walks", "give at least one [[walker]]", "walker")
    start, (first, last) = trip.start_date, START_YEARS
    if start is not None and not first <= start.year <= last:
        what = f"the walk would begin in the year {start.year}"
        mend = f"give a year from {first} to {last}"
        yield Mistake("start-out-of-range", what, mend, "start_date")
    seen: set[str] = set()
    for number, walker in enumerate(trip.walkers):
        if walker.name in seen:
            what, mend = f"two walkers are called {walker.name!r}", "give each a name of their own"
            yield Mistake("names-not-unlike", what, mend, f"walker[{number}].name")
        seen.add(walker.name)
    order = trip.rules.order
    if "mass" not in order or len(set(order)) < len(order):
        what = f"order = [{', '.join(order)}]"
        mend = 'name "mass" and each of the others once at most: order = ["mass", "liking"]'
        yield Mistake("order-unclear", what, mend, "rules.order")
    if (trip.rules.budget is None) != (trip.rules.currency == ""):
        what = "budget and currency do not stand together"
        mend = 'write both: budget = "120.00" and currency = "EUR"'
        yield Mistake("budget-without-currency", what, mend, "rules.budget")


def _way(trip: Trip) -> Iterator[Mistake]:
    way = trip.way
    if not way.gpx and not trip.stages:
        mend = 'write gpx = "walk.gpx" under [walk], or one [[stage]] for each day'
        yield Mistake("no-way", "the trip has neither a track nor stages", mend, "walk")
    if way.gpx and trip.stages:
        mend = "leave out one of the two"
        yield Mistake("way-twice", "both a track and a table of stages are given", mend, "walk.gpx")
    if way.camps and way.hours_per_day:
        mend = "leave out one of the two"
        what = "days are told twice, by camps and by hours"
        yield Mistake("way-twice", what, mend, "walk.camps")
    if trip.stages and (way.camps or way.hours_per_day):
        what = "camps and hours per day belong to a track, not to a table"
        mend = "name the camp in each [[stage]]"
        yield Mistake("way-twice", what, mend, "walk.camps" if way.camps else "walk.hours_per_day")
    if trip.stages and way.days is not None and way.days != len(trip.stages):
        what = f"{way.days} days are meant, but the table has {len(trip.stages)}"
        yield Mistake("days-and-camps", what, "give one [[stage]] for each day", "walk.days")
    begins = way.start_hour if len(trip.stages) == 1 else way.walk_from_hour
    if way.end_hour is not None and way.end_hour <= begins:
        what = f"the last day would end at {way.end_hour:g} h and begin at {begins:g} h"
        mend = "give the hour of arrival after that of setting out"
        yield Mistake("hours-reversed", what, mend, "walk.end_hour")
    if way.wake_hour > way.walk_from_hour:
        what = f"one would wake at {way.wake_hour:g} h and set out at {way.walk_from_hour:g} h"
        yield Mistake("hours-reversed", what, "wake before setting out", "walk.wake_hour")
    if way.end_hour is not None and way.end_hour <= way.wake_hour:
        what = f"the last day would end at {way.end_hour:g} h, before waking"
        yield Mistake("hours-reversed", what, "end the walk after waking", "walk.end_hour")
    told = [("walk.terrain", way.terrain)]
    told += [
        (f"stage[{n}].terrain", line.terrain or way.terrain) for n, line in enumerate(trip.stages)
    ]
    told += [(f"day[{n}].terrain", word.terrain or way.terrain) for n, word in enumerate(trip.days)]
    names = [terrain.name for terrain in TERRAINS]
    wrong: dict[str, str] = {}
    for field, name in told:
        if name not in names:
            wrong.setdefault(name, field)
    for name, field in wrong.items():
        yield _unknown("unknown-terrain", "ground", name, names, field)


def _days(trip: Trip) -> Iterator[Mistake]:
    most = len(trip.stages) or trip.way.days or MOST_DAYS
    seen: set[int] = set()
    numbered = [(f"day[{n}].day", word.day) for n, word in enumerate(trip.days)]
    for field, day in numbered:
        if day in seen:
            what, mend = f"day {day} is told twice", "put all of it into one [[day]]"
            yield Mistake("day-twice", what, mend, field)
        seen.add(day)
    numbered += [
        (f"stop[{n}].day", stop.day) for n, stop in enumerate(trip.stops) if stop.day is not None
    ]
    numbered += [
        (f"water[{n}].day", one.day) for n, one in enumerate(trip.water) if one.day is not None
    ]
    numbered += [(f"fixed[{n}].day", dish.day) for n, dish in enumerate(trip.fixed)]
    for field, day in numbered:
        if not 1 <= day <= most:
            what, mend = f"there is no day {day}", f"count the days from 1 to {most}"
            yield Mistake("day-out-of-range", what, mend, field)


def _kitchens(trip: Trip) -> Iterator[Mistake]:
    names = [walker.name for walker in trip.walkers]
    times = [time.name for time in trip.eating]
    count = Counter(name for kitchen in trip.kitchens for name in kitchen.walkers)
    for number, kitchen in enumerate(trip.kitchens):
        at = f"kitchen[{number}]"
        for name in kitchen.walkers:
            if name not in names:
                yield _unknown("unknown-walker", "walker", name, names, f"{at}.walkers")
        for name in kitchen.own_pot:
            if name not in kitchen.walkers:
                yield _unknown(
                    "unknown-walker",
                    "eater of this kitchen",
                    name,
                    kitchen.walkers,
                    f"{at}.own_pot",
                )
        if not kitchen.walkers:
            mend = "name at least one walker, or leave the kitchen out"
            yield Mistake("unknown-walker", "nobody eats in this kitchen", mend, f"{at}.walkers")
        if kitchen.stove is not None and kitchen.stove not in STOVES:
            yield _unknown(
                "unknown-stove", "class of stove", kitchen.stove, list(STOVES), f"{at}.stove"
            )
        if kitchen.fuel is not None and kitchen.fuel not in FUELS:
            yield _unknown("unknown-fuel", "fuel", kitchen.fuel, sorted(FUELS), f"{at}.fuel")
        yield from _burning(kitchen.stove, kitchen.fuel, at)
        sizes = [size.net_g for size in SIZES]
        for net in kitchen.canisters_g:
            if net not in sizes:
                what = f"no canister holds {net:g} g"
                mend = "choose from " + ", ".join(f"{size:g}" for size in sizes)
                yield Mistake("unknown-canister", what, mend, f"{at}.canisters_g")
        for hot in kitchen.hot if not kitchen.stoveless else ():
            if hot.eating not in times and kitchen.hot != USUAL_HOT:
                yield _unknown("unknown-eating-time", "eating time", hot.eating, times, f"{at}.hot")
    for name in names:
        if trip.kitchens and count[name] == 0:
            mend = "name them in a [[kitchen]]; one without a stove is stoveless"
            yield Mistake(
                "walker-without-kitchen", f"{name} eats in no kitchen", mend, "kitchen[0].walkers"
            )
        if count[name] > 1:
            mend = "name everybody in one kitchen"
            yield Mistake(
                "walker-in-two-kitchens",
                f"{name} eats in {count[name]} kitchens",
                mend,
                "kitchen[0].walkers",
            )
    for number, container in enumerate(trip.containers):
        if container.walker not in names:
            yield _unknown(
                "unknown-walker", "walker", container.walker, names, f"container[{number}].walker"
            )
    for number, dish in enumerate(trip.fixed):
        if dish.eating not in times:
            yield _unknown(
                "unknown-eating-time", "eating time", dish.eating, times, f"fixed[{number}].eating"
            )
        for name in dish.walkers:
            if name not in names:
                yield _unknown("unknown-walker", "walker", name, names, f"fixed[{number}].walkers")


def _burning(stove: str | None, fuel: str | None, at: str) -> Iterator[Mistake]:
    if (stove is None) != (fuel is None):
        what = "a stove has no fuel" if fuel is None else "there is fuel but no stove"
        yield Mistake(
            "stove-without-fuel", what, "give both, or neither for stoveless", f"{at}.stove"
        )
    if stove in STOVES and fuel in FUELS and FUELS[fuel].kind not in STOVES[stove].burns:
        what = f"the stove {stove!r} does not burn {fuel!r}"
        fit = ", ".join(
            sorted(one for one, made in FUELS.items() if made.kind in STOVES[stove].burns)
        )
        yield Mistake("stove-without-fuel", what, f"it burns {fit}", f"{at}.fuel")


def _places(trip: Trip) -> Iterator[Mistake]:
    times = [time.name for time in trip.eating]
    seen: set[str] = set()
    for number, stop in enumerate(trip.stops):
        at = f"stop[{number}]"
        if stop.name in seen:
            what, mend = f"the stop {stop.name!r} is told twice", "put all of it into one [[stop]]"
            yield Mistake("stop-twice", what, mend, f"{at}.name")
        seen.add(stop.name)
        yield from _one_place(trip, stop.day, stop.at_m, at)
        if stop.day is not None and stop.place:
            what = "the place is told twice, by name and by day"
            yield Mistake("place-unclear", what, "leave out one of the two", f"{at}.place")
        for fuel in stop.fuels or ():
            if fuel not in FUELS:
                yield _unknown("unknown-fuel", "fuel", fuel, sorted(FUELS), f"{at}.fuels")
        for meal in stop.meals:
            if meal not in times:
                yield _unknown("unknown-eating-time", "eating time", meal, times, f"{at}.meals")
        posted = (stop.posted, stop.transit_days, stop.hold_days, stop.warmest_c)
        if stop.kind != "box" and any(word is not None for word in posted):
            what = "only a box is posted"
            mend = 'write kind = "box", or leave out dates, days and warmth of the post'
            yield Mistake("post-unclear", what, mend, f"{at}.kind")
    for number, word in enumerate(trip.fire):
        if (word.from_date is None) == (not word.from_place):
            what = "a fire rule begins on a date or at a place"
            mend = 'write from_date = 2031-07-01 or from_place = "…", one of the two'
            yield Mistake("place-unclear", what, mend, f"fire[{number}].rule")
        elif word.from_date is not None and trip.start_date is None:
            what = f"nobody knows on which day of the walk {word.from_date} is"
            mend = "give the trip a start_date"
            yield Mistake("place-unclear", what, mend, f"fire[{number}].from_date")
    for number, source in enumerate(trip.water):
        yield from _one_place(trip, source.day, source.at_m, f"water[{number}]")


def _one_place(trip: Trip, day: int | None, at_m: float | None, at: str) -> Iterator[Mistake]:
    if (day is None) != (at_m is None):
        what = "a place needs both its day and the metres walked on it"
        yield Mistake("place-unclear", what, "write day = 3 and at_m = 9200", f"{at}.day")
    elif day is None and trip.stages:
        what = "without a track nobody knows where that is"
        yield Mistake("place-unclear", what, "write day = 3 and at_m = 9200", f"{at}.name")
    elif day is not None and at_m is not None and 1 <= day <= len(trip.stages):
        length = trip.stages[day - 1].distance_m
        if at_m > length:
            what = f"{at_m:g} m lie beyond the end of day {day}, which has {length:g} m"
            yield Mistake("place-off-day", what, "give metres walked on that day", f"{at}.at_m")


def _eating(trip: Trip) -> Iterator[Mistake]:
    if not trip.eating:
        yield Mistake(
            "eating-time", "there is no eating time", "give at least one [[eating]]", "eating"
        )
    seen: set[str] = set()
    for number, time in enumerate(trip.eating):
        at = f"eating[{number}]"
        if time.name in seen:
            what, mend = f"the eating time {time.name!r} is told twice", "give each its own name"
            yield Mistake("eating-time-twice", what, mend, f"{at}.name")
        seen.add(time.name)
        if not _clear(time):
            what = f"'{time.name}' needs a name and either an hour or an interval"
            mend = "write hour = 12.5 (0 to 24), or every_walking_hours = 2 (0.1 to 24)"
            yield Mistake("eating-time", what, mend, at)
    for number, time in enumerate(trip.eating):
        if time.energy_share is not None and time.name in trip.rules.by_ration:
            what = (
                f"'{time.name}' is fed by weight, and its share of the energy is that of the plan"
            )
            mend = "leave out energy_share, or take it out of by_ration"
            yield Mistake("share-by-weight", what, mend, f"eating[{number}].energy_share")
    floors = sum(time.energy_share[0] for time in trip.eating if time.energy_share is not None)
    if floors > 1 + 1e-9:
        what = f"the least shares of the eating times add up to {floors:.0%} of the day"
        mend = "let them be 100 % at most: breakfast 0.2, snack 0.2, lunch 0.2, dinner 0.3"
        yield Mistake("shares-beyond-whole", what, mend, "eating")
    dishes = [one.dish for one in trip.liked]
    for number, name in enumerate(dishes):
        if name in dishes[:number]:
            what, mend = f"{name!r} is liked twice", "put both into one [[liked]]"
            yield Mistake("liked-twice", what, mend, f"liked[{number}].dish")
        if name in trip.rules.never:
            what, mend = f"{name!r} is liked, and nobody wants it", "leave out one of the two"
            yield Mistake("liked-and-never", what, mend, f"liked[{number}].dish")
    names = [time.name for time in trip.eating]
    for name in trip.rules.by_ration:
        if name not in names:
            yield _unknown("unknown-eating-time", "eating time", name, names, "rules.by_ration")


def _clear(time: Eating) -> bool:
    by_clock = time.hour is not None and 0 <= time.hour <= 24
    by_foot = time.every_walking_hours is not None and 0.1 <= time.every_walking_hours <= 24
    given = (time.hour is not None) + (time.every_walking_hours is not None)
    return bool(time.name.strip()) and given == 1 and (by_clock or by_foot)


def _unknown(code: str, what: str, name: str, known: Sequence[str], field: str) -> Mistake:
    near = get_close_matches(name, known, n=2)
    mend = (
        f"did you mean {' or '.join(map(repr, near))}?"
        if near
        else f"choose from {', '.join(known)}"
    )
    return Mistake(code, f"no {what} is called {name[:60]!r}", mend, field)
