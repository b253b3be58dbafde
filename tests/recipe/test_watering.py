"""Water and time of the steps: the author's word first, then the foods', else unknown.

The foods here are invented, so that every expected figure is a sum that can be done in
the head; what the shipped foods say is common practice and is checked elsewhere.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Mistake, Mistakes
from fellfare.pantry.food import Food, Form, Soak, Source, Way
from fellfare.pantry.nutrients import Nutrients
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Act, Line, Recipe, Step
from fellfare.recipe.sheet import Sheet, make_sheet


def food(food_id: str, *soaks: Soak, ways: tuple[Way, ...], form: Form = "dried") -> Food:
    return Food(
        id=food_id,
        name=food_id,
        group="grain",
        form=form,
        source=Source(kind="label", ref="invented"),
        per_100g=Nutrients(),
        ways=ways,
        soaks=soaks,
    )


PANTRY = Pantry([
    food(
        "flakes",
        Soak(way="cold-soak", minutes=30, most_minutes=60, water_ml_per_g=2.0),
        Soak(way="hot-pour", minutes=5, water_ml_per_g=3.0),
        Soak(way="boil", minutes=4, water_ml_per_g=4.0, trust="tabulated"),
        ways=("cold-soak", "hot-pour", "boil"),
    ),
    food("grains", Soak(way="boil", minutes=12, water_ml_per_g=1.5), ways=("boil",)),
    food("dumb", ways=("cold-soak", "boil")),  # needs water; nobody has told how much
    food("fat", ways=("dry",), form="oil"),
])  # fmt: skip


def line(food_id: str, amount: str = "100 g", bag: str | None = None) -> Line:
    return Line(food=food_id, amount=amount, bag=bag)


def sheet(lines: list[Line], steps: list[Step], serves: int = 1, eaters: int = 1) -> Sheet:
    one = Recipe(title="invented", serves=serves, lines=tuple(lines), steps=tuple(steps))
    return make_sheet(one, PANTRY, eaters)


def step(act: Act, *bags: str, water: str | None = None, minutes: float | None = None) -> Step:
    return Step(act=act, bags=bags, water=water, minutes=minutes)


def test_written_water_and_minutes_come_first() -> None:
    made = sheet([line("flakes")], [step("soak", "flakes", water="110 ml", minutes=45)]).steps[0]
    assert (made.water_ml, made.water_trust) == (110, "written")
    assert (made.minutes, made.most_minutes, made.minutes_trust) == (45, None, "written")


@pytest.mark.parametrize(
    ("act", "water_ml", "minutes", "most"),
    [
        ("soak", 200, 30, 60),
        ("steep", 300, 5, None),
        ("boil", 400, 4, None),
        ("simmer", 400, 4, None),
    ],
)
def test_where_the_author_is_silent_the_food_speaks(
    act: Act, water_ml: float, minutes: float, most: float | None
) -> None:
    made = sheet([line("flakes")], [step(act, "flakes")]).steps[0]
    assert (made.water_ml, made.water_trust) == (water_ml, "common-practice")
    assert (made.minutes, made.most_minutes) == (minutes, most)
    assert not made.water_unknown


def test_the_slowest_food_decides_the_time() -> None:
    made = sheet([line("flakes"), line("grains")], [step("boil", "flakes", "grains")]).steps[0]
    assert (made.minutes, made.water_ml) == (12, 400 + 150)


def test_a_food_that_is_eaten_as_it_is_takes_no_water() -> None:
    made = sheet([line("flakes"), line("fat")], [step("soak", "flakes", "fat")]).steps[0]
    assert (made.water_ml, made.water_unknown) == (200, False)


def test_a_food_without_a_figure_makes_the_water_unknown_not_less() -> None:
    made = sheet([line("flakes"), line("dumb")], [step("soak", "flakes", "dumb")]).steps[0]
    assert (made.water_ml, made.water_unknown, made.water_trust) == (None, True, "unknown")


def test_a_food_that_must_boil_makes_a_soak_unknown_not_less() -> None:
    # 'grains' have no cold-soak way: what they would take up cold, nobody has told.
    made = sheet([line("flakes"), line("grains")], [step("soak", "flakes", "grains")]).steps[0]
    assert (made.water_ml, made.water_unknown) == (None, True)


def test_an_unmeasured_food_makes_the_water_unknown() -> None:
    made = sheet([line("flakes", "as needed")], [step("soak", "flakes")]).steps[0]
    assert (made.water_ml, made.water_unknown) == (None, True)


def test_an_unknown_step_is_named_in_the_sum() -> None:
    total = sheet(
        [line("flakes"), line("dumb")],
        [step("soak", "dumb"), step("boil", "flakes", water="300 ml")],
    ).water_add_ml
    assert (total.value, total.unknown) == (300, ("step 1 (soak)",))
    assert total.whole is None


def test_food_that_is_wet_already_takes_no_more() -> None:
    first, second = sheet(
        [line("flakes")], [step("soak", "flakes"), step("simmer", "flakes")]
    ).steps
    assert first.water_ml == 200
    assert (second.water_ml, second.water_unknown) == (None, False)


def test_what_comes_dry_to_a_wet_pot_still_takes_its_own() -> None:
    _, second = sheet(
        [line("flakes"), line("grains")],
        [step("soak", "flakes"), step("boil", "flakes", "grains")],
    ).steps
    assert second.water_ml == 150


def test_the_same_food_in_two_bags_is_wetted_twice() -> None:
    first, second = sheet(
        [line("flakes", "100 g", "monday"), line("flakes", "50 g", "tuesday")],
        [step("soak", "monday"), step("soak", "tuesday")],
    ).steps
    assert (first.water_ml, second.water_ml) == (200, 100)


def test_a_line_named_by_bag_and_by_food_counts_once() -> None:
    made = sheet([line("flakes", bag="jar")], [step("soak", "jar", "flakes", "jar")]).steps[0]
    assert made.water_ml == 200
    assert made.foods == ("flakes",)


def test_a_step_that_names_nothing_acts_on_the_pot_so_far() -> None:
    # As the safety rules see it: safety.case, 'one that names nothing'.
    first, second, third = sheet(
        [line("flakes"), line("grains")],
        [step("mix", "grains"), step("boil"), step("boil", "flakes")],
    ).steps
    assert first.foods == second.foods == ("grains",)
    assert (second.water_ml, third.water_ml) == (150, 400)


def test_when_no_step_names_anything_each_acts_on_all() -> None:
    made = sheet([line("flakes"), line("grains")], [step("boil")]).steps[0]
    assert made.foods == ("flakes", "grains")
    assert made.water_ml == 550


def test_no_food_at_all_is_no_water_unknown() -> None:
    made = sheet([line("fat")], [step("mix", "fat")]).steps[0]
    assert (made.water_ml, made.water_unknown, made.minutes) == (None, False, None)


@given(st.integers(1, 30), st.integers(1, 30))
def test_water_grows_with_the_eaters(serves: int, eaters: int) -> None:
    steps = [step("soak", "flakes", water="110 ml"), step("boil", "grains")]
    made = sheet([line("flakes"), line("grains")], steps, serves, eaters).steps
    factor = eaters / serves
    assert made[0].water_ml == pytest.approx(110 * factor)
    assert made[1].water_ml == pytest.approx(150 * factor)


def test_water_may_be_weighed() -> None:
    made = sheet([line("flakes")], [step("soak", "flakes", water="110 g")]).steps[0]
    assert made.water_ml == pytest.approx(110)  # 1 g is 1 mL within half a per cent


@pytest.mark.parametrize("water", ["to taste", "2 cloves", "a splash"])
def test_water_that_is_no_measure_is_refused(water: str) -> None:
    with pytest.raises(Mistake, match="water-not-measured") as caught:
        sheet([line("flakes")], [step("soak", "flakes", water=water)])
    assert caught.value.where == "step[0] > water"


def test_an_unknown_bag_is_refused_with_those_that_there_are() -> None:
    steps = [step("soak", "jat"), step("boil", "jar"), step("boil", "pot")]
    with pytest.raises(Mistakes) as caught:
        sheet([line("flakes", bag="jar")], steps)
    assert [(m.code, m.where) for m in caught.value.each] == [
        ("unknown-bag", "step[0] > bags"),
        ("unknown-bag", "step[2] > bags"),
    ]
    assert "jar" in caught.value.each[0].mend
