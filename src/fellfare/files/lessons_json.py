"""What was learnt, as plain data for JSON."""

from __future__ import annotations

from typing import Any

from fellfare.learn.belief import Belief
from fellfare.learn.lessons import Lessons, WalkerLesson
from fellfare.learn.next_trip import NextTrip
from fellfare.learn.said import said_of


def lessons_data(lessons: Lessons, made: NextTrip) -> dict[str, Any]:
    """Keys end in their unit and stay stable; what was not learnt is null.

    What the next trip plans stands under ``next``; ``change`` is what the log alone asks for.
    """
    return {
        "by_dish": lessons.by_dish,
        "walkers": [_walker(lesson, made) for lesson in lessons.walkers],
        "stoves": [
            {
                "kitchen": stove.kitchen,
                "boils": stove.boils,
                "efficiency_before": _belief(stove.before),
                "efficiency": _belief(stove.after),
                "efficiency_next": stove.written,
            }
            for stove in lessons.stoves
        ],
        "soaks": [
            {
                "food": soak.food,
                "factor": soak.factor,
                "factor_next": soak.written,
                "low": soak.low,
                "high": soak.high,
                "tests": [
                    {"water_c": test.tried.water_c, "minutes": test.minutes} for test in soak.tests
                ],
            }
            for soak in lessons.soaks
        ],
        "dishes": [
            {
                "dish": dish.dish,
                "liking": _belief(dish.liking),
                "points": dish.points,
                "marks": dish.marks,
                "left": dish.left,
            }
            for dish in lessons.dishes
        ],
    }


def _walker(lesson: WalkerLesson, made: NextTrip) -> dict[str, Any]:
    energy = lesson.energy
    return {
        "walker": lesson.walker,
        "carried_g": lesson.carried_g,
        "home_g": lesson.home_g,
        "eaten_kcal": lesson.eaten_kcal,
        "early_change": lesson.early_change,
        "change": lesson.change,
        "no_cut": lesson.no_cut,
        "meals": [
            {
                "eating": meal.eating,
                "carried_g": meal.carried_g,
                "home_g": meal.home_g,
                "change": meal.change,
                "wish": _belief(meal.wish),
            }
            for meal in lesson.meals
        ],
        "lost_kg": lesson.lost_kg,
        "energy_factor": None if energy is None else _belief(energy.after),
        "energy_factor_seen": None if energy is None or energy.seen is None
        else _belief(energy.seen),
        "pace_factor": None if lesson.pace is None else lesson.pace[1][0],
        "pace_factor_sd": None if lesson.pace is None else lesson.pace[1][1],
        "next": _next(lesson.walker, made),
        "said": list(said_of(lesson, made)),
    }  # fmt: skip


def _next(name: str, made: NextTrip) -> dict[str, Any] | None:
    moved = made.of(name)
    if moved is None:
        return None
    walker = next(one for one in made.trip.walkers if one.name == name)
    return {
        "before_kcal": moved.before_kcal,
        "paced_kcal": moved.paced_kcal,
        "after_kcal": moved.after_kcal,
        "energy_factor": walker.energy_factor,
        "pace_factor": walker.pace_factor,
        "meals": [
            {
                "eating": meal.eating,
                "early_change": meal.early_change,
                "late_change": meal.late_change,
                "change": meal.change,
            }
            for meal in moved.meals
        ],
    }


def _belief(belief: Belief) -> dict[str, float]:
    return {"mean": belief.mean, "sd": belief.sd, "low": belief.low, "high": belief.high}
