"""How much energy does each walker need on each day, and how sure is that?

A need is a band.  Its half-width is the root of the sum of squares of stated
contributions, each one standard deviation: the walking model, resting energy,
camp life, ground, grades, pace, food's own cost, weather and height; and the
places where two independent readings of the literature part.  Most of it is a
bias of the person, so it does not average out over days.
"""

from __future__ import annotations

from math import sqrt
from typing import Final

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from fellfare.mistake import Finding, Mistake
from fellfare.walk.demand import (
    Demand,
    Parts,
    demand_of,
    load_kg,
    moving_hours,
    need_kcal,
    need_parts,
    quiet_day_kcal,
    resting_of,
)
from fellfare.walk.energy import lcda_backpacking
from fellfare.walk.energy.lcda_backpacking import ERROR_W_PER_KG
from fellfare.walk.energy.lcda_graded import OTHER_BASE
from fellfare.walk.energy.ranges import range_notes
from fellfare.walk.figures import Array, Figure
from fellfare.walk.load import Stretches
from fellfare.walk.pace.plan import load_pace
from fellfare.walk.pace.rules import USUAL_RULE, PaceRule
from fellfare.walk.rest_of_day import FIRST, SECOND, DayFrame, Reading
from fellfare.walk.resting.eer import Activity
from fellfare.walk.walker import Walker

#: Normal deviate that leaves a tenth on either side.
Z_80: Final = 1.2816
#: How alike the errors of two days of one walker are (judgement): a person's
#: bias, with some weather and route of the day's own.
DAYS_ALIKE: Final = 0.8
#: One standard deviation of each nudge (judgement, both readings).
_CAMP_SD: Final = 0.15
_ETA_SD: Final = 0.10
_GRADE_SD: Final = 0.05
_PACE_SD: Final = 0.08
_THERMIC_SD: Final = 0.015
#: Weather and height additions are doubted by half of themselves.
_SOFT_SD: Final = 0.5

#: Total over resting energy that men kept up for 54 h in a winter field exercise
#: (Castellani 2006, Med Sci Sports Exerc 38:894; women 3.3): more is doubted.
MOST_KEPT_UP: Final = 3.4


class Contribution(Struct, frozen=True, kw_only=True):
    """One source of doubt about a day's need."""

    name: str
    #: One standard deviation [kcal].
    sd_kcal: float


class DayNeed(Struct, frozen=True, kw_only=True):
    """The need of one walker on one day; the six parts sum to ``kcal``."""

    walker: str
    day: int
    #: Hours on the move.
    moving_hours: float
    #: Mean load on the way, by distance [kg]; None on a day without a walk.
    mean_load_kg: float | None
    kcal: float
    #: 80 % band.
    low_kcal: float
    high_kcal: float
    sd_kcal: float
    walking_kcal: float
    rest_kcal: float
    altitude_kcal: float
    weather_kcal: float
    thermic_kcal: float
    #: What lifts a short day to the quiet day without a walk.
    quiet_kcal: float
    #: The same day by the second reading of the literature.
    second_reading_kcal: float
    #: Total over resting energy for the hours of this day.
    activity_level: float
    doubts: tuple[Contribution, ...]
    notes: tuple[Finding, ...] = ()


class WalkerNeed(Struct, frozen=True, kw_only=True):
    """All days of one walker, and their sum with its own band."""

    walker: str
    days: tuple[DayNeed, ...]
    kcal: float
    low_kcal: float
    high_kcal: float
    sd_kcal: float
    notes: tuple[Finding, ...] = ()


