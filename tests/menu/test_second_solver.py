"""A second solver, and a second model: scipy's milp on sums written out anew from the question.

scipy carries a HiGHS of its own (another version), so what is independent here is the
model: dishes times portions as plain rows, no cells, no plates, no relaxation, no search.
"""

from __future__ import annotations

from collections import defaultdict
from random import Random

import numpy as np
import pytest
from msgspec.structs import replace
from scipy.optimize import Bounds, LinearConstraint, milp

from fellfare.menu.checking import broken_rules
from fellfare.menu.planning import plan_menu
from fellfare.menu.pool import (
    Avoid,
    Band,
    Budget,
    Different,
    Dish,
    LoadCap,
    Pack,
    Question,
    Repeat,
    Slot,
    Walker,
    Weights,
)
from fellfare.menu.trying import Trying

GAP = 0.002
MEALS = (("breakfast", 480.0, 0.0), ("lunch", 560.0, 0.5), ("supper", 750.0, 1.0))


def trip(seed: int, days: int = 3, dishes: int = 9, walkers: int = 1) -> Question:
    """Invented: three meals a day, own or (supper of a party) common; steps of a quarter."""
    draw = Random(seed)
    pool = []
    for meal, about, _ in MEALS:
        for at in range(dishes):
            energy = round(about * draw.uniform(0.7, 1.3))
            pool.append(
                Dish(
                    id=f"{meal}{at}",
                    title=f"{meal} {at}",
                    meals=(meal,),
                    mass_g=float(round(energy / draw.uniform(3.0, 6.0))),
                    energy_kcal=float(energy),
                    protein_g=float(round(energy * draw.uniform(0.02, 0.05))),
                    fat_g=float(round(energy * draw.uniform(0.02, 0.06))),
                    carbohydrate_g=float(round(energy * draw.uniform(0.1, 0.16))),
                    sodium_mg=float(round(energy * draw.uniform(0.4, 2.0))),
                    cost=float(draw.randint(5, 40)) / 10,
                    liking=float(draw.randint(0, 10)),
                    contains=("nuts",) if draw.random() < 0.2 else (),
                    foods=(("oats", float(draw.randint(30, 80))),) if meal == "breakfast" else (),
                    steps_per_serving=4,
                    least_steps=3,
                    most_steps=6,
                )
            )
    names = tuple(f"w{at}" for at in range(walkers))
    people = tuple(
        Walker(id=name, avoids=(Avoid(allergen="nuts"),) if at else (), load_kcal_per_kg=25.0)
        for at, name in enumerate(names)
    )
    bands = [
        band
        for name in names
        for band in (
            Band(wish="energy", walker=name, nutrient="energy_kcal", low=1900.0, high=2300.0),
            Band(wish="protein", walker=name, nutrient="protein_g", low=70.0),
            Band(wish="fat", walker=name, nutrient="fat_g", high=0.36, share=True),
            Band(wish="salt", walker=name, nutrient="sodium_mg", high=2300.0),
        )
    ]
    return Question(
        days=days,
        dishes=tuple(pool),
        walkers=people,
        slots=tuple(
            Slot(day=day, time=meal, meal=meal, walkers=names, carried_share=share,
                 shared=meal == "supper" and walkers > 1)
            for day in range(1, days + 1)
            for meal, _, share in MEALS
        ),
        bands=tuple(bands),
        repeats=(Repeat(wish="again", key="dish", within_days=2),),
        differents=(Different(wish="suppers", times=("supper",), least=days),),
        budget=Budget(wish="purse", most=24.0 * walkers),
        packs=(Pack(food="oats", size_g=150.0, price=1.4),),
        load_caps=(LoadCap(wish="back", walker="w0", most_g=1400.0 * days / 3),),
        weights=Weights(liking_g=1.0),
    )  # fmt: skip


class Sum:
    """Rows of a mixed model, one dictionary each."""

    def __init__(self) -> None:
        self.cost: list[float] = []
        self.most: list[float] = []
        self.rows: list[tuple[dict[int, float], float, float]] = []

    def column(self, cost: float, most: float) -> int:
        self.cost.append(cost)
        self.most.append(most)
        return len(self.cost) - 1

    def least(self) -> float | None:
        """scipy's optimum; None when it says that there is none."""
        table = np.zeros((len(self.rows), len(self.cost)))
        for at, (row, _, _) in enumerate(self.rows):
            for column, value in row.items():
                table[at, column] = value
        found = milp(
            np.array(self.cost),
            integrality=np.ones(len(self.cost)),
            bounds=Bounds(np.zeros(len(self.cost)), np.array(self.most)),
            constraints=LinearConstraint(
                table, np.array([r[1] for r in self.rows]), np.array([r[2] for r in self.rows])
            ),
            options={"mip_rel_gap": 0.0, "time_limit": 60.0},
        )
        assert found.status in (0, 2), found.message
        return None if found.status == 2 else float(found.fun)


