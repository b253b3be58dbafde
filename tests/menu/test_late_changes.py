"""What turns out otherwise: one command each, and it says what changes."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.menu.trips import asked, planned, written

from fellfare.menu.asked import Asked, question_of_trip
from fellfare.menu.asked.offering import may_eat
from fellfare.menu.changing.late import Late, late_trip
from fellfare.menu.checking import broken_rules
from fellfare.menu.of_trip import menu_of_trip
from fellfare.menu.resupply.of_trip import stops_of_trip
from fellfare.menu.resupply.stops import Worth
from fellfare.menu.staying import other_than, stay_near
from fellfare.menu.trip_menu import TripMenu
from fellfare.menu.trying import Trying
from fellfare.mistake import Mistake
from fellfare.trip.plan import plan_trip

TRIES = Trying(gap=0.02, seconds=10.0)
BOX = """[[stop]]
name = "Box"
kind = "box"
day = 1
at_m = 11500
fee = "7.50"
effort_min = 20
"""


def saved(folder: Path) -> tuple[Asked, TripMenu]:
    question = asked(written(folder))
    return question, menu_of_trip(question, TRIES)


def changed(folder: Path, late: Late) -> Asked:
    from fellfare.files.recipe_folder import read_recipes_of
    from fellfare.files.trip_toml import read_ground, read_trip

    file = read_trip(written(folder))
    trip, _ = late_trip(planned(file.path), late)
    recipes = read_recipes_of(file)
    plan = plan_trip(trip, read_ground(file))
    return question_of_trip(plan, recipes.recipes, recipes.pantry)


def test_a_ban_holds_from_the_day_of_its_kilometre_on(tmp_path: Path) -> None:
    plan = planned(written(tmp_path))
    rules = {}
    for km in (0.0, 11.9, 12.0, 21.0):
        trip, (said,) = late_trip(plan, Late(fire=((km, "no-flame"),)))
        rules[km] = [trip.day_word(day).fire for day in (1, 2)]
        assert f"km {km:g}" in said
    assert rules[0.0] == rules[11.9] == ["no-flame", "no-flame"]  # day 1 has 12 km, day 2 9 km
    assert rules[12.0] == rules[21.0] == [None, "no-flame"]


def test_a_stricter_rule_of_a_later_day_stays(tmp_path: Path) -> None:
    change = (("[[stage]]\ndistance_m = 12000", '[[day]]\nday = 2\nfire = "no-flame"\n'
               "[[stage]]\ndistance_m = 12000"),)  # fmt: skip
    plan = planned(written(tmp_path, change=change))
    trip, _ = late_trip(plan, Late(fire=((0.0, "gas-only"),)))
    assert [trip.day_word(day).fire for day in (1, 2)] == ["gas-only", "no-flame"]


def test_after_a_ban_only_what_needs_no_fire_changes(tmp_path: Path) -> None:
    _, menu = saved(tmp_path)
    question = changed(tmp_path, Late(fire=((0.0, "no-flame"),)))
    made = stay_near(question, menu.plates, menu.steps_per_serving, TRIES)
    plates = made.done.menu.plates
    assert plates
    assert broken_rules(made.done.question, plates) == ()
    ways = {question.dish(plate.dish).making.way for plate in plates}
    assert ways <= {"dry", "cold-soak"}
    hot = {plate.dish for plate in menu.plates} & {"rice", "chicken", "farina"}
    assert {one.before for one in made.changes if one.before} >= hot


def test_a_late_diet_is_kept(tmp_path: Path) -> None:
    _, menu = saved(tmp_path)
    question = changed(tmp_path, Late(diets=(("Ash", "vegan"),), avoids=(("Rowan", "cashew"),)))
    made = stay_near(question, menu.plates, menu.steps_per_serving, TRIES)
    people = {walker.id: walker for walker in question.base.walkers}
    assert "vegan" in people["Ash"].diets
    assert "cashew" in {avoid.allergen for avoid in people["Rowan"].avoids}
    for plate in made.done.menu.plates:
        for part in plate.portions:
            assert may_eat(people[part.walker], question.dish(plate.dish).dish)


def test_a_swapped_dish_goes_and_the_rest_stays(tmp_path: Path) -> None:
    question, menu = saved(tmp_path)
    old = next(plate.dish for plate in menu.plates if (plate.day, plate.time) == (1, "dinner"))
    other, (said,) = other_than(question, menu.plates, [(1, "dinner")])
    assert old in said
    made = stay_near(other, menu.plates, menu.steps_per_serving, TRIES)
    dinners = [p.dish for p in made.done.menu.plates if (p.day, p.time) == (1, "dinner")]
    assert dinners
    assert old not in dinners
    assert any((one.day, one.time, one.before) == (1, "dinner", old) for one in made.changes)
    with pytest.raises(Mistake, match="nothing-to-swap"):
        other_than(question, menu.plates, [(7, "dinner")])


@pytest.mark.parametrize(
    ("late", "code"),
    [
        (Late(fire=((float("nan"), "no-flame"),)), "figure-out-of-range"),
        (Late(fire=((-1.0, "no-flame"),)), "figure-out-of-range"),
        (Late(fire=((99.0, "no-flame"),)), "figure-out-of-range"),
        (Late(fire=((1.0, "no-fire"),)), "unknown-fire-rule"),
        (Late(camps=((1, "Elsewhere"),)), "camp-not-movable"),
        (Late(diets=(("Nobody", "vegan"),)), "unknown-walker"),
        (Late(diets=(("Ash", "carnivore"),)), "unknown-diet"),
        (Late(avoids=(("Ash", "gravel"),)), "unknown-allergen"),
    ],
)
def test_what_cannot_be_is_told(tmp_path: Path, late: Late, code: str) -> None:
    with pytest.raises(Mistake, match=code):
        late_trip(planned(written(tmp_path)), late)


def test_stops_are_weighed_set_by_set(tmp_path: Path) -> None:
    question = asked(written(tmp_path, more=BOX))
    found = stops_of_trip(question, TRIES)
    assert [(one.name, one.day, one.fee, one.effort_min) for one in found.stops] == [
        ("Box", 2, 7.5, 20.0)
    ]
    by = {one.stops: one for one in found.resupply.choices}
    assert set(by) == {(), ("Box",)}
    best = found.resupply.best
    assert best is not None
    assert best.stops == ("Box",)  # it costs nothing in grams, and lightens day 1
    for one in by.values():
        if one.score_g is not None:
            assert one.bound_g <= one.score_g * (1 + 1e-6)
    # an effort that is worth more than it saves: all from the start
    dear = stops_of_trip(question, TRIES, Worth(minute_g=10_000.0)).resupply.best
    assert dear is not None
    assert dear.stops == ()


def test_without_stops_there_is_nothing_to_weigh(tmp_path: Path) -> None:
    with pytest.raises(Mistake, match="no-stops"):
        stops_of_trip(asked(written(tmp_path)), TRIES)


def test_the_menu_tells_where_its_food_is_taken_up(tmp_path: Path) -> None:
    question = asked(written(tmp_path, more=BOX))
    menu = menu_of_trip(question, TRIES)
    start, box = menu.taken
    assert (start.kind, box.kind, box.fee, box.effort_min) == ("start", "box", 7.5, 20.0)
    whole = sum(one.mass_g for d in menu.days for meal in d.meals for one in meal.helpings)
    assert start.food_g + box.food_g == pytest.approx(whole)
    assert box.food_g > 0
