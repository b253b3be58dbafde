"""What the rules say of the shipped foods: whom they name, and in which words."""

from __future__ import annotations

import csv
import importlib.util
from collections.abc import Sequence
from pathlib import Path

import pytest

from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Finding
from fellfare.recipe.document import Act, Line, Recipe, Step
from fellfare.recipe.sheet import make_sheet
from fellfare.safety import check
from fellfare.safety.dish import case_of_dish
from fellfare.safety.reading import hazards, short
from fellfare.safety.rules.doses import CAFFEINE_BY_NDB, caffeine_mg_per_100g

PANTRY = shipped_pantry()


def findings(
    amounts: dict[str, str],
    steps: Sequence[Step] = (),
    *,
    serves: int = 1,
    eaters: int | None = None,
    bag: str = "a",
    storage_days: float | None = None,
) -> tuple[Finding, ...]:
    recipe = Recipe(
        title="t",
        serves=serves,
        lines=tuple(Line(food=food, amount=amount, bag=bag) for food, amount in amounts.items()),
        steps=tuple(steps),
        air_c=20.0,
    )
    sheet = make_sheet(recipe, PANTRY, eaters)
    return check(case_of_dish(sheet, PANTRY, altitude_m=500.0, storage_days=storage_days))


def of(rule: str, found: Sequence[Finding]) -> list[Finding]:
    return [one for one in found if one.rule == rule]


# ------------------------------------------------------------------ bags


@pytest.mark.parametrize(
    "foods",
    [
        ("raisins", "almond", "milk-chocolate"),
        ("rolled-oats", "milk-powder-whole"),
        ("rolled-oats", "almond"),
    ],
)
def test_trail_mix_and_porridge_bags_get_a_note_and_no_more(foods: tuple[str, ...]) -> None:
    (one,) = of("mixed-bag", findings(dict.fromkeys(foods, "50 g")))
    assert one.severity == "note"
    assert "weeks" in one.text


def test_kept_for_two_months_it_is_a_caution() -> None:
    (one,) = of("mixed-bag", findings({"raisins": "50 g", "almond": "50 g"}, storage_days=60))
    assert one.severity == "caution"


def test_only_the_food_that_reaches_the_level_is_blamed() -> None:
    amounts = {"raisins": "50 g", "cheddar": "50 g", "pretzels": "50 g"}
    (one,) = of("mixed-bag", findings(amounts))
    assert one.severity == "error"
    assert one.about == ("line 2 (cheddar)",)
    assert "raisins" not in one.text


@pytest.mark.parametrize(
    ("amounts", "soft"),
    [
        ({"corn-chips": "40 g", "raisins": "20 g"}, True),
        ({"corn-chips": "40 g", "chilli-flakes": "0.5 g"}, False),  # 0.04 g of water
        ({"corn-chips": "40 g", "demerara-sugar": "20 g"}, False),  # 0.03 % of water
    ],
)
def test_crisp_food_goes_soft_only_beside_water(amounts: dict[str, str], soft: bool) -> None:
    assert bool(of("crisp-with-moist", findings(amounts))) == soft


# ------------------------------------------------------------------ ready to eat


WAYS: dict[str, Act] = {"cold-soak": "soak", "hot-pour": "steep", "boil": "simmer"}


def test_every_food_made_in_each_of_its_own_ways_is_fit_to_eat() -> None:
    for food in PANTRY:
        for way in food.ways:
            soak = next((one for one in food.soaks if one.way == way), None)
            per_g = soak.water_ml_per_g if soak is not None else None
            step = Step(act="serve")
            if way != "dry":
                water = f"{60 * (per_g or 2.5):.0f} ml"
                step = Step(act=WAYS[way], water=water, minutes=20, water_treated=None)
            found = findings({food.id: "60 g"}, [step])
            assert not of("not-made-edible", found), (food.id, way)
            assert not of("water-doubtful", found), (food.id, way)


