"""``fellfare recipe``: what is printed, where, and with which exit status."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest

from fellfare.cli import main
from fellfare.cli.layout import WIDTH, shown_width

DEMO = Path(main.__code__.co_filename).parents[1] / "files" / "demo" / "recipes"
DISHES = sorted(DEMO.glob("*.toml"))

BULGUR = """\
title = "Bulgur with walnut"
serves = 2
[[line]]
food = "bulgur"
amount = "180 g"
bag = "soak"
[[line]]
food = "walnut"
amount = "1/4 cup"
note = "chopped"
[[line]]
food = "garlic-powder"
amount = "1 heaped tsp"
bag = "soak"
[[line]]
food = "salt"
amount = "to taste"
[[step]]
act = "soak"
bags = ["soak"]
water = "220 ml"
minutes = 60
water_treated = true
"""


class Command:
    """Runs the real command line, mistakes and all."""

    def __init__(self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
        self.capsys, self.patch = capsys, monkeypatch

    def __call__(self, *words: object) -> tuple[int, str, str]:
        self.patch.setattr(sys, "argv", ["fellfare", "recipe", *map(str, words)])
        with pytest.raises(SystemExit) as left:
            main()
        printed = self.capsys.readouterr()
        return int(left.value.code or 0), printed.out, printed.err

    def data(self, *words: object) -> tuple[int, dict[str, Any]]:
        status, out, err = self(*words, "--json")
        assert err == ""
        found: dict[str, Any] = json.loads(out)
        return status, found


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    return Command(capsys, monkeypatch)


@pytest.fixture
def dish(tmp_path: Path) -> Path:
    path = tmp_path / "dish.toml"
    path.write_text(BULGUR, encoding="utf-8")
    return path


def too_wide(text: str) -> list[str]:
    return [row for row in text.splitlines() if shown_width(row) > WIDTH]


def test_there_are_dishes_to_try() -> None:
    assert len(DISHES) >= 20


@pytest.mark.parametrize("path", DISHES, ids=lambda path: path.stem)
def test_every_line_of_a_demo_sheet_fits_eighty_columns(run: Command, path: Path) -> None:
    status, out, err = run(path)
    assert status == 0
    assert too_wide(out) == too_wide(err) == []
    assert "Traceback" not in err


@pytest.mark.parametrize("measures", ["metric", "us", "both"])
@pytest.mark.parametrize("panel", ["us", "eu", "both", "none"])
@pytest.mark.parametrize("eaters", [1, 3, 10_000])
def test_every_way_to_print_fits_eighty_columns(
    run: Command, dish: Path, measures: str, panel: str, eaters: int
) -> None:
    status, out, _ = run(dish, "--measures", measures, "--panel", panel, "--for", eaters)
    assert status == 0
    assert too_wide(out) == []
    assert ("US, one serving" in out) == (panel in ("us", "both"))
    assert ("EU, per 100 g" in out) == (panel in ("eu", "both"))
    head = out.partition("What goes in")[2].splitlines()[1].split()
    assert ("grams" in head) == (measures != "us")
    assert ("ounces" in head) == (measures != "metric")


@pytest.mark.parametrize(
    "title",
    ["x" * 200, "コース料理" * 20, "two\\nlines", "\\u001b[31mred", "tab\\there", "\\u202eabc"],
)
def test_odd_titles_stay_on_one_line_of_eighty_columns(
    run: Command, tmp_path: Path, title: str
) -> None:
    path = tmp_path / "dish.toml"
    text = f'title = "{title}"\nabout = "{title}"\nmeals = ["{title}"]\n[[line]]\n'
    path.write_text(f'{text}food = "bulgur"\namount = "90 g"\n', encoding="utf-8")
    status, out, _ = run(path)
    assert status == 0
    assert too_wide(out) == []
    assert all(char == "\n" or char.isprintable() for char in out)
    assert out.splitlines()[1] == "═" * WIDTH


def test_findings_go_to_standard_error(run: Command, tmp_path: Path) -> None:
    path = tmp_path / "dish.toml"
    path.write_text(BULGUR.replace("water_treated = true\n", ""), encoding="utf-8")
    status, out, err = run(path)
    assert status == 0
    assert "caution: " in err
    assert "untreated-water" in err
    assert "untreated-water" not in out
    assert "1 caution" in out  # counted, not told


def test_an_error_finding_ends_with_status_1(run: Command, dish: Path) -> None:
    status, out, err = run(dish, "--avoid", "walnut")
    assert status == 1
    assert err.startswith("ERROR: ")
    assert "1 error" in out
    status, found = run.data(dish, "--avoid", "tree-nut", "--avoid", "milk")
    assert status == 1
    assert "error" in [finding["severity"] for finding in found["findings"]]


def test_an_allergen_that_we_do_not_know_is_refused(run: Command, dish: Path) -> None:
    status, out, err = run(dish, "--avoid", "wallnut")
    assert (status, out) == (2, "")
    assert "[unknown-allergen]" in err


def test_json_holds_the_findings_and_nothing_else_is_printed(run: Command, dish: Path) -> None:
    status, found = run.data(dish)
    assert status == 0
    assert found["title"] == "Bulgur with walnut"
    assert found["mass_g"] == pytest.approx(180 + 29.25 + 1.5 * 3.1, abs=0.5)
    assert {"severity", "rule", "text", "source"} <= found["findings"][0].keys()


def test_for_n_scales_the_sheet(run: Command, dish: Path) -> None:
    _, two = run.data(dish)
    _, six = run.data(dish, "--for", 6)
    assert (two["serves"], six["serves"]) == (2, 6)
    assert six["lines"][0]["mass_g"] == pytest.approx(540)
    # Spice grows by the power 0.85 (common practice, no source).
    assert six["lines"][2]["mass_g"] == pytest.approx(two["lines"][2]["mass_g"] * 3**0.85, abs=1e-3)
    assert six["water_add_ml"] == pytest.approx(660)


def test_what_is_unknown_is_marked_as_such(run: Command, dish: Path) -> None:
    _, out, _ = run(dish)
    assert "one serving at least" in out  # nobody weighed the salt
    assert "of what is measured" in out
    assert "≥" in next(row for row in out.splitlines() if row.lstrip().startswith("sodium"))


def test_counted_things_are_told_in_their_plural(run: Command, tmp_path: Path) -> None:
    path = tmp_path / "dish.toml"
    text = 'title = "x"\n[[line]]\nfood = "garlic"\namount = "1 clove"\n'
    path.write_text(text, encoding="utf-8")
    _, out, _ = run(path, "--for", 2)
    assert "2 cloves" in out
    _, out, _ = run(path, "--for", 10_000)
    assert "10000 cloves" in out


def test_a_bag_of_unknown_volume_gets_no_size(run: Command, tmp_path: Path) -> None:
    folder = tmp_path / "foods"
    folder.mkdir()
    own = 'id = "moss-bar"\nname = "moss bar"\n[label]\nstyle = "us"\nenergy_kcal = 400\n'
    (folder / "bar.toml").write_text(own, encoding="utf-8")
    path = tmp_path / "dish.toml"
    text = 'title = "x"\n[[line]]\nfood = "moss-bar"\namount = "900 g"\nbag = "a"\n'
    path.write_text(text, encoding="utf-8")
    _, out, _ = run(path)
    assert "size not known" in out
    assert "no bulk density known: moss-bar" in " ".join(out.split())


def test_a_pinch_in_a_bag_is_told_as_not_measured(run: Command, dish: Path) -> None:
    _, out, _ = run(dish)
    bags = " ".join(out.partition("Bags")[2].partition("Steps")[0].split())
    assert "not measured: salt" in bags
    assert "no bulk density known" not in bags


def test_the_caution_of_an_own_label_is_told_where_the_food_is_used(
    run: Command, tmp_path: Path
) -> None:
    folder = tmp_path / "foods"
    folder.mkdir()
    label = "protein_g = 9\nfat_g = 20\ncarbohydrate_g = 61\nenergy_kcal = 205\n"
    own = f'id = "moss-bar"\nname = "moss bar"\ncontains = ["oats"]\n[label]\nstyle = "us"\n{label}'
    (folder / "bar.toml").write_text(own, encoding="utf-8")  # an invented label with a slip
    path = tmp_path / "dish.toml"
    text = 'title = "x"\n[[line]]\nfood = "{}"\namount = "90 g"\n'
    path.write_text(text.format("moss-bar"), encoding="utf-8")
    _, _, err = run(path)
    assert "label-energy-odd" in err
    assert "205 kcal" in err
    path.write_text(text.format("bulgur"), encoding="utf-8")
    _, _, err = run(path)
    assert "label-energy-odd" not in err


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["--for", "0"], "eaters-out-of-range"),
        (["--for", "10001"], "eaters-out-of-range"),
        (["--air", "nan"], "air-out-of-range"),
        (["--air", "293"], "air-out-of-range"),
        (["--altitude", "99999"], "altitude-out-of-range"),
    ],
)
def test_a_wish_out_of_range_is_refused(
    run: Command, dish: Path, words: list[str], code: str
) -> None:
    status, out, err = run(dish, *words)
    assert (status, out) == (2, "")
    assert f"[{code}]" in err


@pytest.mark.parametrize(
    "words", [["--for", "two"], ["--measures", "imperial"], ["--panel", "uk"], ["--nonsense"]]
)
def test_a_word_that_the_command_does_not_know_is_refused(
    run: Command, dish: Path, words: list[str]
) -> None:
    status, out, err = run(dish, *words)
    assert (status, out) == (2, "")
    assert "Error: " in err


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("title = ", "not-toml"),
        ('title = "x"\n', "empty-recipe"),
        (BULGUR.replace('"bulgur"', '"bulgurr"'), "unknown-food"),
        (BULGUR.replace("180 g", "180 glorps"), "unknown-unit"),
        (BULGUR.replace("180 g", "2 slices"), "no-measure"),
        (BULGUR.replace("180 g", "-180 g"), "amount-negative"),
        (BULGUR.replace("220 ml", "to taste"), "water-not-measured"),
        (BULGUR.replace('["soak"]', '["jar"]'), "unknown-bag"),
    ],
)
@pytest.mark.parametrize("as_json", [False, True])
def test_a_bad_document_prints_one_clear_error_and_no_figure(
    run: Command, tmp_path: Path, text: str, code: str, as_json: bool
) -> None:
    path = tmp_path / "dish.toml"
    path.write_text(text, encoding="utf-8")
    status, out, err = run(path, *(["--json"] if as_json else []))
    assert (status, out) == (2, "")
    assert err.startswith(f"{path}:")
    assert f"[{code}]" in err
    assert "mend: " in err
    assert "Traceback" not in err


def test_missing_files_and_folders_are_told(run: Command, tmp_path: Path) -> None:
    for path, code in ((tmp_path / "none.toml", "file-missing"), (tmp_path, "file-unreadable")):
        status, out, err = run(path)
        assert (status, out) == (2, "")
        assert f"[{code}]" in err
