"""Labels: US and EU panels become figures per 100 g, or are refused.

The labels here are invented, with figures such as real packs print.  The rules are those of
the law: 21 CFR 101.9 (US: carbohydrate with fibre, sodium in mg, per serving) and Regulation
(EU) 1169/2011 (carbohydrate without fibre, salt = sodium × 2.5, per 100 g; Annex XIV factors
4/9/4 kcal, fibre 2, polyols 2.4, alcohol 7).  1 kcal = 4.184 kJ (thermochemical calorie).
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.pantry.label import Label, Style, check_energy, read_label

#: An oat bar as a European pack prints it, per 100 g (invented label).
OAT_BAR = Label(
    style="eu",
    per_g=100,
    energy_kcal=451,
    energy_kj=1890,
    protein_g=9.0,
    fat_g=20.0,
    saturated_g=3.1,
    carbohydrate_g=54.5,
    fibre_g=7.0,
    sugars_g=19.0,
    salt_g=0.35,
)
#: Crackers as an American pack prints them, serving of 30 g (invented label).
CRACKERS = Label(
    style="us",
    per_g=30,
    energy_kcal=140,
    protein_g=2,
    fat_g=6,
    saturated_g=1,
    carbohydrate_g=19,
    fibre_g=1,
    sugars_g=2,
    sodium_mg=210,
    iron_mg=1.1,
)


def rules(label: Label) -> list[str]:
    return [finding.rule for finding in read_label(label)[1]]


def refusal(label: Label) -> Mistake:
    with pytest.raises(Mistake) as caught:
        read_label(label)
    assert caught.value.mend
    return caught.value


def test_an_eu_label_becomes_carbohydrate_with_fibre_and_sodium() -> None:
    per_100g, findings = read_label(OAT_BAR)
    assert findings == ()
    assert per_100g.energy_kcal == 451
    assert per_100g.carbohydrate_g == pytest.approx(54.5 + 7.0)
    assert per_100g.sodium_mg == pytest.approx(0.35 * 1000 / 2.5)
    assert per_100g.potassium_mg is None  # not printed: unknown, not zero
    assert per_100g.water_g is None


def test_a_us_serving_becomes_100_g() -> None:
    per_100g, findings = read_label(CRACKERS)
    assert findings == ()
    assert per_100g.energy_kcal == pytest.approx(140 / 0.3)
    assert per_100g.carbohydrate_g == pytest.approx(19 / 0.3)  # the fibre is in it already
    assert per_100g.sodium_mg == pytest.approx(700)
    assert per_100g.iron_mg == pytest.approx(1.1 / 0.3)


def test_kilojoules_alone_do() -> None:
    per_100g, _ = read_label(replace(OAT_BAR, energy_kcal=None))
    assert per_100g.energy_kcal == pytest.approx(1890 / 4.184)


def test_an_eu_label_without_fibre_leaves_the_carbohydrate_unknown() -> None:
    per_100g, findings = read_label(replace(OAT_BAR, fibre_g=None))
    assert per_100g.carbohydrate_g is None
    assert [finding.rule for finding in findings] == ["label-fibre-missing"]
    assert findings[0].severity == "caution"


def test_no_energy_is_told_and_stays_unknown() -> None:
    per_100g, findings = read_label(replace(CRACKERS, energy_kcal=None))
    assert per_100g.energy_kcal is None
    assert [finding.rule for finding in findings] == ["label-energy-missing"]


def test_an_energy_that_cannot_be_checked_is_told() -> None:
    assert rules(replace(CRACKERS, fat_g=None)) == ["label-macros-missing"]


@pytest.mark.parametrize(
    "slip",
    [
        {"energy_kcal": 1890, "energy_kj": None, "per_g": 250.0},  # kJ in the kcal line
        {"energy_kcal": 203, "energy_kj": None},  # per bar of 45 g in the 100 g column
        {"fat_g": 2.0, "saturated_g": 0.3},  # a digit lost
        {"carbohydrate_g": 24.5},
        {"protein_g": 39.0, "carbohydrate_g": 34.5, "fat_g": 5.0, "saturated_g": 1.0},
    ],
)
def test_energy_and_macronutrients_that_disagree_get_a_caution(slip: dict[str, Any]) -> None:
    findings = check_energy(replace(OAT_BAR, **slip))
    assert [(finding.rule, finding.severity) for finding in findings] == [
        ("label-energy-odd", "caution")
    ]
    assert "1169/2011" in findings[0].source


@pytest.mark.parametrize(
    "label",
    [
        # Bran: a US panel may leave out the energy of the fibre (21 CFR 101.9(c)(1)(i)(C)).
        Label(style="us", per_g=30, energy_kcal=60, protein_g=4, fat_g=1.5, carbohydrate_g=21,
              fibre_g=13, sodium_mg=0),
        # Sugar-free sweets: polyols at 2.4 kcal/g (Annex XIV).
        Label(style="eu", energy_kcal=236, protein_g=0, fat_g=0, carbohydrate_g=98, fibre_g=0,
              polyols_g=97.5, salt_g=0),
        # Oil (rounded to 10 kcal: 9.3 to the gram), and water with nothing in it.
        Label(style="us", per_g=14, energy_kcal=130, protein_g=0, fat_g=14, carbohydrate_g=0),
        Label(style="eu", energy_kcal=0, protein_g=0, fat_g=0, carbohydrate_g=0, fibre_g=0),
        # Rum: alcohol at 7 kcal/g.
        Label(style="eu", energy_kcal=231, protein_g=0, fat_g=0, carbohydrate_g=0, fibre_g=0,
              alcohol_g=33.0),
    ],
)  # fmt: skip
def test_a_label_that_fits_gets_no_caution(label: Label) -> None:
    assert rules(label) == []


@pytest.mark.parametrize(
    ("slip", "where"),
    [
        ({"fat_g": -1.0}, "fat_g"),
        ({"fat_g": float("nan")}, "fat_g"),
        ({"sodium_mg": float("inf"), "salt_g": None}, "sodium_mg"),
        ({"protein_g": 900.0}, "protein_g"),
        ({"salt_g": 140.0}, "salt_g"),
        ({"sodium_mg": 140_000.0, "salt_g": None}, "sodium_mg"),  # 140 g in 100 g of food
        ({"per_g": 0.0}, "per_g"),
        ({"per_g": -30.0}, "per_g"),
        ({"per_g": float("nan")}, "per_g"),
        ({"per_g": 1e-300}, "per_g"),
        ({"per_g": 1e9}, "per_g"),
        ({"energy_kcal": 1890, "energy_kj": None}, "energy_kcal"),  # kJ: more than pure fat
        ({"saturated_g": 31.0}, "saturated_g"),  # of 20 g fat
        ({"sugars_g": 91.0}, "sugars_g"),  # of 54.5 g carbohydrate
        ({"per_g": 45.0}, "carbohydrate_g"),  # the 100 g column with the mass of the bar
        ({"per_g": 60.0}, "per_g"),  # the same: the parts outweigh the food
        ({"protein_g": 90.0}, "per_g"),
    ],
)
def test_a_label_that_cannot_be_is_refused(slip: dict[str, Any], where: str) -> None:
    mistake = refusal(replace(OAT_BAR, **slip))
    assert (mistake.code, mistake.where) == ("label-impossible", where)


def test_fibre_is_within_the_carbohydrate_of_a_us_label_only() -> None:
    assert refusal(replace(CRACKERS, fibre_g=21)).where == "fibre_g"
    bran = Label(style="eu", energy_kcal=270, protein_g=15, fat_g=4, carbohydrate_g=22, fibre_g=43)
    assert rules(bran) == []


def test_two_energies_must_be_one() -> None:
    assert refusal(replace(OAT_BAR, energy_kj=1700)).code == "label-energy-twice"
    assert read_label(replace(OAT_BAR, energy_kj=1905))[0].energy_kcal == 451  # makers round


def test_salt_and_sodium_must_be_one() -> None:
    assert refusal(replace(OAT_BAR, sodium_mg=350)).code == "label-salt-twice"
    assert read_label(replace(OAT_BAR, sodium_mg=140))[0].sodium_mg == 140


TABULATED = sorted(
    (food for food in shipped_pantry() if food.source.kind == "tabulated"), key=lambda food: food.id
)


@given(st.sampled_from(TABULATED), st.sampled_from(["us", "eu"]), st.floats(1, 500))
def test_the_label_of_a_tabulated_food_reads_back_as_the_food(
    food: Any, style: Style, per_g: float
) -> None:
    # SR28 figures, printed as either law asks (unrounded), must come back.
    table = food.per_100g
    told = (table.energy_kcal, table.protein_g, table.fat_g, table.carbohydrate_g, table.fibre_g)
    assume(all(value is not None for value in told))
    assume(table.carbohydrate_g >= table.fibre_g)
    share = per_g / 100
    label = Label(
        style=style,
        per_g=per_g,
        energy_kcal=table.energy_kcal * share,
        protein_g=table.protein_g * share,
        fat_g=table.fat_g * share,
        carbohydrate_g=(table.carbohydrate_g - (table.fibre_g if style == "eu" else 0.0)) * share,
        fibre_g=table.fibre_g * share,
        salt_g=None if table.sodium_mg is None else table.sodium_mg * share * 2.5 / 1000,
    )
    per_100g, _ = read_label(label)
    assert per_100g.energy_kcal == pytest.approx(table.energy_kcal)
    assert per_100g.carbohydrate_g == pytest.approx(table.carbohydrate_g, abs=1e-9)
    assert per_100g.fibre_g == pytest.approx(table.fibre_g)
    if table.sodium_mg is None:
        assert per_100g.sodium_mg is None
    else:
        assert per_100g.sodium_mg == pytest.approx(table.sodium_mg)
    assert per_100g.sugars_g is None
