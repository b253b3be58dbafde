"""Which rules look at a trip, and what do they say together?"""

from __future__ import annotations

from typing import Final

from fellfare.mistake import SEVERITIES, Finding
from fellfare.safety.rule import Rule
from fellfare.safety.trip.facts import TripCase
from fellfare.safety.trip.rules import (
    fire,
    flame,
    height,
    hold,
    intake,
    keeping,
    party,
    post,
    spare,
    thirst,
    untold,
    water,
)

#: Every rule; the order is the order of the findings within one severity.
TRIP_RULES: Final[tuple[Rule[TripCase], ...]] = (
    untold.days_untold,
    untold.kitchen_untold,
    untold.altitude_untold,
    flame.cooking_inside,
    fire.stove_banned,
    fire.fire_rule_untold,
    fire.no_valve,
    flame.spirit_flame,
    flame.petrol_flare,
    flame.scald_youth,
    water.water_treatment,
    water.soak_water,
    water.water_boil_minutes,
    water.cloudy_water,
    water.water_chemicals,
    thirst.dry_stretch,
    thirst.source_doubtful,
    hold.jar_hold,
    hold.hold_limit,
    height.gas_cold_untold,
    height.high_cooking,
    height.high_pulses,
    height.high_sleep,
    party.shared_pot,
    party.stops_and_diets,
    party.health_untold,
    intake.high_risk_walker,
    intake.high_risk_gap,
    intake.youth_gap,
    intake.under_eating,
    keeping.life_used,
    post.fuel_in_post,
    post.fuel_in_plane,
    post.box_wait,
    post.box_misses_walker,
    post.hot_box,
    spare.no_spare_day,
)


def check_trip(case: TripCase) -> tuple[Finding, ...]:
    """Everything that the rules say about a trip, gravest first.

    With it come what the camp says of gas in the cold (``gas-too-cold``) and the walk of the
    planned gap (``energy-gap``, ``great-energy-gap``, ``gap-beyond-fat``): whoever prints this
    need not ask those again.  An empty answer means that no rule of the list fired, and
    nothing more; see :func:`no_trip_rule_fired`.
    """
    found = [finding for one in TRIP_RULES for finding in one(case)]
    found += [*height.gas_findings(case), *intake.gap_findings(case)]
    return tuple(sorted(found, key=lambda finding: SEVERITIES.index(finding.severity)))


def no_trip_rule_fired() -> str:
    """What to print when :func:`check_trip` finds nothing."""
    return (
        f"No rule of this list of {len(TRIP_RULES)} fired.  That is no verdict on the walk: the "
        "rules see only what the trip says."
    )