def needs(
    walkers: tuple[Walker, ...],
    stretches: Stretches,
    days: tuple[DayFrame, ...],
    food_kg: Array,
    *,
    shared_kg: Figure = 0.0,
    quiet_activity: Activity = "low-active",
    pace_rule: PaceRule = USUAL_RULE,
) -> tuple[WalkerNeed, ...]:
    """Need of every walker on every day for given food on their backs, as bands.

    Parameters
    ----------
    walkers, stretches, days, shared_kg, quiet_activity, pace_rule
        As for :func:`~fellfare.walk.demand.demand_of`.
    food_kg
        Food of each day on each back [kg] (walkers x days); from
        :func:`~fellfare.walk.carry.settle`, or from a menu.

    Raises
    ------
    Mistake
        ``day-too-long`` when a day's walk takes more than its hours,
        ``food-out-of-range`` when a mass is below zero, above 100 kg or missing;
        and those of :func:`~fellfare.walk.demand.demand_of`.
    """
    food = np.asarray(food_kg, dtype=np.float64)
    shape = (len(walkers), len(days))
    if food.shape != shape or not ((food >= 0) & (food <= 100)).all():
        raise Mistake(
            "food-out-of-range",
            what=f"food of shape {food.shape} is not of {shape[0]} walkers and {shape[1]} days",
            mend="give kilograms per walker and day, from 0 to 100",
        )

    def made(reading: Reading = FIRST, **nudges: float) -> Demand:
        return demand_of(
            walkers, stretches, days, shared_kg=shared_kg, reading=reading,
            quiet_activity=quiet_activity, pace_rule=pace_rule, **nudges,
        )  # fmt: skip

    demand = made()
    hours = moving_hours(demand, food)
    _refuse_long_days(walkers, demand, hours)
    parts = need_parts(demand, food)
    base = parts.need

    def moved(other: Demand) -> Array:
        return np.abs(need_kcal(other, food) - base)

    second = need_kcal(made(SECOND), food)
    resting_sd = np.array([[resting_of(w).sd_kcal] for w in walkers])
    doubts: dict[str, Array] = {
        "walking model": _model_sd(walkers, demand, parts, hours),
        "resting energy": moved(replace(demand, resting_kcal=demand.resting_kcal + resting_sd)),
        "camp life": moved(
            replace(demand, reading=replace(FIRST, camp_factor=FIRST.camp_factor + _CAMP_SD))
        ),
        "ground": moved(made(eta_shift=_ETA_SD)),
        "grades": moved(made(grade_scale=1.0 + _GRADE_SD)),
        "pace": moved(made(pace_scale=1.0 + _PACE_SD)),
        "food's own cost": moved(
            replace(
                demand,
                reading=replace(FIRST, thermic_share=FIRST.thermic_share + _THERMIC_SD),
            )
        ),
        "weather": _SOFT_SD * parts.weather / (1.0 - FIRST.thermic_share),
        "height": _SOFT_SD * parts.altitude / (1.0 - FIRST.thermic_share),
        "two readings: rest of the day": np.abs(second - base),
        "two readings: ground on the grade term": moved(made(replace(FIRST, eta_on_grade=True))),
        "two readings: base 1.1 or 1.11": moved(made(replace(FIRST, base=OTHER_BASE))),
        "quiet day": _quiet_sd(walkers, demand, parts),
    }
    load = load_kg(demand, food)
    return tuple(
        _walker_need(w, walkers[w], stretches, demand, parts, hours, load, second, doubts)
        for w in range(len(walkers))
    )


def _model_sd(walkers: tuple[Walker, ...], demand: Demand, parts: Parts, hours: Array) -> Array:
    """The published error of the model, or what was learnt of this walker; [kcal]."""
    published = ERROR_W_PER_KG * demand.body_kg * hours * 3600.0 / 4184.0
    learnt = np.array(
        [[np.nan if w.energy_factor_sd is None else w.energy_factor_sd] for w in walkers]
    )
    sd = np.where(np.isnan(learnt), published, np.nan_to_num(learnt) * parts.walking)
    rises = (1.0 + demand.weather) / (1.0 - demand.reading.thermic_share)
    return np.where(parts.quiet > 0, 0.0, sd * rises)


def _quiet_sd(walkers: tuple[Walker, ...], demand: Demand, parts: Parts) -> Array:
    """Doubt about a day that stands on the quiet day: activity class and person [kcal]."""
    rows = []
    for walker in walkers:
        if walker.age_y < 19:
            rows.append([0.2 * quiet_day_kcal(walker)])
            continue
        span = quiet_day_kcal(walker, "active") - quiet_day_kcal(walker, "inactive")
        person = resting_of(walker).sd_kcal / resting_of(walker).kcal * quiet_day_kcal(walker)
        rows.append([float(np.hypot(0.5 * span, person))])
    return np.where(parts.quiet > 0, np.array(rows) * demand.hours / 24.0, 0.0)


