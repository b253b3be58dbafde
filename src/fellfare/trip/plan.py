"""What does the trip ask for?  Days, need, food, load, water, fuel: all of it joined.

The food that is carried drives the need, the need the food; on top, the hours of walking
decide how often one eats, and how much water lies on the back.  So the whole is gone
through a few times, from guessed hours until no day moves by more than three minutes; within
each round food and need are settled by the backward pass of :mod:`fellfare.walk.carry`.
"""

from __future__ import annotations

from datetime import date
from typing import Final

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from fellfare.mistake import Finding, Mistake
from fellfare.trip.camps import CampFacts, camp_findings, camps_of
from fellfare.trip.carries import Carry, carries_of, resupply_points
from fellfare.trip.drinking import DayWater, water_findings, water_of_days
from fellfare.trip.dry_sources import DayChance, DryCase, day_chances, dry_cases, dry_findings
from fellfare.trip.fuelling import (
    FuelLeg,
    Heating,
    can_heat,
    fire_findings,
    fuel_legs,
    heatings_of,
    kit_kg,
)
from fellfare.trip.ground import NO_GROUND, Ground
from fellfare.trip.laying import Laid, lay_out, nominal_pace
from fellfare.trip.meals import DayHours, DayMeal, carried_meals, carried_share, meals_of_day
from fellfare.trip.minding import (
    early_dinner_findings,
    eating_findings,
    gathered,
    hour_findings,
    load_findings,
    risk_findings,
    stop_findings,
)
from fellfare.trip.rationing import Rationing, rationing_of
from fellfare.trip.spread import Spread, spread_of
from fellfare.trip.trip import Trip
from fellfare.trip.way import FireRule
from fellfare.walk.carry import Settled, settle
from fellfare.walk.deficit import Deficit, planned_deficit
from fellfare.walk.demand import Demand, demand_of, moving_hours
from fellfare.walk.figures import Array
from fellfare.walk.load import DayLoad, Stretches, stretches_of
from fellfare.walk.load_line import LoadStep, load_line
from fellfare.walk.need import WalkerNeed, needs
from fellfare.walk.pace.arrival import Arrival, arrival_band
from fellfare.walk.profile import Profile
from fellfare.walk.rest_of_day import DayFrame
from fellfare.walk.stages import Stage
from fellfare.walk.stages.stage import hours_of

#: Hours have settled when no day moves by more than this [h]: three minutes.
SETTLED_HOURS: Final = 0.05
_MOST_ROUNDS: Final = 6
#: A day of so many hours is judged by what people kept up over whole days.
FULL_DAY_HOURS: Final = 18.0


class PlanDay(Struct, frozen=True, kw_only=True, eq=False):
    """One day of the trip."""

    day: int
    date: date | None
    stage: Stage
    #: Plain sum of the record's rises and falls [m]; None without a track.
    naive_ascent_m: float | None
    naive_descent_m: float | None
    hours: DayHours
    #: Hours under way of the slowest walker, as a band.
    arrival: Arrival
    meals: tuple[DayMeal, ...]
    fire: FireRule | None
    #: For each kitchen in turn: can it heat anything on this day?
    can_heat: tuple[bool, ...]
    frame: DayFrame
    water: DayWater


class WalkerPlan(Struct, frozen=True, kw_only=True, eq=False):
    """What the trip asks of one walker."""

    walker: str
    need: WalkerNeed
    #: Need times coverage (times appetite) of each day [kcal].
    target_kcal: tuple[float, ...]
    #: The part of it that is carried [kcal], and its mass at the planned density [g].
    carried_kcal: tuple[float, ...]
    food_g: tuple[float, ...]
    deficit: Deficit
    load: tuple[LoadStep, ...]
    #: Spare food on the back all the way [g].
    spare_g: float


