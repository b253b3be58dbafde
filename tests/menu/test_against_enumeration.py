"""Small trips and small shops, every menu of them tried: the planned one is the best.

Each case bends one rule of a small question so that it matters: the best menu
changes, or there is none. The question itself is drawn (seeded), invented.
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random

import pytest
from msgspec.structs import replace
from tests.menu.enumerating import best_by_trying_all

from fellfare.menu.checking import broken_rules
from fellfare.menu.planning import plan_menu
from fellfare.menu.pool import (
    Avoid,
    Ban,
    Band,
    Beside,
    BoxCap,
    Budget,
    Different,
    Dish,
    Leg,
    Litres,
    LoadCap,
    Lock,
    Often,
    Pack,
    Question,
    Repeat,
    Slot,
    Walker,
    Weights,
)
from fellfare.menu.trying import Trying

EXACT = Trying(gap=0.0, seconds=30.0)
#: What two roundings of the same sum may differ by.
SAME = 1e-6


def small(seed: int, *, walkers: int = 1, days: int = 2, shared: bool = True) -> Question:
    """Lunch and supper; suppers are common when there are more walkers than one."""
    draw = Random(seed)
    per_meal = 3 if walkers == 1 else 2
    dishes = []
    for meal in ("lunch", "supper"):
        for at in range(per_meal):
            energy = float(draw.randint(450, 800))
            density = draw.uniform(3.0, 5.5)
            dishes.append(
                Dish(
                    id=f"{meal}{at}",
                    title=f"{meal} {at}",
                    meals=(meal,),
                    mass_g=float(round(energy / density)),
                    energy_kcal=energy,
                    protein_g=float(draw.randint(10, 40)),
                    fat_g=float(draw.randint(8, 35)),
                    carbohydrate_g=float(draw.randint(40, 110)),
                    fibre_g=float(draw.randint(2, 12)),
                    sodium_mg=float(draw.randint(200, 1500)),
                    water_ml=float(draw.randint(0, 400)),
                    volume_ml=float(draw.randint(200, 600)),
                    pot_ml=float(draw.randint(300, 900)) if meal == "supper" else None,
                    cost=float(draw.randint(10, 60)) / 10,
                    liking=float(draw.randint(0, 10)),
                    family=draw.choice(("red", "green")),
                    base=draw.choice(("rice", "oats", "")),
                    ways=("dry",),
                    contains=("nuts",) if at == 0 else (),
                    steps_per_serving=2,
                    least_steps=2,
                    most_steps=3,
                )
            )
    names = tuple(f"w{at}" for at in range(walkers))
    return Question(
        days=days,
        dishes=tuple(dishes),
        walkers=tuple(Walker(id=name) for name in names),
        slots=tuple(
            Slot(
                day=day,
                time=meal,
                meal=meal,
                walkers=names,
                shared=shared and walkers > 1 and meal == "supper",
                carried_share=share,
            )
            for day in range(1, days + 1)
            for meal, share in (("lunch", 0.5), ("supper", 1.0))
        ),
        bands=tuple(
            Band(wish="energy", walker=name, nutrient="energy_kcal", low=1400.0, high=2400.0)
            for name in names
        ),
    )


def band(question: Question, **wish: object) -> Question:
    """One more band for the first walker."""
    made = Band(wish="w", walker=question.walkers[0].id, nutrient="energy_kcal")
    return replace(question, bands=(*question.bands, replace(made, **wish)))


def slots(question: Question, time: str, **changes: object) -> Question:
    return replace(
        question,
        slots=tuple(
            replace(slot, **changes) if slot.time == time else slot for slot in question.slots
        ),
    )


def walker(question: Question, **changes: object) -> Question:
    first, *others = question.walkers
    return replace(question, walkers=(replace(first, **changes), *others))


def shop(question: Question) -> Question:
    """All lunches are cut from two foods that come in packs."""
    foods = (("bread", 90.0), ("cheese", 55.0))
    dishes = tuple(
        replace(dish, foods=foods[: 1 + at % 2], cost=0.0 if at % 2 else None)
        if dish.id.startswith("lunch")
        else dish
        for at, dish in enumerate(question.dishes)
    )
    packs = (
        Pack(food="bread", size_g=250.0, price=2.4),
        Pack(food="cheese", size_g=100.0, price=3.1),
    )
    return replace(question, dishes=dishes, packs=packs)


def legs(question: Question, fee: float = 0.0) -> Question:
    return replace(
        question,
        legs=(
            Leg(name="start", first_day=1, last_day=1),
            Leg(name="hut", first_day=2, last_day=2, fee=fee),
        ),
    )


def beside(question: Question) -> Question:
    """On day 1 nuts may be put beside supper1, and on no other supper."""
    nuts = replace(
        question.dishes[0], id="nuts", title="nuts", meals=("beside",), mass_g=60.0,
        energy_kcal=420.0, contains=("nuts",),
    )  # fmt: skip
    slot = Slot(
        day=1, time="beside", meal="beside", walkers=("w1",),
        least=0, most=1,
    )  # fmt: skip
    wish = Beside(day=1, time="beside", dish="nuts", pot_time="supper", pot_dish="supper1")
    one_day = replace(question, days=1, slots=question.slots[:2])
    return band(
        replace(
            walker(one_day, avoids=(Avoid(allergen="nuts"),)),
            dishes=(*question.dishes, nuts),
            slots=(*one_day.slots, slot),
            besides=(wish,),
        ),
        walker="w1",
        low=1750.0,
    )


Bend = Callable[[Question], Question]
ONE: dict[str, Bend] = {
    "mass alone": lambda q: q,
    "protein": lambda q: band(q, nutrient="protein_g", low=70.0),
    "too much protein wanted": lambda q: band(q, nutrient="protein_g", low=400.0),
    "sodium": lambda q: band(q, nutrient="sodium_mg", high=1800.0),
    "fat share": lambda q: band(q, nutrient="fat_g", high=0.3, share=True),
    "protein share on day 2": lambda q: band(
        q, nutrient="protein_g", low=0.15, share=True, days=(2,)
    ),
    "fibre over the walk": lambda q: band(q, nutrient="fibre_g", low=40.0, whole=True),
    "an allergy": lambda q: walker(q, avoids=(Avoid(allergen="nuts"),)),
    "a dislike": lambda q: walker(q, dislikes=("red",)),
    "no dish again": lambda q: replace(
        q, repeats=(Repeat(wish="w", key="dish", within_days=2, times=("lunch", "supper")),)
    ),
    "no family twice a day": lambda q: replace(
        q, repeats=(Repeat(wish="w", key="family", within_days=1),)
    ),
    "a base once": lambda q: replace(q, repeats=(Repeat(wish="w", key="base", within_days=2),)),
    "a favourite": lambda q: replace(
        q, oftens=(Often(wish="w", dishes=("supper0", "supper1"), least=2),)
    ),
    "different suppers": lambda q: replace(
        q, differents=(Different(wish="w", times=("supper",), least=2),)
    ),
    "three different of four": lambda q: replace(
        q, differents=(Different(wish="w", times=("lunch", "supper"), least=4),)
    ),
    "a fixed dish": lambda q: replace(q, locks=(Lock(day=1, time="supper", dish="supper2"),)),
    "a banned dish": lambda q: replace(
        q, bans=(Ban(dish="supper0"), Ban(dish="lunch1", day=2), Ban(dish="lunch2", time="lunch"))
    ),
    "a heavy day": lambda q: replace(q, weights=Weights(day=(1.7, 0.4))),
    "mass by the way": lambda q: slots(q, "supper", mass_weights=(0.3,)),
    "mass by where it is had": lambda q: replace(
        q,
        slots=tuple(
            replace(slot, mass_weights=(1.5, 0.1) if slot.day == 2 else (0.4, 0.4))
            for slot in q.slots
        ),
        dishes=tuple(replace(dish, supply=at % 2) for at, dish in enumerate(q.dishes)),
    ),
    "energy of supper": lambda q: band(q, low=300.0, high=700.0, times=("supper",)),
    "fat share of lunch": lambda q: band(
        q, nutrient="fat_g", high=0.3, share=True, times=("lunch",)
    ),
    "every other dish is worth something": lambda q: replace(
        q, differents=(Different(wish="w", times=("lunch", "supper"), least=1, worth_g=35.0),)
    ),
    "liking": lambda q: replace(q, weights=Weights(liking_g=12.0)),
    "cost": lambda q: replace(q, weights=Weights(cost_g=30.0)),
    "cost of packs": lambda q: replace(shop(q), weights=Weights(cost_g=30.0)),
    "cost of packs and a hut": lambda q: replace(
        legs(shop(q), fee=4.0), weights=Weights(cost_g=10.0)
    ),
    "budget": lambda q: replace(q, budget=Budget(wish="w", most=12.0)),
    "budget of packs": lambda q: replace(shop(q), budget=Budget(wish="w", most=16.0)),
    "packs run out": lambda q: replace(
        shop(q),
        packs=(
            Pack(food="bread", size_g=100.0, price=1.0, most=2),
            Pack(food="cheese", size_g=100.0, price=3.1),
        ),
        budget=Budget(wish="w", most=40.0),
    ),
    "water carried": lambda q: slots(q, "supper", water_g_per_ml=0.8),
    "litres": lambda q: replace(q, litres=(Litres(wish="w", litres=1.25),)),
    "litres the night before": lambda q: replace(
        q, litres=(Litres(wish="w", litres=2.2, days=(0,)),)
    ),
    "a load cap": lambda q: replace(
        q,
        load_caps=(LoadCap(wish="w", walker="w0", most_g=330.0, days=(2,)),),
        weights=Weights(day=(1.7, 0.4), liking_g=12.0),
    ),
    "a box of grams": lambda q: replace(
        legs(q),
        box_caps=(BoxCap(wish="w", leg="hut", most_g=370.0),),
        weights=Weights(liking_g=12.0),
    ),
    "a box of litres": lambda q: replace(
        legs(q), box_caps=(BoxCap(wish="w", leg="hut", most_ml=1300.0),)
    ),
    "food that does not keep": lambda q: replace(
        q,
        dishes=tuple(
            replace(dish, keeps_days=(1.0, 2.0, None)[at % 3]) for at, dish in enumerate(q.dishes)
        ),
    ),
    "the load needs food": lambda q: walker(q, load_kcal_per_kg=90.0),
    "snacks by the handful": lambda q: slots(
        replace(q, dishes=(*q.dishes[:2], *q.dishes[3:5])), "lunch", least=1, most=2, twice=2
    ),
    "lunch may be left out": lambda q: band(
        slots(replace(q, bands=()), "lunch", least=0), low=900.0
    ),
}  # fmt: skip
TWO: dict[str, Bend] = {
    "a common supper": lambda q: q,
    "each their own supper": lambda q: slots(
        replace(q, days=1, slots=q.slots[:2]), "supper", shared=False
    ),
    "one with an allergy": lambda q: walker(q, avoids=(Avoid(allergen="nuts"),)),
    "beside the pot": lambda q: beside(q),
    "a pot": lambda q: slots(q, "supper", pot_ml=1600.0),
    "one eats more": lambda q: band(q, low=1900.0),
    "one needs food for the load": lambda q: walker(q, load_kcal_per_kg=120.0, common_share=0.8),
    "own litres": lambda q: replace(q, litres=(Litres(wish="w", litres=0.9, walkers=("w1",)),)),
    "a load cap": lambda q: replace(q, load_caps=(LoadCap(wish="w", walker="w1", most_g=630.0),)),
    "a favourite of one": lambda q: replace(
        q, oftens=(Often(wish="w", dishes=("lunch1",), least=2, walker="w1"),)
    ),
    "lunches differ": lambda q: replace(
        q, repeats=(Repeat(wish="w", key="dish", within_days=2, times=("lunch",)),)
    ),
    "a lock for one": lambda q: replace(
        q, locks=(Lock(day=2, time="lunch", dish="lunch1", walker="w1"),)
    ),
    "a lock for both": lambda q: replace(q, locks=(Lock(day=2, time="lunch", dish="lunch1"),)),
    "a ban for one": lambda q: replace(
        q, bans=(Ban(dish="lunch0", walker="w0"),)
    ),
    "a common budget": lambda q: replace(
        shop(q), budget=Budget(wish="w", most=11.0), days=1, slots=q.slots[:2]
    ),
}  # fmt: skip


def agrees(question: Question) -> None:
    truth = best_by_trying_all(question)
    menu = plan_menu(question, EXACT)
    if truth is None:
        assert menu.verdict == "impossible", menu
        assert menu.plates == ()
        return
    assert menu.verdict == "optimal", (menu.verdict, menu.weighed_g, menu.bound_g, truth[0])
    assert broken_rules(question, menu.plates) == ()
    assert menu.weighed_g == pytest.approx(truth[0], rel=SAME)
    assert menu.bound_g <= truth[0] * (1 + SAME) + SAME


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize("rule", ONE)
def test_one_walkers_menu_is_the_best_of_all(rule: str, seed: int) -> None:
    agrees(ONE[rule](small(seed)))


@pytest.mark.parametrize("rule", TWO)
def test_two_walkers_menu_is_the_best_of_all(rule: str) -> None:
    agrees(TWO[rule](small(6, walkers=2)))
