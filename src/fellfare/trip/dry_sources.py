"""What if a source is dry?

Nothing is relied on in silence.  For every source that is not sure: what one must set out with
if it is dry, and from where; for every one that is not counted on: what it would save if it
runs.  For every day: the chance that a source it counts on is dry, and that none of its sources
has water.  Chances are the document's own and are taken as independent of each other; in a dry
year they are not, so the true chance of several at once is greater.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import prod
from typing import Final

from msgspec import Struct

from fellfare.camp.camp_water import WATER_NEEDS
from fellfare.mistake import Finding
from fellfare.trip.drinking import (
    CAMP_WATER_M,
    DayWater,
    Linked,
    Spring,
    chain_of,
    most_ml,
    springs_of,
)
from fellfare.trip.laying import Laid
from fellfare.trip.meals import DayHours
from fellfare.trip.trip import Trip

#: So many sources of a day are looked at, those that may be missed most.
MOST_ASKED: Final = 2
#: Not so many, at most, that are not counted on.
_MOST_LEFT_OUT: Final = 20
#: Less than this more on the back is not told of [mL].
_TOLD_ML: Final = 1.0


class DryCase(Struct, frozen=True, kw_only=True):
    """One source that is not sure, dry and running."""

    name: str
    chance_dry: float | None
    #: The plan relies on it.
    counted: bool
    #: The day on which most must be carried if it is dry, and the source (or 'the start', 'day 4')
    #: that one then leaves with it.
    day: int
    from_name: str
    #: Most on one back on that day when it is dry, and when it runs [mL].
    if_dry_ml: float
    if_runs_ml: float


class DayChance(Struct, frozen=True, kw_only=True):
    """How likely a day goes without water."""

    day: int
    #: That at least one source that the day's plan counts on is dry; None = not told for one.
    one_dry: float | None
    #: The same, from those alone of which a chance is told.
    one_dry_at_least: float
    #: That no source of the day has water, counted on or not; 1 where there is none.
    none_runs: float | None
    #: Sources of the day of which no chance is told and that are not sure.
    untold: tuple[str, ...]


def dry_cases(trip: Trip, laid: Laid, hours: Sequence[DayHours]) -> tuple[DryCase, ...]:
    """Every source that is not sure, the one first that would be missed most."""
    springs = springs_of(trip, laid)
    counted = [s for s in springs if s.counted]
    usual = chain_of(trip, laid, hours, counted)
    out = []
    for name in _worth_asking(trip, laid, hours, counted):
        dry = chain_of(trip, laid, hours, [s for s in counted if s.name != name])
        out.append(_case(name, springs, dry, usual, counted=True))
    left_out = dict.fromkeys(s.name for s in springs if not s.counted and s.reliability != "dry")
    for name in list(left_out)[:_MOST_LEFT_OUT]:
        runs = chain_of(trip, laid, hours, [s for s in springs if s.counted or s.name == name])
        out.append(_case(name, springs, usual, runs, counted=False))
    found = [one for one in out if one is not None]
    return tuple(sorted(found, key=lambda one: -one.if_dry_ml))


def _case(
    name: str,
    springs: Sequence[Spring],
    dry: dict[int, Linked],
    runs: dict[int, Linked],
    *,
    counted: bool,
) -> DryCase | None:
    """None when its failing makes nobody carry more."""
    worse = [day for day in dry if most_ml(dry[day]) > most_ml(runs[day]) + _TOLD_ML]
    if not worse:
        return None
    day = max(worse, key=lambda one: most_ml(dry[one]))
    most = max(dry[day].leaves, key=lambda water: water.leaves_with_ml)
    left = [s for s in springs if s.day == day and s.at_m == most.at_m and s.name != name]
    return DryCase(
        name=name,
        chance_dry=next(s.chance_dry for s in springs if s.name == name),
        counted=counted,
        day=day,
        from_name=left[0].name
        if left
        else "the start"
        if day == 1
        else f"the morning of day {day}",
        if_dry_ml=most_ml(dry[day]),
        if_runs_ml=most_ml(runs[day]),
    )


def most_missed(trip: Trip, laid: Laid, hours: Sequence[DayHours]) -> DryCase | None:
    """Of all sources that are counted on but not sure: the one that may not be dry."""
    return next((one for one in dry_cases(trip, laid, hours) if one.counted), None)


def day_chances(days: Sequence[DayWater]) -> tuple[DayChance, ...]:
    """The chance of every day, from those of its sources."""
    out = []
    for day in days:
        # Water by the last camp was drunk from in the evening: it runs.
        ahead = {s.name: s for s in day.springs if s.at_m > 0}
        here = {s.name: s for s in day.springs}
        relied = [_chance(s) for s in ahead.values() if s.counted]
        every = [_chance(s) for s in here.values()]
        known = [one for one in relied if one is not None]
        sure = any(one == 0 for one in every)
        all_told = [one for one in every if one is not None]
        out.append(
            DayChance(
                day=day.day,
                one_dry=1 - prod(1 - p for p in known) if len(known) == len(relied) else None,
                one_dry_at_least=1 - prod(1 - p for p in known),
                none_runs=0.0 if sure else prod(all_told) if len(all_told) == len(every) else None,
                untold=tuple(s.name for s in here.values() if _chance(s) is None),
            )
        )
    return tuple(out)


def _chance(spring: Spring) -> float | None:
    """That it is dry: as told; 0 when somebody vouches for it, 1 when it is known to be."""
    if spring.reliability == "dry":
        return 1.0
    if spring.chance_dry is None and spring.reliability == "sure":
        return 0.0
    return spring.chance_dry


def _worth_asking(
    trip: Trip, laid: Laid, hours: Sequence[DayHours], springs: Sequence[Spring]
) -> tuple[str, ...]:
    """Of the sources that are not sure: where the way between the neighbours takes most water,
    and those that alone make a camp wet.  Anything else cannot be missed most, and asking all
    of some thousand sources would take minutes."""
    camp = WATER_NEEDS["dry-camp"]
    begun_ml, rate = {}, {}
    used_ml = 0.0
    alone: set[str] = set()
    for stage, hour in zip(laid.stages, hours, strict=True):
        length = stage.distance_m
        begun_ml[stage.day] = used_ml
        drunk_ml = trip.way.drink_ml_per_hour * hour.moving_hours
        rate[stage.day] = drunk_ml / length if length > 0 else 0.0
        near = {s.name for s in springs if s.day == stage.day and s.at_m >= length - CAMP_WATER_M}
        if len(near) == 1:
            alone |= near
        used_ml += drunk_ml
        if not near and stage.day < len(laid.stages):
            used_ml += 0.5 * (camp.low_ml + camp.high_ml)
    ordered = sorted(springs, key=lambda s: (s.day, s.at_m))
    at_ml = [0.0, *(begun_ml[s.day] + rate[s.day] * s.at_m for s in ordered), used_ml]
    on_day = [laid.stages[0].day, *(s.day for s in ordered), laid.stages[-1].day]
    open_ = dict.fromkeys(s.name for s in springs if s.reliability != "sure")
    # Without a source, what is used from its neighbour before to its neighbour behind is on the
    # back at once; on a later day of that way, what is left of it.
    missing: dict[int, dict[str, float]] = {stage.day: {} for stage in laid.stages}
    first = 0
    for last, spring in enumerate(ordered):
        if last + 1 < len(ordered) and ordered[last + 1].name == spring.name:
            continue  # an evening's water is the morning's
        if spring.name in open_:
            for day in range(on_day[first], on_day[last + 2] + 1):
                ml = at_ml[last + 2] - max(at_ml[first], begun_ml[day])
                missing[day][spring.name] = max(missing[day].get(spring.name, 0.0), ml)
        first = last + 1
    asked = set(alone)
    for here in missing.values():
        asked.update(sorted(here, key=lambda name: -here[name])[:MOST_ASKED])
    return tuple(name for name in open_ if name in asked)


def dry_findings(
    trip: Trip, days: Sequence[DayWater], cases: Sequence[DryCase]
) -> tuple[Finding, ...]:
    """What is not counted on, what would be missed most, and the days with too great a chance."""
    found: list[tuple[str, str, str, list[str]]] = []
    left_out = {s.name: s for d in days for s in d.springs if not s.counted}
    if left_out:
        text = (
            "Not counted on: doubtful or dry by the document, or with a greater chance to be dry "
            f"than the {100 * trip.way.dry_risk:.3g} % that this trip takes (walk.dry_risk)."
        )
        for one in [case for case in cases if not case.counted][:3]:
            text += (
                f"  If '{one.name}' runs, {one.if_runs_ml / 1000:.1f} L do on day {one.day}, not "
                f"{one.if_dry_ml / 1000:.1f} L."
            )
        found.append(
            ("note", "water-not-counted", text, [_said(left_out[n]) for n in sorted(left_out)])
        )
    missed = next((one for one in cases if one.counted), None)
    if missed is not None:
        beyond = missed.if_dry_ml > trip.way.bottles_ml
        who = "is seasonal or nobody has vouched for it"
        if missed.chance_dry is not None:
            who = f"may be dry ({100 * missed.chance_dry:.3g} %)"
        text = (
            f"'{missed.name}' {who}.  If it is dry, {missed.if_dry_ml / 1000:.1f} L must be "
            f"carried on day {missed.day} from {missed.from_name}, not "
            f"{missed.if_runs_ml / 1000:.1f} L: no other source would be missed more."
        )
        if beyond:
            text += f"  The bottles hold {trip.way.bottles_ml / 1000:g} L."
        found.append(("caution" if beyond else "note", "water-unvouched", text, []))
    risky = [
        f"day {one.day}: {_at_least(one)}{100 * one.one_dry_at_least:.2g} %"
        for one in day_chances(days)
        if one.one_dry_at_least > trip.way.dry_risk
    ]
    if risky:
        text = (
            "The chance that a source that is counted on is dry adds up over the day to more than "
            f"{100 * trip.way.dry_risk:.3g} % (taken as independent; in a dry year it is more)."
        )
        found.append(("caution", "water-chance", text, risky))
    return tuple(
        Finding(
            severity=severity,  # type: ignore[arg-type]  # a word of the list above
            rule=rule,
            text=text,
            source="common practice, no source",
            about=tuple(about),
        )
        for severity, rule, text, about in found
    )


def _at_least(one: DayChance) -> str:
    return "at least " if one.one_dry is None else ""


def _said(spring: Spring) -> str:
    if spring.chance_dry is None:
        return spring.name
    return f"{spring.name}: {100 * spring.chance_dry:.3g} % dry"
