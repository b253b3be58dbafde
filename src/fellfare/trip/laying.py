"""How does the way of a trip fall into days, and where do its stops lie?"""

from __future__ import annotations

from difflib import get_close_matches
from typing import Final

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from fellfare.mistake import Finding, Mistake, Mistakes
from fellfare.trip.ground import Ground
from fellfare.trip.stop import TripStop
from fellfare.trip.trip import Trip
from fellfare.trip.way import FIRE_RULES, FireRule
from fellfare.walk.figures import Array
from fellfare.walk.legs import Legs
from fellfare.walk.pace.plan import planned_hours
from fellfare.walk.profile import Profile, profile_of
from fellfare.walk.stages import (
    Pace,
    Stage,
    StageRow,
    Stages,
    legs_of_stages,
    stages_at_camps,
    stages_by_hours,
    stages_cut_at,
    stages_from_table,
)
from fellfare.walk.terrain import terrain_named

#: Food on the back that days by hours are cut with, before any need is known [kg].
GUESSED_FOOD_KG: Final = 3.0
#: Longest mean step of the way on which places are looked for [m]: a fix is no better.
PLACE_STEP_M: Final = 15.0


class PlacedStop(Struct, frozen=True, kw_only=True):
    """A stop of the trip and where on the walk it lies."""

    stop: TripStop
    #: 1 for the first day; metres walked on it.
    day: int
    at_m: float


class Laid(Struct, frozen=True, kw_only=True, eq=False):
    """The days of a trip, with ground, weather and stops; no hours yet."""

    stages: tuple[Stage, ...]
    #: None = a table of stages without a track.
    profile: Profile | None
    #: All that is walked; None = nothing but rest days.
    legs: Legs | None
    #: In walking order.
    stops: tuple[PlacedStop, ...]
    #: What may burn on each day; None = nobody has asked.
    fire: tuple[FireRule | None, ...]
    findings: tuple[Finding, ...]


def lay_out(trip: Trip, ground: Ground) -> Laid:
    """The days of a trip on its ground.

    Raises
    ------
    Mistake
        ``no-way`` when track or stages are missing, ``days-and-camps``,
        ``day-out-of-range``, ``unknown-place``, ``place-off-track``, and those of
        :mod:`fellfare.walk.stages` and :func:`fellfare.walk.profile.profile_of`, with the
        field of the document in ``where``.
    """
    profile, cut = _cut(trip, ground)
    _check_days(trip, len(cut.stages))
    _check_water(trip, ground)
    stages = tuple(_worded(trip, stage) for stage in cut.stages)
    fire, said = _fire(trip, ground, stages)
    legs = legs_of_stages(stages, lambda name: terrain_named(name).eta)
    found = (*ground.findings, *(profile.findings if profile else ()), *cut.findings, *said)
    return Laid(
        stages=stages,
        profile=profile,
        legs=legs,
        stops=_placed_stops(trip, ground, stages),
        fire=fire,
        findings=found,
    )


def _cut(trip: Trip, ground: Ground) -> tuple[Profile | None, Stages]:
    way = trip.way
    if trip.stages:
        rows = tuple(
            StageRow(
                distance_m=line.distance_m,
                ascent_m=line.ascent_m,
                descent_m=line.descent_m,
                name=line.name,
                camp=line.camp,
                camp_m=line.camp_m,
                terrain=line.terrain or way.terrain,
                water_m=line.water_m,
            )
            for line in trip.stages
        )
        try:
            return None, stages_from_table(rows, start_m=way.start_m)
        except Mistake as mistake:
            raise _in_table(mistake) from None
    if ground.track is None:
        mend = "give the track of the trip, or one [[stage]] for each day"
        raise Mistake("no-way", "there is no track to lay the days on", mend, "walk.gpx")
    field = "walk.gpx"
    try:
        profile = profile_of(ground.track)
        sparse = sparser(profile)
        field = "walk.hours_per_day" if way.hours_per_day else "walk.camps"
        if way.hours_per_day:
            stages = stages_by_hours(
                sparse, nominal_pace(trip), way.hours_per_day, ground.places, terrain=way.terrain
            )
        elif way.days == 1 and not way.camps and not any(p.kind == "camp" for p in ground.places):
            stages = stages_cut_at(sparse, (), ground.places, terrain=way.terrain)
        else:
            stages = stages_at_camps(sparse, ground.places, order=way.camps, terrain=way.terrain)
    except Mistake as mistake:
        raise _told_in_full(mistake, ground, field) from mistake
    return profile, stages


