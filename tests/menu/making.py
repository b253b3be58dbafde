"""Small questions for the tests of the menu: seeded, invented, with every kind of wish.

``small_question(seed)`` is small enough to be tried out whole by brute force;
``walk_question(seed)`` looks like a real walk of a few days. Figures are drawn
in ranges that dried food has (2.9 to 6.6 kcal/g); nothing is measured.
"""

from __future__ import annotations

from random import Random

import msgspec

from fellfare.menu.pool import (
    Avoid,
    Band,
    Budget,
    Different,
    Dish,
    Leg,
    LoadCap,
    Often,
    Pack,
    Question,
    Repeat,
    Slot,
    Walker,
    Weights,
)

FAMILIES = ("tomato", "curry", "herb", "sweet", "nut", "cheese")
BASES = ("rice", "pasta", "bulgur", "oats", "wrap")


def dish(name: str, meal: str, rng: Random, **given: object) -> Dish:
    """One dish of about the energy that such a meal has."""
    energy = {"breakfast": 550, "lunch": 620, "dinner": 780}.get(meal, 260)
    energy = round(energy * rng.uniform(0.75, 1.3))
    density = rng.uniform(2.9, 6.6)
    fat = energy * (0.15 + 0.09 * (density - 2.9)) / 9
    protein = energy * rng.uniform(0.07, 0.2) / 4
    made = Dish(
        id=name,
        title=f"Dish {name}",
        meals=(meal,),
        mass_g=round(energy / density + rng.uniform(4, 12), 1),
        energy_kcal=float(energy),
        protein_g=round(protein, 1),
        fat_g=round(fat, 1),
        carbohydrate_g=round(max(0.0, energy - 9 * fat - 4 * protein) / 4, 1),
        fibre_g=round(energy * rng.uniform(0.004, 0.02), 1),
        sodium_mg=float(round(energy * rng.uniform(0.4, 2.0))),
        volume_ml=float(round(energy / density * rng.uniform(1.2, 2.6))),
        cost=round(energy * rng.uniform(0.002, 0.006), 2),
        liking=rng.uniform(0, 10),
        family=rng.choice(FAMILIES),
        base=rng.choice(BASES),
        ways=rng.choice((("dry",), ("hot-pour",), ("cold-soak",), ("hot-pour", "cold-soak"))),
    )
    return msgspec.structs.replace(made, **given)


def small_question(
    seed: int, days: int = 2, dishes: int = 5, walkers: int = 1, shared: bool = False
) -> Question:
    """Two eating times a day, few dishes, portions of 2, 3 or 4 halves: for brute force.

    What is wished depends on the seed; some of these questions have no answer.
    """
    rng = Random(seed)
    pool = tuple(
        dish(
            f"{meal[0]}{at}",
            meal,
            rng,
            steps_per_serving=2,
            least_steps=2,
            most_steps=rng.choice((2, 3, 4)),
            ways=("dry",),
        )
        for meal in ("lunch", "dinner")
        for at in range(dishes)
    )
    people = tuple(
        Walker(id=f"w{at}", load_kcal_per_kg=rng.choice((0.0, 0.0, 40.0)))
        for at in range(1, walkers + 1)
    )
    names = tuple(walker.id for walker in people)
    slots = tuple(
        Slot(
            day=day,
            time=meal,
            meal=meal,
            walkers=names,
            shared=shared and meal == "dinner",
            carried_share=share,
        )
        for day in range(1, days + 1)
        for meal, share in (("lunch", 0.5), ("dinner", 1.0))
    )
    need = rng.uniform(1400, 2000)
    bands = [
        Band(wish="energy", walker=name, nutrient="energy_kcal", low=need, high=need * 1.35)
        for name in names
    ]
    if rng.random() < 0.6:
        bands += [
            Band(wish="protein", walker=name, nutrient="protein_g", low=rng.uniform(35, 55))
            for name in names
        ]
    if rng.random() < 0.4:
        bands += [
            Band(wish="fat", walker=name, nutrient="fat_g", high=rng.uniform(0.3, 0.5), share=True)
            for name in names
        ]
    if rng.random() < 0.4:
        bands += [
            Band(wish="salt", walker=name, nutrient="sodium_mg", high=rng.uniform(1800, 3500))
            for name in names
        ]
    repeats = [Repeat(wish="not again soon", key="dish", within_days=2)]
    if rng.random() < 0.5:
        repeats.append(Repeat(wish="two of one family", key="family", within_days=1, most=1))
    oftens: tuple[Often, ...] = ()
    if rng.random() < 0.3:
        oftens = (Often(wish="a favourite", dishes=(rng.choice(pool).id,), least=1),)
    differents: tuple[Different, ...] = ()
    if rng.random() < 0.3:
        differents = (Different(wish="dinners", times=("dinner",), least=days),)
    caps: tuple[LoadCap, ...] = ()
    if rng.random() < 0.3:
        caps = (LoadCap(wish="pack", walker=names[0], most_g=days * rng.uniform(350, 500)),)
    return Question(
        days=days,
        dishes=pool,
        walkers=people,
        slots=slots,
        bands=tuple(bands),
        repeats=tuple(repeats),
        oftens=oftens,
        differents=differents,
        load_caps=caps,
        weights=Weights(liking_g=rng.choice((0.0, 0.5))),
    )


