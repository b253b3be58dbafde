"""``fellfare publish`` and the reading of saved pages, through the front door."""

from __future__ import annotations

import json
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from fellfare import files
from fellfare.cli.main import COMMANDS, fellfare
from fellfare.cli.publish import command
from fellfare.files.jsonld.page import MOST_CHARACTERS
from fellfare.files.publish import USUAL_LIMIT
from fellfare.files.publish.card import COLUMNS, LINES
from fellfare.files.publish.text import WIDTH
from fellfare.files.recipe_toml import read_recipe
from fellfare.mistake import Mistake

RECIPES = Path(files.__file__).parent / "demo" / "recipes"
BULGUR = str(RECIPES / "bulgur-pepper-walnut-sumac.toml")
CURRY = str(RECIPES / "coconut-lentil-curry-rice.toml")


def run(*args: str, text: str | None = None) -> Result:
    return CliRunner().invoke(fellfare, args, input=text)


def mistake_of(result: Result) -> Mistake:
    assert isinstance(result.exception, Mistake)
    return result.exception


def test_the_command_is_listed() -> None:
    assert "publish" in COMMANDS
    assert "publish" in run("--help").output


def test_text_goes_to_standard_output_and_its_length_to_standard_error() -> None:
    result = run("publish", BULGUR)
    assert result.exit_code == 0
    assert result.stdout.startswith("Bulgur with sweet pepper, walnut and sumac\n")
    assert (
        f"{len(result.stdout)} characters in {result.stdout.count(chr(10))} lines" in result.stderr
    )
    assert "caution: bulgur: no leftovers" in result.stderr


def test_a_text_longer_than_a_description_field_is_told(tmp_path: Path) -> None:
    path = tmp_path / "long.toml"
    lines = "".join(f'[[line]]\nfood = "bulgur"\namount = "{n} g"\n' for n in range(10, 250))
    path.write_text(f'title = "Long"\nserves = 1\n{lines}', "utf-8")
    result = run("publish", str(path))
    assert len(result.stdout) > 5000
    assert "longer than 5000 characters" in result.stderr
    assert "mend: " in result.stderr
    short = run("publish", BULGUR)
    assert "longer than" not in short.stderr


@pytest.mark.parametrize(
    ("form", "opening"),
    [
        ("text", "Bulgur with"), ("markdown", "# Bulgur with"), ("card", "BULGUR WITH"),
        ("json-ld", '{\n "@context": "https://schema.org"'), ("csv", "line,food,name,"),
    ],
)  # fmt: skip
def test_every_form_is_written_to_a_file(tmp_path: Path, form: str, opening: str) -> None:
    path = tmp_path / "out" / "recipe"
    result = run("publish", BULGUR, "--as", form, "--out", str(path))
    assert result.exit_code == 0
    assert result.stdout == ""
    data = path.read_bytes()
    assert data.decode("utf-8").startswith(opening)
    assert data == run("publish", BULGUR, "--as", form).stdout_bytes
    again = run("publish", BULGUR, "--as", form, "--out", str(path))
    assert mistake_of(again).code == "file-exists"
    assert run("publish", BULGUR, "--out", str(path), "--replace").exit_code == 0


def test_the_number_of_eaters_and_the_measures_are_obeyed() -> None:
    text = run("publish", BULGUR, "--for", "3", "--measures", "metric").stdout
    assert "Serves 3\n" in text
    assert "246 g bulgur\n" in text  # three times 82 g
    assert " oz" not in text
    assert mistake_of(run("publish", BULGUR, "--for", "0")).code == "eaters-out-of-range"


def test_an_error_finding_ends_in_status_one_and_is_published_with_it(tmp_path: Path) -> None:
    path = tmp_path / "beans.toml"
    path.write_text(
        'title = "Beans"\nserves = 1\n[[line]]\nfood = "kidney-beans-dry"\namount = "80 g"\n'
        '[[step]]\nact = "soak"\nbags = ["kidney-beans-dry"]\nwater = "200 ml"\nminutes = 60\n',
        "utf-8",
    )
    for form in ("text", "markdown", "json-ld", "card"):
        result = run("publish", str(path), "--as", form)
        assert result.exit_code == 1
        assert "STOP" in result.stdout
        assert "ERROR" in result.stderr


