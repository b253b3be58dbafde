"""``fellfare book`` through the front door."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from fellfare.book import KINDS, open_book, usual_place
from fellfare.cli.book import command, opening
from fellfare.files.demo_documents import write_demo
from fellfare.mistake import Mistake

SOUP = 'title = "Soup"\nserves = 1\n\n[[line]]\nfood = "bulgur"\namount = "90 g"\n'


@pytest.fixture(autouse=True)
def usual(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """No test touches the book of whoever runs it."""
    path = tmp_path / "usual.fellfare"
    monkeypatch.setenv("FELLFARE_BOOK", str(path))
    return path


def run(*words: str) -> Result:
    return CliRunner().invoke(command, words)


def code(*words: str) -> str:
    result = run(*words)
    assert isinstance(result.exception, Mistake), result.output
    return result.exception.code


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a recipe that can be read."""
    (tmp_path / "in" / "recipes").mkdir(parents=True)
    (tmp_path / "in" / "recipes" / "soup.toml").write_text(SOUP, "utf-8")
    return tmp_path / "in"


def test_an_empty_book_says_how_to_begin(usual: Path) -> None:
    told = run("list").output
    assert f"0 documents in {usual}" in " ".join(told.split())
    assert "fellfare book import demo" in told


def test_in_look_and_out_again(folder: Path, tmp_path: Path) -> None:
    result = run("import", str(folder), "--by", "Tansy")
    assert (result.exit_code, result.stdout.strip()) == (0, "1  new in the book: recipe soup")
    listed = run("list").stdout
    assert "soup" in listed
    assert "Tansy" in listed
    assert run("show", "recipe", "soup").stdout == SOUP
    assert run("export", str(tmp_path / "out")).exit_code == 0
    assert (tmp_path / "out/recipes/soup.toml").read_text("utf-8") == SOUP
    assert code("export", str(tmp_path / "out")) == "file-exists"
    assert run("export", str(tmp_path / "out"), "--replace").exit_code == 0
    assert "nothing new: recipe soup" in run("import", str(tmp_path / "out")).stdout


def test_the_history_and_the_ways_back(folder: Path) -> None:
    run("import", str(folder))
    (folder / "recipes/soup.toml").write_text(SOUP.replace("90", "95"), "utf-8")
    assert "further revision" in run("import", str(folder)).stdout
    rows = run("history", "recipe", "soup").stdout.splitlines()
    assert [row.split()[0] for row in rows] == ["rev.", "2", "1"]
    told = run("compare", "recipe", "soup", "1", "2").stdout
    assert '- amount = "90 g"\n+ amount = "95 g"\n' in told
    assert "same text" in run("compare", "recipe", "soup", "1", "1").stdout
    run("restore", "recipe", "soup", "1")
    assert run("show", "recipe", "soup").stdout == SOUP
    run("undo")
    assert "95 g" in run("show", "recipe", "soup").stdout
    assert run("show", "recipe", "soup", "--revision", "1").stdout == SOUP
    run("delete", "recipe", "soup")
    assert code("show", "recipe", "soup") == "book-no-such-document"
    assert "1 deleted document in" in " ".join(run("list", "--deleted").stdout.split())
    run("undelete", "recipe", "soup")
    acts = [one["act"] for one in json.loads(run("history", "recipe", "soup", "--json").stdout)]
    assert acts == ["undelete", "delete", "undo", "restore", "save", "save"]


def test_what_cannot_be_read_is_kept_and_told_or_refused(folder: Path) -> None:
    (folder / "recipes/draft.toml").write_text("title = \n", "utf-8")
    (folder / "walk.gpx").write_text("no track", "utf-8")
    assert code("import", str(folder), "--strict") == "not-toml"
    assert "0 documents" in run("list").stdout
    result = run("import", str(folder))
    assert result.exit_code == 1
    assert "recipes/draft.toml:1" in result.stderr
    assert run("show", "recipe", "draft").stdout == "title = \n"
    data = json.loads(run("import", str(folder), "--json").stdout)
    assert [one["code"] for one in data["unread"]] == ["not-toml", "gpx-not-xml"]
    assert ["recipe", "draft", "same"] in data["fates"]


