"""Questions for the bench of the menu: two families, seeded, invented throughout.

``lone(days, recipes, seed)``: one walker, five eating times a day, one dish at
each; energy, protein, sodium, fat; families and repeats.

``party(days, walkers, recipes, seed)``: breakfast, three snacks, lunch and a
common dinner; individual diets and needs that grow with the load; shares,
windows, stoveless days, foods that keep three days, pack volume per leg, whole
retail packs, a budget with postage for the boxes.

Recipes have 2.9 to 6.6 kcal/g. A portion may be changed by hundredths of a
serving (about a gram), the textbook model's freely.
"""

from __future__ import annotations

from random import Random

from fellfare.menu.pool import (
    Avoid,
    Band,
    Budget,
    Dish,
    Leg,
    Litres,
    Pack,
    Question,
    Repeat,
    Slot,
    Walker,
    Weights,
)

STEPS = 100
FLAVOURS = tuple(f"flavour {at}" for at in range(12))
WAYS = ("dry", "cold-soak", "hot-pour", "boil")


def _dish(rng: Random, name: str, meal: str, kcal: float, portion: tuple[float, float]) -> Dish:
    energy = round(kcal * rng.uniform(0.7, 1.35))
    density = rng.uniform(2.9, 6.6)
    fat_share = min(0.75, max(0.08, 0.12 + 0.14 * (density - 2.9) + rng.uniform(-0.08, 0.08)))
    protein_share = rng.uniform(0.07, min(0.25, 0.95 - fat_share))
    carbohydrate_share = max(0.0, 1 - fat_share - protein_share)
    return Dish(
        id=name,
        title=name,
        meals=(meal,),
        mass_g=round(energy / density, 1),
        energy_kcal=float(energy),
        protein_g=round(energy * protein_share / 4, 1),
        fat_g=round(energy * fat_share / 9, 1),
        carbohydrate_g=round(energy * carbohydrate_share / 4, 1),
        fibre_g=round(energy * rng.uniform(0.004, 0.018), 1),
        sodium_mg=float(round(energy * rng.uniform(0.4, 1.8))),
        volume_ml=float(round(energy / density * rng.uniform(1.2, 2.6))),
        liking=round(rng.uniform(0, 10), 1),
        family=rng.choice(FLAVOURS),
        steps_per_serving=STEPS,
        least_steps=round(portion[0] * STEPS),
        most_steps=round(portion[1] * STEPS),
    )


def lone(days: int, recipes: int, seed: int, steps: int = STEPS) -> Question:
    """One walker, five eating times a day."""
    rng = Random(1_000 + seed)
    kinds = (("breakfast", 600.0, 0.22), ("snack", 350.0, 0.3), ("lunch", 650.0, 0.2),
             ("dinner", 850.0, 0.28))  # fmt: skip
    dishes = []
    for meal, kcal, share in kinds:
        for at in range(round(recipes * share)):
            kind = _dish(rng, f"{meal} {at}", meal, kcal, (0.75, 1.5))
            dishes.append(
                Dish(
                    **{
                        **{name: getattr(kind, name) for name in kind.__struct_fields__},
                        "steps_per_serving": steps,
                        "least_steps": round(0.75 * steps),
                        "most_steps": round(1.5 * steps),
                    }
                )
            )
    times = (("breakfast", "breakfast"), ("morning snack", "snack"), ("lunch", "lunch"),
             ("afternoon snack", "snack"), ("dinner", "dinner"))  # fmt: skip
    slots = tuple(
        Slot(day=day, time=time, meal=meal, walkers=("one",), ways=WAYS)
        for day in range(1, days + 1)
        for time, meal in times
    )
    bands: list[Band] = []
    for day in range(1, days + 1):
        need = rng.uniform(2700, 3600)
        bands.append(
            Band(wish="energy", walker="one", nutrient="energy_kcal", low=need, high=1.1 * need,
                 days=(day,))
        )  # fmt: skip
    bands += [
        Band(wish="protein", walker="one", nutrient="protein_g", low=90.0),
        Band(wish="sodium", walker="one", nutrient="sodium_mg", low=1500.0, high=4500.0),
        Band(wish="fat", walker="one", nutrient="fat_g", high=0.45, share=True),
    ]
    others = tuple(time for time, meal in times if meal != "dinner")
    return Question(
        days=days,
        dishes=tuple(dishes),
        walkers=(Walker(id="one"),),
        slots=slots,
        bands=tuple(bands),
        repeats=(
            Repeat(wish="dinners", key="dish", within_days=4, times=("dinner",)),
            Repeat(wish="the rest", key="dish", within_days=2, times=others),
            Repeat(wish="flavours", key="family", within_days=1, most=2),
        ),
        weights=Weights(liking_g=0.5),
    )