class TripPlan(Struct, frozen=True, kw_only=True, eq=False):
    """Everything that follows from a trip; made by :func:`plan_trip`."""

    trip: Trip
    profile: Profile | None
    days: tuple[PlanDay, ...]
    walkers: tuple[WalkerPlan, ...]
    camps: tuple[CampFacts, ...]
    carries: tuple[Carry, ...]
    #: What a dry source would mean, the worst first; and the chance of every day.
    dry: tuple[DryCase, ...]
    water_chances: tuple[DayChance, ...]
    heatings: tuple[Heating, ...]
    fuel: tuple[FuelLeg, ...]
    spread: Spread
    #: Bulk rationing beside the need; None = nothing is carried.
    rationing: Rationing | None
    #: Rounds of the hours, most rounds of one day's food, and what still differs [g].
    hour_rounds: int
    food_rounds: int
    residual_g: float
    #: For whoever plans on: the way cut where the load changes, kit on each back on each
    #: stretch [kg] (walkers x stretches), and the need as a function of the food.
    stretches: Stretches
    kit_kg: Array
    demand: Demand
    laid: Laid
    findings: tuple[Finding, ...]

    def times(self) -> tuple[tuple[str, int], ...]:
        """How often each eating time is eaten out of the pack on the whole walk."""
        counts = {time.name: 0 for time in self.trip.eating}
        for day in self.days:
            for meal in day.meals:
                counts[meal.name] += 0 if meal.bought else meal.count
        return tuple(counts.items())


class _Round(Struct, frozen=True, kw_only=True, eq=False):
    """One pass through everything from given hours."""

    hours: tuple[DayHours, ...]
    meals: tuple[tuple[DayMeal, ...], ...]
    water: tuple[DayWater, ...]
    frames: tuple[DayFrame, ...]
    stretches: Stretches
    heatings: tuple[Heating, ...]
    fuel: tuple[FuelLeg, ...]
    kit_kg: Array
    #: Of what is carried (W, D).
    coverage: Array
    carried: Array
    demand: Demand
    settled: Settled
    spare_kg: Array


def plan_trip(trip: Trip, ground: Ground = NO_GROUND) -> TripPlan:
    """Join a trip and its ground.

    Parameters
    ----------
    trip
        Without faults (:func:`fellfare.trip.faults.faults_of`).
    ground
        Track and places, unless the trip brings a table of stages.

    Returns
    -------
    TripPlan
        Hours are those of the slowest walker; need is reckoned at each walker's own pace.

    Raises
    ------
    Mistake
        Those of :func:`fellfare.trip.laying.lay_out`; ``hours-reversed`` when a single day
        would end before it begins; ``day-too-long``, ``load-out-of-range`` and their like
        from the walk room, with the day in ``where``.
    """
    laid = lay_out(trip, ground)
    _refuse_reversed(trip, laid)
    moving = _guessed_hours(trip, laid)
    spare = np.zeros(len(trip.walkers))
    for rounds in range(1, _MOST_ROUNDS + 1):
        made = _round(trip, laid, moving, spare)
        each = moving_hours(made.demand, made.settled.food_kg)
        new = each.max(axis=0)
        step = float(np.abs(new - moving).max())
        moving, spare = new, made.spare_kg
        if step <= SETTLED_HOURS and (rounds > 1 or not trip.rules.spare_days):
            break
    return _joined(trip, laid, made, each, rounds)


def _refuse_reversed(trip: Trip, laid: Laid) -> None:
    end = trip.way.end_hour
    if len(laid.stages) == 1 and end is not None and end <= trip.way.start_hour:
        raise Mistake(
            "hours-reversed",
            what=f"the one day would end at {end:g} h and begin at {trip.way.start_hour:g} h",
            mend="give the hour of arrival after that of setting out",
            where="walk.end_hour",
        )


def _guessed_hours(trip: Trip, laid: Laid) -> Array:
    pace = nominal_pace(trip)
    each = [hours_of(stage.slopes, pace) for stage in laid.stages]
    return np.array([0.0 if hours is None else float(hours.sum()) for hours in each])


