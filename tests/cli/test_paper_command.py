"""``fellfare paper``: files on disk, what is said, and what is refused."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest

from fellfare.cli import main
from fellfare.cli.paper import KINDS, command
from fellfare.files.demo_documents import write_demo
from fellfare.paper.grid import COMMON

SOUP = """
title = "Lentil soup"
serves = 2
meals = ["dinner"]
[[line]]
food = "red-lentils"
amount = "120 g"
bag = "pot"
[[step]]
act = "boil"
bags = ["pot"]
water = "600 ml"
minutes = 15
"""


class Asked:
    """Runs the real command line."""

    def __init__(self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
        self.capsys, self.patch = capsys, monkeypatch

    def __call__(self, *words: str) -> tuple[int, str, str]:
        self.patch.setattr(sys, "argv", ["fellfare", "paper", *words])
        with pytest.raises(SystemExit) as left:
            main()
        printed = self.capsys.readouterr()
        return int(left.value.code or 0), printed.out, printed.err

    def data(self, *words: str) -> Any:
        _, out, _ = self(*words, "--json")
        return json.loads(out)


@pytest.fixture
def ask(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> Asked:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "soup.toml").write_text(SOUP, encoding="utf-8")
    return Asked(capsys, monkeypatch)


def test_every_kind_of_paper_is_written(ask: Asked, tmp_path: Path) -> None:
    code, out, _ = ask("soup.toml", "--kind", "all", "--eater", "Ada", "--eater", "Bo")
    assert code == 0
    for kind, name in KINDS.items():
        data = (tmp_path / "papers" / name).read_bytes()
        assert data.startswith(b"<!doctype html>" if kind == "html" else b"%PDF-"), kind
        assert str(Path("papers") / name) in out
    assert not list((tmp_path / "papers").glob(".fellfare-*"))


def test_a_recipe_card_is_what_comes_without_a_wish(ask: Asked, tmp_path: Path) -> None:
    assert ask("soup.toml", "--out", "o")[0] == 0
    assert [path.name for path in (tmp_path / "o").iterdir()] == ["recipe-cards.pdf"]


def test_the_same_words_give_the_same_bytes(ask: Asked, tmp_path: Path) -> None:
    for folder in ("one", "two"):
        ask("soup.toml", "--kind", "all", "--out", folder, "--first-day", "2031-05-01")
    for name in KINDS.values():
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_a_day_behind_the_file_is_the_day_of_the_walk(ask: Asked, tmp_path: Path) -> None:
    words = ("soup.toml@2", "soup.toml@4", "--kind", "html", "--out", "o")
    ask(*words, "--first-day", "2031-05-01")
    page = (tmp_path / "o" / "trail-card.html").read_text(encoding="utf-8")
    assert "Day 2 <small>Fri 2 May 2031" in page
    assert "Day 4 <small>Sun 4 May 2031" in page


def test_a_file_with_an_at_sign_is_still_a_file(ask: Asked, tmp_path: Path) -> None:
    (tmp_path / "soup@2").write_text(SOUP, encoding="utf-8")
    ask("soup@2", "--kind", "html", "--out", "o")
    assert "Day 1" in (tmp_path / "o" / "trail-card.html").read_text(encoding="utf-8")


def test_an_allergen_of_an_eater_is_an_error_and_status_1(ask: Asked) -> None:
    write_demo(Path("demo"))
    walnut = "demo/recipes/apple-quinoa-walnut-porridge.toml"
    code, out, err = ask(walnut, "--eater", "Ada:tree-nut", "--eater", "Bo")
    assert code == 1
    assert "recipe-cards.pdf" in out
    assert "ERROR" in err
    told = ask.data(walnut, "--eater", "Ada:tree-nut")
    assert [set(row) for row in told["papers"]] == [{"kind", "file", "bytes"}]
    assert any(one["severity"] == "error" for one in told["findings"])


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("soup.toml", "--kind", "labels", "--grid", "banana"), "unreadable-grid"),
        (("soup.toml", "--kind", "labels", "--label-width", "300"), "grid-off-the-sheet"),
        (("soup.toml", "--kind", "labels", "--skip", "99"), "skip-out-of-range"),
        (("soup.toml", "--first-day", "soon"), "bad-date"),
        (("soup.toml", "--for", "0"), "eaters-out-of-range"),
        (("soup.toml", "--for", "2", "--eater", "Ada"), "eaters-twice"),
        (("soup.toml", "--eater", "Ada", "--eater", "Ada"), "eater-twice"),
        (("soup.toml", "--eater", "Ada:moonbeams"), "unknown-allergen"),
        (("soup.toml@0",), "day-out-of-range"),
        (("none.toml",), "file-missing"),
    ],
)
def test_what_cannot_be_printed_is_refused(
    ask: Asked, tmp_path: Path, words: tuple[str, ...], code: str
) -> None:
    status, out, err = ask(*words)
    assert (status, out) == (2, "")
    assert f"[{code}]" in err.replace("\n", " ").replace("         ", "")
    assert not (tmp_path / "papers").exists()


def test_when_one_paper_cannot_be_drawn_none_is_written(ask: Asked, tmp_path: Path) -> None:
    (tmp_path / "soup.toml").write_text(SOUP.replace("Lentil", "🌶"), encoding="utf-8")
    assert ask("soup.toml", "--kind", "html", "--kind", "card")[0] == 2
    assert not (tmp_path / "papers").exists()
    assert ask("soup.toml", "--kind", "html")[0] == 0


def test_a_folder_that_cannot_be_written_is_told(ask: Asked, tmp_path: Path) -> None:
    (tmp_path / "o").write_text("in the way", encoding="utf-8")
    status, _, err = ask("soup.toml", "--out", "o/deeper")
    assert status == 2
    assert "file-unwritable" in err


def test_papers_take_the_place_of_older_ones(ask: Asked, tmp_path: Path) -> None:
    (tmp_path / "papers").mkdir()
    old = tmp_path / "papers" / "recipe-cards.pdf"
    old.write_bytes(b"old")
    ask("soup.toml")
    assert old.read_bytes().startswith(b"%PDF-")


def test_the_command_stands_in_the_list(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "argv", ["fellfare", "--help"])
    with pytest.raises(SystemExit):
        main()
    assert "paper" in capsys.readouterr().out


def test_the_page_on_papers_names_every_kind_option_and_grid() -> None:
    page = (Path(__file__).parents[2] / "docs" / "papers.md").read_text(encoding="utf-8")
    for kind, name in KINDS.items():
        assert f"| `{kind}` | `{name}` |" in page
    shared = {"foods", "json", "air", "altitude", "title"}  # as in the other commands
    told = {
        option.removeprefix("--") for p in command.params for option in p.opts if "--" in option
    }
    assert [option for option in sorted(told - shared) if f"--{option}" not in page] == []
    for grid in COMMON:
        label = f"{grid.width_mm:g} × {grid.height_mm:g} mm"
        margins = f"{grid.margin_left_mm:g}, {grid.margin_top_mm:g} mm"
        rows = [row for row in page.splitlines() if label in row and margins in row]
        assert len(rows) == 1, grid.said
        assert f"{grid.columns}x{grid.rows}" in rows[0]