def party(
    days: int, walkers: int, recipes: int, seed: int, coupled: bool = True, diets: int = 3
) -> Question:
    """A party with diets; ``coupled`` adds volume, packs and the budget."""
    rng = Random(2_000 + seed)
    foods = tuple(f"food {at}" for at in range(14))
    kinds = (("breakfast", 600.0, 0.2), ("snack", 260.0, 0.3), ("lunch", 600.0, 0.2),
             ("dinner", 850.0, 0.3))  # fmt: skip
    dishes = []
    for meal, kcal, share in kinds:
        for at in range(round(recipes * share)):
            kind = _dish(rng, f"{meal} {at}", meal, kcal, (0.6, 1.6))
            bought: tuple[tuple[str, float], ...] = ()
            if coupled and rng.random() < 0.4:
                bought = tuple(
                    (food, float(rng.randint(15, 80)))
                    for food in sorted(rng.sample(foods, rng.randint(1, 2)))
                )
            fields = {name: getattr(kind, name) for name in kind.__struct_fields__}
            fields |= {
                "foods": bought,
                "cost": round(kind.energy_kcal * rng.uniform(0.0015, 0.005), 2),
                "ways": rng.choice(
                    (("dry",), ("cold-soak", "hot-pour"), ("hot-pour",), ("boil",))
                    if meal != "snack"
                    else (("dry",),)
                ),
                "keeps_days": 3.0 if rng.random() < 0.12 else float("inf"),
                "contains": tuple(a for a in ("nuts", "milk") if rng.random() < 0.2),
                "diets": tuple(d for d in ("vegetarian", "vegan") if rng.random() < 0.6),
            }
            dishes.append(Dish(**fields))
    eaters = []
    for at in range(walkers):
        kind_of = at % diets
        eaters.append(
            Walker(
                id=f"walker {at + 1}",
                diets=("vegetarian",) if kind_of == 1 else (),
                avoids=(Avoid(allergen="nuts"),) if kind_of == 2 else (),
                load_kcal_per_kg=round(rng.uniform(15, 35), 1),
            )
        )
    names = tuple(one.id for one in eaters)
    stoveless = {day for day in range(1, days + 1) if day % 7 in (5, 6)}
    slots = tuple(
        Slot(
            day=day,
            time=meal,
            meal=meal,
            walkers=names,
            shared=meal == "dinner",
            least=3 if meal == "snack" else 1,
            most=3 if meal == "snack" else 1,
            ways=("dry", "cold-soak") if day in stoveless else WAYS,
            carried_share=share,
        )
        for day in range(1, days + 1)
        for meal, share in (("breakfast", 0.0), ("snack", 0.5), ("lunch", 0.5), ("dinner", 1.0))
    )
    bands: list[Band] = []
    for one in eaters:
        body = rng.uniform(0.9, 1.15)
        for day in range(1, days + 1):
            need = body * rng.uniform(2400, 3100)
            bands.append(
                Band(wish=f"energy of {one.id}", walker=one.id, nutrient="energy_kcal",
                     low=need, high=1.12 * need, days=(day,))
            )  # fmt: skip
        bands += [
            Band(wish="protein", walker=one.id, nutrient="protein_g", low=80.0 * body),
            Band(wish="fat", walker=one.id, nutrient="fat_g", low=0.2, high=0.45, share=True),
            Band(wish="carbohydrate", walker=one.id, nutrient="carbohydrate_g",
                 low=0.3, high=0.65, share=True),
            Band(wish="sodium", walker=one.id, nutrient="sodium_mg", low=1500.0, high=4800.0),
            Band(wish="fibre", walker=one.id, nutrient="fibre_g", high=45.0),
        ]  # fmt: skip
    starts = list(range(1, days + 1, 7))
    legs = tuple(
        Leg(name=f"leg {at + 1}", first_day=first, last_day=min(first + 6, days),
            fee=0.0 if at == 0 else 9.5)
        for at, first in enumerate(starts)
    )  # fmt: skip
    return Question(
        days=days,
        dishes=tuple(dishes),
        walkers=tuple(eaters),
        slots=slots,
        legs=legs,
        bands=tuple(bands),
        repeats=(
            Repeat(wish="dinners", key="dish", within_days=4, times=("dinner",)),
            Repeat(wish="the rest", key="dish", within_days=2, times=("breakfast", "lunch")),
            Repeat(wish="snacks", key="dish", within_days=1, times=("snack",)),
            Repeat(wish="flavours", key="family", within_days=1, most=2),
        ),
        litres=(
            Litres(wish="pack volume", litres=0.85 * min(days, 7) * walkers),
        )
        if coupled
        else (),
        budget=Budget(wish="budget", most=sum(leg.fee for leg in legs) + 10.5 * days * walkers)
        if coupled
        else None,
        packs=tuple(
            Pack(food=food, size_g=float(rng.choice((250, 400, 500, 1000))),
                 price=round(rng.uniform(1.2, 4.5), 2))
            for food in foods
        )
        if coupled
        else (),
        weights=Weights(liking_g=0.5),
    )  # fmt: skip
