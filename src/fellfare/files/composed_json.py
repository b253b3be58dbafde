"""What the composer found, as plain data for JSON."""

from __future__ import annotations

from typing import Any

from fellfare.recipe.composing.hindering import Hindered, told_of
from fellfare.recipe.composing.question import RATIOS
from fellfare.recipe.composing.sweeping import Composed, Dish
from fellfare.recipe.composing.taste import names_of


def composed_data(found: Composed, chosen: tuple[Dish, ...]) -> dict[str, Any]:
    """Keys end in their unit and stay stable; an unknown figure is null."""
    return {
        "title": found.asked.title,
        "combinations": found.combinations,
        "seen": found.seen,
        "fitting": found.fitting,
        "scored": found.scored,
        "stopped": found.stopped,
        "step_factor": found.coarser,
        "hindered": None if found.hindered is None else _hindered(found.hindered),
        "front": [dish_data(dish) for dish in found.dishes],
        "chosen": [dish_data(dish) for dish in chosen],
        "findings": [
            {"severity": f.severity, "rule": f.rule, "text": f.text, "source": f.source}
            for f in found.findings
        ],
    }


def _hindered(why: Hindered) -> dict[str, Any]:
    """Which limits are in the way, with the best that is to be had of each; null is unknown."""
    return {
        "pairings_kept": why.paired,
        "tastes": list(why.tastes),
        "stopped": why.stopped,
        "ends": [
            {"figure": one.figure, "end": one.end, "asked": one.asked, "alone": one.alone,
             "beside": one.beside, "out_of_reach": one.out_of_reach}
            for one in why.ends
        ],
        "told": list(told_of(why)),
    }  # fmt: skip


def dish_data(dish: Dish) -> dict[str, Any]:
    """One dish, for one eater."""
    figures = dict(dish.figures)
    figures |= {name: dish.figure(name) for name in RATIOS}
    return {
        "number": dish.number,
        "lines": [
            {"food": portion.food.id, "amount": portion.amount, "mass_g": portion.mass_g}
            for filling in dish.fillings
            for portion in filling
        ],
        **{name: None if value is None else round(value, 3) for name, value in figures.items()},
        "minutes": dish.minutes,
        "tastes": list(names_of(dish.tastes)),
    }
