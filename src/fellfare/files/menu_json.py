"""The menu as plain data: what ``fellfare menu --json`` prints.  Keys stay; new ones are added."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final

from msgspec import to_builtins

from fellfare.menu.asked.here import DishHere
from fellfare.menu.front import Front
from fellfare.menu.resupply.of_trip import StopsOfTrip
from fellfare.menu.trip_menu import DayOfMenu, EaterDay, MealOfMenu, TripMenu
from fellfare.mistake import Finding

#: Figures are rounded here, at the printing end, and nowhere before.
_PLACES: Final = 3


def menu_data(menu: TripMenu) -> dict[str, Any]:
    """Everything that the menu says; a part that is not known is null.

    Where there is no menu, ``impossible`` says which wishes must give, ``mass_g`` is null and
    ``days`` is empty; ``verdict`` tells whether that is proven ('impossible') or the time
    ran out ('stopped').
    """
    last = menu.rounds[-1] if menu.rounds else None
    data: dict[str, Any] = {
        "title": menu.title,
        "verdict": menu.verdict,
        "mass_g": menu.mass_g,
        "bound_mass_g": menu.bound_mass_g if menu.bound_mass_g > 0 else None,
        "gap": _finite(menu.gap),
        "weighed_gap": _finite(menu.weighed_gap),
        "counts": list(menu.counts),
        "kg_km": menu.kg_km,
        "bound_kg_km": menu.bound_kg_km,
        "cost": menu.cost,
        "currency": menu.currency,
        "rounds": len(menu.rounds),
        "residual_g": None if last is None else last.residual_g,
        "residual_kcal": None if last is None else last.residual_kcal,
        "settled": menu.settled,
        "each_round": [to_builtins(one) for one in menu.rounds],
        "energy_kcal": menu.energy_kcal,
        "fuel_g": menu.fuel_g,
        "ration_g": menu.ration_g,
        "walkers": list(menu.walkers),
        "days": [_day(day) for day in menu.days],
        "load_line": {
            walker: [{"day": day, "from_m": at_m, "load_kg": kg} for day, at_m, kg in line]
            for walker, line in menu.load_line.items()
        },
        "changes": [to_builtins(one) for one in menu.changes],
        "change_sentences": list(menu.change_sentences),
        "asked_otherwise": list(menu.asked_otherwise),
        "taken_up": [to_builtins(one) for one in menu.taken],
        "left_out": [to_builtins(one) for one in menu.left_out],
        "solver": menu.solver,
        "seconds": menu.seconds,
        "findings": [to_builtins(one) for one in menu.findings],
    }
    if not menu.days:
        data["impossible"] = [to_builtins(one) for one in menu.gives]
        data["gives_least"] = menu.gives_least
        data["other_ways"] = [[to_builtins(one) for one in way] for way in menu.other_ways]
        data["clashes"] = [list(wishes) for wishes in menu.clashes]
    rounded = rounded_data(data)
    if last is not None:
        rounded["residual_g"] = last.residual_g  # far below any rounding
        rounded["residual_kcal"] = last.residual_kcal
    assert isinstance(rounded, dict)
    return rounded


def _finite(value: float) -> float | None:
    return value if value < float("inf") else None


def _day(day: DayOfMenu) -> dict[str, Any]:
    return {
        "day": day.day,
        "load_g": {one.walker: one.load_g for one in day.eaters},
        "meals": [_meal(meal) for meal in day.meals],
        "rations": [to_builtins(one) for one in day.rations],
        "walkers": {one.walker: _eater(one) for one in day.eaters},
    }


def _meal(meal: MealOfMenu) -> dict[str, Any]:
    return {
        "time": meal.time,
        "dish": meal.dish,
        "title": meal.title,
        "shared": meal.shared,
        "times": meal.times,
        "portions": {one.walker: one.mass_g for one in meal.helpings},
        "servings": {one.walker: one.servings for one in meal.helpings},
        "energy_kcal": meal.energy_kcal,
        "energy_kcal_each": {one.walker: one.energy_kcal for one in meal.helpings},
        "wet": meal.wet,
        "taken_up": meal.taken_up,
        "batches": meal.batches,
        "without": list(meal.without),
        "cold_instead": meal.cold_instead,
    }


def _eater(one: EaterDay) -> dict[str, Any]:
    return {
        "need_kcal": one.need_kcal,
        "target_kcal": one.target_kcal,
        "energy_kcal": one.energy_kcal,
        "food_g": one.food_g,
        "load_g": one.load_g,
        "pack_g": one.pack_g,
        "nutrients": dict(one.nutrients),
        "unknown": list(one.unknown),
    }


def dishes_data(
    title: str, here: Iterable[DishHere], findings: Iterable[Finding]
) -> dict[str, Any]:
    """What can be made where, day by day."""
    days: dict[int, list[dict[str, Any]]] = {}
    for one in here:
        plain = to_builtins(one)
        days.setdefault(plain.pop("day"), []).append(plain)
    return {
        "title": title,
        "days": [{"day": day, "dishes": rows} for day, rows in days.items()],
        "findings": [to_builtins(one) for one in findings],
    }


def front_data(title: str, front: Front, findings: Iterable[Finding]) -> dict[str, Any]:
    """The front of mass against variety or money."""
    data = {
        "title": title,
        "by": front.by,
        "times": list(front.times),
        "points": [
            {
                "different": one.different,
                "cost": one.cost,
                "mass_g": one.menu.mass_g,
                "bound_mass_g": one.menu.bound_mass_g if one.menu.bound_mass_g > 0 else None,
                "weighed_g": one.menu.weighed_g,
                "bound_g": one.menu.bound_g,
                "gap": _finite(one.menu.gap),
                "step_g": one.step_g,
                "least_step_g": one.least_step_g,
                "most_step_g": one.most_step_g,
            }
            for one in front.points
        ],
        "sentences": list(front.sentences),
        "ended": front.ended,
        "left_out": front.left_out,
        "seconds": front.seconds,
        "findings": [to_builtins(one) for one in findings],
    }
    rounded = rounded_data(data)
    assert isinstance(rounded, dict)
    return rounded


def stops_data(title: str, found: StopsOfTrip, findings: Iterable[Finding]) -> dict[str, Any]:
    """Which boxes and shops are worth using, set by set, the best first."""
    data = {
        "title": title,
        "currency": found.currency,
        "stops": [to_builtins(one) for one in found.stops],
        "left_out": list(found.left_out),
        "choices": [
            {
                "stops": list(one.stops),
                "fate": one.fate,
                "score_g": one.score_g,
                "bound_g": one.bound_g,
                "mean_load_g": one.mean_load_g,
                "heaviest_g": one.heaviest_g,
                "mass_g": one.mass_g,
                "money": one.money,
                "effort_min": one.effort_min,
                "front": one.front,
                "legs": [to_builtins(leg) for leg in one.legs],
                "gives": [to_builtins(give) for give in one.gives],
            }
            for one in found.resupply.choices
        ],
        "sentences": list(found.resupply.sentences),
        "not_weighed": found.resupply.not_weighed,
        "findings": [to_builtins(one) for one in findings],
    }
    rounded = rounded_data(data)
    assert isinstance(rounded, dict)
    return rounded


def rounded_data(value: Any) -> Any:
    """Every figure to three places; what is not finite becomes null."""
    if isinstance(value, float):
        return round(value, _PLACES) if abs(value) < float("inf") else None
    if isinstance(value, Mapping):
        return {key: rounded_data(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [rounded_data(one) for one in value]
    return value
