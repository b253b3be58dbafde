"""What do other rules and models say of the same walk?"""

from __future__ import annotations

from msgspec import Struct

from fellfare.walk.demand import resting_of
from fellfare.walk.effort import J_PER_KCAL
from fellfare.walk.energy.spread import ModelEnergy, energy_by_model
from fellfare.walk.legs import Legs
from fellfare.walk.need import WalkerNeed
from fellfare.walk.pace.arrival import RuleHours, hours_by_rule
from fellfare.walk.pace.plan import planned_speed_m_s
from fellfare.walk.pace.rules import USUAL_RULE, PaceRule
from fellfare.walk.ration import BesideRule, beside_rules
from fellfare.walk.walker import Walker

_DAY_S = 86_400.0


class Spread(Struct, frozen=True, kw_only=True):
    """The rules side by side; no pace when nobody walks."""

    #: Moving hours of the whole walk, unloaded, by each pace rule.
    pace: tuple[RuleHours, ...]
    #: Food of a person-day as planned, and beside the trade's tables.
    g_per_person_day: float | None
    kcal_per_person_day: float | None
    rations: tuple[BesideRule, ...]


def spread_of(legs: Legs | None, *, food_g: float, food_kcal: float, person_days: float) -> Spread:
    """Pace by rule, and the carried food of a person-day beside the trade's tables."""
    g = food_g / person_days if person_days > 0 else None
    kcal = food_kcal / person_days if person_days > 0 else None
    return Spread(
        pace=() if legs is None else hours_by_rule(legs),
        g_per_person_day=g,
        kcal_per_person_day=kcal,
        rations=beside_rules(g_per_person_day=g, kcal_per_person_day=kcal),
    )


def walking_by_model(
    walker: Walker, legs: Legs | None, need: WalkerNeed, rule: PaceRule = USUAL_RULE
) -> tuple[ModelEnergy, ...]:
    """Walking energy of the whole walk by each model, at the walker's mean load and own pace.

    Empty when nobody walks.
    """
    loads = [day.mean_load_kg for day in need.days if day.mean_load_kg is not None]
    if legs is None or not loads:
        return ()
    load = sum(loads) / len(loads)
    speed = planned_speed_m_s(
        grade=legs.grade,
        eta=legs.eta,
        load_share=load / walker.mass_kg,
        pace_factor=walker.pace_factor,
        rule=rule,
    )
    return energy_by_model(
        legs,
        body_kg=walker.mass_kg,
        load_kg=load,
        speed_m_s=speed,
        rest_w=resting_of(walker).kcal * J_PER_KCAL / _DAY_S,
    )