def _round(trip: Trip, laid: Laid, moving: Array, spare_kg: Array) -> _Round:
    count = len(laid.stages)
    hours = tuple(
        DayHours(
            day=stage.day,
            set_out_hour=trip.way.start_hour if stage.day == 1 else trip.way.walk_from_hour,
            moving_hours=float(moving[d]),
            under_way_hours=float(moving[d]) / trip.way.moving_share,
        )
        for d, stage in enumerate(laid.stages)
    )
    bought = [
        frozenset(m for one in laid.stops if one.day == stage.day for m in one.stop.meals)
        for stage in laid.stages
    ]
    meals = tuple(
        meals_of_day(trip, hours[d], count, stage.distance_m, bought[d])
        for d, stage in enumerate(laid.stages)
    )
    free = [rule in (None, "none", "no-open-fire", "gas-only") for rule in laid.fire]
    water = water_of_days(trip, laid, hours, free)
    loads = tuple(
        DayLoad(
            day=stage.day,
            meals=carried_meals(meals[d], stage.distance_m),
            water=water[d].leaves,
        )
        for d, stage in enumerate(laid.stages)
    )
    stretches = stretches_of(laid.legs, loads, resupply_points(laid.stops))
    heatings = heatings_of(trip, laid, hours, meals)
    fuel = fuel_legs(trip, laid, heatings)
    kit = kit_kg(trip, stretches, heatings, fuel) + spare_kg[:, None]
    frames = tuple(_frame(trip, stage, hours[d], count) for d, stage in enumerate(laid.stages))
    demand = demand_of(trip.walkers, stretches, frames, shared_kg=kit, pace_rule=trip.way.pace_rule)
    coverage = np.array(
        [
            [
                trip.rules.coverage * (w.appetite_on(f.day) if trip.rules.follow_appetite else 1.0)
                for f in frames
            ]
            for w in trip.walkers
        ]
    )
    carried = np.array([carried_share(todays) for todays in meals])[None, :]
    settled = settle(
        demand, kcal_per_g=trip.rules.kcal_per_g, coverage=np.minimum(coverage * carried, 2.0)
    )
    days = sum(frame.hours for frame in frames) / 24.0
    spare = trip.rules.spare_days * settled.food_kg.sum(axis=1) / max(days, 1.0)
    return _Round(
        hours=hours,
        meals=meals,
        water=water,
        frames=frames,
        stretches=stretches,
        heatings=heatings,
        fuel=fuel,
        kit_kg=kit,
        coverage=coverage,
        carried=carried,
        demand=demand,
        settled=settled,
        spare_kg=np.asarray(spare),
    )


def _frame(trip: Trip, stage: Stage, hours: DayHours, count: int) -> DayFrame:
    """A day lasts from waking to waking; the first from setting out, the last to arrival."""
    way = trip.way
    begin = way.start_hour if stage.day == 1 else way.wake_hour
    last = stage.day == count
    end = max(hours.arrival_hour, way.end_hour or 0.0) if last else 24.0 + way.wake_hour
    long = min(max(end - begin, 0.5), 24.0)
    known = stage.day_c is not None and stage.night_c is not None
    air = 0.5 * ((stage.day_c or 0.0) + (stage.night_c or 0.0)) if known else None
    return DayFrame(
        day=stage.day,
        hours=long,
        sleep_hours=0.0 if last else min(way.sleep_hours, long),
        height_m=stage.end_m if stage.camp_m is None else stage.camp_m,
        air_c=stage.day_c if last and stage.day_c is not None else air,
    )


def _joined(trip: Trip, laid: Laid, made: _Round, each_hours: Array, rounds: int) -> TripPlan:
    food_kg = made.settled.food_kg
    needed = needs(
        trip.walkers,
        made.stretches,
        made.frames,
        food_kg,
        shared_kg=made.kit_kg,
        pace_rule=trip.way.pace_rule,
    )
    target = made.settled.need_kcal * made.coverage
    carried_kcal = target * made.carried
    walkers = []
    for w, need in enumerate(needed):
        intake = tuple(float(kcal) for kcal in target[w] * [bool(m) for m in made.meals])
        walkers.append(
            WalkerPlan(
                walker=need.walker,
                need=need,
                target_kcal=tuple(float(kcal) for kcal in target[w]),
                carried_kcal=tuple(float(kcal) for kcal in carried_kcal[w]),
                food_g=tuple(float(1000.0 * kg) for kg in food_kg[w]),
                deficit=planned_deficit(tuple(day.kcal for day in need.days), intake),
                load=load_line(made.demand, made.stretches, food_kg, w),
                spare_g=float(1000.0 * made.spare_kg[w]),
            )
        )
    camps = camps_of(trip, laid, made.water)
    dry = dry_cases(trip, laid, made.hours)
    person_days = len(trip.walkers) * sum(frame.hours for frame in made.frames) / 24.0
    spread = spread_of(
        laid.legs,
        food_g=float(1000.0 * food_kg.sum()),
        food_kcal=float(carried_kcal.sum()),
        person_days=person_days,
    )
    slowest = int(np.argmax(each_hours.sum(axis=1)))
    days = tuple(
        PlanDay(
            day=stage.day,
            date=trip.date_of(stage.day),
            stage=stage,
            naive_ascent_m=climb[0],
            naive_descent_m=climb[1],
            hours=made.hours[d],
            arrival=arrival_band(
                made.hours[d].moving_hours,
                pace_sd=trip.walkers[slowest].pace_factor_sd,
                moving_share=trip.way.moving_share,
            ),
            meals=made.meals[d],
            fire=laid.fire[d],
            can_heat=tuple(can_heat(kitchen, laid.fire[d]) for kitchen in trip.kitchens),
            frame=made.frames[d],
            water=made.water[d],
        )
        for d, stage in enumerate(laid.stages)
        for climb in [naive_climb(laid.profile, stage)]
    )
    return TripPlan(
        trip=trip,
        profile=laid.profile,
        days=days,
        walkers=tuple(walkers),
        camps=camps,
        dry=dry,
        water_chances=day_chances(made.water),
        carries=carries_of(laid, made.meals, food_kg, carried_kcal),
        heatings=made.heatings,
        fuel=made.fuel,
        spread=spread,
        rationing=rationing_of_plan(trip, laid.stages, made.frames, tuple(walkers)),
        hour_rounds=rounds,
        food_rounds=made.settled.rounds,
        residual_g=1000.0 * made.settled.residual_kg,
        stretches=made.stretches,
        kit_kg=made.kit_kg,
        demand=made.demand,
        laid=laid,
        findings=_findings(trip, laid, made, days, tuple(walkers), camps, dry),
    )


