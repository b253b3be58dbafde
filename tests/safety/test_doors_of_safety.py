"""The ends of every range at the doors: the end is inside, a little more is outside."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import pytest

from fellfare.mistake import Mistake
from fellfare.pantry.food import Food, Source
from fellfare.pantry.nutrients import Nutrients
from fellfare.recipe.document import Line, Recipe
from fellfare.safety import case_of
from fellfare.safety.shelf import life_days, life_used, q10_of
from fellfare.safety.sorption import Isotherm, Portion, dry_basis, settled_aw
from fellfare.safety.tcs import tcs
from fellfare.safety.trip import CarriedFood, Jar, Stay, Stretch, trip_case
from fellfare.safety.water_treatment import boil_minutes
from fellfare.trip.trip import Trip

COUSCOUS = Food(id="couscous", name="couscous", group="grain", form="precooked",
                source=Source(kind="unknown", ref="invented"), per_100g=Nutrients())  # fmt: skip


def dish(**facts: Any) -> object:
    recipe = Recipe(title="t", serves=1, lines=(Line(food="couscous", amount="100 g"),))
    return case_of(recipe, {"couscous": COUSCOUS}, {0: 100.0}, **facts)


def walk(**facts: Any) -> object:
    ada = {"name": "Ada", "sex": "female", "age_y": 40, "height_cm": 170, "mass_kg": 65,
           "base_pack_kg": 6}  # fmt: skip
    box = {"name": "Box", "kind": "box", "day": 2, "at_m": 0.0}
    plain = {"title": "t", "walkers": [ada], "way": {}, "stages": [{"distance_m": 9000.0}] * 3,
             "stops": [box]}  # fmt: skip
    return trip_case(msgspec.convert(plain, Trip), **facts)


def bag(monolayer: float = 0.08, c: float = 12.0, k: float = 0.9, moisture: float = 0.1) -> float:
    isotherm = Isotherm(monolayer=monolayer, c=c, k=k, source="")
    return settled_aw((Portion(solids_g=10.0, moisture=moisture, isotherm=isotherm),))


def jar(**told: Any) -> object:
    return walk(jars=[Jar(walker="Ada", day=1, **told)])


def stay(**told: Any) -> object:
    return walk(foods=[CarriedFood(name="x", stays=(Stay(**told),))])


#: What is asked, a good value at the end of its range, and one outside of it.
ENDS: list[tuple[Callable[[Any], object], Any, Any]] = [
    (lambda x: dish(air_c=x), -60.0, -60.1), (lambda x: dish(air_c=x), 60.0, 60.1),
    (lambda x: dish(altitude_m=x), -430.0, -431.0), (lambda x: dish(altitude_m=x), 9000.0, 9001.0),
    (lambda x: walk(camp_m={1: x}), -430.0, -431.0),
    (lambda x: walk(camp_m={1: x}), 9000.0, 9001.0),
    (lambda x: walk(day_c={1: x}), -60.0, -60.1), (lambda x: walk(day_c={1: x}), 60.0, 60.1),
    (lambda x: walk(night_c={1: x}), -60.0, -60.1), (lambda x: walk(night_c={3: x}), 60.0, 60.1),
    (lambda x: walk(need_kcal={"Ada": [x]}), 0.0, -0.1),
    (lambda x: walk(need_kcal={"Ada": [x]}), 20_000.0, 20_001.0),
    (lambda x: walk(target_kcal={"Ada": [x]}), 0.0, -0.1),
    (lambda x: walk(target_kcal={"Ada": [x]}), 20_000.0, 20_001.0),
    (lambda x: walk(fat_kg={"Ada": x}), 1.0, 0.9),
    (lambda x: walk(fat_kg={"Ada": x}), 150.0, 151.0),
    (lambda x: jar(minutes=x), 0.0, -0.1), (lambda x: jar(minutes=x), 10_080.0, 10_081.0),
    (lambda x: jar(at_c=x), -60.0, -60.1), (lambda x: jar(at_c=x), 60.0, 60.1),
    (lambda x: walk(stretches=[Stretch(day=1, hours=x)]), 0.0, -0.1),
    (lambda x: walk(stretches=[Stretch(day=1, hours=x)]), 240.0, 240.1),
    (lambda x: walk(stretches=[Stretch(day=1, distance_m=x)]), 0.0, -0.1),
    (lambda x: walk(stretches=[Stretch(day=1, distance_m=x)]), 500_000.0, 500_001.0),
    (lambda x: walk(stretches=[Stretch(day=1, camp_ml=x)]), 0.0, -0.1),
    (lambda x: walk(stretches=[Stretch(day=1, camp_ml=x)]), 100_000.0, 100_001.0),
    (lambda x: walk(box_warmest_c={"Box": x}), -60.0, -60.1),
    (lambda x: walk(box_warmest_c={"Box": x}), 60.0, 60.1),
    (lambda x: stay(days=x), 0.0, -0.1), (lambda x: stay(days=x), 36_500.0, 36_501.0),
    (lambda x: stay(days=1.0, c=x), -40.0, -40.1), (lambda x: stay(days=1.0, c=x), 60.0, 60.1),
    (lambda x: walk(days=x), 3, -1), (lambda x: walk(days=x), 400, 401),
    (lambda x: walk(day_c={x: 5.0}), 1, 0), (lambda x: walk(day_c={x: 5.0}, days=3), 3, 4),
    (lambda x: bag(monolayer=x, moisture=1e-9), 0.01, 0.0),
    (lambda x: bag(monolayer=x, moisture=0.0), 0.01, -0.01),
    (lambda x: bag(c=x, moisture=1e-9), 0.01, 0.0), (lambda x: bag(c=x, moisture=0.0), 0.01, -0.01),
    (lambda x: bag(k=x), 1.0, 1.01), (lambda x: bag(k=x, moisture=0.0), 0.01, 0.0),
    (lambda x: bag(moisture=x), 0.0, -0.01),
    (lambda x: dry_basis(x), 0.0, -0.1), (lambda x: dry_basis(x), 99.9, 100.0),
    (lambda x: tcs(x, 4.0), 0.0, -0.01),
    (lambda x: tcs(x, 4.0), 1.0, 1.01),
    (lambda x: tcs(0.9, x), 0.0, -0.01),
    (lambda x: tcs(0.9, x), 14.0, 14.01),
    (lambda x: boil_minutes(x), -430.0, -431.0), (lambda x: boil_minutes(x), 9000.0, 9001.0),
    (lambda x: life_days(30.0, 20.0, 30.0, x), 1.0, 0.99),
    (lambda x: life_days(30.0, 20.0, 30.0, x), 10.0, 10.1),
    (lambda x: life_days(30.0, 20.0, x, 2.0), -40.0, -40.1),
    (lambda x: life_days(30.0, 20.0, x, 2.0), 60.0, 60.1),
    (lambda x: life_days(30.0, x, 20.0, 2.0), 60.0, 60.1),
    (lambda x: life_days(x, 20.0, 30.0, 2.0), 0.01, 0.0),
    (lambda x: q10_of(x, 30.0, 20.0, 20.0), 0.01, 0.0),
    (lambda x: q10_of(10.0, 30.0, x, 20.0), 0.01, 0.0),
    (lambda x: q10_of(10.0, x, 20.0, 20.0), 20.1, 20.0),
    (lambda x: life_used([(x, 20.0)], 30.0, 20.0, 2.0), 0.0, -0.1),
]  # fmt: skip


@pytest.mark.parametrize(("ask", "good", "bad"), ENDS, ids=range(len(ENDS)))
def test_the_end_of_a_range_is_inside_and_more_is_not(
    ask: Callable[[Any], object], good: Any, bad: Any
) -> None:
    ask(good)
    with pytest.raises(Mistake):
        ask(bad)


@pytest.mark.parametrize("wrong", [{"monolayer": 0.0}, {"c": 0.0}, {"k": 0.0}, {"k": 1.01}])
def test_one_wrong_parameter_spoils_an_isotherm(wrong: dict[str, float]) -> None:
    with pytest.raises(Mistake, match="isotherm-out-of-range"):
        bag(moisture=1e-9, **wrong)
