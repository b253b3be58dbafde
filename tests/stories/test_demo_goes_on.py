"""``fellfare demo`` runs the whole chain: menu, papers, what may go wrong, lessons, bulk, season.

What is expected is the same that the single commands print of the same documents.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from fellfare.book import open_book
from fellfare.cli.bulk import command as bulk
from fellfare.cli.demo import command as demo
from fellfare.cli.demo.sequel import _document
from fellfare.cli.layout import WIDTH, shown_width
from fellfare.cli.robust import command as robust
from fellfare.cli.season import command as season
from fellfare.files.demo_documents import demo_documents
from fellfare.files.demo_sequel import BULK, june_trip
from fellfare.files.log_toml import read_log
from fellfare.files.trip_toml import read_trip


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("whole") / "demo"
    result = CliRunner().invoke(demo, ["--out", str(folder)], catch_exceptions=False)
    assert result.exit_code == 0
    (folder.parent / "said.txt").write_text(result.stdout, "utf-8")
    return folder


@pytest.fixture(scope="module")
def said(out: Path) -> str:
    return (out.parent / "said.txt").read_text("utf-8")


def test_every_part_is_written_and_the_summary_says_where(out: Path, said: str) -> None:
    for name in (
        "menu.toml", "papers", "sheets/robust.txt", "sheets/lessons.txt", "log.toml", "next.toml",
        "sheets/bulk.txt", "bulk.toml", "sheets/season.txt", "seasons/two-parties.toml",
    ):  # fmt: skip
        assert (out / name).exists(), name
        assert str(out / name) in said, name
    assert "Left out" not in said
    wide = [line for line in said.splitlines() if shown_width(line) > WIDTH]
    assert [line for line in wide if str(out) not in line] == []


def test_the_summary_counts_the_errors_of_the_bulk_sheet(out: Path, said: str) -> None:
    # Corrie avoids tree nuts; no label says that the dried fruit is without.
    errors = (out / "sheets/bulk.txt").read_text("utf-8").count("\nERROR:")
    told = " ".join(said.split("The same party in bulk")[1].split("A season")[0].split())
    assert errors > 0
    assert "(ERROR: not every food suits everybody)" in told


@pytest.mark.parametrize("name", ["bulk.toml", "log.toml", "seasons/two-parties.toml"])
def test_what_is_invented_says_so(out: Path, name: str) -> None:
    assert "INVENTED" in (out / name).read_text("utf-8")


def test_the_sheets_are_what_the_commands_print(out: Path) -> None:
    for made, name, words in (
        (robust, "robust", [str(out / "trip.toml")]),
        (bulk, "bulk", [str(out / "bulk.toml")]),
    ):
        printed = CliRunner().invoke(made, words, catch_exceptions=False).stdout
        assert len(printed) > 200
        assert (out / "sheets" / f"{name}.txt").read_text("utf-8").startswith(printed), name


def test_the_next_trip_is_slower_as_the_log_says(out: Path) -> None:
    # The log times everybody a tenth slower than planned: belief goes there, not beyond.
    log = read_log(out / "log.toml").log
    assert {row.walker for row in log.walked} == {"Tansy", "Corrie", "Fell"}
    before, after = read_trip(out / "trip.toml").trip, read_trip(out / "next.toml").trip
    for was, now in zip(before.walkers, after.walkers, strict=True):
        assert was.pace_factor / 1.1 <= now.pace_factor < was.pace_factor


def test_both_parties_eat_the_same_and_are_bought_for_together(out: Path) -> None:
    words = [str(out / "seasons/two-parties.toml"), "--today", "2031-04-01", "--json"]
    told: dict[str, Any] = json.loads(CliRunner().invoke(season, words).stdout)
    assert [party["name"] for party in told["parties"]] == ["may", "june"]
    may, june = told["parties"]
    assert may["food_g"] == june["food_g"]
    sheet = (out / "sheets/season.txt").read_text("utf-8")
    assert all(f"{date}      9       3" in sheet for date in ("2031-05-01", "2031-06-02"))


def test_a_document_that_somebody_changed_is_kept_and_told(tmp_path: Path) -> None:
    kept: list[Path] = []
    path = tmp_path / "bulk.toml"
    assert _document(path, BULK, kept).read_text("utf-8") == BULK
    assert _document(path, BULK, kept).read_text("utf-8") == BULK
    assert kept == []
    path.write_text("mine", "utf-8")
    assert _document(path, BULK, kept).read_text("utf-8") == "mine"
    assert kept == [path]


def test_a_trip_whose_dates_were_changed_has_no_second_party() -> None:
    text = dict(demo_documents())["trip.toml"]
    assert "2031-06-02" in (june_trip(text) or "")
    assert june_trip(text.replace("2031-05-01", "2031-05-08")) is None


def test_the_documents_alone_are_no_more_than_the_documents(tmp_path: Path) -> None:
    words = ["--documents", "--out", str(tmp_path)]
    assert CliRunner().invoke(demo, words, catch_exceptions=False).exit_code == 0
    made = {path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*.*")}
    assert {name for name in made if not name.startswith("sheets/")} == {
        name for name, _ in demo_documents()
    }


def test_a_book_takes_the_whole_folder_with_menu_log_and_season(out: Path, tmp_path: Path) -> None:
    with open_book(tmp_path / "book") as book:
        taken = book.import_folder(out)
    found = {(kind, name) for kind, name, _ in taken.fates}
    assert {
        ("menu", "trip"), ("log", "trip"), ("season", "two-parties"), ("trip", "next"),
        ("trip", "trip-june"),
    } <= found  # fmt: skip
    assert ("menu.toml", "not a trip") not in taken.left_out