def rationing_of_plan(
    trip: Trip,
    stages: tuple[Stage, ...],
    frames: tuple[DayFrame, ...],
    walkers: tuple[WalkerPlan, ...],
    column: float | None = None,
) -> Rationing | None:
    """Bulk rationing beside what the walkers need and carry."""
    return rationing_of(
        stages,
        frames,
        people=len(trip.walkers),
        need_kcal=sum(one.need.kcal for one in walkers),
        planned_kcal=sum(sum(one.carried_kcal) for one in walkers),
        planned_g=sum(sum(one.food_g) for one in walkers),
        column=column,
    )


def naive_climb(profile: Profile | None, stage: Stage) -> tuple[float | None, float | None]:
    """Plain sums of rises and falls of the record between the ends of a day [m]."""
    if profile is None or stage.from_m is None or profile.track.ele_m is None:
        return None, None
    at, ele = profile.point_m, profile.track.ele_m
    ends = np.array([stage.from_m, stage.from_m + stage.distance_m])
    first, past = np.searchsorted(at, ends[0], "right"), np.searchsorted(at, ends[1], "left")
    edge = np.interp(ends, at, ele)
    rise = np.diff(np.concatenate([edge[:1], ele[first:past], edge[1:]]))
    return float(rise[rise > 0].sum()), float(-rise[rise < 0].sum())


def _findings(
    trip: Trip,
    laid: Laid,
    made: _Round,
    days: tuple[PlanDay, ...],
    walkers: tuple[WalkerPlan, ...],
    camps: tuple[CampFacts, ...],
    dry: tuple[DryCase, ...],
) -> tuple[Finding, ...]:
    most = []
    for plan in walkers:
        heaviest = max(plan.load, key=lambda step: step.start_kg, default=None)
        most.append((0.0, 1) if heaviest is None else (heaviest.start_kg, heaviest.day))
    notes = [
        (f"{plan.walker}, day {need.day}", note)
        for plan in walkers
        for need, day in zip(plan.need.days, days, strict=True)
        for note in need.notes
        # What was kept up over days and nights says nothing of a few waking hours.
        if note.rule != "beyond-what-was-kept-up" or day.frame.hours >= FULL_DAY_HOURS
    ]
    notes += [
        (plan.walker, note) for plan in walkers for note in (*plan.need.notes, *plan.deficit.notes)
    ]
    of_walkers = [replace(note, about=(who, *note.about)) for who, note in notes]
    return gathered(
        (
            *laid.findings,
            *stop_findings(trip, laid.stops),
            *hour_findings(trip, made.hours),
            *eating_findings(made.meals, laid),
            *early_dinner_findings(made.hours, made.meals, [day.stage.distance_m for day in days]),
            *fire_findings(trip, laid, made.meals),
            *camp_findings(camps),
            *water_findings(trip, made.water),
            *dry_findings(trip, made.water, dry),
            *load_findings(trip, most),
            *risk_findings(trip),
            *of_walkers,
        )
    )
