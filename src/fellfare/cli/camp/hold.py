"""How long may the jar stand wet?  The limits of the safety rules, asked of a plan."""

from __future__ import annotations

from fellfare.mistake import Finding, Severity
from fellfare.safety.reading import COLD_HOLD_C
from fellfare.safety.rules.wet import (
    HOT_AIR_C,
    HOT_LIMITS,
    NEVER_MINUTES,
    USUAL_LIMITS,
    wet_hold,
)


def hold_limits(air_c: float | None) -> tuple[float, float]:
    """(advice, limit) from wetting to the last bite, by the warmest air [min]."""
    return HOT_LIMITS if air_c is not None and air_c > HOT_AIR_C else USUAL_LIMITS


def hold_findings(hold: float, air_c: float | None) -> tuple[Finding, ...]:
    """What the published limits say of the longest time that this plan allows."""
    doubt, limit = hold_limits(air_c)
    hot = " above 32 °C" if limit == HOT_LIMITS[1] else ""
    if air_c is not None and air_c <= COLD_HOLD_C:
        if hold <= doubt:
            return ()
        text = (
            f"{hold:.0f} min wet is only for a jar that stays at or under {COLD_HOLD_C:.0f} °C "
            "from wetting to the last bite, inside the pack as well."
        )
        return (_hold("caution", text),)
    if hold > limit:
        never = "  Past 6 h nothing allows it." if hold > NEVER_MINUTES else ""
        text = (
            f"The plan lets the food stand wet for {hold:.0f} min; the limit is {limit / 60:g} h"
            f"{hot}.  Cooking it again does not help: some toxins stand boiling.{never}"
        )
        return (_hold("error", text),)
    if hold > doubt:
        text = (
            f"The plan lets the food stand wet for {hold:.0f} min; the advice is {doubt / 60:g} h"
            f"{hot}."
        )
        return (_hold("caution", text),)
    if air_c is None and hold > HOT_LIMITS[0]:
        text = (
            f"The warmth of the air is not known; above {HOT_AIR_C:.0f} °C the advice is "
            f"{HOT_LIMITS[0] / 60:g} h from wetting to the last bite (say --air)."
        )
        return (_hold("caution", text),)
    return ()


def _hold(severity: Severity, text: str) -> Finding:
    return Finding(severity=severity, rule=wet_hold.id, text=text, source=wet_hold.source)
