"""Foods of one's own: TOML with a label.  All labels here are invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from fellfare.files.own_food import own_food_folders, read_own_food, read_own_foods
from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.pantry.allergens import combine
from fellfare.recipe.document import Line, Recipe
from fellfare.recipe.sheet import make_sheet

BAR = """\
id = "moss-bar"
name = "moss bar"
contains = ["oats"]
words = ["my bar"]
keeps_days = [90, 180]
[label]
style = "eu"
per_g = 100
energy_kj = 1890
protein_g = 9
fat_g = 20
carbohydrate_g = 54.5
fibre_g = 7
salt_g = 0.35
[[measure]]
unit = "piece"
mass_g = 45
[[measure]]
unit = "dl"
mass_g = 40
[[soak]]
way = "hot-pour"
minutes = 3
water_ml_per_g = 2
"""


def written(folder: Path, text: str, name: str = "food.toml") -> Path:
    folder.mkdir(exist_ok=True)
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_an_own_food_weighs_and_counts_like_any_other(tmp_path: Path) -> None:
    food, findings = read_own_food(written(tmp_path, BAR))
    assert findings == ()
    pantry = shipped_pantry().with_foods([food])
    assert pantry.named("my bar")[0] is food
    lines = (Line(food="moss-bar", amount="2"), Line(food="moss-bar", amount="2 dl"))
    sheet = make_sheet(Recipe(title="x", serves=1, lines=lines), pantry)
    assert [line.mass_g for line in sheet.lines] == pytest.approx([90, 80])
    assert sheet.energy.value == pytest.approx(1.7 * 1890 / 4.184)  # 1 kcal = 4.184 kJ
    assert sheet.total("carbohydrate_g").value == pytest.approx(1.7 * 61.5)
    assert sheet.total("iron_mg").unknown == ("moss-bar",)


def test_its_figures_say_that_they_are_from_a_label(tmp_path: Path) -> None:
    food, _ = read_own_food(written(tmp_path, BAR))
    assert food.source.kind == "label"
    assert "EU" in food.source.ref
    assert {measure.trust for measure in food.measures} == {"label"}
    assert food.soaks[0].trust == "label"
    assert "no source" not in food.soaks[0].source
    assert food.keeping is not None
    assert food.keeping.unopened_days == (90, 180)


def test_an_allergen_line_that_nobody_read_leaves_every_allergen_unknown(tmp_path: Path) -> None:
    unread, _ = read_own_food(written(tmp_path, BAR.replace('contains = ["oats"]\n', "")))
    told = combine([unread])
    assert told.contains == ()
    assert "milk" in [one.agent for one in told.unknown]
    read, _ = read_own_food(written(tmp_path, BAR.replace('["oats"]', "[]")))
    assert combine([read]).unknown == ()


@pytest.mark.parametrize(
    ("old", "new", "code", "where"),
    [
        ('"moss-bar"', '"Moss Bar"', "bad-food-id", ":1 > id"),
        ('"moss-bar"', '""', "bad-food-id", ":1 > id"),
        ('"oats"', '"oat"', "wrong-shape", ":3 > contains[0]"),
        ("[label]", "[lable]", "wrong-shape", ":6 > lable"),
        ("fat_g = 20", "fats_g = 20", "wrong-shape", ":11 > label.fats_g"),
        ("fat_g = 20", "fat_g = -20", "label-impossible", ":11 > label.fat_g"),
        ("fat_g = 20", "fat_g = nan", "label-impossible", ":11 > label.fat_g"),
        ("per_g = 100", "per_g = 45", "label-impossible", ":12 > label.carbohydrate_g"),
        ('"piece"', '"glorp"', "unknown-unit", ":15 > measure[0]"),
        ('"piece"', '"kg"', "unknown-unit", ":15 > measure[0]"),
        ('"piece"', '"pinch"', "unknown-unit", ":15 > measure[0]"),
        ("mass_g = 45", "mass_g = 0", "measure-out-of-range", ":15 > measure[0]"),
        ("mass_g = 45", "mass_g = nan", "measure-out-of-range", ":15 > measure[0]"),
        ("minutes = 3", "minutes = -3", "figure-out-of-range", ":23 > soak[0].minutes"),
        ("minutes = 3", "minuts = 3", "wrong-shape", ":23 > soak[0].minuts"),
        ("water_ml_per_g = 2", "water_ml_per_g = inf", "figure-out-of-range",
         ":24 > soak[0].water_ml_per_g"),
        ("keeps_days = [90, 180]", "keeps_days = [180, 90]", "figure-out-of-range",
         ":5 > keeps_days"),
        ("keeps_days = [90, 180]", "bulk_density_g_per_ml = 0", "figure-out-of-range",
         ":5 > bulk_density_g_per_ml"),
        ("keeps_days = [90, 180]", "bulk_density_g_per_ml = 520", "figure-out-of-range",
         ":5 > bulk_density_g_per_ml"),
        ("keeps_days = [90, 180]", "water_activity = [0.6, 0.5]", "figure-out-of-range",
         ":5 > water_activity"),
        ("keeps_days = [90, 180]", "water_activity = [0.6, nan]", "figure-out-of-range",
         ":5 > water_activity"),
    ],
)  # fmt: skip
def test_a_slip_is_told_with_its_line(
    tmp_path: Path, old: str, new: str, code: str, where: str
) -> None:
    assert BAR.count(old) == 1
    path = written(tmp_path, BAR.replace(old, new))
    with pytest.raises(Mistake) as caught:
        read_own_food(path)
    assert (caught.value.code, caught.value.where) == (code, f"{path}{where}")
    assert caught.value.mend


def test_an_odd_label_is_a_caution_about_that_food(tmp_path: Path) -> None:
    food, findings = read_own_food(written(tmp_path, BAR.replace("1890", "900")))
    assert food.per_100g.energy_kcal == pytest.approx(900 / 4.184)  # taken as printed
    assert [(one.rule, one.severity, one.about) for one in findings] == [
        ("label-energy-odd", "caution", ("moss-bar",))
    ]


def test_the_nearer_folder_wins(tmp_path: Path) -> None:
    near = tmp_path / "trip" / "recipes"
    near.mkdir(parents=True)
    written(tmp_path / "trip" / "foods", BAR.replace("moss bar", "far"))
    written(near / "foods", BAR.replace("moss bar", "near"))
    folders = own_food_folders(near / "dish.toml")
    assert folders == (tmp_path / "trip" / "foods", near / "foods")
    foods, _ = read_own_foods(folders)
    assert shipped_pantry().with_foods(foods).food("moss-bar").name == "near"


def test_one_id_in_two_files_of_a_folder_is_refused(tmp_path: Path) -> None:
    written(tmp_path, BAR, "a.toml")
    written(tmp_path, BAR, "b.toml")
    with pytest.raises(Mistake, match="food-twice") as caught:
        read_own_foods([tmp_path])
    assert caught.value.where.endswith("b.toml")
    assert "a.toml" in caught.value.what


def test_no_folder_is_no_food(tmp_path: Path) -> None:
    assert own_food_folders(tmp_path / "dish.toml") == ()
    assert read_own_foods([]) == ((), ())
