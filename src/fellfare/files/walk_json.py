"""The walk as plain data: what ``fellfare walk --json`` prints.  Keys stay; new ones are added."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from msgspec import to_builtins

from fellfare.mistake import Finding
from fellfare.safety.trip.planned import hold_minutes_of
from fellfare.safety.water_treatment import boil_minutes
from fellfare.trip.camps import CampFacts
from fellfare.trip.care import Agency
from fellfare.trip.carries import Carry
from fellfare.trip.fuelling import FuelLeg, Heating
from fellfare.trip.heights import heights_along
from fellfare.trip.plan import PlanDay, TripPlan, WalkerPlan
from fellfare.trip.spread import walking_by_model
from fellfare.trip.timetable import timetable_of
from fellfare.walk.need import DayNeed

#: Figures are rounded here, at the printing end, and nowhere before.
_PLACES: Final = 3
#: Points of the height profile.
_POINTS: Final = 241


def walk_data(plan: TripPlan, findings: tuple[Finding, ...] | None = None) -> dict[str, Any]:
    """Everything that follows from the trip; hours are hours, other units stand in the keys.

    ``findings`` replace those of the plan, when a caller has more to say.
    """
    trip = plan.trip
    names = [plan.walker for plan in plan.walkers]
    heights = heights_along(plan.profile, [day.stage for day in plan.days], _POINTS)
    data: dict[str, Any] = {
        "title": trip.title,
        "start_date": None if trip.start_date is None else trip.start_date.isoformat(),
        "distance_m": sum(day.stage.distance_m for day in plan.days),
        "ascent_m": sum(day.stage.ascent_m for day in plan.days),
        "descent_m": sum(day.stage.descent_m for day in plan.days),
        "stages": [_stage(plan, day) for day in plan.days],
        "walkers": {one.walker: _walker(one) for one in plan.walkers},
        "eating_times": dict(plan.times()),
        "carries": [_carry(one, names) for one in plan.carries],
        "camps": [_camp(one, trip.care.water_agency) for one in plan.camps],
        "fuel": [_fuel(one, trip.kitchens[one.kitchen].walkers) for one in plan.fuel],
        "heatings": [_heating(one) for one in plan.heatings],
        "pace_rule": trip.way.pace_rule,
        "pace_rules": [to_builtins(one) for one in plan.spread.pace],
        "energy_models": {
            walker.name: [
                to_builtins(one)
                for one in walking_by_model(walker, plan.laid.legs, each.need, trip.way.pace_rule)
            ]
            for walker, each in zip(trip.walkers, plan.walkers, strict=True)
        },
        "rations": {
            "g_per_person_day": plan.spread.g_per_person_day,
            "kcal_per_person_day": plan.spread.kcal_per_person_day,
            "beside": [to_builtins(one) for one in plan.spread.rations],
            "by_factor": None if plan.rationing is None else to_builtins(plan.rationing),
        },
        "dry_sources": [to_builtins(one) for one in plan.dry],
        "profile": None
        if heights is None
        else {"at_m": heights.at_m.tolist(), "ele_m": heights.ele_m.tolist()},
        "care": {
            "health_asked": trip.care.health_asked,
            "water_treatment": trip.care.water_treatment,
            "water_agency": trip.care.water_agency,
            "flies": trip.care.flies,
            "raw_pulses": trip.care.raw_pulses,
        },
        "coverage": trip.rules.coverage,
        "kcal_per_g": trip.rules.kcal_per_g,
        "settled": {
            "hour_rounds": plan.hour_rounds,
            "rounds": plan.food_rounds,
            "residual_g": plan.residual_g,
        },
        "findings": [to_builtins(one) for one in (plan.findings if findings is None else findings)],
    }
    rounded = _rounded(data)
    rounded["settled"]["residual_g"] = plan.residual_g  # far below any rounding
    assert isinstance(rounded, dict)
    return rounded


def _stage(plan: TripPlan, day: PlanDay) -> dict[str, Any]:
    stage = day.stage
    needs = [one.need.days[day.day - 1] for one in plan.walkers]
    chance = plan.water_chances[day.day - 1]
    return {
        "day": day.day,
        "date": None if day.date is None else day.date.isoformat(),
        "name": stage.name,
        "camp": stage.camp,
        "distance_m": stage.distance_m,
        "ascent_m": stage.ascent_m,
        "descent_m": stage.descent_m,
        "naive_ascent_m": day.naive_ascent_m,
        "naive_descent_m": day.naive_descent_m,
        "start_m": stage.start_m,
        "end_m": stage.end_m,
        "camp_m": stage.camp_m,
        "terrain": stage.terrain,
        "day_c": stage.day_c,
        "night_c": stage.night_c,
        "fire": day.fire,
        "can_heat": list(day.can_heat),
        "hours": day.hours.moving_hours,
        "under_way_hours": {
            "early_hours": day.arrival.early_hours,
            "hours": day.arrival.likely_hours,
            "late_hours": day.arrival.late_hours,
        },
        "set_out_hour": day.hours.set_out_hour,
        "arrival_hour": day.hours.arrival_hour,
        "trail_food_hours": day.frame.hours,
        "timetable": [
            to_builtins(one)
            for one in timetable_of(plan, day, hold_minutes=hold_minutes_of(stage.day_c))
        ],
        "need": {
            need.walker: {"low_kcal": need.low_kcal, "kcal": need.kcal, "high_kcal": need.high_kcal}
            for need in needs
        },
        "eaten": [to_builtins(meal) for meal in day.meals],
        "stops": [
            {"name": one.stop.name, "kind": one.stop.kind, "at_m": one.at_m}
            for one in plan.laid.stops
            if one.day == day.day
        ],
        "water": {
            "walking_low_ml": day.water.walking_low_ml,
            "walking_high_ml": day.water.walking_high_ml,
            "camp_low_ml": day.water.camp_low_ml,
            "camp_high_ml": day.water.camp_high_ml,
            "water_at_camp": day.water.water_at_camp,
            "last_water": day.water.last_water,
            "cook_there_low_ml": day.water.cook_there_low_ml,
            "cook_there_high_ml": day.water.cook_there_high_ml,
            "most_carried_ml": day.water.most_carried_ml,
            "longest_dry_m": day.water.longest_dry_m,
            "chance_one_dry": chance.one_dry,
            "chance_one_dry_at_least": chance.one_dry_at_least,
            "chance_none_runs": chance.none_runs,
            "chance_untold": list(chance.untold),
            "leaves": None
            if day.water.leaves is None
            else [to_builtins(one) for one in day.water.leaves],
            "sources": [
                {
                    "name": one.name,
                    "at_m": one.at_m,
                    "reliability": one.reliability,
                    "counted": one.counted,
                    "chance_dry": one.chance_dry,
                }
                for one in day.water.springs
            ],
        },
    }


def _walker(plan: WalkerPlan) -> dict[str, Any]:
    need = plan.need
    return {
        "kcal": need.kcal,
        "low_kcal": need.low_kcal,
        "high_kcal": need.high_kcal,
        "target_kcal": sum(plan.target_kcal),
        "carried_kcal": sum(plan.carried_kcal),
        "food_g": sum(plan.food_g),
        "spare_g": plan.spare_g,
        "deficit_kcal": plan.deficit.total_kcal,
        "lost_mass_kg": plan.deficit.lost_mass_kg,
        "days": [_day(plan, day) for day in need.days],
        "load": [to_builtins(step) for step in plan.load],
    }


def _day(plan: WalkerPlan, need: DayNeed) -> dict[str, Any]:
    d = need.day - 1
    steps = [step for step in plan.load if step.day == need.day]
    return {
        "day": need.day,
        "kcal": need.kcal,
        "low_kcal": need.low_kcal,
        "high_kcal": need.high_kcal,
        "sd_kcal": need.sd_kcal,
        "walking_kcal": need.walking_kcal,
        "rest_kcal": need.rest_kcal,
        "altitude_kcal": need.altitude_kcal,
        "weather_kcal": need.weather_kcal,
        "thermic_kcal": need.thermic_kcal,
        "quiet_kcal": need.quiet_kcal,
        "second_reading_kcal": need.second_reading_kcal,
        "activity_level": need.activity_level,
        "moving_hours": need.moving_hours,
        "mean_load_kg": need.mean_load_kg,
        "start_load_kg": steps[0].start_kg if steps else None,
        "end_load_kg": steps[-1].end_kg if steps else None,
        "target_kcal": plan.target_kcal[d],
        "carried_kcal": plan.carried_kcal[d],
        "food_g": plan.food_g[d],
        "deficit_kcal": plan.deficit.by_day_kcal[d],
        "doubts": [to_builtins(one) for one in need.doubts],
    }


def _carry(carry: Carry, names: list[str]) -> dict[str, Any]:
    return {
        "number": carry.number,
        "from": carry.from_name,
        "to": carry.to_name,
        "from_day": carry.from_day,
        "from_m": carry.from_m,
        "to_day": carry.to_day,
        "times": dict(carry.times),
        "food_g": dict(zip(names, carry.food_g, strict=True)),
        "energy_kcal": dict(zip(names, carry.energy_kcal, strict=True)),
    }


def _camp(camp: CampFacts, agency: Agency) -> dict[str, Any]:
    return {
        "day": camp.day,
        "name": camp.name,
        "height_m": camp.height_m,
        "night_c": camp.night_c,
        "boils_c": camp.boiling.boils_c if camp.boiling else None,
        "boils_low_c": camp.boiling.low_c if camp.boiling else None,
        "boils_high_c": camp.boiling.high_c if camp.boiling else None,
        "cooking_factor": camp.cooking_factor,
        "water_boil_minutes": boil_minutes(camp.height_m, agency),
        "frost": camp.frost,
        "gas": {
            fuel: {
                "fresh_c": gas.fresh_c,
                "last_third_c": gas.last_third_c,
                "empty_c": gas.empty_c,
                "caution_below_c": gas.caution_below_c,
            }
            for fuel, gas in camp.gas
        },
        "snow": None
        if camp.snow is None
        else {"snow_g": camp.snow.snow_g, "low_l": camp.snow.low_l, "high_l": camp.snow.high_l},
    }


def _fuel(leg: FuelLeg, walkers: tuple[str, ...]) -> dict[str, Any]:
    cans = leg.canisters
    return {
        "stop": leg.from_name,
        "to": leg.to_name,
        "walkers": list(walkers),
        "fuel": leg.fuel_id,
        "day": leg.from_day,
        "boils": leg.boils,
        "water_ml": leg.water_ml,
        "fuel_g": leg.fuel_g,
        "low_g": leg.low_g,
        "high_g": leg.high_g,
        "reserve": leg.reserve,
        "filled_g": leg.filled_g,
        "canisters": None
        if cans is None
        else {"net_g": cans.size.net_g, "count": cans.count, "spare_g": cans.spare_g},
    }


def _heating(one: Heating) -> dict[str, Any]:
    return dict(to_builtins(one))


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, _PLACES)
    if isinstance(value, Mapping):
        return {key: _rounded(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(one) for one in value]
    return value
