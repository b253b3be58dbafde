"""The JSON of a sheet: the keys that others build on, and only figures that JSON knows."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.files.sheet_json import sheet_data
from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Finding
from fellfare.recipe.document import Line, Recipe, Step
from fellfare.recipe.sheet import Sheet, make_sheet

PANTRY = shipped_pantry()
FOODS = sorted(food.id for food in PANTRY)

#: Promised to whoever reads the JSON: keys may be added, none renamed.
KEYS = set(
    "title serves mass_g energy_kcal energy_kcal_per_100g energy_kcal_per_oz water_add_ml nutrients"
    " lines bags steps allergens findings".split()
)
NUTRIENT_KEYS = set(
    "protein_g fat_g saturated_g carbohydrate_g fibre_g sugars_g sodium_mg potassium_mg calcium_mg"
    " iron_mg magnesium_mg vitamin_c_mg water_g".split()
)
LINE_KEYS = set("food amount mass_g energy_kcal bag measure source".split())
BAG_KEYS = set("name mass_g volume_ml lines".split())
STEP_KEYS = set("act minutes water_ml trust".split())
ALLERGEN_KEYS = set("contains may_contain unknown".split())
FINDING_KEYS = set("severity rule text source".split())

FINDING = Finding(severity="caution", rule="a-rule", text="Mind.", source="own", about=("line 1",))


def sheet(*lines: Line, steps: tuple[Step, ...] = (), eaters: int | None = None) -> Sheet:
    return make_sheet(Recipe(title="x", serves=2, lines=lines, steps=steps), PANTRY, eaters)


def data(one: Sheet) -> dict[str, Any]:
    """As a reader gets it; refuses NaN and infinity, which are no JSON (RFC 8259)."""
    found: dict[str, Any] = json.loads(json.dumps(sheet_data(one, [FINDING]), allow_nan=False))
    return found


FULL = sheet(
    Line(food="bulgur", amount="180 g", bag="soak"),
    Line(food="salt", amount="to taste"),
    Line(food="walnut", amount="1/4 cup", note="chopped", bag="top", optional=True),
    steps=(Step(act="soak", bags=("soak",)),),
)


def test_the_promised_keys_are_there() -> None:
    found = data(FULL)
    assert found.keys() >= KEYS
    assert found["nutrients"].keys() >= NUTRIENT_KEYS
    for total in found["nutrients"].values():
        assert total.keys() >= {"value", "unknown"}
    assert all(line.keys() >= LINE_KEYS for line in found["lines"])
    assert all(bag.keys() >= BAG_KEYS for bag in found["bags"])
    assert all(step.keys() >= STEP_KEYS for step in found["steps"])
    assert found["allergens"].keys() >= ALLERGEN_KEYS
    assert all(finding.keys() >= FINDING_KEYS for finding in found["findings"])


def test_the_figures_are_those_of_the_sheet() -> None:
    found = data(FULL)
    assert (found["title"], found["serves"]) == ("x", 2)
    assert found["mass_g"] == pytest.approx(180 + 117 / 4, abs=0.001)  # SR28 12155: 117 g a cup
    # SR28: bulgur 342, walnuts 654 kcal/100 g; salt has none.
    assert found["energy_kcal"] == pytest.approx(1.8 * 342 + 0.2925 * 654, abs=0.001)
    assert found["energy_unknown"] == []
    assert found["nutrients"]["sodium_mg"]["unknown"] == ["salt"]
    assert [line["mass_g"] for line in found["lines"]] == [180, None, 29.25]
    assert [line["bag"] for line in found["lines"]] == ["soak", None, "top"]
    assert [bag["lines"] for bag in found["bags"]] == [[1], [3], [2]]
    assert found["steps"][0]["trust"] in ("common-practice", "tabulated", "memory")
    assert set(found["allergens"]["contains"]) == {"wheat", "walnut"}
    assert found["findings"] == [
        {"severity": "caution", "rule": "a-rule", "text": "Mind.", "source": "own",
         "about": ["line 1"]}
    ]  # fmt: skip


def test_a_serving_is_the_dish_by_its_eaters() -> None:
    found = data(FULL)
    one = found["per_serving"]
    assert one["mass_g"] == pytest.approx(found["mass_g"] / 2, abs=0.001)
    assert one["energy_kcal"] == pytest.approx(found["energy_kcal"] / 2, abs=0.001)
    for name, total in found["nutrients"].items():
        assert one["nutrients"][name]["value"] == pytest.approx(total["value"] / 2, abs=0.001)
        assert one["nutrients"][name]["unknown"] == total["unknown"]


def test_every_dish_for_n_gives_one_the_same_serving() -> None:
    bulgur = Line(food="bulgur", amount="180 g")
    two, nine = data(sheet(bulgur)), data(sheet(bulgur, eaters=9))
    assert nine["serves"] == 9
    assert nine["per_serving"]["mass_g"] == two["per_serving"]["mass_g"] == 90


def test_a_dish_of_pinches_has_no_density() -> None:
    found = data(sheet(Line(food="salt", amount="a pinch")))
    assert found["mass_g"] is None
    assert found["mass_unknown"] == ["salt"]
    assert found["energy_kcal_per_100g"] is None
    assert found["energy_kcal_per_oz"] is None
    assert found["density_pulls"] == []


LINES = st.builds(
    Line,
    food=st.sampled_from(FOODS),
    amount=st.sampled_from(["90 g", "1 mg", "999 kg", "to taste", "3.3 oz"]),
    bag=st.sampled_from([None, "a"]),
)


@given(st.lists(LINES, min_size=1, max_size=6))
def test_any_sheet_makes_json_that_any_reader_reads(lines: list[Line]) -> None:
    found = data(sheet(*lines))
    assert found["nutrients"].keys() >= NUTRIENT_KEYS
    listed = [total["unknown"] for total in found["nutrients"].values()]
    assert all(set(names) <= {line.food for line in lines} for names in listed)
