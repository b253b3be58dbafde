"""Plain walks for the tests of fronts and changes: seeded, invented, always with an answer.

Breakfast, two to four snacks, lunch and a common dinner a day. Energy densities
are drawn from what dried food has (2.9 to 6.0 kcal/g); nothing is measured.
"""

from __future__ import annotations

from random import Random

from fellfare.menu.pool import Band, Dish, Question, Repeat, Slot, Walker, Weights

ENERGY = {"breakfast": 450, "snack": 260, "lunch": 500, "dinner": 750}
KINDS = ("breakfast", "snack", "lunch", "snack", "dinner", "dinner")


def meal(at: int, kind: str, rng: Random) -> Dish:
    """One dish of about the energy that such a meal has; every second dinner needs fire."""
    energy = round(ENERGY[kind] * rng.uniform(0.7, 1.3))
    mass = round(energy / rng.uniform(3.0, 5.8), 1)
    protein = round(energy * rng.uniform(0.08, 0.22) / 4, 1)
    fat = round(energy * rng.uniform(0.2, 0.5) / 9, 1)
    return Dish(
        id=f"{kind}-{at}",
        title=f"{kind} {at}",
        meals=(kind,),
        mass_g=mass,
        energy_kcal=float(energy),
        protein_g=protein,
        fat_g=fat,
        carbohydrate_g=round(max(0.0, energy - 4 * protein - 9 * fat) / 4, 1),
        sodium_mg=float(rng.randint(100, 1200)),
        volume_ml=round(mass * 1.8),
        cost=round(rng.uniform(0.8, 6.0), 2),
        family=f"family-{rng.randrange(6)}",
        diets=("vegetarian",) if rng.random() < 0.6 else (),
        contains=("almond",) if rng.random() < 0.2 else (),
        ways=("boil",) if kind == "dinner" and at % 2 else ("dry",),
    )


def plain_walk(
    seed: int = 1, days: int = 4, walkers: int = 2, dishes: int = 36, **given: object
) -> Question:
    """A walk that every seed has a menu for; ``given`` replaces fields of the question."""
    rng = Random(seed)
    names = tuple(f"w{at}" for at in range(1, walkers + 1))
    slots = []
    for day in range(1, days + 1):
        slots += [
            Slot(day=day, time="breakfast", meal="breakfast", walkers=names, carried_share=0),
            Slot(
                day=day, time="snacks", meal="snack", walkers=names, least=2, most=4,
                carried_share=0.5,
            ),
            Slot(day=day, time="lunch", meal="lunch", walkers=names, carried_share=0.5),
            Slot(day=day, time="dinner", meal="dinner", walkers=names, shared=walkers > 1),
        ]  # fmt: skip
    bands = []
    for at, name in enumerate(names):
        need = 2600.0 + 200 * at
        bands += [
            Band(wish="energy", walker=name, nutrient="energy_kcal", low=need, high=need * 1.12),
            Band(wish="protein", walker=name, nutrient="protein_g", low=75.0),
            Band(wish="salt", walker=name, nutrient="sodium_mg", high=5500.0),
        ]
    fields = {
        "days": days,
        "dishes": tuple(meal(at, KINDS[at % len(KINDS)], rng) for at in range(dishes)),
        "walkers": tuple(Walker(id=name) for name in names),
        "slots": tuple(slots),
        "bands": tuple(bands),
        "repeats": (Repeat(wish="snacks", key="dish", within_days=1, times=("snacks",)),),
        "weights": Weights(),
    }
    return Question(**(fields | given))  # type: ignore[arg-type]  # fields by name, seen above
