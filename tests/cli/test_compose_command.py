"""``fellfare compose`` through the front door."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from fellfare.cli import main
from fellfare.files.composition_toml import read_aim, read_composition
from fellfare.files.recipe_toml import read_recipe
from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.recipe.composing.question import Aim
from fellfare.recipe.sheet import make_sheet

TEXT = """title = "Small pots"
aims = ["more energy_kcal_per_100g", "less mass_g by 10"]

[[part]]
name = "starch"
foods = ["couscous", "rice-noodles"]
amounts = ["60 g", "80 g"]

[[part]]
name = "fat"
foods = ["olive-oil"]
amounts = ["1 tbsp", "20 g"]
at_the_end = true
"""


def run(
    words: list[str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> tuple[int, str, str]:
    monkeypatch.setattr(sys, "argv", ["fellfare", "compose", *words])
    with pytest.raises(SystemExit) as left:
        main()
    out, err = capsys.readouterr()
    return int(left.value.code or 0), out, err


def test_text_json_and_recipes_tell_the_same(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "pots.toml"
    file.write_text(TEXT)
    status, text, err = run([str(file)], capsys, monkeypatch)
    assert (status, err) == (0, "")
    assert "8 combinations" in text
    assert max(len(line) for line in text.splitlines()) <= 80
    out = tmp_path / "made"
    status, printed, _ = run([str(file), "--json", "--out", str(out)], capsys, monkeypatch)
    data = json.loads(printed)
    assert data["combinations"] == data["seen"] == data["fitting"] == 8
    assert len(data["written"]) == len(data["chosen"])
    for path, dish in zip(sorted(out.iterdir()), data["chosen"], strict=True):
        sheet = make_sheet(read_recipe(path).recipe, shipped_pantry())
        assert sheet.mass.value == pytest.approx(dish["mass_g"], abs=1e-3)
        assert sheet.energy.value == pytest.approx(dish["energy_kcal"], abs=1e-3)
        assert dish["cost"] is None
    # a taken name: nothing is written, and it is told
    assert run([str(file), "--out", str(out)], capsys, monkeypatch)[0] == 2


def test_what_an_aim_asks_of_is_shown_within_the_width(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "pots.toml"
    file.write_text(
        TEXT.replace('"less mass_g by 10"', '"less cost", "less sodium_mg_per_1000_kcal"').replace(
            "[[part]]", 'meals = ["dinner"]\n\n[[part]]', 1
        )
        + '\n[[limit]]\nfigure = "carbohydrate_g"\nleast = 1\n'
    )
    status, text, _ = run([str(file)], capsys, monkeypatch)
    assert status == 0
    assert max(len(line) for line in text.splitlines()) <= 80
    head = next(line for line in text.splitlines() if "kcal/100 g" in line)
    assert head.split()[-4:] == ["cost", "sodium/Mcal", "carb.", "g"]
    assert "No cost is known" in text
    assert "; lacks sour" in text
    assert "scored one by one" in " ".join(text.split())
    priced = file.with_name("priced.toml")
    prices = "".join(f"{food} = 4.0\n" for food in ("couscous", "rice-noodles", "olive-oil"))
    priced.write_text(file.read_text().replace("[[part]]", f"[price]\n{prices}\n[[part]]", 1))
    _, text, _ = run([str(priced), "--choose", "1"], capsys, monkeypatch)
    # 60 g and 20 g at 4.00 a kilogram
    assert "0.32" in text
    assert "No cost is known" not in text


def test_nothing_fits_is_told_with_status_1(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "pots.toml"
    file.write_text(TEXT + '\n[[limit]]\nfigure = "protein_g"\nleast = 500\n')
    status, text, _ = run([str(file)], capsys, monkeypatch)
    assert status == 1
    assert "widen a limit" in text


@pytest.mark.parametrize(
    ("old", "new", "code", "line"),
    [
        ("couscous", "moondust", "unknown-food", 6),
        ('"60 g"', '"60 moons"', "unknown-unit", 7),
        ("more energy", "most energy", "aim-not-understood", 2),
        ("less mass_g by 10", "less joy", "figure-unknown", 2),
        ("at_the_end", "at_the_start", "wrong-shape", 13),
    ],
)
def test_a_wrong_field_is_told_with_its_line(
    old: str,
    new: str,
    code: str,
    line: int,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    file = tmp_path / "pots.toml"
    file.write_text(TEXT.replace(old, new))
    status, out, err = run([str(file)], capsys, monkeypatch)
    assert status == 2
    assert out == ""
    assert f"pots.toml:{line}" in err
    assert code in err


def test_aims_in_words() -> None:
    assert read_aim("less cost by 0.1") == Aim(figure="cost", better="less", step=0.1)
    with pytest.raises(Mistake, match="aim-not-understood"):
        read_aim("less cost by far")


def test_the_example_in_the_docs_composes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    docs = (Path(__file__).parents[2] / "docs/compose.md").read_text(encoding="utf-8")
    example = docs[docs.index("    title =") : docs.index("Figures:")]
    file = tmp_path / "example.toml"
    file.write_text("\n".join(line[4:] for line in example.splitlines()), encoding="utf-8")
    status, printed, _ = run([str(file), "--json"], capsys, monkeypatch)
    assert status == 0
    for dish in json.loads(printed)["chosen"]:
        assert {"sour", "crisp"} <= set(dish["tastes"])
        assert dish["energy_kcal_per_100g"] >= 430 - 1e-6
        assert None not in (dish["cost"], dish["water_add_ml"], dish["minutes"])
        foods = {line["food"] for line in dish["lines"]}
        assert "coconut-milk-powder" not in foods or "curry-powder" in foods


def test_the_demo_composition_is_read() -> None:
    import fellfare.files

    path = Path(fellfare.files.__file__).parent / "demo/compositions/hut-evening-pots.toml"
    assert len(read_composition(path).asked.parts) == 7


def test_row_numbers_stay_readable_with_many_ratios(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "pots.toml"
    aims = ["more energy_kcal_per_100g", "more protein_g_per_1000_kcal", "less cost_per_1000_kcal",
            "more fibre_g_per_1000_kcal", "less sodium_mg_per_1000_kcal"]  # fmt: skip
    parts = TEXT[TEXT.index("[[part]]") :].replace('"60 g", "80 g"', '"60 g", "70 g", "80 g"')
    file.write_text(f'title = "Ratios"\naims = {aims}\n\n{parts}'.replace("'", '"'))
    status, text, _ = run([str(file)], capsys, monkeypatch)
    assert status == 0
    lines = text.splitlines()
    assert max(len(line) for line in lines) <= 80
    heads = [at for at, line in enumerate(lines) if "kcal/100 g" in line or "sodium/Mcal" in line]
    assert len(heads) == 2
    for word in ("protein/Mcal", "fibre/Mcal", "sodium/Mcal", "cost/Mcal"):
        assert sum(word in line for line in lines) == 1
    for at in heads:
        # every table opens its rows with the numbers that the dishes below have
        many = heads[1] - heads[0] - 1
        opened = [line.split()[0].rstrip("*") for line in lines[at + 1 : at + 1 + many]]
        assert opened == [str(number) for number in range(1, many + 1)]
    assert "…" not in text


def test_nothing_that_keeps_them_all_says_which_limit_is_in_the_way(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "pots.toml"
    file.write_text(TEXT + '\n[[limit]]\nfigure = "protein_g"\nleast = 30\n')
    status, text, _ = run([str(file)], capsys, monkeypatch)
    assert status == 1
    # 80 g of couscous with 12.8 g of protein in 100 g: USDA FoodData Central, SR Legacy 20028
    assert "protein_g at least 30: the most that any dish reaches is 10.2." in text
    assert "taste it at home" not in text
    _, printed, _ = run([str(file), "--json"], capsys, monkeypatch)
    (one,) = json.loads(printed)["hindered"]["ends"]
    assert (one["figure"], one["end"], one["asked"]) == ("protein_g", "least", 30.0)
    assert one["alone"] == pytest.approx(10.2, abs=0.1)


def test_a_time_that_is_none_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "pots.toml").write_text(TEXT)
    status, out, err = run([str(tmp_path / "pots.toml"), "--seconds", "-1"], capsys, monkeypatch)
    assert (status, out) == (2, "")
    assert "seconds" in err
