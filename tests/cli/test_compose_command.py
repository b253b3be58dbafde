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
    assert "were scored one by one" in text.replace("\n ", "")
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
