"""The US panel against the rule's own steps."""

from __future__ import annotations

import csv
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Mistake
from fellfare.recipe.panel import Row, us, us_panel
from fellfare.recipe.panel.figure import exact

REFERENCE = Path(__file__).parents[1] / "reference"


def table(name: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


PRINTED: dict[str, Callable[[Decimal], object]] = {
    "calories": us.calories,
    "fat": us.fat_g,
    "cholesterol": us.cholesterol_text,
    "sodium": us.sodium_mg,
    "gram": us.gram_text,
    "vitamin": us.vitamin_percent,
    "drv": us.drv_percent,
    "servings": us.servings_text,
}

#: A serving of which everything that the panel asks for is known.
WHOLE: dict[str, float | None] = {
    "energy_kcal": 236.0,
    "protein_g": 8.5,
    "fat_g": 9.75,
    "saturated_g": 4.75,
    "trans_g": 0.2,
    "cholesterol_mg": 4.0,
    "carbohydrate_g": 30.5,
    "fibre_g": 0.7,
    "sugars_g": 5.0,
    "added_sugars_g": 0.0,
    "sodium_mg": 145.0,
    "potassium_mg": 470.0,
    "calcium_mg": 130.0,
    "iron_mg": 1.8,
    "magnesium_mg": 42.0,
    "vitamin_c_mg": 0.9,
    "vitamin_d_mcg": 0.0,
    "alcohol_g": 0.0,
}


def row(nutrient: str, totals: dict[str, float | None], *foods: str) -> Row:
    panel = us_panel(totals, {nutrient: foods}, 60.0)
    return next(one for one in panel.rows if one.nutrient == nutrient)


@pytest.mark.parametrize("case", table("label-us-rounding.csv"), ids=lambda c: "-".join(c.values()))
def test_it_rounds_as_the_rule_says(case: dict[str, str]) -> None:
    printed = PRINTED[case["rule"]](Decimal(case["value"]))
    wanted: object = case["printed"]
    if not isinstance(printed, str):
        wanted = type(printed)(case["printed"])  # type: ignore[call-arg]
    assert printed == wanted


@pytest.mark.parametrize("case", table("label-us-rounding.csv"), ids=lambda c: "-".join(c.values()))
def test_a_float_rounds_like_the_decimal_that_it_prints_as(case: dict[str, str]) -> None:
    by_float = PRINTED[case["rule"]](exact(float(case["value"])))
    assert by_float == PRINTED[case["rule"]](Decimal(case["value"]))


def test_halves_are_decimal_not_binary() -> None:
    # The binary double nearest 2.675 lies below it; the label's arithmetic is decimal.
    assert exact(2.675) == Decimal("2.675")
    # 0.1 + 0.2 carries noise in the 17th figure: it is 0.3 here.
    assert exact(0.1 + 0.2) == Decimal("0.3")


@pytest.mark.parametrize("case", table("label-us-daily-values.csv"), ids=lambda c: c["nutrient"])
def test_a_daily_value_is_100_percent_of_itself(case: dict[str, str]) -> None:
    totals = WHOLE | {case["nutrient"]: float(case["daily_value"])}
    assert row(case["nutrient"], totals).percent == 100


def test_the_whole_panel_prints_as_by_hand() -> None:
    # By hand from the rule's steps and Daily Values.
    panel = us_panel(WHOLE, {}, 60.4)
    assert panel.serving_text == "60 g"
    printed = {one.nutrient: (one.text, one.percent_text) for one in panel.rows}
    assert printed == {
        "energy_kcal": ("240", ""),
        "fat_g": ("10 g", "13 %"),  # 9.75 / 78 = 12.5 %
        "saturated_g": ("5 g", "24 %"),  # 4.75 / 20 = 23.75 %
        "trans_g": ("0 g", ""),
        "cholesterol_mg": ("less than 5 mg", "1 %"),
        "sodium_mg": ("150 mg", "6 %"),  # 6.3 %
        "carbohydrate_g": ("31 g", "11 %"),  # 11.09 %
        "fibre_g": ("less than 1 g", "3 %"),  # 2.5 %
        "sugars_g": ("5 g", ""),
        "added_sugars_g": ("0 g", "0 %"),
        "protein_g": ("9 g", ""),
        "vitamin_d_mcg": ("0 mcg", "0 %"),
        "calcium_mg": ("130 mg", "10 %"),
        "iron_mg": ("1.8 mg", "10 %"),
        "potassium_mg": ("470 mg", "10 %"),
        "magnesium_mg": ("42 mg", "10 %"),
        "vitamin_c_mg": ("1 mg", "0 %"),
    }


@pytest.mark.parametrize(
    "nutrient",
    ["vitamin_d_mcg", "calcium_mg", "iron_mg", "potassium_mg", "magnesium_mg", "vitamin_c_mg"],
)
def test_the_percent_of_every_vitamin_and_mineral_goes_by_coarse_steps(nutrient: str) -> None:
    # 21 CFR 101.9 (c)(8)(iii): by twos to 10 %, by fives to 50 %, above by tens.
    daily = {case["nutrient"]: case["daily_value"] for case in table("label-us-daily-values.csv")}
    for share, percent in ((0.07, 8), (0.23, 25), (0.64, 60)):
        totals = WHOLE | {nutrient: share * float(daily[nutrient])}
        assert row(nutrient, totals).percent == pytest.approx(percent)


def test_it_says_how_energy_was_reckoned_and_how_far_449_is_off() -> None:
    panel = us_panel(WHOLE, {}, 60.0)
    # By hand: 8.5*4 + 30.5*4 + 9.75*9 = 34 + 122 + 87.75.
    assert panel.energy_449_kcal == 243.75
    assert panel.difference_kcal == 7.75
    assert "SR28" in panel.basis
    assert any(panel.basis in note for note in panel.notes)


def test_an_unknown_food_makes_a_total_a_lower_bound() -> None:
    salt = row("sodium_mg", WHOLE | {"sodium_mg": 1249.0}, "bouillon", "miso")
    assert salt.text == "at least 1240 mg"
    assert salt.kind == "at-least"
    assert salt.percent_text == "at least 54 %"
    assert salt.unknown == ("bouillon", "miso")


@pytest.mark.parametrize(
    ("value", "foods"), [(None, ()), (None, ("x",)), (0.0, ("x",)), (3, ("x",))]
)
def test_unknown_is_never_zero(value: float | None, foods: tuple[str, ...]) -> None:
    salt = row("sodium_mg", WHOLE | {"sodium_mg": value}, *foods)
    assert (salt.text, salt.amount, salt.percent) == ("not known", None, None)
    assert salt.percent_text == "not known"


def test_what_no_table_holds_is_not_known() -> None:
    few = {name: amount for name, amount in WHOLE.items() if name != "trans_g"}
    panel = us_panel(few, {}, 60.0)
    assert any("Trans Fat" in note for note in panel.notes)
    assert row("trans_g", few).text == "not known"


def test_energy_unknown_in_part_gives_no_difference() -> None:
    panel = us_panel(WHOLE, {"energy_kcal": ("spice mix",)}, 60.0)
    assert panel.energy_kcal is None
    assert panel.difference_kcal is None
    panel = us_panel(WHOLE, {"fat_g": ("spice mix",)}, 60.0)
    assert panel.energy_449_kcal is None


@pytest.mark.parametrize(
    ("nutrient", "declared", "found", "stands"),
    [
        # 21 CFR 101.9(g)(5): more than 20 % above; (g)(4)(ii): under 80 %.
        ("sodium_mg", 100, 120, True),
        ("sodium_mg", 100, 120.1, False),
        ("sodium_mg", 100, 10, True),
        ("protein_g", 10, 8, True),
        ("protein_g", 10, 7.9, False),
        ("protein_g", 10, 20, True),
        ("water_g", 10, 99, None),
    ],
)
def test_a_laboratory_may_differ_by_a_fifth_one_way(
    nutrient: str, declared: float, found: float, stands: bool | None
) -> None:
    assert us.is_within_tolerance(nutrient, declared, found) is stands


@given(st.floats(0, 5000), st.sampled_from(sorted(WHOLE.keys() - {"alcohol_g"})))
def test_a_bound_never_says_more_than_is_known(value: float, nutrient: str) -> None:
    bound = row(nutrient, WHOLE | {nutrient: value}, "something")
    assert bound.amount is None or 0 < bound.amount <= value * (1 + 1e-9)


@pytest.mark.parametrize("bad", [-0.1, float("nan"), float("inf")])
def test_it_refuses_nonsense(bad: float) -> None:
    with pytest.raises(Mistake, match="amount-out-of-range"):
        us_panel(WHOLE | {"fat_g": bad}, {}, 60.0)
    with pytest.raises(Mistake, match="amount-out-of-range"):
        us_panel(WHOLE, {}, bad)