def _walker_need(
    w: int,
    walker: Walker,
    stretches: Stretches,
    demand: Demand,
    parts: Parts,
    hours: Array,
    load: Array,
    second: Array,
    doubts: dict[str, Array],
) -> WalkerNeed:
    days = []
    for d in range(len(demand.hours)):
        kcal = float(parts.need[w, d])
        each = tuple(
            Contribution(name=name, sd_kcal=float(sd[w, d]))
            for name, sd in doubts.items()
            if sd[w, d] > 0
        )
        sd = sqrt(sum(doubt.sd_kcal**2 for doubt in each))
        rest_of_hours = float(demand.resting_kcal[w, 0] * demand.hours[d] / 24.0)
        need = DayNeed(
            walker=walker.name,
            day=d + 1,
            moving_hours=float(hours[w, d]),
            mean_load_kg=_mean_load_kg(stretches, load[w], d),
            kcal=kcal,
            low_kcal=kcal - Z_80 * sd,
            high_kcal=kcal + Z_80 * sd,
            sd_kcal=sd,
            walking_kcal=float(parts.walking[w, d]),
            rest_kcal=float(parts.rest[w, d]),
            altitude_kcal=float(parts.altitude[w, d]),
            weather_kcal=float(parts.weather[w, d]),
            thermic_kcal=float(parts.thermic[w, d]),
            quiet_kcal=float(parts.quiet[w, d]),
            second_reading_kcal=float(second[w, d]),
            activity_level=kcal / rest_of_hours,
            doubts=each,
        )
        days.append(replace(need, notes=_day_notes(need, demand, d)))
    sds = np.array([day.sd_kcal for day in days])
    total = sum(day.kcal for day in days)
    sd = sqrt(float(DAYS_ALIKE * sds.sum() ** 2 + (1.0 - DAYS_ALIKE) * (sds**2).sum()))
    return WalkerNeed(
        walker=walker.name,
        days=tuple(days),
        kcal=total,
        low_kcal=total - Z_80 * sd,
        high_kcal=total + Z_80 * sd,
        sd_kcal=sd,
        notes=(*resting_of(walker).notes, *_range_notes(w, walker, stretches, demand, load)),
    )


def _mean_load_kg(stretches: Stretches, load: Array, day: int) -> float | None:
    here = stretches.day == day
    if not here.any():
        return None
    return float(np.average(load[here], weights=(stretches.to_m - stretches.from_m)[here]))


def _day_notes(need: DayNeed, demand: Demand, d: int) -> tuple[Finding, ...]:
    found = []
    awake = float(demand.hours[d] - demand.sleep_hours[d])
    if need.moving_hours > awake:
        found.append(
            Finding(
                severity="caution",
                rule="walk-eats-sleep",
                text=f"Day {need.day}: {need.walker} would be {need.moving_hours:.1f} h on the move"
                f" and has {awake:.1f} h awake.",
                source="arithmetic",
            )
        )
    if need.activity_level > MOST_KEPT_UP:
        found.append(
            Finding(
                severity="caution",
                rule="beyond-what-was-kept-up",
                text=f"Day {need.day}: {need.activity_level:.1f} times resting energy; soldiers"
                f" kept up {MOST_KEPT_UP} for 54 hours. The day is hard, or the input is wrong.",
                source="Castellani et al. 2006, Med Sci Sports Exerc 38:894",
            )
        )
    if need.altitude_kcal > 0:
        found.append(
            Finding(
                severity="note",
                rule="height-is-soft",
                text=f"Day {need.day}: {need.altitude_kcal:.0f} kcal are added for the height; the"
                " published figures differ widely, and appetite falls up there.",
                source="Butterfield 1992, from memory; two readings",
            )
        )
    if need.weather_kcal > 0:
        found.append(
            Finding(
                severity="note",
                rule="weather-is-soft",
                text=f"Day {need.day}: {need.weather_kcal:.0f} kcal are added for cold or heat."
                " Being wet and shivering is not reckoned with.",
                source="AR 40-25 (2001), in a public digest",
            )
        )
    return tuple(found)


def _range_notes(
    w: int, walker: Walker, stretches: Stretches, demand: Demand, load: Array
) -> tuple[Finding, ...]:
    """Legs outside the range of the walking model, counted once for the whole walk."""
    if not stretches.piece_m.size:
        return ()
    load_here = load[w][stretches.piece_stretch]
    return range_notes(
        lcda_backpacking.RANGE,
        body_kg=walker.mass_kg,
        load_kg=load_here,
        speed_m_s=demand.unloaded_m_s[w]
        * load_pace(load_here / walker.mass_kg, demand.load_slowing),
        grade=stretches.piece_grade,
    )


def _refuse_long_days(walkers: tuple[Walker, ...], demand: Demand, hours: Array) -> None:
    late = hours > demand.hours
    if late.any():
        w, d = (int(k) for k in np.argwhere(late)[0])
        raise Mistake(
            "day-too-long",
            what=f"{walkers[w].name} would walk {hours[w, d]:.1f} h in a day of"
            f" {demand.hours[d]:g} h",
            mend="shorten the day, or give it more hours",
            where=f"day {d + 1}",
        )