def test_the_demo_is_read_whole(tmp_path: Path) -> None:
    write_demo(tmp_path / "demo")
    (tmp_path / "demo/sheets").mkdir()
    for number in range(4):
        (tmp_path / f"demo/sheets/{number}.txt").write_text("x")
    result = run("import", str(tmp_path / "demo"), "--strict")
    assert result.exit_code == 0, result.exception
    assert "left alone: 4 files in 'sheets' (no place for documents)" in result.stdout
    names = [(one["kind"], one["name"]) for one in json.loads(run("list", "--json").stdout)]
    assert ("trip", "trip") in names
    assert ("track", "walk") in names
    assert all(len(line) <= 80 for line in run("list").stdout.splitlines()[:-1])


def test_another_book_and_a_copy_of_it(folder: Path, tmp_path: Path, usual: Path) -> None:
    other = str(tmp_path / "other.fellfare")
    run("import", str(folder), "--book", other)
    assert not usual.exists()
    copy = str(tmp_path / "copy")
    assert run("backup", copy, "--book", other).exit_code == 0
    assert run("show", "recipe", "soup", "--book", copy).stdout == SOUP
    assert code("backup", copy, "--book", other) == "file-exists"
    assert run("backup", copy, "--book", other, "--replace").exit_code == 0


def test_a_club_has_a_book_of_its_own(folder: Path, usual: Path) -> None:
    founded = run("club", "Moor Walkers")
    token = founded.stdout.strip()
    assert len(token) >= 40
    assert token not in founded.stderr
    assert run("invite", "moor walkers", "--role", "reader").stdout.strip() != token
    assert code("invite", "no club") == "unknown-club"
    run("import", str(folder), "--club", "Moor Walkers")
    assert "0 documents" in run("list").stdout
    assert run("show", "recipe", "soup", "--club", "Moor Walkers").stdout == SOUP
    with open_book(usual) as book:
        joined = book.shelf.accounts.sign_up(token, "Tansy", "heather stile lantern peat")
    assert joined.role == "keeper"


def test_the_kinds_are_those_of_the_book() -> None:
    assert set(opening.KINDS) == set(KINDS)


def test_control_letters_do_not_reach_the_terminal(folder: Path) -> None:
    (folder / "recipes/soup.toml").write_text(SOUP + "# \x1b[31mred\n", "utf-8")
    run("import", str(folder))
    run("restore", "recipe", "soup", "1")
    (folder / "recipes/soup.toml").write_text(SOUP, "utf-8")
    run("import", str(folder))
    assert "\x1b" not in run("compare", "recipe", "soup", "1", "2").stdout


# -- the usual place --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("environ", "platform", "place"),
    [
        ({}, "linux", "/h/.local/share/fellfare/book.fellfare"),
        ({"XDG_DATA_HOME": "/data"}, "linux", "/data/fellfare/book.fellfare"),
        # XDG Base Directory Specification 0.8: a relative path is to be ignored.
        ({"XDG_DATA_HOME": "data"}, "linux", "/h/.local/share/fellfare/book.fellfare"),
        ({}, "darwin", "/h/Library/Application Support/Fellfare/book.fellfare"),
        ({}, "win32", "/h/AppData/Local/Fellfare/book.fellfare"),
        ({"LOCALAPPDATA": "/l"}, "win32", "/l/Fellfare/book.fellfare"),
        ({"FELLFARE_BOOK": "/b/x"}, "linux", "/b/x"),
        ({"FELLFARE_BOOK": "postgresql://h/d"}, "win32", "postgresql://h/d"),
        ({"FELLFARE_BOOK": " "}, "linux", "/h/.local/share/fellfare/book.fellfare"),
    ],
)
def test_the_usual_place(environ: dict[str, str], platform: str, place: str) -> None:
    assert usual_place(environ, platform, Path("/h")) == place


def test_the_command_costs_no_database_until_it_is_used() -> None:
    script = (
        "import sys; import fellfare.cli.main, fellfare.cli.book;"
        "print([name for name in ('sqlalchemy', 'alembic', 'psycopg') if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | {"PYTHONPATH": str(Path(__file__).parents[2] / "src")},
    )
    assert done.stdout.strip() == "[]"
