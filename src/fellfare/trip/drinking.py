"""How much water is drunk and used, and how much is on the back where?

A chain of sources runs through the whole walk.  From each that can be counted on, one
sets out with what is used until the next, and a quarter of a litre on top.  'Doubtful'
and 'dry' ones are not counted, nor those with a greater chance to be dry than the trip takes;
what a dry one would mean is told by :mod:`fellfare.trip.dry_sources`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from fellfare.camp.camp_water import WATER_NEEDS, WaterUse, water_for
from fellfare.mistake import Finding
from fellfare.trip.laying import Laid
from fellfare.trip.meals import DayHours
from fellfare.trip.trip import Trip
from fellfare.trip.way import Reliability, WaterSource
from fellfare.walk.load import RESERVE_ML, Water

#: Water this near to a camp, along the way, is fetched from there [m] (judgement).
CAMP_WATER_M: Final = 500.0

#: Dinner may be cooked on the way from this part of it on (judgement).
DINNER_FROM: Final = 0.5

#: Counted on when water is planned; None = nobody has vouched for it.
COUNTED: tuple[Reliability | None, ...] = ("sure", "seasonal", None)


class Spring(Struct, frozen=True, kw_only=True):
    """A water point on the way of one day."""

    name: str
    day: int
    at_m: float
    #: As it is planned with: one whose chance to be dry is beyond what the trip takes counts as
    #: 'doubtful', whatever else the document says of it.
    reliability: Reliability | None
    #: Chance that it is dry when one comes; None = nobody has told.
    chance_dry: float | None = None

    @property
    def counted(self) -> bool:
        """Is it relied on?"""
        return self.reliability in COUNTED


class DayWater(Struct, frozen=True, kw_only=True):
    """Water of one day, for one walker."""

    day: int
    springs: tuple[Spring, ...]
    #: Drunk while walking, common practice [mL].
    walking_low_ml: float
    walking_high_ml: float
    #: For the dinner of this day and the breakfast of the next, mean of the kitchens [mL];
    #: 0 on the last day.
    camp_low_ml: float
    camp_high_ml: float
    #: Water within 500 m of the camp that can be counted on; None = no camp.
    water_at_camp: bool | None
    #: Before a dry camp: the last source in the second half of the way, '' = none, and the
    #: water that one walker need not carry on when dinner is cooked and eaten there [mL].
    #: None = no dry camp.
    last_water: str | None
    cook_there_low_ml: float | None
    cook_there_high_ml: float | None
    #: Most on the back at once, were the bottles large enough [mL]; None = nobody has told
    #: of any water on the whole walk.
    most_carried_ml: float | None
    #: Longest way between two sources that are counted on, begun or ended on this day [m].
    longest_dry_m: float | None
    #: For the load: what one leaves each counted source with; None = not known.
    leaves: tuple[Water, ...] | None


def springs_of(trip: Trip, laid: Laid) -> tuple[Spring, ...]:
    """All water points in walking order; one by a camp serves both evening and morning."""
    told = {source.name: source for source in trip.water}
    found = {
        (_named(stop.name, stage.day, stop.at_m), stage.day, stop.at_m)
        for stage in laid.stages
        for stop in stage.water
    }
    for source in trip.water:
        if source.day is not None and source.at_m is not None:
            found.add((source.name, source.day, source.at_m))
    days = [(stage.day, stage.distance_m) for stage in laid.stages]
    for day, length in days[:-1]:  # an evening's water is there in the morning
        here = {name for name, d, at_m in found if d == day and at_m >= length - CAMP_WATER_M}
        there = {name for name, d, at_m in found if d == day + 1 and at_m <= CAMP_WATER_M}
        found |= {(name, day + 1, 0.0) for name in here - there}
    for day, length in reversed(days[:-1]):  # and a morning's in the evening
        here = {name for name, d, at_m in found if d == day and at_m >= length - CAMP_WATER_M}
        there = {name for name, d, at_m in found if d == day + 1 and at_m <= CAMP_WATER_M}
        found |= {(name, day, length) for name in there - here}
    springs = [
        Spring(
            name=name,
            day=day,
            at_m=at_m,
            reliability=_planned_with(trip, told.get(name)),
            chance_dry=told[name].chance_dry if name in told else None,
        )
        for name, day, at_m in found
    ]
    return tuple(sorted(springs, key=lambda spring: (spring.day, spring.at_m, spring.name)))


def _planned_with(trip: Trip, source: WaterSource | None) -> Reliability | None:
    """The word of the document, or 'doubtful' when the chance to be dry is too great."""
    if source is None:
        return None
    risky = source.chance_dry is not None and source.chance_dry > trip.way.dry_risk
    return "doubtful" if risky and source.reliability != "dry" else source.reliability


def _named(name: str, day: int, at_m: float) -> str:
    """Water of a table of stages has no name of its own."""
    return name if name not in ("", "water") else f"day {day}, km {at_m / 1000:.1f}"


def camp_uses(trip: Trip, fire_free: Sequence[bool]) -> tuple[tuple[float, float], ...]:
    """Water of each camp for one walker, mean over the party: (low, high) [mL]."""
    out = []
    for free in fire_free:
        low = high = 0.0
        for walker in trip.walkers:
            kitchen = trip.kitchen_of(walker.name)
            uses: dict[WaterUse, float] = {"breakfast": 1, "washing": 1}
            if kitchen is None or (free and not kitchen.stoveless):
                uses |= {"dinner": 1, "hot-drink": 2}
            else:
                uses |= {"cold-soak-dinner": 1}
            need = water_for(uses)
            low, high = low + need.low_ml, high + need.high_ml
        out.append((low / len(trip.walkers), high / len(trip.walkers)))
    return tuple(out)


def cooking_uses(trip: Trip, free: bool) -> tuple[float, float]:
    """Of the water of a camp, what dinner takes: cooking or soaking, one hot drink, half of the
    washing up; one walker, mean over the party (low, high) [mL]."""
    low = high = 0.0
    for walker in trip.walkers:
        kitchen = trip.kitchen_of(walker.name)
        uses: dict[WaterUse, float] = {"washing": 0.5, "cold-soak-dinner": 1}
        if kitchen is None or (free and not kitchen.stoveless):
            uses = {"washing": 0.5, "dinner": 1, "hot-drink": 1}
        need = water_for(uses)
        low, high = low + need.low_ml, high + need.high_ml
    return low / len(trip.walkers), high / len(trip.walkers)


def water_of_days(
    trip: Trip, laid: Laid, hours: Sequence[DayHours], fire_free: Sequence[bool]
) -> tuple[DayWater, ...]:
    """Water of every day; see the module."""
    springs = springs_of(trip, laid)
    uses = camp_uses(trip, fire_free)
    planned = chain_of(trip, laid, hours, [s for s in springs if s.counted])
    walking = WATER_NEEDS["walking-hour"]
    out = []
    for stage, hour, camp, free in zip(laid.stages, hours, uses, fire_free, strict=True):
        day = stage.day
        last = day == len(laid.stages)
        at_camp = [
            s
            for s in springs
            if s.counted and s.day == day and s.at_m >= stage.distance_m - CAMP_WATER_M
        ]
        before = [
            s
            for s in springs
            if s.counted and s.day == day and s.at_m >= DINNER_FROM * stage.distance_m
        ]
        dry = bool(springs) and not last and not at_camp
        saves = cooking_uses(trip, free) if dry and before else (None, None)
        out.append(
            DayWater(
                day=day,
                springs=tuple(s for s in springs if s.day == day),
                walking_low_ml=walking.low_ml * hour.moving_hours,
                walking_high_ml=walking.high_ml * hour.moving_hours,
                camp_low_ml=0.0 if last else camp[0],
                camp_high_ml=0.0 if last else camp[1],
                water_at_camp=None if last or not springs else bool(at_camp),
                last_water=(before[-1].name if before else "") if dry else None,
                cook_there_low_ml=saves[0],
                cook_there_high_ml=saves[1],
                most_carried_ml=most_ml(planned[day]) if springs else None,
                longest_dry_m=planned[day].longest_m if springs else None,
                leaves=tuple(
                    Water(at_m=w.at_m, leaves_with_ml=min(w.leaves_with_ml, trip.way.bottles_ml))
                    for w in planned[day].leaves
                )
                if springs
                else None,
            )
        )
    return tuple(out)


class Linked(Struct, frozen=True, kw_only=True):
    """What one leaves each place of a day with, and the longest dry way of the day [m]."""

    leaves: tuple[Water, ...]
    longest_m: float


def most_ml(linked: Linked) -> float:
    """Most on the back on that day [mL]."""
    return max(water.leaves_with_ml for water in linked.leaves)


def chain_of(
    trip: Trip, laid: Laid, hours: Sequence[DayHours], springs: Sequence[Spring]
) -> dict[int, Linked]:
    """Backwards through the walk: what is used until the next source, from each place."""
    dry_camp = WATER_NEEDS["dry-camp"]
    camp_ml = 0.5 * (dry_camp.low_ml + dry_camp.high_ml)
    out: dict[int, Linked] = {}
    ahead_ml = ahead_m = 0.0
    for stage, hour in zip(reversed(laid.stages), reversed(hours), strict=True):
        length = stage.distance_m
        rate = trip.way.drink_ml_per_hour * hour.moving_hours / length if length > 0 else 0.0
        here = [s for s in springs if s.day == stage.day]
        wet_camp = any(s.at_m >= length - CAMP_WATER_M for s in here)
        if stage.day < len(laid.stages) and not wet_camp:
            ahead_ml += camp_ml
        if wet_camp:
            ahead_ml = ahead_m = 0.0
        at = length
        leaves: list[Water] = []
        longest = 0.0
        for spring in sorted(here, key=lambda s: -s.at_m):
            ahead_ml += rate * (at - spring.at_m)
            ahead_m += at - spring.at_m
            longest = max(longest, ahead_m)
            leaves.append(Water(at_m=spring.at_m, leaves_with_ml=RESERVE_ML + ahead_ml))
            ahead_ml = ahead_m = 0.0
            at = spring.at_m
        ahead_ml += rate * at
        ahead_m += at
        longest = max(longest, ahead_m)
        if not leaves or leaves[-1].at_m > 0:
            leaves.append(Water(at_m=0.0, leaves_with_ml=RESERVE_ML + ahead_ml))
        out[stage.day] = Linked(leaves=tuple(reversed(leaves)), longest_m=longest)
    return out


def water_findings(trip: Trip, days: Sequence[DayWater]) -> tuple[Finding, ...]:
    """Dry camps, carries beyond the bottles, water that nobody has told of."""
    found = []
    practice = "common practice, no source"
    dry = [day for day in days if day.water_at_camp is False]
    if dry:
        text = (
            "No water at camp that can be counted on: carry 4 to 5 L for each walker from the last "
            "source, for the evening and the morning."
        )
        for day in dry:
            if day.cook_there_low_ml is not None and day.cook_there_high_ml is not None:
                text += (
                    f"  Day {day.day}: dinner cooked and eaten at '{day.last_water}' saves "
                    f"{day.cook_there_low_ml / 1000:.1f} to {day.cook_there_high_ml / 1000:.1f} L "
                    "of it."
                )
        found.append(("caution", "dry-camp", text, [f"day {day.day}" for day in dry]))
    over = [
        f"day {day.day}: {day.most_carried_ml / 1000:.1f} L"
        for day in days
        if day.most_carried_ml is not None and day.most_carried_ml > trip.way.bottles_ml
    ]
    if over:
        text = (
            f"Between two sources more water is used than the bottles hold "
            f"({trip.way.bottles_ml / 1000:g} L for each walker); the load is reckoned with full "
            "bottles."
        )
        found.append(("caution", "water-beyond-bottles", text, over))
    if days[0].leaves is None:
        text = (
            "Nobody has told of any water on the way: a litre is reckoned on the back all day.  "
            "Mark the sources in the file, or write [[water]] or water_m."
        )
        found.append(("caution", "water-unknown", text, []))
    return tuple(
        Finding(severity=severity, rule=rule, text=text, source=practice, about=tuple(about))  # type: ignore[arg-type]
        for severity, rule, text, about in found
    )
