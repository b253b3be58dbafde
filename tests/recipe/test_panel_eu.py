"""The EU declaration against the regulation's factors and a worked example."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Mistake
from fellfare.recipe.panel import EuPanel, Row, eu, eu_panel
from fellfare.recipe.panel.figure import Step, rounded

REFERENCE = Path(__file__).parents[1] / "reference"
STEPS: dict[str, Step] = {
    "energy": eu.energy_step,
    "macro": eu.macro_step,
    "saturates": eu.saturates_step,
    "salt": eu.salt_step,
}

#: 100 g of the worked example: fat 30, carbohydrate by difference 53 of which
#: fibre 8 and polyols 5, protein 12.
EXAMPLE: dict[str, float | None] = {
    "fat_g": 30.0,
    "saturated_g": 10.0,
    "carbohydrate_g": 53.0,
    "fibre_g": 8.0,
    "polyols_g": 5.0,
    "sugars_g": 20.0,
    "protein_g": 12.0,
    "sodium_mg": 400.0,
    "alcohol_g": 0.0,
}


def table(name: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def rows(panel: EuPanel) -> dict[str, Row]:
    return {one.nutrient: one for one in panel.per_100g}


@pytest.mark.parametrize("case", table("label-eu-factors.csv"), ids=lambda c: c["part"])
def test_the_factors_are_those_of_annex_xiv(case: dict[str, str]) -> None:
    kj, kcal = eu.energy({case["part"]: 1.0})
    assert (kj, kcal) == (Decimal(case["kj_per_g"]), Decimal(case["kcal_per_g"]))


def test_no_factor_is_left_unchecked() -> None:
    assert {case["part"] for case in table("label-eu-factors.csv")} == set(eu.FACTORS)


@pytest.mark.parametrize("case", table("label-eu-rounding.csv"), ids=lambda c: "-".join(c.values()))
def test_it_rounds_as_the_guidance_says(case: dict[str, str]) -> None:
    assert rounded(Decimal(case["value"]), STEPS[case["rule"]]) == Decimal(case["printed"])


def test_kj_and_kcal_each_come_from_their_own_factors() -> None:
    # By hand from Annex XIV: 30*37 + 40*17 + 5*10 + 8*8 + 12*17 = 2108 kJ, and
    # 30*9 + 40*4 + 5*2.4 + 8*2 + 12*4 = 506 kcal; 506 kcal x 4.184 would be 2117 kJ.
    found = rows(eu_panel(EXAMPLE, {}, 100.0))
    assert found["energy_kj"].text == "2108 kJ"
    assert found["energy_kcal"].text == "506 kcal"
    assert found["carbohydrate_g"].text == "45 g"
    assert found["salt_g"].text == "1 g"  # 400 mg x 2.5


def test_erythritol_organic_acids_and_salatrim_have_their_own_factors() -> None:
    # By hand: as above with 2 g of the polyols erythritol (0), 3 g organic acid
    # (13 kJ, no carbohydrate of the label), 4 g salatrim (25 instead of 37):
    # 2108 - 2*10 - 3*17 + 3*13 - 4*12 = 2028 kJ (2 g leave the polyols at 10).
    totals = EXAMPLE | {
        "polyols_g": 3.0, "erythritol_g": 2.0, "organic_acids_g": 3.0, "salatrim_g": 4.0,
    }  # fmt: skip
    found = rows(eu_panel(totals, {}, 100.0))
    assert found["energy_kj"].text == "2028 kJ"
    assert found["carbohydrate_g"].text == "42 g"


def test_per_100_g_and_per_serving_hold_the_same_food() -> None:
    serving = {name: value and value * 0.6 for name, value in EXAMPLE.items()}
    panel = eu_panel(serving, {}, 60.0)
    assert rows(panel)["energy_kcal"].text == "506 kcal"
    assert panel.per_serving[1].text == "304 kcal"  # 303.6
    assert panel.per_serving[1].percent_text == "15 %"  # of 2000 kcal


def test_unknown_fibre_leaves_bounds_only() -> None:
    panel = eu_panel(EXAMPLE | {"fibre_g": 3.0}, {"fibre_g": ("spice mix",)}, 100.0)
    found = rows(panel)
    # At least the sugars, at most all but the known fibre.
    assert found["carbohydrate_g"].text == "20 to 50 g"
    # By hand, carbohydrate part only: low 20*4 + 33*2 = 146, high 50*4 + 3*2 = 206 kcal;
    # the rest 270 + 48 - 5*(4 - 2.4) = 310.
    assert found["energy_kcal"].text == "456 to 516 kcal"
    assert found["fibre_g"].text == "at least 3 g"
    assert any("bounds" in note for note in panel.notes)


def test_nothing_known_of_fibre_and_sugars_is_at_most() -> None:
    found = rows(eu_panel(EXAMPLE | {"fibre_g": None, "sugars_g": None}, {}, 100.0))
    assert found["carbohydrate_g"].text == "at most 53 g"
    assert found["fibre_g"].text == "not known"


def test_an_unknown_sodium_is_not_saltless() -> None:
    found = rows(eu_panel(EXAMPLE | {"sodium_mg": 0.0}, {"sodium_mg": ("bouillon",)}, 100.0))
    assert found["salt_g"].text == "not known"
    assert found["salt_g"].unknown == ("bouillon",)


def test_a_trace_is_not_printed_as_none() -> None:
    found = rows(eu_panel(EXAMPLE | {"fat_g": 0.4, "saturated_g": 0.0}, {}, 100.0))
    assert found["fat_g"].text == "< 0.5 g"
    assert found["saturated_g"].text == "0 g"


#: What makes up the rest of the worked example's 100 g.
REST: dict[str, float | None] = {"water_g": 3.0, "ash_g": 2.0, "alcohol_g": None}


def test_where_the_other_parts_fill_the_mass_there_is_no_alcohol() -> None:
    # 30 fat + 53 carbohydrate + 12 protein + 3 water + 2 ash = 100 g.
    panel = eu_panel(EXAMPLE | REST, {}, 100.0)
    assert rows(panel)["energy_kcal"].text == "506 kcal"
    assert any("Alcohol" in note for note in panel.notes)


@pytest.mark.parametrize(
    ("told", "serving_g"),
    [({"water_g": 1.5}, 100.0), ({"ash_g": None}, 100.0), ({}, None)],
)
def test_where_there_is_room_for_alcohol_energy_is_a_lower_bound(
    told: dict[str, float | None], serving_g: float | None
) -> None:
    panel = eu_panel(EXAMPLE | REST | told, {}, serving_g)
    assert panel.per_serving[1].text == "at least 506 kcal"


def test_without_a_mass_nothing_is_known_per_100_g() -> None:
    panel = eu_panel(EXAMPLE, {}, None)
    assert {one.text for one in panel.per_100g} == {"not known"}
    assert panel.per_serving[1].text == "506 kcal"


@given(
    fibre=st.floats(0, 20), hidden=st.floats(0, 20), sugars=st.floats(0, 20), rest=st.floats(0, 60)
)
def test_the_truth_lies_between_the_bounds(
    fibre: float, hidden: float, sugars: float, rest: float
) -> None:
    carbohydrate = fibre + hidden + sugars + rest
    known = EXAMPLE | {"carbohydrate_g": carbohydrate, "sugars_g": sugars, "polyols_g": None}
    truth = rows(eu_panel(known | {"fibre_g": fibre + hidden}, {}, 100.0))
    bound = rows(eu_panel(known | {"fibre_g": fibre}, {"fibre_g": ("x",)}, 100.0))
    for nutrient in ("carbohydrate_g", "energy_kcal", "energy_kj"):
        low = bound[nutrient].amount or 0.0
        if bound[nutrient].kind == "at-most":
            low = 0.0
        assert low <= (truth[nutrient].amount or 0.0)


@pytest.mark.parametrize("bad", [-1.0, float("nan"), float("inf")])
def test_it_refuses_a_nonsense_amount(bad: float) -> None:
    with pytest.raises(Mistake, match="amount-out-of-range"):
        eu_panel(EXAMPLE | {"protein_g": bad}, {}, 100.0)