def by_scipy(question: Question) -> float | None:
    """The least weighed mass of such a trip (only the kinds of wish that ``trip`` has)."""
    model = Sum()
    inf = float("inf")
    chosen: dict[tuple[int, str, str, str], int] = {}
    steps: dict[tuple[int, str, str, str], int] = {}
    dishes = {dish.id: dish for dish in question.dishes}
    barred = {walker.id: {avoid.allergen for avoid in walker.avoids} for walker in question.walkers}
    for slot in question.slots:
        groups = (slot.walkers,) if slot.shared else tuple((name,) for name in slot.walkers)
        for eaters in groups:
            choice: dict[int, float] = {}
            for dish in question.dishes:
                bad = any(set(dish.contains) & barred[name] for name in eaters)
                if slot.meal not in dish.meals or bad:
                    continue
                liked = -question.weights.liking_g * dish.liking * len(eaters)
                x = model.column(liked, 1.0)
                choice[x] = 1.0
                for name in eaters:
                    y = model.column(dish.mass_g / dish.steps_per_serving, inf)
                    mark = (slot.day, slot.time, name, dish.id)
                    chosen[mark], steps[mark] = x, y
                    model.rows.append(({y: 1.0, x: -float(dish.least_steps)}, 0.0, inf))
                    model.rows.append(({y: 1.0, x: -float(dish.most_steps)}, -inf, 0.0))
            model.rows.append((choice, 1.0, 1.0))

    def per_step(dish: str, name: str) -> float:
        return float(getattr(dishes[dish], name)) / dishes[dish].steps_per_serving

    shared = {(slot.day, slot.time): slot.shared for slot in question.slots}
    share_today = {(slot.day, slot.time): slot.carried_share for slot in question.slots}
    many = len(question.walkers)
    for band in question.bands:
        walker = next(w for w in question.walkers if w.id == band.walker)
        for day in range(1, question.days + 1):
            row: dict[int, float] = defaultdict(float)
            for (d, time, who, name), y in steps.items():
                if who == band.walker and d == day:
                    row[y] += per_step(name, band.nutrient) * (9 if band.share else 1)
                    if band.share:
                        assert band.high is not None
                        row[y] -= band.high * per_step(name, "energy_kcal")
                if band.nutrient == "energy_kcal" and d >= day:
                    mine = 1 / many if shared[d, time] else float(who == band.walker)
                    part = share_today[d, time] if d == day else 1.0
                    load = mine * part * per_step(name, "mass_g") / 1000
                    row[y] -= walker.load_kcal_per_kg * load
            low = -inf if band.low is None or band.share else band.low
            high = 0.0 if band.share else inf if band.high is None else band.high
            model.rows.append((dict(row), low, high))
    for walker in question.walkers:
        for name in dishes:
            for first in range(1, question.days):
                window = {
                    x: 1.0
                    for (d, _, who, each), x in chosen.items()
                    if who == walker.id and each == name and first <= d < first + 2
                }
                model.rows.append((window, -inf, 1.0))
    seen = {}
    for name in dishes:
        here = {
            x: 1.0 for (_, time, _, each), x in chosen.items() if time == "supper" and each == name
        }
        z = model.column(0.0, 1.0)
        seen[z] = 1.0
        model.rows.append(({**here, z: -1.0}, 0.0, inf))
    model.rows.append((seen, float(question.differents[0].least), inf))
    pack = question.packs[0]
    packs = model.column(0.0, 100.0)
    oats: dict[int, float] = {packs: -pack.size_g}
    money: dict[int, float] = {packs: pack.price}
    back: dict[int, float] = {}
    for (_, time, who, name), y in steps.items():
        for _, grams in dishes[name].foods:
            oats[y] = grams / dishes[name].steps_per_serving
        money[y] = per_step(name, "cost")
        part = 1 / many if time == "supper" and many > 1 else float(who == "w0")
        back[y] = part * per_step(name, "mass_g")
    assert question.budget is not None
    model.rows.append((oats, -inf, 0.0))
    model.rows.append((money, -inf, question.budget.most))
    model.rows.append((back, -inf, question.load_caps[0].most_g))
    return model.least()


def agree(question: Question) -> None:
    truth = by_scipy(question)
    menu = plan_menu(question, Trying(gap=GAP, seconds=30.0))
    if truth is None:
        assert menu.verdict == "impossible"
        return
    assert menu.verdict in ("optimal", "good-enough")
    assert broken_rules(question, menu.plates) == ()
    assert menu.weighed_g is not None
    assert menu.bound_g <= truth + 1e-4
    assert truth - 1e-4 <= menu.weighed_g <= truth * (1 + GAP) + 1e-4


def test_one_walker_with_many_dishes() -> None:
    agree(trip(2, days=2, dishes=9))


@pytest.mark.parametrize("seed", [0, 3])
def test_one_walker_for_three_days(seed: int) -> None:
    agree(trip(seed, days=3, dishes=5))


def test_two_walkers_with_a_common_supper() -> None:
    agree(trip(0, days=2, dishes=6, walkers=2))


def test_a_purse_that_is_too_small() -> None:
    agree(replace(trip(0, days=2, dishes=5), budget=Budget(wish="purse", most=7.0)))
