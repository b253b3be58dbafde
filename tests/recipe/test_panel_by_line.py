"""EU energy and carbohydrate keep close ends where one food of the dish is little known."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from fellfare.files.shipped import shipped_pantry
from fellfare.pantry.food import Food
from fellfare.pantry.label import Label, available_carbohydrate_g, read_label
from fellfare.recipe.document import Line, Recipe
from fellfare.recipe.panel.by_line import eu_ends
from fellfare.recipe.panel.dish import panels
from fellfare.recipe.panel.figure import Row
from fellfare.recipe.sheet import make_sheet

PANTRY = shipped_pantry()


def row(food: tuple[Food, ...], nutrient: str, *lines: Line) -> Row:
    sheet = make_sheet(Recipe(title="t", serves=1, lines=lines), PANTRY.with_foods(food))
    _, eu = panels(sheet)
    return next(one for one in eu.per_serving if one.nutrient == nutrient)


def test_couscous_by_annex_xiv() -> None:
    # SR28 20028: protein 12.76, fat 0.64, carbohydrate 77.43, fibre 5.0 per 100 g; Annex XIV by
    # hand: 4 x 12.76 + 9 x 0.64 + 4 x 72.43 + 2 x 5 = 356.52 kcal;
    # 17 x 12.76 + 37 x 0.64 + 17 x 72.43 + 8 x 5 = 1511.91 kJ.
    ends = eu_ends([(PANTRY.food("couscous"), 100.0)])
    assert ends["carbohydrate_g"] == pytest.approx((72.43, 72.43))
    assert ends["energy_kcal"][0] == pytest.approx(356.52)
    assert ends["energy_kj"][0] == pytest.approx(1511.91)


def test_a_spice_of_unknown_make_moves_the_ends_by_its_own_mass_only() -> None:
    low, high = eu_ends([(PANTRY.food("couscous"), 100.0), (PANTRY.food("sumac"), 2.5)])[
        "energy_kcal"
    ]
    assert high is not None
    assert high - low <= 2.5 * 9 + 7 * 0.01 + 5  # fat of its mass; alcohol of couscous is untold
    assert low == pytest.approx(356.52)


def test_no_food_holds_more_than_fat() -> None:
    ends = eu_ends([(PANTRY.food("sumac"), 100.0)])
    assert ends["energy_kcal"] == (0.0, 900.0)
    assert ends["energy_kj"] == (0.0, 3700.0)
    assert ends["carbohydrate_g"] == (0.0, 100.0)


def test_an_unmeasured_food_leaves_no_upper_end() -> None:
    ends = eu_ends([(PANTRY.food("couscous"), 90.0), (PANTRY.food("cayenne"), None)])
    assert ends["energy_kcal"][1] is None
    assert ends["carbohydrate_g"][0] == pytest.approx(0.9 * 72.43)


def test_an_eu_label_gives_its_carbohydrate_as_it_is() -> None:
    # Invented label: 55 g carbohydrate and no word about fibre.
    label = Label(style="eu", energy_kcal=431, protein_g=8, fat_g=19, carbohydrate_g=55)
    per_100g, findings = read_label(label)
    assert [one.rule for one in findings] == ["label-fibre-missing"]
    assert per_100g.carbohydrate_g is None
    bar = replace(
        PANTRY.food("couscous"),
        id="eu-bar",
        per_100g=per_100g,
        available_carbohydrate_g=available_carbohydrate_g(label),
    )
    line = Line(food="eu-bar", amount="100 g")
    carbohydrate, energy = (row((bar,), name, line) for name in ("carbohydrate_g", "energy_kcal"))
    assert (carbohydrate.kind, carbohydrate.text) == ("known", "55 g")
    assert (energy.kind, energy.text) == ("known", "431 kcal")
