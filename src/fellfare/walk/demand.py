"""The need of every walker on every day as a function of the food on their backs.

A :class:`Demand` is made once from walkers, legs and days; then
:func:`need_kcal` answers for any table of carried food (walkers x days) in one
sweep of a few small arrays.  The planner asks it in every round.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from fellfare.mistake import Mistake
from fellfare.walk.effort import J_PER_KCAL, Effort, effort_of, stretch_hours, stretch_kcal
from fellfare.walk.figures import Array, Figure
from fellfare.walk.load import Stretches
from fellfare.walk.pace.plan import (
    ASSUMED_CAPACITY,
    LOAD_SLOWING,
    capped_speed_m_s,
    load_pace,
    planned_speed_m_s,
    power_cap_w_per_kg,
)
from fellfare.walk.pace.rules import USUAL_RULE, PaceRule
from fellfare.walk.rest_of_day import (
    FIRST,
    DayFrame,
    Reading,
    altitude_share,
    rest_kcal,
    weather_share,
)
from fellfare.walk.resting import eer
from fellfare.walk.resting.eer import Activity
from fellfare.walk.resting.spread import Resting, resting_energy
from fellfare.walk.walker import Walker

#: Food of one day that the pace under the power cap is planned with [kg]; only
#: the cap looks at it, so that pace does not hang on the answer (judgement).
REFERENCE_FOOD_KG: Final = 0.8
#: Total over resting energy of a youth's quiet day: middle of 'low active'.
YOUTH_QUIET_DAY: Final = 1.6


class Demand(Struct, frozen=True, kw_only=True, eq=False):
    """All that need depends on, for W walkers, S stretches and D days.

    Made by :func:`demand_of`.  Rows are walkers in their given order.
    """

    walkers: tuple[str, ...]
    reading: Reading
    effort: Effort
    #: Speed without load on each piece of a leg [m/s] (W, P); times
    #: :func:`~fellfare.walk.pace.plan.load_pace` it is the speed under a load.
    unloaded_m_s: Array
    #: Where each stretch begins among the days: stretches of day d are
    #: ``bounds[d]`` to ``bounds[d + 1]`` (D + 1).
    bounds: NDArray[np.int64]
    #: Load without food: pack, shared things, water [kg] (W, S).
    fixed_kg: Array
    #: Share of each day's food on the back (S, D).
    aboard: Array
    body_kg: Array  #: (W, 1)
    energy_factor: Array  #: (W, 1)
    #: Resting energy at low height [kcal/day] (W, 1).
    resting_kcal: Array
    #: Share that height adds to resting energy, and weather to the day (D).
    altitude: Array
    weather: Array
    hours: Array  #: of the day on trail food (D)
    sleep_hours: Array  #: (D)
    #: Loss of speed per unit of load over body mass.
    load_slowing: float
    #: A day is never reckoned below the same day without a walk [kcal] (W, D).
    quiet_kcal: Array


class Parts(Struct, frozen=True, kw_only=True, eq=False):
    """A need taken apart; every array is (W, D) in kcal and they sum to ``need``."""

    walking: Array
    rest: Array
    altitude: Array
    weather: Array
    thermic: Array
    #: What lifts a short day to the quiet day without a walk.
    quiet: Array

    @property
    def need(self) -> Array:
        """The whole [kcal]."""
        return self.walking + self.rest + self.altitude + self.weather + self.thermic + self.quiet


def demand_of(
    walkers: tuple[Walker, ...],
    stretches: Stretches,
    days: tuple[DayFrame, ...],
    *,
    shared_kg: Figure = 0.0,
    reading: Reading = FIRST,
    quiet_activity: Activity = "low-active",
    load_slowing: float = LOAD_SLOWING,
    eta_shift: float = 0.0,
    grade_scale: float = 1.0,
    pace_scale: float = 1.0,
    pace_rule: PaceRule = USUAL_RULE,
) -> Demand:
    """Sum a walk up for its walkers.

    Parameters
    ----------
    walkers
        The party, at least one, with names that differ.
    stretches
        From :func:`~fellfare.walk.load.stretches_of`.
    days
        One frame per day, 1, 2, 3 ...
    shared_kg
        Fuel, pots, tent shares and the like on each back [kg]: one number, or
        an array that broadcasts over walkers x stretches.
    reading
        Which reading of the literature; leave it alone except for the spread.
    quiet_activity
        How one moves on a zero day.
    load_slowing
        Loss of speed per unit of load over body mass, 0 to 1 (an assumption).
    eta_shift, grade_scale, pace_scale
        Nudges for the band: added to every terrain factor, times every grade,
        times every pace.
    pace_rule
        Whose speed on a good path and without a load is taken.

    Raises
    ------
    Mistake
        ``party-empty``, ``names-not-unlike``, ``days-not-in-order``,
        ``load-out-of-range``, ``pace-out-of-range``.
    """
    _check(walkers, stretches, days)
    if not 0.0 <= load_slowing <= 1.0:
        raise Mistake(
            "pace-out-of-range",
            what=f"load slowing {load_slowing:g} is outside 0 to 1",
            mend="give 0.3: three per cent slower per tenth of the body's mass",
        )
    body = np.array([[w.mass_kg] for w in walkers])
    resting = np.array([[resting_of(w).kcal] for w in walkers])
    height = np.array([0.0 if d.height_m is None else d.height_m for d in days])
    altitude = altitude_share(reading, height)
    weather = weather_share(np.array([15.0 if d.air_c is None else d.air_c for d in days]))
    pack = np.array([[w.base_pack_kg] for w in walkers])
    fixed = pack + stretches.water_kg[None, :] + np.asarray(shared_kg, dtype=np.float64)
    if not ((fixed >= 0) & (fixed <= 150)).all():
        raise Mistake(
            "load-out-of-range",
            what="a load without food is outside 0 to 150 kg",
            mend="give shared things in kg per back",
        )
    nudged = Stretches(
        day=stretches.day, from_m=stretches.from_m, to_m=stretches.to_m,
        water_start_kg=stretches.water_start_kg, water_end_kg=stretches.water_end_kg,
        aboard=stretches.aboard, piece_stretch=stretches.piece_stretch, piece_m=stretches.piece_m,
        piece_grade=np.clip(stretches.piece_grade * grade_scale, -1.0, 1.0),
        piece_eta=np.clip(stretches.piece_eta + eta_shift, 1.0, 6.0),
    )  # fmt: skip
    unloaded = _unloaded_m_s(
        walkers, nudged, fixed, resting, altitude, height, pace_scale, load_slowing, pace_rule
    )
    hours = np.array([d.hours for d in days])
    quiet = np.array([[quiet_day_kcal(w, quiet_activity)] for w in walkers])
    lifted = (quiet + resting * altitude[None, :]) * (1.0 + weather[None, :])
    return Demand(
        walkers=tuple(w.name for w in walkers),
        reading=reading,
        effort=effort_of(nudged, unloaded, eta_on_grade=reading.eta_on_grade, base=reading.base),
        unloaded_m_s=unloaded,
        bounds=np.searchsorted(stretches.day, np.arange(len(days) + 1)).astype(np.int64),
        fixed_kg=fixed,
        aboard=stretches.aboard,
        body_kg=body,
        energy_factor=np.array([[w.energy_factor] for w in walkers]),
        resting_kcal=resting,
        altitude=altitude,
        weather=weather,
        hours=hours,
        sleep_hours=np.array([d.sleep_hours for d in days]),
        load_slowing=load_slowing,
        quiet_kcal=lifted * hours[None, :] / 24.0,
    )


def resting_of(walker: Walker) -> Resting:
    """Resting energy of a walker with its spread, from ``walk.resting``."""
    return resting_energy(
        sex=walker.sex, age_y=walker.age_y, height_cm=walker.height_cm, mass_kg=walker.mass_kg
    )


def quiet_day_kcal(walker: Walker, activity: Activity = "low-active") -> float:
    """A day without a walk [kcal]: NASEM 2023 for adults, 1.6 x resting below 19 years."""
    if walker.age_y < 19:
        return YOUTH_QUIET_DAY * resting_of(walker).kcal
    return eer.required_kcal(
        sex=walker.sex,
        age_y=walker.age_y,
        height_cm=walker.height_cm,
        mass_kg=walker.mass_kg,
        activity=activity,
    )


def load_kg(demand: Demand, food_kg: Array, extra_kg: Figure = 0.0) -> Array:
    """Mean load on each stretch [kg] (W, S) for food per walker and day [kg] (W, D)."""
    return demand.fixed_kg + np.asarray(food_kg) @ demand.aboard.T + extra_kg


def moving_hours(demand: Demand, food_kg: Array) -> Array:
    """Hours on the move per walker and day (W, D)."""
    share = load_kg(demand, food_kg) / demand.body_kg
    return by_day(demand, stretch_hours(demand.effort, share, demand.load_slowing))


def need_kcal(demand: Demand, food_kg: Array, extra_kg: Figure = 0.0) -> Array:
    """Need of every walker on every day [kcal] (W, D).

    Parameters
    ----------
    demand
        From :func:`demand_of`.
    food_kg
        Food of each day on each back [kg] (W, D), not below zero.
    extra_kg
        More on the back all day [kg], broadcast over (W, S).
    """
    load = load_kg(demand, food_kg, extra_kg)
    return _need(demand, load, slice(None), slice(None))


def need_parts(demand: Demand, food_kg: Array, extra_kg: Figure = 0.0) -> Parts:
    """The same, taken apart; the parts sum to :func:`need_kcal`."""
    share = load_kg(demand, food_kg, extra_kg) / demand.body_kg
    low = demand.resting_kcal * J_PER_KCAL / 86_400.0 / demand.body_kg
    hours = by_day(demand, stretch_hours(demand.effort, share, demand.load_slowing))
    walking = demand.energy_factor * by_day(
        demand, stretch_kcal(demand.effort, demand.body_kg, share, low, demand.load_slowing)
    )
    rest = rest_kcal(demand.reading, demand.resting_kcal, demand.hours, demand.sleep_hours, hours)
    moving_rest = demand.energy_factor * demand.resting_kcal * hours / 24.0
    altitude = demand.altitude * (rest + moving_rest)
    weather = demand.weather * (walking + rest + altitude)
    eaten = (walking + rest + altitude + weather) / (1.0 - demand.reading.thermic_share)
    return Parts(
        walking=walking,
        rest=rest,
        altitude=altitude,
        weather=weather,
        thermic=eaten * demand.reading.thermic_share,
        quiet=np.maximum(demand.quiet_kcal - eaten, 0.0),
    )


def slope_kcal_per_kg(demand: Demand, food_kg: Array, step_kg: float = 0.1) -> Array:
    """What one more kilogram on the back, all day, adds to each day's need (W, D).

    Central difference quotient [kcal per kg]; zero on days without a walk.
    """
    above = need_kcal(demand, food_kg, 0.5 * step_kg)
    below = need_kcal(demand, food_kg, -0.5 * step_kg)
    return (above - below) / step_kg


def by_day(demand: Demand, values: Array) -> Array:
    """Sums over the stretches of each day: (W, S) to (W, D); zero days hold zero."""
    total = np.zeros((values.shape[0], values.shape[1] + 1))
    np.cumsum(values, axis=1, out=total[:, 1:])
    return np.asarray(np.diff(total[:, demand.bounds], axis=1), dtype=np.float64)


def day_need(demand: Demand, load: Array, day: int) -> Array:
    """Need of one day (index from 0) at given mean loads of its stretches (W, s) [kcal] (W)."""
    stretches = slice(int(demand.bounds[day]), int(demand.bounds[day + 1]))
    return _need(demand, load, stretches, slice(day, day + 1))[:, 0]


def _need(demand: Demand, load: Array, stretches: slice, days: slice) -> Array:
    """The hot path: need for the chosen stretches, which are those of the chosen days."""
    share = load / demand.body_kg
    lift = 1.0 + demand.altitude[days]
    effort = demand.effort
    one_day = days != slice(None)
    part = Effort(
        seconds=effort.seconds[:, stretches],
        speed_58=effort.speed_58[:, stretches],
        speed_4=effort.speed_4[:, stretches],
        slope=effort.slope[:, stretches],
    )
    hours_s = stretch_hours(part, share, demand.load_slowing)
    kcal_s = stretch_kcal(part, demand.body_kg, share, 0.0, demand.load_slowing)
    if one_day:
        hours = hours_s.sum(axis=1, keepdims=True)
        net = kcal_s.sum(axis=1, keepdims=True)
    else:
        hours, net = by_day(demand, hours_s), by_day(demand, kcal_s)
    walking = demand.energy_factor * (net + demand.resting_kcal * lift * hours / 24.0)
    rest = rest_kcal(
        demand.reading, demand.resting_kcal * lift, demand.hours[days],
        demand.sleep_hours[days], hours,
    )  # fmt: skip
    day = (walking + rest) * (1.0 + demand.weather[days]) / (1.0 - demand.reading.thermic_share)
    return np.asarray(np.maximum(day, demand.quiet_kcal[:, days]), dtype=np.float64)


def _unloaded_m_s(
    walkers: tuple[Walker, ...],
    stretches: Stretches,
    fixed_kg: Array,
    resting: Array,
    altitude: Array,
    height_m: Array,
    pace_scale: float,
    load_slowing: float,
    pace_rule: PaceRule,
) -> Array:
    """Speed without load on every piece (W, P), slowed where the power cap binds."""
    body = np.array([[w.mass_kg] for w in walkers])
    at = stretches.piece_stretch
    day = stretches.day[at]
    food = REFERENCE_FOOD_KG * stretches.aboard.sum(axis=1)
    share = ((fixed_kg + food[None, :]) / body)[:, at]
    speed = planned_speed_m_s(
        grade=stretches.piece_grade,
        eta=stretches.piece_eta,
        load_share=share,
        pace_factor=np.array([[w.pace_factor * pace_scale] for w in walkers]),
        load_slowing=load_slowing,
        rule=pace_rule,
    )
    capacity = [
        [ASSUMED_CAPACITY if w.capacity_ml_per_kg_min is None else w.capacity_ml_per_kg_min]
        for w in walkers
    ]
    capped = capped_speed_m_s(
        speed,
        grade=stretches.piece_grade,
        eta=stretches.piece_eta,
        load_share=share,
        rest_w_per_kg=(resting * J_PER_KCAL / 86_400.0 / body) * (1.0 + altitude[day][None, :]),
        cap_w_per_kg=power_cap_w_per_kg(np.array(capacity), height_m=height_m[day][None, :]),
    )
    return np.asarray(capped / load_pace(share, load_slowing), dtype=np.float64)


def _check(walkers: tuple[Walker, ...], stretches: Stretches, days: tuple[DayFrame, ...]) -> None:
    if not walkers:
        raise Mistake("party-empty", "nobody walks", "give at least one walker")
    names = [w.name for w in walkers]
    if len(set(names)) != len(names):
        raise Mistake(
            "names-not-unlike",
            what="two walkers bear one name",
            mend="give everybody a name of their own",
        )
    if [d.day for d in days] != list(range(1, stretches.aboard.shape[1] + 1)):
        raise Mistake(
            "days-not-in-order",
            what="the days do not match those of the stretches",
            mend="give one frame for every day, 1, 2, 3 ...",
        )