def test_no_food_that_needs_water_or_fire_is_passed_over_without_a_step() -> None:
    beside = {"herb", "spice", "baking"}  # bay leaves, yeast
    for food in PANTRY:
        if "dry" not in food.ways and food.group not in beside:
            asked = {one.rule for one in findings({food.id: "60 g"})}
            assert asked & {"not-made-edible", "raw-lectin-pulse", "raw-pulse", *RAW}, food.id


RAW = ("raw-flour", "raw-meat", "raw-fish", "raw-egg", "raw-milk", "sprouts")


@pytest.mark.parametrize(
    ("amounts", "steps", "rule"),
    [
        ({"spaghetti": "100 g"}, [Step(act="soak", water="200 ml", minutes=60, water_treated=True)],
         "not-made-edible"),
        ({"rice-white-long": "100 g"},
         [Step(act="soak", water="200 ml", minutes=30, water_treated=True)], "not-made-edible"),
        ({"pasta": "100 g"}, [], "not-made-edible"),
        ({"couscous": "90 g"}, [Step(act="steep", water="20 ml", minutes=10)], "water-doubtful"),
        ({"couscous": "90 g"}, [Step(act="steep", water="2 l", minutes=10)], "water-doubtful"),
    ],
)  # fmt: skip
def test_what_nobody_can_eat_is_told(amounts: dict[str, str], steps: list[Step], rule: str) -> None:
    assert [one.severity for one in of(rule, findings(amounts, steps))] == ["caution"]


@pytest.mark.parametrize(
    ("amounts", "water", "act"),
    [
        # From packets and cookbooks, common practice: 1 to 1.5 parts of water by volume.
        ({"couscous": "90 g"}, "110 ml", "steep"),
        ({"couscous": "90 g"}, "180 ml", "steep"),
        ({"spaghetti": "100 g"}, "1 l", "boil"),
        ({"rolled-oats": "40 g"}, "350 ml", "steep"),
        ({"potato-flakes": "50 g"}, "250 ml", "steep"),
        ({"rice-white-long": "75 g"}, "180 ml", "simmer"),
        ({"tea": "2 g"}, "250 ml", "steep"),
        ({"cocoa-powder": "8 g", "milk-powder-whole": "25 g"}, "250 ml", "steep"),
        ({"vegetable-stock-cube": "5 g", "rice-vermicelli": "30 g"}, "500 ml", "steep"),
        ({"chicken-noodle-soup-mix": "20 g"}, "350 ml", "steep"),
        ({"lentils": "100 g", "carrot-dried": "15 g"}, "600 ml", "simmer"),
    ],
)
def test_usual_amounts_of_water_pass(amounts: dict[str, str], water: str, act: str) -> None:
    steps = [Step(act=act, water=water, minutes=30)]  # type: ignore[arg-type]
    found = findings(amounts, steps)
    assert not [
        one.text for rule in ("water-doubtful", "not-made-edible") for one in of(rule, found)
    ]


def test_the_water_is_compared_for_as_many_as_the_masses_are_for() -> None:
    steps = [Step(act="steep", water="90 ml", minutes=10)]
    for eaters in (1, 2, 7):
        assert not of("water-doubtful", findings({"couscous": "60 g"}, steps, eaters=eaters))


# ------------------------------------------------------------------ doses


def test_caffeine_is_that_of_the_table() -> None:
    """SR28 NUT_DATA, nutrient 262, read again."""
    spec = importlib.util.find_spec("usda_nutrition")
    assert spec is not None
    assert spec.origin is not None
    path = Path(spec.origin).parent / "data/sr28/NUT_DATA.txt"
    with path.open(encoding="latin-1", newline="") as file:
        rows = csv.reader(file, delimiter="^", quotechar="~")
        told = {row[0]: float(row[2]) for row in rows if row[1] == "262"}
    assert {ndb: told[ndb] for ndb in CAFFEINE_BY_NDB} == CAFFEINE_BY_NDB