def _told_in_full(mistake: Mistake, ground: Ground, field: str) -> Mistake:
    """The walk room's mistake with what the file and the document can say to it."""
    what, mend = mistake.what, mistake.mend
    if mistake.code == "no-elevation":
        for said in (f.text for f in ground.findings if f.rule == "elevation-mostly-missing"):
            what = f"the climb is not known: {said.rstrip('.')}"
    if mistake.code == "no-camps":
        mend = (
            "give camps the type 'camp' in the file, name places in camps = [...], write "
            "hours_per_day = [6], or days = 1 for a walk without a night"
        )
    return Mistake(mistake.code, what, mend, field)


def _in_table(mistake: Mistake) -> Mistake:
    """'day 3' of the walk room is the third [[stage]] of the document."""
    if isinstance(mistake, Mistakes):
        return Mistakes(tuple(_in_table(one) for one in mistake.each))
    day = mistake.where.removeprefix("day ")
    field = f"stage[{int(day) - 1}]" if day.isdecimal() else "stage[0]"
    return Mistake(mistake.code, mistake.what, mistake.mend, field)


def sparser(profile: Profile) -> Profile:
    """The same heights over fewer points of the way, for finding places on it.

    A receiver that writes every second leaves points 2 m apart; where a place lies beside
    the way is as well told by every n-th, mean steps up to :data:`PLACE_STEP_M`.
    """
    count = profile.point_m.size
    every = int(PLACE_STEP_M * count / profile.length_m)
    if every < 2 or count < 1_000:
        return profile
    keep = np.zeros(count, bool)
    keep[::every] = True
    ends = np.array(profile.point_ends, np.intp)
    keep[ends - 1] = True
    keep[np.concatenate([[0], ends[:-1]])] = True
    track = profile.track
    segments = np.array(track.segment_ends, np.intp)
    keep[segments - 1] = True
    counts = np.cumsum(keep)
    return replace(
        profile,
        track=replace(
            track,
            lat_deg=track.lat_deg[keep],
            lon_deg=track.lon_deg[keep],
            segment_ends=tuple(counts[segments - 1].tolist()),
            ele_m=None,
            time_s=None,
        ),
        point_m=profile.point_m[keep],
        point_ends=tuple(counts[ends - 1].tolist()),
    )


def nominal_pace(trip: Trip) -> Pace:
    """Hours of the slowest walker with a guessed load, on the ground of the whole walk."""
    eta = terrain_named(trip.way.terrain).eta
    each = trip.walkers
    guessed = np.array([[(one.base_pack_kg + GUESSED_FOOD_KG + 1.0) / one.mass_kg] for one in each])
    factor = np.array([[one.pace_factor] for one in each])

    def pace(distance_m: Array, grade: Array) -> Array:
        hours = planned_hours(
            distance_m,
            grade,
            eta=eta,
            load_share=guessed,
            pace_factor=factor,
            rule=trip.way.pace_rule,
        )
        return np.asarray(hours[int(np.argmax(hours.sum(axis=1)))])

    return pace


def _check_days(trip: Trip, count: int) -> None:
    if trip.way.days is not None and trip.way.days != count:
        raise Mistake(
            "days-and-camps",
            what=f"{trip.way.days} days are meant, but the way falls into {count}",
            mend="name one camp fewer than days (the last day ends without one), or mend 'days'",
            where="walk.days",
        )
    numbered = [(f"day[{n}].day", word.day) for n, word in enumerate(trip.days)]
    numbered += [(f"stop[{n}].day", one.day) for n, one in enumerate(trip.stops) if one.day]
    numbered += [(f"water[{n}].day", one.day) for n, one in enumerate(trip.water) if one.day]
    numbered += [(f"fixed[{n}].day", one.day) for n, one in enumerate(trip.fixed)]
    for field, day in numbered:
        if day > count:
            what = f"there is no day {day}: the walk has {count}"
            raise Mistake("day-out-of-range", what, f"count the days from 1 to {count}", field)


def _worded(trip: Trip, stage: Stage) -> Stage:
    """The stage with the weather and ground of its day."""
    way, word = trip.way, trip.day_word(stage.day)
    return replace(
        stage,
        terrain=word.terrain or stage.terrain,
        day_c=way.day_c if word.day_c is None else word.day_c,
        night_c=way.night_c if word.night_c is None else word.night_c,
    )


