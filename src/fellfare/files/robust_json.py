"""Whether a plan stands, as plain data for JSON."""

from __future__ import annotations

from typing import Any

from fellfare.files.menu_json import rounded_data
from fellfare.provision.robust.blows import Blow
from fellfare.provision.robust.helping import EXTRA_G, Help
from fellfare.provision.robust.swings import Swing, food_and_fuel
from fellfare.provision.trip.provision import Provision


def robust_data(
    one: Provision,
    blows: tuple[Blow, ...],
    helps: tuple[Help, ...],
    swings: tuple[Swing, ...],
    unknown: tuple[str, ...],
) -> dict[str, Any]:
    """Keys end in their unit and stay stable; what is not known is null."""
    food_g, fuel_g = food_and_fuel(one.plan)
    data: dict[str, Any] = {
        "title": one.plan.trip.title,
        "food_g": food_g,
        "fuel_g": fuel_g,
        "blows": [
            {
                "kind": blow.kind,
                "what": blow.what,
                "first_day": blow.first_day,
                "last_day": blow.last_day,
                "walker": blow.walker,
                "share": blow.share,
                "lacking_kcal": blow.lacking_kcal,
                "verdict": blow.verdict,
                "told": blow.told,
            }
            for blow in blows
        ],
        "energy_unknown": list(unknown),
        "extra_g": EXTRA_G,
        "helps": [
            {
                "what": one_help.what,
                "energy_kcal": one_help.energy_kcal,
                "mended": list(one_help.mended),
                "gain": one_help.gain,
            }
            for one_help in helps
        ],
        "swings": [
            {
                "assumption": swing.assumption,
                "low": swing.low,
                "low_food_g": swing.low_food_g,
                "low_fuel_g": swing.low_fuel_g,
                "high": swing.high,
                "high_food_g": swing.high_food_g,
                "high_fuel_g": swing.high_fuel_g,
                "moves_g": swing.moves_g(food_g, fuel_g),
            }
            for swing in swings
        ],
    }
    rounded = rounded_data(data)
    assert isinstance(rounded, dict)
    return rounded
