"""What do the bags of a serving weigh, as the provision will fill them?

A menu counts by servings; a bag does not grow with them.  So a serving bears its part of the
bags of usual portions: one bag of each lot for a pot of all who share it, else one for each
eater, and its part of the large bags that hold a day's food.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Final

from msgspec.structs import replace

from fellfare.menu.asked.dishes import AskedDish
from fellfare.menu.pool import Slot
from fellfare.recipe.bagging import tare_g
from fellfare.recipe.packing import ZIP_BAGS, ZIP_FILL
from fellfare.trip.plan import TripPlan

#: About the usual portion, over which the step from one size of bag to the next is evened
#: out (judgement).
ABOUT: Final = (0.7, 0.85, 1.0, 1.15, 1.3)
_DINNER: Final = "dinner"


def with_bags(
    dishes: Sequence[AskedDish],
    plan: TripPlan,
    slots: Sequence[Slot],
    need_kcal: float,
) -> tuple[AskedDish, ...]:
    """The dishes with the mass of their bags.

    ``slots`` are all eating times of the walk, ``need_kcal`` what all dishes of all eaters
    bring on it.
    """
    usual = usual_portion(dishes, slots, need_kcal)
    per_ml = day_bags_g_per_ml(dishes, need_kcal / len(plan.days))
    return tuple(
        replace(one, dish=replace(one.dish, mass_g=_net_g(one) + _bags_g(one, plan, usual, per_ml)))
        for one in dishes
    )


def usual_portion(dishes: Sequence[AskedDish], slots: Sequence[Slot], need_kcal: float) -> float:
    """Servings of each dish that bring what is needed, were all dishes eaten alike."""
    served = {
        meal: [one.dish.energy_kcal for one in dishes if meal in one.dish.meals]
        for meal in {slot.meal for slot in slots}
    }
    mean = {meal: sum(each) / len(each) for meal, each in served.items() if each}
    energy = sum(mean.get(slot.meal, 0.0) * slot.least * len(slot.walkers) for slot in slots)
    return need_kcal / energy if energy > 0.0 and need_kcal > 0.0 else 1.0


def _net_g(one: AskedDish) -> float:
    return one.sheet.mass.value / one.sheet.eaters


def _bags_g(one: AskedDish, plan: TripPlan, usual: float, per_ml: float) -> float:
    """Empty bags of a serving [g]."""
    least, most = _ends(one)
    tares, servings = 0.0, 0.0
    for eaters, weight in _pots(one, plan):
        for about in ABOUT:
            portion = max(least, min(most, about * usual))
            tares += weight * tare_g(one.sheet, eaters * portion)
            servings += weight * eaters * portion
    return tares / servings + per_ml * (one.dish.volume_ml or 0.0)


def _ends(one: AskedDish) -> tuple[float, float]:
    dish = one.dish
    return dish.least_steps / dish.steps_per_serving, dish.most_steps / dish.steps_per_serving


def _pots(one: AskedDish, plan: TripPlan) -> tuple[tuple[int, int], ...]:
    """(eaters of one filling, how many such) for the eating times that take the dish."""
    walkers = len(plan.trip.walkers)
    kitchens = [len(kitchen.walkers) for kitchen in plan.trip.kitchens] or [walkers]
    pots: list[tuple[int, int]] = []
    if _DINNER in one.dish.meals:
        pots += [(many, 1) for many in kitchens]
    if set(one.dish.meals) - {_DINNER} or not one.dish.meals:
        pots.append((1, walkers))
    return tuple(pots)


def day_bags_g_per_ml(dishes: Sequence[AskedDish], need_kcal: float) -> float:
    """Part of the bags that hold a day's food which falls on a millilitre of it [g/mL]."""
    energy = sum(one.dish.energy_kcal for one in dishes)
    volume = sum(one.dish.volume_ml or 0.0 for one in dishes)
    if energy <= 0.0 or volume <= 0.0 or need_kcal <= 0.0:
        return 0.0
    day_ml = need_kcal * volume / energy
    fitting = [bag for bag in ZIP_BAGS if day_ml <= bag[1] * ZIP_FILL]
    _, brim_ml, empty_g = fitting[0] if fitting else ZIP_BAGS[-1]
    return ceil(day_ml / (brim_ml * ZIP_FILL)) * empty_g / day_ml
