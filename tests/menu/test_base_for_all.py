"""A pot of which somebody may not eat all: base for all, and what is left out is left out."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from tests.menu.trips import RECIPES, asked, written

from fellfare.files.demo_documents import write_demo
from fellfare.files.menu_toml import menu_text, read_menu
from fellfare.files.recipe_folder import read_recipes_of
from fellfare.files.shipped import shipped_pantry
from fellfare.files.trip_toml import read_trip
from fellfare.menu.asked import Asked
from fellfare.menu.asked.offering import may_eat
from fellfare.menu.checking import broken_rules
from fellfare.menu.of_trip import menu_of_trip
from fellfare.menu.settling import settle_trip
from fellfare.menu.trip_menu import TripMenu, trip_menu
from fellfare.menu.trying import Trying
from fellfare.menu.written import written as kept
from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.provision.trip.provision import Provision, provision_of
from fellfare.recipe.document import Line, Recipe, Step
from fellfare.recipe.leaving_out import (
    addable,
    left_out,
    name_without,
    parted_name,
    recipe_named,
    title_without,
)

RICE = """\
title = "Rice with cashews on top"
serves = 1
meals = ["dinner"]
air_c = 20
[[line]]
food = "rice-instant"
amount = "110 g"
bag = "pot"
[[line]]
food = "coconut-milk-powder"
amount = "20 g"
bag = "pot"
[[line]]
food = "cashew-salted"
amount = "40 g"
bag = "top"
[[step]]
act = "steep"
bags = ["pot"]
water = "300 ml"
minutes = 8
[[step]]
act = "{how}"
bags = ["top"]
"""
AVOIDS = 'avoids = ["tree-nut"]'
VARIANT = "rice-without-cashew-salted"
#: No dinner but the rice; of raisins nobody knows whether nuts are among them.
ONLY = {
    "oats": RECIPES["oats"].replace('food = "raisins"', 'food = "sugar"'),
    "seeds": RECIPES["seeds"],
}
LOOSE = "coverage = 0.9\nenergy_band = [0.5, 1.5]"


def party(folder: Path, *, how: str = "serve", rowan: str = AVOIDS, more: str = "") -> Asked:
    recipes = ONLY | {"rice": RICE.format(how=how)}
    return asked(written(folder, recipes=recipes, rowan=rowan, rules=LOOSE, more=more))


def settled(question: Asked) -> TripMenu:
    return trip_menu(question, *settle_trip(question, Trying(gap=0.02, seconds=10.0)))


def provided(question: Asked, menu: TripMenu, folder: Path) -> Provision:
    recipes = read_recipes_of(read_trip(folder / "trip.toml"))
    pantry = recipes.pantry
    assert not isinstance(pantry, Mapping)
    return provision_of(
        question.plan, menu.plates, recipes.recipes, pantry,
        steps_per_serving=menu.steps_per_serving,
    )  # fmt: skip


def test_what_is_only_served_is_left_out_for_the_whole_pot(tmp_path: Path) -> None:
    question = party(tmp_path)
    base, whole = question.dish(VARIANT), question.dish("rice")
    assert base.recipe.title == "Rice, without cashews"
    # by hand: 40 g of the food's own energy less, and its bag
    cashew = shipped_pantry().food("cashew-salted")
    kcal = cashew.per_100g.energy_kcal
    assert kcal is not None
    assert whole.dish.energy_kcal - base.dish.energy_kcal == pytest.approx(0.4 * kcal)
    assert whole.sheet.mass.value - base.sheet.mass.value == pytest.approx(40.0)
    menu = settled(question)
    dinners = [meal for day in menu.days for meal in day.meals if meal.time == "dinner"]
    assert dinners
    assert {(meal.dish, meal.without) for meal in dinners} == {(VARIANT, ("cashew-salted",))}


def test_a_title_does_not_name_what_is_left_out(tmp_path: Path) -> None:
    assert title_without("Couscous with salmon and dill", ["salmon, pink, pouch"]) == (
        "Couscous with dill, without salmon"
    )
    assert title_without("Turmeric rice with peas and salted cashews", ["cashew"]) == (
        "Turmeric rice with peas, without cashew"
    )
    assert title_without("Rice pot", ["cashews, dry roasted"]) == "Rice pot, without cashews"
    # a dish that is called after it is none without it
    recipes = ONLY | {"rice": RICE.format(how="serve").replace("Rice with cashews", "Cashew rice")}
    question = asked(written(tmp_path, recipes=recipes, rowan=AVOIDS, rules=LOOSE))
    assert VARIANT not in {one.id for one in question.dishes}


def test_bags_labels_and_shopping_leave_it_out_and_no_rule_of_allergens_fires(
    tmp_path: Path,
) -> None:
    question = party(tmp_path)
    menu = settled(question)
    path = tmp_path / "menu.toml"
    path.write_text(menu_text(kept(menu)), "utf-8")
    assert 'dish = "rice"\nwithout = ["cashew-salted"]' in path.read_text("utf-8")
    again = read_menu(path)
    assert again == kept(menu)
    one = provided(question, menu, tmp_path)
    assert "cashew-salted" not in {row.food.id for row in one.shopping.rows}
    dinners = [label for label in one.labels if label.time == "dinner"]
    assert dinners
    assert all("without cashews" in label.dish for label in dinners)
    assert all("cashew" not in name for label in dinners for name, _ in label.contents)
    assert not any(
        finding.rule == "allergen" and finding.severity == "error" for finding in one.findings
    )


def test_what_is_stirred_into_the_pot_is_not_left_out(tmp_path: Path) -> None:
    question = party(tmp_path, how="mix")
    assert [one.id for one in question.dishes if one.without] == []
    assert not settled(question).days


def test_where_nobody_is_barred_the_dish_stays_whole(tmp_path: Path) -> None:
    question = party(tmp_path, rowan="")
    assert [one.id for one in question.dishes if one.without] == []


def test_a_pot_of_others_gets_no_base_for_those_who_are_not_there(tmp_path: Path) -> None:
    more = """