def _ordered(trip: Trip, ground: Ground, stages: tuple[Stage, ...]) -> tuple[FireRule | None, ...]:
    """The walk's own rule and those that change it from a date or a place on.

    On the day on which one comes past the place the stricter of the two holds.
    """
    begins: list[tuple[int, FireRule, bool]] = []
    for number, word in enumerate(trip.fire):
        if word.from_date is not None and trip.start_date is not None:
            begins.append(((word.from_date - trip.start_date).days + 1, word.rule, False))
            continue
        there = [
            stage.day
            for stage in stages
            if stage.camp == word.from_place or any(s.name == word.from_place for s in stage.stops)
        ]
        if not there:
            raise _nowhere(word.from_place, ground, f"fire[{number}].from_place")
        begins.append((there[0], word.rule, True))
    rules = [trip.way.fire] * len(stages)
    for day, rule, on_the_way in sorted(begins, key=lambda begin: begin[0]):
        before = rules[day - 1] if on_the_way else None
        for d in range(max(day, 1), len(stages) + 1):
            rules[d - 1] = rule
        if before is not None:
            rules[day - 1] = max(before, rule, key=FIRE_RULES.index)
    return tuple(rules)


def _fire(
    trip: Trip, ground: Ground, stages: tuple[Stage, ...]
) -> tuple[tuple[FireRule | None, ...], tuple[Finding, ...]]:
    """The word of the day goes first, then a ban marked in the file, then the walk's order."""
    rules: list[FireRule | None] = []
    marked: list[str] = []
    against: list[str] = []
    for stage, ordered in zip(stages, _ordered(trip, ground, stages), strict=True):
        word = trip.day_word(stage.day).fire
        if stage.fire_ban and word is None and ordered == "no-flame":
            rules.append("no-flame")
        elif stage.fire_ban and word is None:
            marked.append(f"day {stage.day}")
            rules.append("no-flame")
        elif stage.fire_ban and word == "none":
            against.append(f"day {stage.day}")
            rules.append("no-flame")
        else:
            rules.append(ordered if word is None else word)
    found = []
    if marked:
        found.append(
            _said(
                "fire-ban-degree",
                "The file marks a fire ban and the document does not say how strict it is: no "
                "flame at all is planned with.  Ask, and write it under [[day]].",
                marked,
            )
        )
    if against:
        found.append(
            _said(
                "fire-ban-denied",
                "The document says that fire is free, the file marks a ban: no flame is planned "
                "with.",
                against,
            )
        )
    unknown = [
        f"day {stage.day}" for stage, rule in zip(stages, rules, strict=True) if rule is None
    ]
    if unknown:
        text = (
            "Nobody has said whether fire is allowed.  Ask the land manager and write "
            'fire = "none" (or stricter) under [walk].'
        )
        found.append(_said("fire-rule-unknown", text, unknown))
    return tuple(rules), tuple(found)


def _said(rule: str, text: str, about: list[str]) -> Finding:
    return Finding(
        severity="caution",
        rule=rule,
        text=text,
        source="the land manager's current order counts; own judgement",
        about=tuple(about),
    )


def _placed_stops(trip: Trip, ground: Ground, stages: tuple[Stage, ...]) -> tuple[PlacedStop, ...]:
    placed = []
    for number, stop in enumerate(trip.stops):
        if stop.day is not None and stop.at_m is not None:
            length = stages[stop.day - 1].distance_m
            if stop.at_m > length * 1.02 + 100.0:
                what = f"{stop.at_m:.0f} m lie beyond the end of day {stop.day} ({length:.0f} m)"
                mend = "give metres walked on that day"
                raise Mistake("place-off-day", what, mend, f"stop[{number}].at_m")
            placed.append(PlacedStop(stop=stop, day=stop.day, at_m=min(stop.at_m, length)))
            continue
        passed = [
            PlacedStop(stop=stop, day=stage.day, at_m=one.at_m)
            for stage in stages
            for one in stage.stops
            if one.name == stop.place_name
        ]
        if not passed:
            raise _nowhere(stop.place_name, ground, f"stop[{number}].name")
        placed.append(passed[0])
    return tuple(sorted(placed, key=lambda one: (one.day, one.at_m)))


def _check_water(trip: Trip, ground: Ground) -> None:
    """A word on a spring that the file does not have would be lost."""
    names = {place.name for place in ground.places}
    for number, source in enumerate(trip.water):
        if source.day is None and source.name not in names:
            raise _nowhere(source.name, ground, f"water[{number}].name")


def _nowhere(name: str, ground: Ground, field: str) -> Mistake:
    names = [place.name for place in ground.places if place.name]
    if name in names:
        what = f"the way does not come past '{name}', or the file does not say what it is"
        mend = "give it the type shop, hut, box or water in the file, or write day and at_m"
        return Mistake("place-off-track", what, mend, field)
    near = get_close_matches(name, names, n=3)
    mend = (
        f"did you mean {' or '.join(repr(one) for one in near)}?"
        if near
        else "write the name as it stands in the file, or give day and at_m"
    )
    return Mistake("unknown-place", f"no place of the file is called '{name}'", mend, field)
