"""``fellfare read``, ``scale`` and ``food``, through the real command line."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest

from fellfare.cli import main
from fellfare.cli.layout import WIDTH, shown_width
from fellfare.files.recipe_toml import read_recipe
from fellfare.files.shipped import shipped_pantry
from fellfare.pantry.nutrients import NUTRIENTS
from fellfare.recipe.sheet import make_sheet

PANTRY = shipped_pantry()
GOOD = "Dal\nServes 2\n150 g red lentils\n1 tsp salt\nMethod\nBoil in 500 ml water, 12 minutes.\n"
BAD = "Dal\n150 g red lentils\n90 g kryptonite\nSalt\n"


class Command:
    """Runs the real command line, mistakes and all."""

    def __init__(self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
        self.capsys, self.patch = capsys, monkeypatch

    def __call__(self, *words: object, stdin: bytes = b"") -> tuple[int, str, str]:
        self.patch.setattr(sys, "argv", ["fellfare", *map(str, words)])
        self.patch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin), encoding="utf-8"))
        with pytest.raises(SystemExit) as left:
            main()
        printed = self.capsys.readouterr()
        return int(left.value.code or 0), printed.out, printed.err


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    return Command(capsys, monkeypatch)


def too_wide(text: str) -> list[str]:
    return [row for row in text.splitlines() if shown_width(row) > WIDTH]


# -- read -----------------------------------------------------------------------------------


def test_a_pasted_recipe_becomes_a_document(run: Command, tmp_path: Path) -> None:
    out_path = tmp_path / "dal.toml"
    status, out, err = run("read", "-", "--out", out_path, stdin=GOOD.encode())
    assert (status, err) == (0, f"wrote {out_path}\n")
    assert "red-lentils" in out
    recipe = read_recipe(out_path).recipe
    assert (recipe.title, recipe.serves) == ("Dal", 2)
    assert make_sheet(recipe, PANTRY).mass.value == pytest.approx(156)  # SR28 02047: 6 g a tsp


def test_without_out_the_document_is_printed(run: Command) -> None:
    status, out, _ = run("read", "-", stdin=GOOD.encode())
    assert status == 0
    assert 'title = "Dal"' in out
    assert too_wide(out) == []


def test_a_file_is_read_as_standard_input_is(run: Command, tmp_path: Path) -> None:
    path = tmp_path / "dal.txt"
    path.write_text(GOOD, encoding="utf-8")
    assert run("read", path)[:2] == run("read", "-", stdin=GOOD.encode())[:2]


def test_nothing_is_written_when_a_line_is_refused(run: Command, tmp_path: Path) -> None:
    out_path = tmp_path / "dal.toml"
    status, out, err = run("read", "-", "--out", out_path, stdin=BAD.encode())
    assert status == 2
    assert not out_path.exists()
    assert "standard input: 2 lines refused; no document made" in err
    assert "standard input:3: no food is called 'kryptonite' [unknown-food]\n" in err
    assert "\nstandard input:4:1: " in err
    assert err.count("\n") == 3  # the sum, and each mistake once
    assert "mend: " not in err  # the remedies stand in the listing
    assert out.count("mend: ") == 2
    assert too_wide(out) == []
    assert "title = " not in out


def test_an_older_file_is_kept(run: Command, tmp_path: Path) -> None:
    out_path = tmp_path / "dal.toml"
    out_path.write_text("mine", encoding="utf-8")
    status, _, err = run("read", "-", "--out", out_path, stdin=GOOD.encode())
    assert status == 2
    assert "[file-exists]" in err
    assert "--replace" in err
    assert out_path.read_text(encoding="utf-8") == "mine"
    status, _, _ = run("read", "-", "--out", out_path, "--replace", stdin=GOOD.encode())
    assert status == 0
    assert "Dal" in out_path.read_text(encoding="utf-8")


def test_read_tells_the_fate_of_every_line_in_json(run: Command) -> None:
    status, out, _ = run("read", "-", "--json", stdin=BAD.encode())
    assert status == 2
    found = json.loads(out)
    assert found["document"] is None
    assert [(line["number"], line["kind"]) for line in found["lines"]] == [
        (1, "title"), (2, "ingredient"), (3, "refused"), (4, "refused"),
    ]  # fmt: skip
    assert found["lines"][2]["mistake"].keys() == {"code", "what", "mend", "where"}
    status, out, _ = run("read", "-", "--json", stdin=GOOD.encode())
    assert status == 0
    assert json.loads(out)["document"].startswith('title = "Dal"')


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "no-text"),
        (b"caf\xe9\n90 g bulgur\n", "not-utf8"),
        (b"Dal\n" + b"x" * 100_000, "line-too-long"),
        (b"Dal\n" + b"90 g bulgur\n" * 10_000, "text-too-long"),
        (b"\0" * 3_000_000, "file-too-large"),
    ],
    ids=["nothing", "Latin-1", "a long line", "many lines", "three megabytes"],
)
def test_what_is_no_recipe_is_refused(run: Command, data: bytes, code: str) -> None:
    status, out, err = run("read", "-", stdin=data)
    assert (status, out) == (2, "")
    assert f"[{code}]" in err
    assert "standard input" in err


def test_what_the_text_does_not_say_is_told(run: Command) -> None:
    text = b"Dal\n150 g red lentils\n"
    assert "serves 1, because the text does not say" in run("read", "-", stdin=text)[1]
    (said,) = json.loads(run("read", "-", "--json", stdin=text)[1])["assumed"]
    assert said.startswith("serves 1")
    assert json.loads(run("read", "-", "--json", stdin=GOOD.encode())[1])["assumed"] == []


def test_each_refusal_is_told_once_on_each_stream(run: Command) -> None:
    text = b"Dal\n150 g red lentils\n2 furlongs rice\nMethod\nNever boil the lentils.\n"
    status, out, err = run("read", "-", stdin=text)
    assert status == 2
    assert err.splitlines()[1].startswith("standard input:3:3: 'furlongs'")
    assert err.splitlines()[2].endswith("[negated-act]")
    assert len(err.splitlines()) == 3
    assert out.count("\u2717") == out.count("mend: ") == 2
    assert too_wide(out) == []


def test_a_title_alone_is_no_recipe(run: Command) -> None:
    status, _, err = run("read", "-", stdin=b"Dal\n")
    assert status == 2
    assert "standard input: no ingredient line was found" in err
    assert "[no-ingredients]" in err


def test_the_cup_may_be_metric(run: Command, tmp_path: Path) -> None:
    out_path = tmp_path / "oats.toml"
    text = b"Oats\n1 cup rolled oats\n"
    assert run("read", "-", "--system", "metric", "--out", out_path, stdin=text)[0] == 0
    mass = make_sheet(read_recipe(out_path).recipe, PANTRY).mass.value
    assert mass == pytest.approx(81 * 250 / 236.5882365)  # SR28 08120; NIST HB 44


# -- scale ------------------------------------------------------------------------------------


@pytest.fixture
def dal(run: Command, tmp_path: Path) -> Path:
    path = tmp_path / "dal.toml"
    assert run("read", "-", "--out", path, stdin=GOOD.encode())[0] == 0
    return path


def test_a_scaled_document_reads_back_with_the_right_masses(
    run: Command, dal: Path, tmp_path: Path
) -> None:
    out_path = tmp_path / "dal-for-5.toml"
    status, out, err = run("scale", dal, "--for", 5, "--out", out_path)
    assert (status, out, err) == (0, "", f"wrote {out_path}\n")
    recipe = read_recipe(out_path).recipe
    assert recipe.serves == 5
    assert [line.amount for line in recipe.lines] == ["375 g", "13.07 g"]  # 6 g × 2.5^0.85
    assert recipe.steps[0].water == "1250 ml"
    assert recipe.steps[0].minutes == 12


def test_a_scaled_document_is_printed_and_nothing_else(
    run: Command, dal: Path, tmp_path: Path
) -> None:
    status, out, err = run("scale", dal, "--for", 1)
    assert (status, err) == (0, "")
    again = tmp_path / "again.toml"
    again.write_text(out, encoding="utf-8")
    assert read_recipe(again).recipe.serves == 1


@pytest.mark.parametrize(
    ("eaters", "code"), [(0, "eaters-out-of-range"), (20_000, "eaters-out-of-range")]
)
def test_a_number_of_eaters_that_cannot_be_is_refused(
    run: Command, dal: Path, eaters: int, code: str
) -> None:
    status, out, err = run("scale", dal, "--for", eaters)
    assert (status, out) == (2, "")
    assert f"[{code}]" in err


def test_scale_keeps_an_older_file(run: Command, dal: Path) -> None:
    before = dal.read_bytes()
    status, _, err = run("scale", dal, "--for", 4, "--out", dal)
    assert status == 2
    assert "[file-exists]" in err
    assert dal.read_bytes() == before


# -- food -------------------------------------------------------------------------------------


def test_food_searches(run: Command) -> None:
    status, out, err = run("food", "lentil")
    assert (status, err) == (0, "")
    assert "red-lentils" in out
    assert too_wide(out) == []
    assert len(out.splitlines()) <= 11


@pytest.mark.parametrize("words", [["rolled-oats"], ["rolled", "oats"], ["Rolled Oats"]])
def test_an_exact_id_or_name_shows_the_food_whole(run: Command, words: list[str]) -> None:
    status, out, _ = run("food", *words)
    assert status == 0
    assert "SR28 NDB 08120" in out
    assert "1 cup = 81 g" in out  # SR28


@pytest.mark.parametrize("group", sorted({food.group for food in PANTRY}))
def test_every_food_page_fits_eighty_columns(run: Command, group: str) -> None:
    foods = [food for food in PANTRY if food.group == group]
    for food in foods[:: max(1, len(foods) // 6)]:
        status, out, _ = run("food", food.id)
        assert status == 0
        assert too_wide(out) == []


def test_the_json_of_a_food_tells_every_nutrient(run: Command) -> None:
    status, out, _ = run("food", "garam-masala", "--json")
    assert status == 0
    (food,) = json.loads(out)
    assert list(food["per_100g"]) == list(NUTRIENTS)
    assert food["per_100g"]["energy_kcal"] is None  # unknown, not zero and not left out


def test_most_limits_the_list(run: Command) -> None:
    _, out, _ = run("food", "beans", "--most", 3, "--json")
    assert len(json.loads(out)) == 3


def test_a_misspelt_food_is_still_found(run: Command) -> None:
    assert "broccoli" in run("food", "brocoli")[1]


def test_nothing_like_it_is_a_mistake(run: Command) -> None:
    status, out, err = run("food", "zzzzzz")
    assert (status, out) == (2, "")
    assert "[unknown-food]" in err


def test_own_foods_are_found_in_their_folder(run: Command, tmp_path: Path) -> None:
    own = 'id = "moss-bar"\nname = "moss bar"\n[label]\nstyle = "us"\nenergy_kcal = 400\n'
    (tmp_path / "bar.toml").write_text(own, encoding="utf-8")
    status, out, _ = run("food", "moss bar", "--foods", tmp_path)
    assert status == 0
    assert "own food, by its label" in out
    assert "protein" in out
    assert "unknown" in out


# -- the command itself ---------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["", "recipe", "read", "scale", "food", "demo", "camp"])
def test_every_command_explains_itself(run: Command, command: str) -> None:
    status, out, err = run(*([command] if command else []), "--help")
    assert (status, err) == (0, "")
    assert out.startswith("Usage: ")
    assert too_wide(out) == []


def test_the_own_food_of_the_help_can_be_used(run: Command, tmp_path: Path) -> None:
    _, out, _ = run("food", "--help")
    folder = tmp_path / "foods"
    folder.mkdir()
    own = out.partition("beside your recipes:\n")[2]
    (folder / "bar.toml").write_text(own, encoding="utf-8")
    status, out, err = run("food", "oat-bar", "--foods", folder)
    assert (status, err) == (0, "")
    assert "450 kcal" in out


def test_an_unknown_command_is_refused(run: Command) -> None:
    status, out, err = run("cook")
    assert (status, out) == (2, "")
    assert "cook" in err


def test_the_installed_command_ends_a_mistake_with_status_2(tmp_path: Path) -> None:
    # As a program of its own: arguments, streams and exit status for real.
    command = [sys.executable, "-m", "fellfare", "recipe", str(tmp_path / "none.toml")]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == (
        f"{tmp_path / 'none.toml'}: there is no such file\n"
        "  mend: check the name and the folder [file-missing]\n"
    )


def test_a_terminal_that_lacks_our_letters_is_served(tmp_path: Path) -> None:
    path = tmp_path / "dish.toml"
    path.write_text('title = "é"\n[[line]]\nfood = "bulgur"\namount = "90 g"\n', encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "fellfare", "recipe", str(path)],
        capture_output=True, check=False, timeout=60,
        env={"PYTHONIOENCODING": "latin-1", "PYTHONPATH": ":".join(sys.path), "LC_ALL": "C"},
    )  # fmt: skip
    assert done.returncode == 0
    text = done.stdout.decode("latin-1")
    assert text.startswith("é ")
    assert "?" * WIDTH in text  # the rule under the title; better than no sheet
    assert "bulgur" in text