def walk_question(
    seed: int, days: int = 5, walkers: int = 2, dishes: int = 60, packs: bool = True
) -> Question:
    """A walk of some days: breakfasts, snacks, lunches, a common dinner, two legs, a budget."""
    rng = Random(seed)
    foods = tuple(f"food-{at}" for at in range(6))
    shares = (("breakfast", 0.22), ("snack", 0.28), ("lunch", 0.22), ("dinner", 0.28))
    pool = []
    for meal, share in shares:
        for at in range(max(4, round(dishes * share))):
            kind = dish(f"{meal[:2]}{at}", meal, rng)
            bought = tuple((food, float(rng.randint(20, 70))) for food in rng.sample(foods, 2))
            pool.append(
                msgspec.structs.replace(
                    kind,
                    foods=bought if packs and rng.random() < 0.3 else (),
                    contains=("nuts",) if rng.random() < 0.15 else (),
                    diets=("vegetarian",) if rng.random() < 0.6 else (),
                    keeps_days=3.0 if rng.random() < 0.1 else float("inf"),
                )
            )
    people = tuple(
        Walker(
            id=f"w{at}",
            avoids=(Avoid(allergen="nuts"),) if at == 2 else (),
            diets=("vegetarian",) if at == 1 and walkers > 1 else (),
            load_kcal_per_kg=30.0,
        )
        for at in range(1, walkers + 1)
    )
    names = tuple(walker.id for walker in people)
    ways = ("dry", "cold-soak", "hot-pour", "boil")
    times = (("breakfast", 0.0, 1, 1), ("snack", 0.5, 2, 4), ("lunch", 0.5, 1, 1),
             ("dinner", 1.0, 1, 1))  # fmt: skip
    slots = tuple(
        Slot(
            day=day,
            time=meal,
            meal=meal,
            walkers=names,
            shared=meal == "dinner",
            least=least,
            most=most,
            ways=("dry", "cold-soak") if day == 2 else ways,
            carried_share=share,
        )
        for day in range(1, days + 1)
        for meal, share, least, most in times
    )
    bands = []
    for name in names:
        need = rng.uniform(2500, 3100)
        bands += [
            Band(wish="energy", walker=name, nutrient="energy_kcal", low=need, high=need * 1.1),
            Band(wish="protein", walker=name, nutrient="protein_g", low=75.0),
            Band(wish="fat", walker=name, nutrient="fat_g", high=0.45, share=True),
            Band(wish="salt", walker=name, nutrient="sodium_mg", low=1500.0, high=4800.0),
        ]
    half = max(1, days // 2)
    legs = (
        (Leg(name="start", first_day=1, last_day=half),
         Leg(name="hut", first_day=half + 1, last_day=days, fee=12.0))
        if days > 1 else ()
    )  # fmt: skip
    return Question(
        days=days,
        dishes=tuple(pool),
        walkers=people,
        slots=slots,
        legs=legs,
        bands=tuple(bands),
        repeats=(
            Repeat(wish="a dinner again", key="dish", within_days=4, times=("dinner",)),
            Repeat(wish="the same again", key="dish", within_days=2, times=("breakfast", "lunch")),
            Repeat(
                wish="one family", key="family", within_days=1, most=2, times=("lunch", "dinner")
            ),
        ),
        budget=Budget(wish="budget", most=12.0 + 13.0 * days * walkers),
        packs=tuple(
            Pack(food=food, size_g=float(rng.choice((200, 250, 400))), price=rng.uniform(1.5, 4))
            for food in foods
        ),
        weights=Weights(liking_g=0.5),
    )
