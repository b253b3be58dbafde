"""What should stand over each day of the trail card besides the food?"""

from __future__ import annotations

from fellfare.camp.timetable import clock
from fellfare.safety.trip.planned import hold_minutes_of
from fellfare.trip.plan import PlanDay, TripPlan
from fellfare.trip.timetable import timetable_of

_FIRE = {
    "no-flame": "FIRE BAN: no flame, no stove",
    "gas-only": "FIRE RULE: gas stoves only",
    "no-open-fire": "FIRE RULE: no open fire",
}


def day_words(plan: TripPlan) -> dict[int, tuple[str, ...]]:
    """Way, camp, fire rule and water of every day, in a few words each."""
    return {day.day: _words(plan, day) for day in plan.days}


def _words(plan: TripPlan, day: PlanDay) -> tuple[str, ...]:
    stage = day.stage
    said = []
    if stage.distance_m > 0:
        way = f"{stage.distance_m / 1000:.0f} km, {stage.ascent_m:.0f} m up, "
        way += f"{stage.descent_m:.0f} m down"
        arrive = clock(60.0 * day.hours.arrival_hour)
        said.append(f"{way}; there about {arrive}" + (f": {stage.camp}" if stage.camp else ""))
    else:
        said.append("Rest day" + (f" at {stage.camp}" if stage.camp else ""))
    camp = next((one for one in plan.camps if one.day == day.day), None)
    facts = []
    if camp is not None and camp.height_m is not None and camp.height_m >= 1000.0:
        facts.append(f"camp at {camp.height_m:.0f} m")
        if camp.boiling is not None:
            facts.append(f"water boils at {camp.boiling.boils_c:.0f} °C")
    if stage.night_c is not None and stage.night_c <= 0.0:
        facts.append(f"night {stage.night_c:.0f} °C")
    if day.water.last_water is not None:
        last = day.water.last_water
        facts.append("no water at camp" + (f"; last water: {last}" if last else ""))
    if facts:
        said.append("; ".join(facts)[:1].upper() + "; ".join(facts)[1:])
    if day.fire in _FIRE:
        said.append(_FIRE[day.fire])
    moments = timetable_of(plan, day, hold_minutes=hold_minutes_of(stage.day_c))
    wet = next((one for one in moments if one.what == "wet"), None)
    if wet is not None:
        at = f" ({wet.name})" if wet.name else ""
        said.append(f"Cold dinner: do not wet the jar before {clock(60.0 * wet.hour)}{at}")
    return tuple(said)
