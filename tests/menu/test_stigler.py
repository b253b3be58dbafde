"""The oldest diet problem: 77 foods, nine nutrients, the cheapest day.

Outside figures: 39.69 dollars a year (365.25 days) is the optimum of the linear
programme, 39.93 what Stigler found by hand; both as told in the comments of the
GLPK example that the table's second transcription comes from. For 365 days the
same optimum is 39.66 (the public sample of OR-tools prints that figure; from memory).
"""

from __future__ import annotations

import csv
from pathlib import Path

import msgspec
import numpy as np
import pytest

from fellfare.menu.planning import plan_menu
from fellfare.menu.pool import Band, Dish, Nutrient, Question, Slot, Walker
from fellfare.menu.solver import Effort, problem_by_rows, solve
from fellfare.menu.trying import Trying

TABLE = Path(__file__).parents[1] / "reference" / "stigler-1945.csv"
NUTRIENTS = (
    "energy_1000kcal", "protein_g", "calcium_g", "iron_mg", "vitamin_a_1000iu",
    "thiamine_mg", "riboflavin_mg", "niacin_mg", "vitamin_c_mg",
)  # fmt: skip
WANTED = (3, 70, 0.8, 12, 5, 1.8, 2.7, 18, 75)
#: Of the five foods that Stigler chose: pounds (milk: cans) and dollars a year.
BY_HAND = {
    "Wheat flour (enriched)": (370, 10, 13.33),
    "Evaporated milk (can)": (57, 1, 3.84),
    "Cabbage": (111, 1, 4.11),
    "Spinach": (23, 1, 1.85),
    "Navy beans (dried)": (285, 1, 16.80),
}


def rows() -> list[dict[str, str]]:
    lines = [line for line in TABLE.read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def per_dollar(other_copy: bool = False) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    table = rows()
    for row in table if other_copy else ():
        row.update(part.split("=") for part in row["other_copy"].split(";") if part)  # type: ignore[misc]  # 'name=value' is a pair
    return np.array([[float(row[name]) for name in NUTRIENTS] for row in table])


def test_the_table_is_whole() -> None:
    assert len(rows()) == 77
    assert len({row["food"] for row in rows()}) == 77
    assert sum(bool(row["other_copy"]) for row in rows()) == 6


def test_a_dollar_buys_the_mass_that_the_price_says() -> None:
    # Sold by the pound and eaten whole: price and edible mass must agree.
    for row in rows():
        if row["unit"] == "1 lb." and row["food"] in ("Rice", "Butter", "Rolled oats", "Lard"):
            grams = 453.59237 * 100 / float(row["price_cents"])
            assert float(row["edible_g"]) == pytest.approx(grams, rel=2e-3)


@pytest.mark.parametrize("other_copy", [False, True])
def test_the_door_finds_the_known_optimum(other_copy: bool) -> None:
    out = solve(
        problem_by_rows(np.ones(77), per_dollar(other_copy).T, WANTED, [np.inf] * 9), Effort()
    )
    assert out.status == "optimal"
    assert out.value is not None
    assert out.x is not None
    assert 365.25 * out.value == pytest.approx(39.69, abs=0.005)
    assert 365 * out.value == pytest.approx(39.66, abs=0.005)
    eaten = {row["food"] for row, x in zip(rows(), out.x, strict=True) if x > 1e-9}
    # Four of Stigler's own five, and liver for the tinned milk.
    assert eaten == set(BY_HAND) - {"Evaporated milk (can)"} | {"Liver (beef)"}


def test_the_duals_of_the_door_prove_the_optimum() -> None:
    # Any prices >= 0 under which no food is worth more than a dollar bound the cost from below.
    table = per_dollar()
    out = solve(problem_by_rows(np.ones(77), table.T, WANTED, [np.inf] * 9), Effort())
    assert out.duals is not None
    assert out.value is not None
    worth = np.maximum(out.duals, 0.0)
    assert (table @ worth).max() <= 1 + 1e-9
    assert worth @ np.array(WANTED) == pytest.approx(out.value, rel=1e-9)


def test_stigler_was_24_cents_a_year_off() -> None:
    by_name = {row["food"]: row for row in rows()}
    dollars = 0.0
    for food, (quantity, per_unit, told) in BY_HAND.items():
        cost = quantity / per_unit * float(by_name[food]["price_cents"]) / 100
        assert cost == pytest.approx(told, abs=0.025)  # his quantities are rounded to whole pounds
        dollars += told
    assert dollars == pytest.approx(39.93)


def test_his_diet_nearly_feeds() -> None:
    # With his dollars over 365 days he is within 1 % of every floor (his figures are rounded).
    foods = {row["food"]: at for at, row in enumerate(rows())}
    spent = np.zeros(77)
    for food, (_, _, dollars) in BY_HAND.items():
        spent[foods[food]] = dollars / 365
    assert (spent @ per_dollar() >= 0.99 * np.array(WANTED)).all()


def test_the_menu_finds_it_too() -> None:
    """The same day as a question: one eating time, any number of foods, steps of 1/1000 cent.

    A menu knows six figures, so the five floors that bind (energy, calcium,
    vitamin A, riboflavin, vitamin C) and protein travel under its names, in
    thousandths of their units; 'grams' are cents. The step makes the day at most
    77 x 0.001 cent dearer than the linear optimum, 10.866 cents.
    """
    disguise: dict[str, Nutrient] = {
        "energy_1000kcal": "energy_kcal",
        "calcium_g": "fat_g",
        "vitamin_a_1000iu": "fibre_g",
        "riboflavin_mg": "carbohydrate_g",
        "vitamin_c_mg": "sodium_mg",
        "protein_g": "protein_g",
    }
    cents = 8  # most of one food
    dishes = []
    for row, figures in zip(rows(), per_dollar(), strict=True):
        held = {
            disguise[name]: float(value) * 10 * cents
            for name, value in zip(NUTRIENTS, figures, strict=True)
            if name in disguise
        }
        plain = Dish(
            id=row["food"],
            title=row["food"],
            meals=("all",),
            mass_g=float(cents),
            energy_kcal=0.0,
            steps_per_serving=1000 * cents,
            least_steps=1,
            most_steps=1000 * cents,
        )
        dishes.append(msgspec.structs.replace(plain, **held))
    question = Question(
        days=1,
        dishes=tuple(dishes),
        walkers=(Walker(id="man of 154 lb"),),
        slots=(Slot(day=1, time="day", meal="all", walkers=("man of 154 lb",), least=0, most=77),),
        bands=tuple(
            Band(
                wish=name,
                walker="man of 154 lb",
                nutrient=disguise[name],
                low=wanted * 1000.0,
            )
            for name, wanted in zip(NUTRIENTS, WANTED, strict=True)
            if name in disguise
        ),
    )
    menu = plan_menu(question, Trying(gap=1e-3, seconds=20))
    assert menu.mass_g is not None
    assert menu.mass_g / 100 * 365.25 == pytest.approx(39.69, abs=0.05)
    assert menu.bound_g <= 10.867