[[walker]]
name = "Fell"
sex = "male"
age_y = 50
height_cm = 175
mass_kg = 70
base_pack_kg = 7
[[kitchen]]
walkers = ["Fell"]
stove = "gas-screened"
fuel = "gas"
"""
    question = party(tmp_path, more=more)
    barred = {(day, time) for dish, day, time in question.barred if dish == VARIANT}
    assert (1, "dinner (Fell)") in barred
    assert (1, "dinner (Rowan, Ash)") not in barred


def test_a_dish_that_is_fixed_or_unwanted_means_its_base_too(tmp_path: Path) -> None:
    fixed = '[[fixed]]\nday = 1\neating = "dinner"\ndish = "rice"'
    question = party(tmp_path, more=fixed)
    assert [lock.dish for lock in question.base.locks] == [VARIANT]
    assert not any(finding.severity == "error" for finding in question.findings)
    never = asked(
        written(
            tmp_path / "never", recipes=ONLY | {"rice": RICE.format(how="serve")}, rowan=AVOIDS,
            rules='never = ["rice"]',
        )
    )  # fmt: skip
    assert [one.id for one in never.dishes if one.without] == []


def test_the_demos_vegetarian_and_nut_allergy_share_more_pots(tmp_path: Path) -> None:
    write_demo(tmp_path)
    question = asked(tmp_path / "trip.toml")
    tansy, corrie = (w for w in question.base.walkers if w.id in ("Tansy", "Corrie"))
    bases = {one.without: one for one in question.dishes if one.without}
    assert {("parmesan-grated",), ("cashew-salted",)} <= set(bases)
    for one in bases.values():
        whole = question.dish(parted_name(one.id)[0])
        assert not (may_eat(tansy, whole.dish) and may_eat(corrie, whole.dish))
        assert may_eat(tansy, one.dish)
        assert may_eat(corrie, one.dish)
        assert one.dish.mass_g < whole.dish.mass_g
        assert one.dish.energy_kcal < whole.dish.energy_kcal


POT = Recipe(
    title="Pot",
    serves=1,
    lines=(
        Line(food="couscous", amount="90 g", bag="pot"),
        Line(food="salt", amount="1 g", bag="pot", optional=True),
        Line(food="walnut", amount="20 g"),
        Line(food="sugar", amount="5 g", bag="pot"),
        Line(food="sugar", amount="5 g", bag="top"),
    ),
    steps=(
        Step(act="steep", bags=("pot",), water="150 ml"),
        Step(act="serve", bags=("walnut",)),
        Step(act="serve", bags=("top",)),
    ),
)


def test_only_what_is_served_or_optional_is_added(tmp_path: Path) -> None:
    # sugar is on top, and in the pot as well
    assert addable(POT) == ("salt", "walnut")


def test_a_variant_is_made_again_from_its_name(tmp_path: Path) -> None:
    pantry: Pantry = shipped_pantry()
    name = name_without("pot", ("salt", "walnut"))
    assert parted_name(name) == ("pot", ("salt", "walnut"))
    assert parted_name("pot") == ("pot", ())
    made = recipe_named(name, {"pot": POT}, pantry)
    assert made == left_out(POT, ("salt", "walnut"), pantry)
    assert made is not None
    assert [line.food for line in made.lines] == ["couscous", "sugar", "sugar"]
    assert [step.bags for step in made.steps] == [("pot",), ("top",)]
    # a recipe that is called so goes before one that is made of another
    assert recipe_named(name, {"pot": POT, name: made}, pantry) is made
    assert recipe_named("pan-without-salt", {"pot": POT}, pantry) is None
    with pytest.raises(Mistake, match="unknown-food"):
        recipe_named("pot-without-milk", {"pot": POT}, pantry)
    with pytest.raises(Mistake, match="nothing-left"):
        left_out(POT, ("couscous", "salt", "walnut", "sugar"), pantry)


# -- what is left out, on the plates of those who may eat it ---------------------------------

TABLE = LOOSE + "\nadd_at_table = true\nprotein_g_per_kg = 0.8"
ADDED = "rice-added-cashew-salted"


def at_table(folder: Path) -> tuple[Asked, TripMenu]:
    recipes = ONLY | {"rice": RICE.format(how="serve")}
    question = asked(written(folder, recipes=recipes, rowan=AVOIDS, rules=TABLE))
    return question, settled(question)


def test_who_may_eat_it_adds_it_at_the_table(tmp_path: Path) -> None:
    question, menu = at_table(tmp_path)
    added = [meal for day in menu.days for meal in day.meals if meal.dish == ADDED]
    assert added
    assert {one.walker for meal in added for one in meal.helpings} == {"Ash"}
    assert {meal.time for meal in added} == {"at table"}
    # by hand: 40 g of cashews a serving, and the bag
    cashew = shipped_pantry().food("cashew-salted")
    kcal = cashew.per_100g.energy_kcal
    assert kcal is not None
    dish = question.dish(ADDED)
    assert dish.sheet.mass.value == pytest.approx(40.0)
    assert dish.dish.energy_kcal == pytest.approx(0.4 * kcal)
    assert "cashew" in dish.dish.contains
    # in Ash's sums and nobody else's
    (helping,) = added[0].helpings
    ash = next(one for one in menu.days[0].eaters if one.walker == "Ash")
    mine = [
        one.energy_kcal
        for meal in menu.days[0].meals
        for one in meal.helpings
        if one.walker == "Ash"
    ]
    assert helping.energy_kcal in mine
    assert ash.energy_kcal == pytest.approx(sum(mine))


def test_it_is_packed_and_labelled_apart(tmp_path: Path) -> None:
    question, menu = at_table(tmp_path)
    path = tmp_path / "menu.toml"
    path.write_text(menu_text(kept(menu)), "utf-8")
    assert read_menu(path) == kept(menu)
    one = provided(question, menu, tmp_path)
    (bag,) = [label for label in one.labels if label.time == "at table"]
    assert bag.eaters == ("Ash",)
    assert [name for name, _ in bag.contents] == [shipped_pantry().food("cashew-salted").name]
    pots = [label for label in one.labels if label.time == "dinner"]
    assert all("cashew" not in name for label in pots for name, _ in label.contents)
    grams = sum(m.mass_g for d in menu.days for x in d.meals for m in x.helpings if x.dish == ADDED)
    (row,) = [row for row in one.shopping.rows if row.food.id == "cashew-salted"]
    assert row.need_g == pytest.approx(grams, abs=10.0)  # the menu's grams hold the bag
    told = [found for found in menu.findings if found.rule == "menu-at-table"]
    assert told
    assert "Rowan" in told[0].text


def test_beside_another_pot_it_breaks_a_rule(tmp_path: Path) -> None:
    question, menu = at_table(tmp_path)
    asked_for = question.question(question.first_need_kcal)
    plates = list(settle_trip(question, Trying(gap=0.02, seconds=10.0))[0].menu.plates)
    lone = [plate for plate in plates if plate.time != "dinner"]
    assert any(one.wish == "beside the pot" for one in broken_rules(asked_for, lone))
    assert not any(one.wish == "beside the pot" for one in broken_rules(asked_for, plates))
    assert menu.plates


def test_unasked_nothing_is_added(tmp_path: Path) -> None:
    assert ADDED not in {one.id for one in party(tmp_path).dishes}


def test_why_there_is_none_is_told_with_add_ins_too(tmp_path: Path) -> None:
    recipes = ONLY | {"rice": RICE.format(how="serve")}
    rules = LOOSE + "\nadd_at_table = true\nprotein_g_per_kg = 2.5"
    question = asked(written(tmp_path, recipes=recipes, rowan=AVOIDS, rules=rules))
    menu = menu_of_trip(question, Trying(gap=0.02, seconds=10.0), why_seconds=10.0)
    assert menu.verdict == "impossible"
    told = [give.wish for give in menu.gives]
    assert told
    assert all("protein" in wish or "energy" in wish for wish in told)
