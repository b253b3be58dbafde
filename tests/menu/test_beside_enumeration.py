"""Fronts, changes and stops on walks so small that every menu can be tried."""

from __future__ import annotations

from functools import cache
from itertools import product
from random import Random

import pytest

from fellfare.menu.changing import change_menu, with_ban
from fellfare.menu.front import front
from fellfare.menu.planning import plan_menu
from fellfare.menu.pool import Band, Dish, Question, Slot, Walker
from fellfare.menu.resupply import Stop, Worth, choose_stops
from fellfare.menu.trying import Trying

DAYS = 3
#: The clock stands still, so that no search ends for want of time.
EXACT = Trying(gap=0.0, seconds=20.0, clock=lambda: 0.0)
#: (dish, halves of a serving) on each day.
Choice = tuple[tuple[int, int], ...]
SEEDS = range(12)


@cache
def walk(seed: int) -> Question:
    """One walker, three days, one dinner a day, five dishes in two to four halves of a serving."""
    rng = Random(seed)
    dishes = []
    for at in range(5):
        energy = float(rng.randint(500, 900))
        dishes.append(
            Dish(
                id=f"d{at}",
                title=f"dish {at}",
                meals=("dinner",),
                mass_g=round(energy / rng.uniform(3.0, 5.5), 1),
                energy_kcal=energy,
                protein_g=round(energy * rng.uniform(0.08, 0.2) / 4, 1),
                cost=round(rng.uniform(1, 6), 2),
                steps_per_serving=2,
                least_steps=2,
                most_steps=4,
            )
        )
    need = rng.uniform(750, 950)
    return Question(
        days=DAYS,
        dishes=tuple(dishes),
        walkers=(Walker(id="w1"),),
        slots=tuple(
            Slot(day=day, time="dinner", meal="dinner", walkers=("w1",))
            for day in range(1, DAYS + 1)
        ),
        bands=(
            Band(wish="energy", walker="w1", nutrient="energy_kcal", low=need, high=need * 1.5),
            Band(wish="protein", walker="w1", nutrient="protein_g", low=80.0, whole=True),
        ),
    )


def menus(question: Question) -> list[tuple[Choice, float, float]]:
    """Every menu that keeps both wishes: what stands, its mass, its money."""
    energy, protein = question.bands
    low, high, floor = energy.low or 0.0, energy.high or 0.0, protein.low or 0.0
    banned = {ban.dish for ban in question.bans}
    fits = [
        (at, steps)
        for at, dish in enumerate(question.dishes)
        for steps in (2, 3, 4)
        if low <= dish.energy_kcal * steps / 2 <= high and dish.id not in banned
    ]
    found = []
    for choice in product(fits, repeat=DAYS):
        of = [(question.dishes[at], steps / 2) for at, steps in choice]
        if sum((dish.protein_g or 0.0) * part for dish, part in of) < floor:
            continue
        mass = sum(dish.mass_g * part for dish, part in of)
        found.append((choice, mass, sum((dish.cost or 0.0) * part for dish, part in of)))
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_the_front_of_variety_is_the_true_one(seed: int) -> None:
    question = walk(seed)
    best: dict[int, float] = {}
    for choice, mass, _ in menus(question):
        kinds = len({at for at, _ in choice})
        for many in range(1, kinds + 1):
            best[many] = min(mass, best.get(many, mass))
    found = front(question, tries=EXACT)
    if not best:
        assert found.points == ()
        return
    for point in found.points:
        assert point.menu.bound_g <= best[point.different] + 1e-6
        assert point.menu.weighed_g == pytest.approx(best[point.different], abs=1e-6)
    assert found.points[-1].different == max(best)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_menu_lies_below_the_floor_against_money(seed: int) -> None:
    question = walk(seed)
    every = menus(question)
    found = front(question, by="cost", points=5, tries=EXACT)
    for point in found.points:
        assert point.cost is not None
        lightest = min(mass for _, mass, cost in every if cost <= point.cost + 1e-6)
        assert point.menu.bound_g <= lightest + 1e-6
        assert (point.menu.weighed_g or 0.0) >= lightest - 1e-6


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("keep_g", [0.0, 25.0])
def test_a_changed_menu_is_the_best_with_nearness_counted(seed: int, keep_g: float) -> None:
    question = walk(seed)
    old = plan_menu(question, EXACT)
    if not old.plates:
        assert menus(question) == []
        return
    stood = {plate.day: plate.dish for plate in old.plates}
    asked = with_ban(question, stood[2])
    changed = change_menu(old, asked, EXACT, keep_g=keep_g)
    scores = [
        mass
        + keep_g * sum(question.dishes[at].id != stood[day] for day, (at, _) in enumerate(c, 1))
        for c, mass, _ in menus(asked)
    ]
    if not scores:
        assert changed.menu.plates == ()
        return
    assert changed.menu.weighed_g is not None
    mine = changed.menu.weighed_g + keep_g * len(changed.changes)
    assert mine == pytest.approx(min(scores), abs=1e-6)
    assert changed.further_possible_g is not None
    lightest = min(mass for _, mass, _ in menus(asked))
    assert changed.menu.weighed_g - changed.further_possible_g <= lightest + 1e-6


@pytest.mark.parametrize("seed", SEEDS)
def test_the_mean_load_with_stops_is_the_least_there_is(seed: int) -> None:
    question = walk(seed)
    every = menus(question)
    shop = Stop(name="shop", day=2, dishes=("d0", "d1"), effort_min=30.0)
    box = Stop(name="box", day=3, effort_min=10.0)
    if not every:
        return
    found = choose_stops(question, (shop, box), Worth(minute_g=1.0), shown=4, tries=EXACT)
    for choice in found.choices:
        taken = {"shop": 2, "box": 3}
        used = {taken[name]: name for name in choice.stops}

        def load(choice_of: Choice, used: dict[int, str] = used) -> float:
            total = 0.0
            for day, (at, steps) in enumerate(choice_of, 1):
                had = [
                    first
                    for first, name in used.items()
                    if first <= day and (name == "box" or at in (0, 1))
                ]
                days = day - max(had, default=1) + 1
                total += question.dishes[at].mass_g * steps / 2 * days
            return total / DAYS

        least = min(load(each) for each, _, _ in every)
        assert choice.mean_load_g == pytest.approx(least, abs=1e-6)
        assert choice.bound_g <= least + choice.effort_min + 1e-6


def test_the_walks_are_not_all_without_a_menu() -> None:
    assert sum(bool(menus(walk(seed))) for seed in SEEDS) >= 8
