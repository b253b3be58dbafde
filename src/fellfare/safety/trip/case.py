"""Put together what the trip's rules look at."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from fellfare.mistake import Finding, Mistake
from fellfare.safety.case import LEAST_AIR_C, LEAST_ALTITUDE_M, MOST_AIR_C, MOST_ALTITUDE_M
from fellfare.safety.trip.facts import (
    RECKONED,
    BoxFact,
    CarriedFood,
    DayFacts,
    Jar,
    Ration,
    Reckoned,
    Stretch,
    TripCase,
    WaterFact,
)
from fellfare.safety.water_treatment import AGENCIES, TREATMENTS, Agency, Treatment
from fellfare.trip.trip import Trip
from fellfare.trip.way import FIRE_RULES, FireRule
from fellfare.walk.deficit import target_kcal as target_of

#: Somebody may look at a whole year of walking.
_MOST_DAYS = 400


def trip_case(
    trip: Trip,
    *,
    days: int | None = None,
    camps: Mapping[int, str] | None = None,
    camp_m: Mapping[int, float | None] | None = None,
    day_c: Mapping[int, float | None] | None = None,
    night_c: Mapping[int, float | None] | None = None,
    fire: Mapping[int, FireRule | None] | None = None,
    cold: Mapping[int, Sequence[str]] | None = None,
    need_kcal: Mapping[str, Sequence[float | None]] | None = None,
    target_kcal: Mapping[str, Sequence[float | None]] | None = None,
    fat_kg: Mapping[str, float] | None = None,
    gas: Sequence[Finding] | None = None,
    jars: Sequence[Jar] = (),
    treatment: Sequence[Treatment] | None = None,
    agency: Agency = "strictest",
    sources: Sequence[WaterFact] = (),
    stretches: Sequence[Stretch] | None = None,
    reckoned: Sequence[Reckoned] = (),
    stop_days: Mapping[str, int] | None = None,
    box_warmest_c: Mapping[str, float | None] | None = None,
    box_fuels: Mapping[str, Sequence[str]] | None = None,
    foods: Sequence[CarriedFood] | None = None,
    cooking_inside: bool | None = None,
    raw_pulses: bool | None = None,
    own_pot: Sequence[str] = (),
    flies: bool | None = None,
    stops_asked: Sequence[str] = (),
    health_asked: bool | None = None,
) -> TripCase:
    """A trip with what is known of it; every fact left out is one that nobody knows.

    What the document itself says (weather, fire, camps of a table, water points, boxes)
    is taken from it; a fact given here goes before it.

    Parameters
    ----------
    trip
        The document.
    days
        How many days; None = as many as the document or the facts tell.
    camps, camp_m, day_c, night_c, fire
        By day (1 = first): name and height of its camp [m], warmest by day and coldest by
        night [°C], fire rule.  A day without a camp is left out of ``camp_m``; the last day
        has none unless it is given.
    cold
        By day: names of those who eat nothing heated.
    need_kcal, target_kcal
        By walker, one figure per day [kcal].  Without ``target_kcal`` it is need x coverage
        (x appetite of the day) as the trip's rules say.
    fat_kg
        By walker [kg].
    gas
        Findings of :func:`fellfare.camp.fuel.vapour.gas_in_cold`, where the caller has asked;
        () = asked, and none.
    jars
        Meals that soak, from the timetable.
    treatment, agency
        What is done with the water, and whose boiling time counts.
    sources, stretches
        Water points beyond what the document says of them, and the ways between them.
    reckoned
        What the caller's plan has looked at and tells of itself (:data:`.facts.RECKONED`); it
        is not said twice.
    stop_days, box_warmest_c, box_fuels
        By name of stop: day of arrival; warmest of the box [°C]; ids of the fuels in it.
    foods
        Foods with the history of their warmth; None = no menu yet.
    cooking_inside, raw_pulses, own_pot, flies, stops_asked, health_asked
        As in :class:`~fellfare.safety.trip.facts.TripCase`.

    Raises
    ------
    Mistake
        ``day-out-of-range``, ``altitude-out-of-range``, ``air-out-of-range``,
        ``time-out-of-range``, ``need-out-of-range``, ``water-out-of-range``,
        ``unknown-walker``, ``unknown-fire-rule``, ``unknown-agency``, ``unknown-treatment``,
        ``unknown-reckoning``, ``days-uneven``, ``fat-out-of-range``.
    """
    names = [walker.name for walker in trip.walkers]
    by_day: tuple[Mapping[int, object] | None, ...] = (camps, camp_m, day_c, night_c, fire, cold)
    count = _count(trip, days, by_day)
    for numbers in (*by_day, {jar.day: jar for jar in jars}):
        for number in numbers or ():
            if not 1 <= number <= count:
                raise Mistake(
                    "day-out-of-range",
                    what=f"there is no day {number}",
                    mend=f"count the days from 1 to {count}",
                )
    told = [*(need_kcal or {}), *(target_kcal or {}), *(fat_kg or {}), *own_pot]
    told += [jar.walker for jar in jars]
    told += [name for eaters in (cold or {}).values() for name in eaters]
    _known(told, names, "unknown-walker", "walker")
    _known([agency], AGENCIES, "unknown-agency", "agency")
    _known(reckoned, RECKONED, "unknown-reckoning", "reckoning")
    _known(treatment or (), TREATMENTS, "unknown-treatment", "treatment of water")
    _known([rule for rule in (fire or {}).values() if rule], FIRE_RULES, "unknown-fire-rule",
           "fire rule")  # fmt: skip
    case = TripCase(
        trip=trip,
        days=tuple(
            _day(trip, number, count, camps, camp_m, day_c, night_c, fire, cold)
            for number in range(1, count + 1)
        ),
        rations=tuple(
            _ration(trip, name, need_kcal or {}, target_kcal or {}, fat_kg or {}) for name in names
        ),
        jars=tuple(jars),
        treatment=None if treatment is None else tuple(treatment),
        agency=agency,
        sources=_sources(trip, sources),
        stretches=None if stretches is None else tuple(stretches),
        reckoned=tuple(reckoned),
        boxes=_boxes(trip, stop_days or {}, box_warmest_c or {}, box_fuels or {}),
        foods=None if foods is None else tuple(foods),
        gas=None if gas is None else tuple(gas),
        cooking_inside=cooking_inside,
        raw_pulses=raw_pulses,
        own_pot=tuple(own_pot),
        flies=flies,
        stops_asked=tuple(stops_asked),
        health_asked=health_asked,
    )
    _check_figures(case)
    return case


def _count(trip: Trip, days: int | None, by_day: Sequence[Mapping[int, object] | None]) -> int:
    told = [len(trip.stages), trip.way.days or 0]
    told += [max(numbers) for numbers in by_day if numbers]
    count = max(told) if days is None else days
    if not 0 <= count <= _MOST_DAYS:
        raise Mistake(
            "day-out-of-range",
            what=f"{count} days is outside 0 to {_MOST_DAYS}",
            mend="give the number of days",
        )
    return count


def _day(
    trip: Trip,
    number: int,
    count: int,
    camps: Mapping[int, str] | None,
    camp_m: Mapping[int, float | None] | None,
    day_c: Mapping[int, float | None] | None,
    night_c: Mapping[int, float | None] | None,
    fire: Mapping[int, FireRule | None] | None,
    cold: Mapping[int, Sequence[str]] | None,
) -> DayFacts:
    way, word = trip.way, trip.day_word(number)
    line = trip.stages[number - 1] if number <= len(trip.stages) else None
    camp = (camps or {}).get(number) or (line.camp if line else "")
    height = (camp_m or {}).get(number, line.camp_m if line else None)
    last = number == count
    return DayFacts(
        day=number,
        sleeps_out=not last or bool(camp) or height is not None,
        camp=camp,
        camp_m=height,
        day_c=(day_c or {}).get(number, way.day_c if word.day_c is None else word.day_c),
        night_c=(night_c or {}).get(number, way.night_c if word.night_c is None else word.night_c),
        fire=(fire or {}).get(number, way.fire if word.fire is None else word.fire),
        wind=word.wind or way.wind,
        cold=tuple((cold or {}).get(number, ())),
    )


def _ration(
    trip: Trip,
    name: str,
    needs: Mapping[str, Sequence[float | None]],
    targets: Mapping[str, Sequence[float | None]],
    fat_kg: Mapping[str, float],
) -> Ration:
    need = needs.get(name)
    target = targets.get(name)
    if target is None and need is not None:
        walker = next(one for one in trip.walkers if one.name == name)
        target = [
            None
            if kcal is None
            else target_of(
                kcal,
                coverage=trip.rules.coverage,
                appetite=walker.appetite_on(day) if trip.rules.follow_appetite else 1.0,
            )
            for day, kcal in enumerate(need, 1)
        ]
    if need is not None and target is not None and len(need) != len(target):
        raise Mistake(
            "days-uneven",
            what=f"{name}: {len(need)} needs and {len(target)} targets",
            mend="give one of each per day",
        )
    return Ration(
        walker=name,
        need_kcal=None if need is None else tuple(need),
        target_kcal=None if target is None else tuple(target),
        fat_kg=fat_kg.get(name),
    )


def _sources(trip: Trip, sources: Sequence[WaterFact]) -> tuple[WaterFact, ...]:
    """What is given goes before what the document says."""
    given = {source.name for source in sources}
    said = (
        WaterFact(name=one.name, reliability=one.reliability)
        for one in trip.water
        if one.name not in given
    )
    return (*sources, *said)


def _boxes(
    trip: Trip,
    stop_days: Mapping[str, int],
    warmest_c: Mapping[str, float | None],
    fuels: Mapping[str, Sequence[str]],
) -> tuple[BoxFact, ...]:
    return tuple(
        BoxFact(
            name=stop.name,
            day=stop_days.get(stop.name, stop.day),
            posted=stop.posted,
            transit_days=stop.transit_days,
            hold_days=stop.hold_days,
            fuels=tuple(fuels[stop.name]) if stop.name in fuels else (stop.fuels or None),
            warmest_c=warmest_c.get(stop.name),
        )
        for stop in trip.stops
        if stop.kind == "box"
    )


def _known(words: Iterable[str], known: Sequence[str], code: str, what: str) -> None:
    for word in words:
        if word not in known:
            raise Mistake(
                code,
                what=f"no {what} is called {word!r}",
                mend="choose from " + ", ".join(known),
            )


def _check_figures(case: TripCase) -> None:
    for day in case.days:
        _within(day.camp_m, LEAST_ALTITUDE_M, MOST_ALTITUDE_M, "altitude-out-of-range", day.said,
                "m")  # fmt: skip
        for air_c in (day.day_c, day.night_c):
            _within(air_c, LEAST_AIR_C, MOST_AIR_C, "air-out-of-range", day.said, "°C")
    for ration in case.rations:
        for kcal in (*(ration.need_kcal or ()), *(ration.target_kcal or ())):
            _within(kcal, 0.0, 20_000.0, "need-out-of-range", ration.walker, "kcal a day")
        _within(ration.fat_kg, 1.0, 150.0, "fat-out-of-range", ration.walker, "kg of body fat")
    for jar in case.jars:
        _within(jar.minutes, 0.0, 10_080.0, "time-out-of-range", jar.said, "minutes")
        _within(jar.at_c, LEAST_AIR_C, MOST_AIR_C, "air-out-of-range", jar.said, "°C")
    for way in case.stretches or ():
        _within(way.hours, 0.0, 240.0, "time-out-of-range", way.said, "hours")
        _within(way.distance_m, 0.0, 500_000.0, "water-out-of-range", way.said, "m")
        _within(way.camp_ml, 0.0, 100_000.0, "water-out-of-range", way.said, "mL")
    for box in case.boxes:
        _within(box.warmest_c, LEAST_AIR_C, MOST_AIR_C, "air-out-of-range", box.name, "°C")
    for food in case.foods or ():
        for stay in food.stays:
            _within(stay.days, 0.0, 36_500.0, "time-out-of-range", food.name, "days")
            _within(stay.c, -40.0, MOST_AIR_C, "air-out-of-range", food.name, "°C")


def _within(
    value: float | None, least: float, most: float, code: str, where: str, unit: str
) -> None:
    if value is not None and not least <= value <= most:  # NaN fails too
        raise Mistake(
            code,
            what=f"{value:g} {unit} is outside {least:g} to {most:g}",
            mend=f"give it in {unit}, or leave it out when it is not known",
            where=where,
        )
