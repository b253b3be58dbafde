"""The front of ten menus beside one plan, in the same run.

    python bench/front.py            # all walks
    python bench/front.py 7x3        # one of them
    python bench/front.py --cpu 7x3  # in processor time, for a machine that others use too

Wanted: the whole front, its first menu included, in at most 3 times one plan of the same
question that is made in turn with it. Medians of three; the walks are seeded and invented.
"""

from __future__ import annotations

import sys
from random import Random
from statistics import median
from time import perf_counter, process_time

from fellfare.menu.checking import broken_rules
from fellfare.menu.front import By, Front, front
from fellfare.menu.planning import plan_menu
from fellfare.menu.pool import Band, Dish, Question, Repeat, Slot, Walker
from fellfare.menu.solver import version
from fellfare.menu.trying import Clock, Trying

ROUNDS = 3
#: name, days, walkers, dishes
WALKS = (("7x1", 7, 1, 60), ("7x3", 7, 3, 60), ("14x3", 14, 3, 120), ("14x4", 14, 4, 200))
ENERGY = {"breakfast": 450, "snack": 260, "lunch": 500, "dinner": 750}
KINDS = ("breakfast", "snack", "lunch", "snack", "dinner", "dinner")


def dish(at: int, rng: Random) -> Dish:
    """A dish of dried food: 2.9 to 6.0 kcal/g, as heavy as such a meal is."""
    kind = KINDS[at % len(KINDS)]
    energy = round(ENERGY[kind] * rng.uniform(0.7, 1.3))
    mass = round(energy / rng.uniform(2.9, 6.0 if kind != "dinner" else 5.2), 1)
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
        cost=round(rng.uniform(0.8, 6.0), 2),
    )


def walk(days: int, walkers: int, dishes: int, seed: int = 1) -> Question:
    """Breakfast, two to four snacks, lunch, a common dinner; days of unlike need."""
    rng = Random(seed)
    names = tuple(f"walker {at}" for at in range(1, walkers + 1))
    slots = [
        Slot(
            day=day, time=time, meal=meal, walkers=names, least=least, most=most,
            shared=meal == "dinner" and walkers > 1, carried_share=share,
        )
        for day in range(1, days + 1)
        for time, meal, least, most, share in (
            ("breakfast", "breakfast", 1, 1, 0.0),
            ("snacks", "snack", 2, 4, 0.5),
            ("lunch", "lunch", 1, 1, 0.5),
            ("dinner", "dinner", 1, 1, 1.0),
        )
    ]  # fmt: skip
    bands = []
    for at, name in enumerate(names):
        for day in range(1, days + 1):
            need = round((2700 + 150 * at) * rng.uniform(0.95, 1.15))
            bands.append(
                Band(
                    wish="energy", walker=name, nutrient="energy_kcal", low=need, high=need * 1.1,
                    days=(day,),
                )
            )  # fmt: skip
        bands += [
            Band(wish="protein", walker=name, nutrient="protein_g", low=85.0),
            Band(wish="salt", walker=name, nutrient="sodium_mg", low=1500.0, high=4500.0),
            Band(wish="fat", walker=name, nutrient="fat_g", high=0.45, share=True),
        ]
    return Question(
        days=days,
        dishes=tuple(dish(at, rng) for at in range(dishes)),
        walkers=tuple(Walker(id=name) for name in names),
        slots=tuple(slots),
        bands=tuple(bands),
        repeats=(Repeat(wish="snacks", key="dish", within_days=2, times=("snacks",)),),
    )


def timed(question: Question, by: By, clock: Clock) -> tuple[float, float, Front]:
    """Seconds of one plan, of the front, and the front."""
    tries = Trying(gap=0.005, seconds=120.0, clock=clock)
    begun = clock()
    plan_menu(question, tries)
    plan_s = clock() - begun
    begun = clock()
    found = front(question, by=by, points=10, tries=tries)
    return plan_s, clock() - begun, found


def main() -> None:
    wanted = set(sys.argv[1:]) - {"--cpu"}
    clock = process_time if "--cpu" in sys.argv else perf_counter
    print(f"{version()}; gap asked for 0.5 %; medians of {ROUNDS}; wanted: at most 3 times")
    head = f"{'walk':7}{'front of':10}{'plan s':>8}{'front s':>9}{'times':>7}{'points':>8}"
    print(head + f"{'widest gap':>12}{'from g':>9}{'to g':>9}")
    for name, days, walkers, dishes in WALKS:
        if wanted and name not in wanted:
            continue
        question = walk(days, walkers, dishes)
        ways: tuple[By, By] = ("variety", "cost")
        for by in ways:
            runs = [timed(question, by, clock) for _ in range(ROUNDS)]
            plan_s, front_s = median(r[0] for r in runs), median(r[1] for r in runs)
            found = runs[-1][2]
            menus = [point.menu for point in found.points]
            assert not any(broken_rules(question, menu.plates) for menu in menus)
            gap = 100 * max(menu.gap for menu in menus)
            row = f"{name:7}{by:10}{plan_s:8.2f}{front_s:9.2f}{front_s / plan_s:7.2f}"
            row += f"{len(menus):8}{gap:10.2f} %"
            print(row + f"{menus[0].weighed_g or 0:9.0f}{menus[-1].weighed_g or 0:9.0f}")
        print(f"       {found.sentences[0]}" if found.sentences else "")


if __name__ == "__main__":
    main()
