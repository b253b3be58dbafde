"""Every menu of a small question, tried one by one: the best of them is the truth.

Nothing here knows how menus are made: choices are listed, figures are added up
plainly, and the checker (which shares nothing with the model either) says
which menus keep the rules. Menus are taken in order of what they cost at least, so
the first that keeps every rule, and any that packs could still make cheaper, decide.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations_with_replacement, product
from math import ceil, prod

import numpy as np

from fellfare.menu.answer import Plate, Portion
from fellfare.menu.checking import broken_rules
from fellfare.menu.pool import Dish, Question, Slot

#: More menus than this are not tried (about five seconds when none is possible).
MOST_MENUS = 60_000

Filling = tuple[Plate, ...]


def plate(
    slot: Slot, dish: Dish, walkers: tuple[str, ...], steps: tuple[int, ...], times: int
) -> Plate:
    """A plate with its figures reckoned from its steps."""
    return Plate(
        day=slot.day,
        time=slot.time,
        dish=dish.id,
        shared=slot.shared,
        times=times,
        portions=tuple(
            Portion(
                walker=walker,
                steps=many,
                mass_g=(dish.mass_g + dish.fuel_g) * many / dish.steps_per_serving,
                energy_kcal=dish.energy_kcal * many / dish.steps_per_serving,
            )
            for walker, many in zip(walkers, steps, strict=True)
        ),
    )


def fillings(question: Question, slot: Slot, walkers: tuple[str, ...]) -> list[Filling]:
    """All ways to fill a slot for these eaters (one, or all who share)."""
    found: list[Filling] = []
    for many in range(slot.least, slot.most + 1):
        for chosen in combinations_with_replacement(question.dishes, many):
            counts = {dish.id: chosen.count(dish) for dish in chosen}
            if any(slot.meal not in dish.meals for dish in chosen):
                continue
            each: list[list[Plate]] = []
            for dish in {dish.id: dish for dish in chosen}.values():
                times = counts[dish.id]
                span = range(dish.least_steps * times, dish.most_steps * times + 1)
                each.append(
                    [
                        plate(slot, dish, walkers, steps, times)
                        for steps in product(span, repeat=len(walkers))
                    ]
                )
            found.extend(product(*each))
    return found


def cells(question: Question) -> list[list[Filling]]:
    """For every choice that somebody makes, the ways to make it."""
    return [
        fillings(question, slot, walkers)
        for slot in question.slots
        for walkers in ((slot.walkers,) if slot.shared else tuple((w,) for w in slot.walkers))
    ]


def cost_g(question: Question, plates: Filling, packs: bool = True) -> float:
    """What a menu weighs by the question's weights; without packs: at least."""
    weights = question.weights
    dishes = {dish.id: dish for dish in question.dishes}
    slots = {(slot.day, slot.time): slot for slot in question.slots}
    total, need = 0.0, dict[str, Fraction]()
    for each in plates:
        dish, slot = dishes[each.dish], slots[each.day, each.time]
        day = weights.day[each.day - 1] if weights.day else 1.0
        for portion in each.portions:
            servings = portion.steps / dish.steps_per_serving
            way = slot.mass_weights[min(dish.supply, len(slot.mass_weights) - 1)]
            total += weights.mass * day * way * (dish.mass_g + dish.fuel_g) * servings
            total += weights.mass * slot.water_g_per_ml * dish.water_ml * servings
            total += weights.cost_g * (dish.cost or 0.0) * servings
            total -= weights.liking_g * dish.liking * each.times
            for food, grams in dish.foods:
                part = Fraction(grams) * portion.steps / dish.steps_per_serving
                need[food] = need.get(food, Fraction(0)) + part
    if packs and weights.cost_g:
        for pack in question.packs:
            bought = ceil(need.get(pack.food, Fraction(0)) / Fraction(pack.size_g))
            total += weights.cost_g * bought * pack.price
    if packs:
        total -= variety_g(question, plates)
    return total


def variety_g(question: Question, plates: Filling) -> float:
    """What the different dishes are worth."""
    return sum(
        one.worth_g * len({plate.dish for plate in plates if plate.time in one.times})
        for one in question.differents
    )


def most_variety_g(question: Question) -> float:
    """More than that no menu's variety is worth."""
    return sum(one.worth_g * len(question.dishes) for one in question.differents)


def fees_g(question: Question) -> float:
    """What the fees of the legs count, whatever is eaten."""
    return question.weights.cost_g * sum(leg.fee for leg in question.legs)


def menus(question: Question) -> Iterator[tuple[float, Filling]]:
    """Every combination, those first that cost least without packs."""
    choices = cells(question)
    many = prod(len(each) for each in choices)
    assert many <= MOST_MENUS, f"{many} menus are too many to try"
    costs = np.zeros(1)
    for each in choices:
        here = np.array([cost_g(question, filling, packs=False) for filling in each])
        costs = (costs[:, None] + here[None, :]).ravel()
    for at in np.argsort(costs, kind="stable").tolist():
        left, plates = at, []
        for each in reversed(choices):
            left, this = divmod(left, len(each))
            plates.append(each[this])
        yield float(costs[at]), tuple(plate for part in reversed(plates) for plate in part)


def best_by_trying_all(question: Question) -> tuple[float, Filling] | None:
    """The least that a menu keeping every rule costs, and that menu; None: there is none."""
    best: tuple[float, Filling] | None = None
    for least, plates in menus(question):
        if best is not None and least - most_variety_g(question) >= best[0]:
            break
        if broken_rules(question, plates):
            continue
        cost = cost_g(question, plates)
        if best is None or cost < best[0]:
            best = (cost, plates)
    return None if best is None else (best[0] + fees_g(question), best[1])