def test_only_an_energy_gel_has_unknown_caffeine() -> None:
    flagged = [food for food in PANTRY if "caffeine" in hazards(food)]
    assert [f.id for f in flagged if caffeine_mg_per_100g(f) is None] == ["energy-gel"]
    (one,) = of("caffeine", findings({"energy-gel": "40 g"}))
    assert one.severity == "note"
    assert "not known" in one.text


def test_a_dose_is_that_of_one_serving() -> None:
    for eaters in (1, 3):
        (one,) = of("caffeine", findings({"instant-coffee": "10 g"}, eaters=eaters))
        assert "314 mg" in one.text  # 10 g of 3142 mg per 100 g
    assert not of("caffeine", findings({"instant-coffee": "10 g"}, serves=2))


def test_salt_is_named_by_who_brings_it() -> None:
    (one,) = of("salt-dose", findings({"salt": "7 g", "rolled-oats": "50 g"}))
    assert one.severity == "note"
    assert one.about == ("line 1 (salt)",)


def test_salt_that_is_not_all_known_is_told_as_a_least() -> None:
    (one,) = of("salt-dose", findings({"salt": "7 g", "sumac": "2 g"}))
    assert "or more" in one.text
    (one,) = of("salt-dose", findings({"salt": "7 g", "rolled-oats": "50 g"}))
    assert "or more" not in one.text


# ------------------------------------------------------------------ sulphite, favism


@pytest.mark.parametrize(
    "food", ["onion-powder", "garlic-powder", "tomato-powder", "potato-flakes"]
)
def test_every_food_that_may_be_sulphured_is_told(food: str) -> None:
    (one,) = of("sulphite", findings({food: "20 g"}))
    likely = "sulphite-likely" in PANTRY.food(food).hazards
    assert one.severity == ("caution" if likely else "note")


def test_a_pinch_of_garlic_powder_is_no_matter() -> None:
    assert not of("sulphite", findings({"garlic-powder": "1.6 g"}))


@pytest.mark.parametrize("food", ["broad-beans-dry", "broad-beans-canned", "falafel-mix"])
def test_favism_is_told_of_every_broad_bean(food: str) -> None:
    assert of("favism", findings({food: "80 g"}))


# ------------------------------------------------------------------ words


def test_no_word_is_said_twice() -> None:
    for food in ("kidney-beans-dry", "red-lentils"):
        found = findings({food: "80 g"})
        texts = [one.text for one in found if one.rule in ("raw-lectin-pulse", "raw-pulse")]
        assert texts
        assert all(text.lower().count("raw ") == 1 and ", raw" not in text for text in texts)


def test_a_short_name_keeps_the_kind_of_a_mushroom() -> None:
    assert short(PANTRY.food("kidney-beans-dry")) == "red kidney beans"
    assert short(PANTRY.food("chanterelle")) == "mushroom, chanterelle"


def test_the_whole_dish_is_not_told_line_by_line() -> None:
    amounts = {"couscous": "90 g", "raisins": "20 g", "salt": "1 g"}
    steep = Step(act="steep", water="150 ml", minutes=10)
    (one,) = of("wet-hold", findings(amounts, [steep]))
    assert one.about == ("the whole dish",)
    (one,) = of("wet-hold", findings({"couscous": "90 g"}, [steep]))
    assert one.about == ("line 1 (couscous)",)


def test_no_clock_is_started_for_a_cup_of_coffee() -> None:
    cup = {"instant-coffee": "2 g", "sugar": "5 g"}
    mix = Step(act="mix", water="200 ml", water_treated=True)
    assert not of("wet-hold", findings(cup, [mix]))
    assert of("wet-hold", findings({**cup, "couscous": "60 g"}, [mix]))
    long = [mix, Step(act="rest", minutes=150)]
    assert [one.severity for one in of("wet-hold", findings(cup, long))] == ["caution"]
