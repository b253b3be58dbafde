"""What do other rules and models say of the same walk?"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from fellfare.trip.trip import Trip
from fellfare.walk.demand import resting_of
from fellfare.walk.effort import J_PER_KCAL
from fellfare.walk.energy.spread import ModelEnergy, energy_by_model
from fellfare.walk.legs import Legs
from fellfare.walk.need import WalkerNeed
from fellfare.walk.pace.arrival import RuleHours, hours_by_rule
from fellfare.walk.pace.plan import planned_speed_m_s
from fellfare.walk.ration import BesideRule, beside_rules

_DAY_S = 86_400.0


class Spread(Struct, frozen=True, kw_only=True):
    """The rules side by side; all empty when nobody walks."""

    #: Moving hours of the whole walk, unloaded, by each pace rule.
    pace: tuple[RuleHours, ...]
    #: Walking energy of the whole walk by each model, for each walker in turn.
    energy: tuple[tuple[ModelEnergy, ...], ...]
    #: Food of a person-day as planned, and beside the trade's tables.
    g_per_person_day: float | None
    kcal_per_person_day: float | None
    rations: tuple[BesideRule, ...]


def spread_of(
    trip: Trip,
    legs: Legs | None,
    needs: Sequence[WalkerNeed],
    *,
    food_g: float,
    food_kcal: float,
    person_days: float,
) -> Spread:
    """Pace by rule, energy by model at each walker's own mean load, rations beside."""
    g = food_g / person_days if person_days > 0 else None
    kcal = food_kcal / person_days if person_days > 0 else None
    return Spread(
        pace=() if legs is None else hours_by_rule(legs),
        energy=()
        if legs is None
        else tuple(_energy(trip, legs, n, need) for n, need in enumerate(needs)),
        g_per_person_day=g,
        kcal_per_person_day=kcal,
        rations=beside_rules(g_per_person_day=g, kcal_per_person_day=kcal),
    )


def _energy(trip: Trip, legs: Legs, number: int, need: WalkerNeed) -> tuple[ModelEnergy, ...]:
    walker = trip.walkers[number]
    loads = [d.mean_load_kg for d in need.days if d.mean_load_kg is not None]
    load = sum(loads) / len(loads)
    speed = planned_speed_m_s(
        grade=legs.grade,
        eta=legs.eta,
        load_share=load / walker.mass_kg,
        pace_factor=walker.pace_factor,
    )
    return energy_by_model(
        legs,
        body_kg=walker.mass_kg,
        load_kg=load,
        speed_m_s=speed,
        rest_w=resting_of(walker).kcal * J_PER_KCAL / _DAY_S,
    )