def test_author_and_date_are_written_when_given() -> None:
    result = run("publish", CURRY, "--as", "json-ld", "--author", "A. W.", "--date", "2031-05-01")
    data = json.loads(result.stdout)
    assert (data["author"]["name"], data["datePublished"]) == ("A. W.", "2031-05-01")
    bad = run("publish", CURRY, "--as", "json-ld", "--date", "1 May")
    assert mistake_of(bad).code == "bad-date"


def test_csv_may_open_with_the_mark_of_spreadsheets() -> None:
    assert run("publish", CURRY, "--as", "csv", "--bom").stdout_bytes[:3] == b"\xef\xbb\xbf"
    assert run("publish", CURRY, "--as", "csv").stdout_bytes.count(b"\r\n") == 15


def test_a_wrong_document_is_refused_with_its_place(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_text('title = "x"\nserves = 1\n[[line]]\nfood = "nosuch"\namount = "1 g"\n', "utf-8")
    mistake = mistake_of(run("publish", str(path)))
    assert f"{path}:4" in mistake.where


# ------------------------------------------------------------------ fellfare read, of a page


def test_a_published_recipe_is_read_into_a_document(tmp_path: Path) -> None:
    page, document = tmp_path / "page.html", tmp_path / "again.toml"
    data = run("publish", BULGUR, "--as", "json-ld").stdout
    page.write_text(f'<!doctype html><script type="application/ld+json">{data}</script>', "utf-8")
    result = run("read", str(page), "--out", str(document))
    assert result.exit_code == 0
    assert "Not taken over:" in result.stdout
    assert "nutrition: reckoned anew from the foods" in result.stdout
    assert [line.food for line in read_recipe(document).recipe.lines] == [
        line.food for line in read_recipe(Path(BULGUR)).recipe.lines
    ]
    told = json.loads(run("read", str(page), "--json").stdout)
    assert {"what": "nutrition", "why": "reckoned anew from the foods"} in told["not_taken_over"]
    piped = run("read", "-", text=data)
    assert piped.exit_code == 0


def test_a_page_with_a_line_that_is_not_understood_makes_no_document(tmp_path: Path) -> None:
    page = tmp_path / "page.jsonld"
    recipe = {"@type": "Recipe", "name": "x", "recipeIngredient": ["90 g bulgur", "some love"]}
    page.write_text(json.dumps(recipe), "utf-8")
    result = run("read", str(page), "--out", str(tmp_path / "x.toml"))
    assert result.exit_code == 2
    assert f"{page} > recipeIngredient[1]" in result.stderr
    assert not (tmp_path / "x.toml").exists()


def test_a_page_without_a_recipe_is_refused_with_its_name(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    page.write_text("<html><p>nothing</p></html>", "utf-8")
    mistake = mistake_of(run("read", str(page)))
    assert mistake.code == "no-recipe-found"
    assert mistake.where == str(page)


def test_pasted_text_is_read_as_before() -> None:
    result = run("read", "-", "--json", text="Bulgur\n90 g bulgur\n")
    assert result.exit_code == 0
    assert json.loads(result.stdout)["not_taken_over"] == []


# ------------------------------------------------------------------ the page about it


def test_every_option_and_form_stands_on_its_page() -> None:
    page = (Path(__file__).parents[2] / "docs" / "publishing.md").read_text("utf-8")
    for option in command.params:
        if isinstance(option, click.Option):
            for name in option.opts:
                assert name in page or name == "--foods"
            if isinstance(option.type, click.Choice):
                assert all(f"`{form}`" in page or form in page for form in option.type.choices)


def test_the_sizes_on_its_page_are_the_sizes() -> None:
    page = (Path(__file__).parents[2] / "docs" / "publishing.md").read_text("utf-8")
    assert f"{LINES} lines of {COLUMNS} columns" in page
    assert f"at most {WIDTH} columns" in page
    assert f"{USUAL_LIMIT:,}".replace(",", " ") in page
    assert f"at most {MOST_CHARACTERS / 1e6:g} MB" in page
