"""Many documents at once: rows for all, whatever fails, dies or is broken off."""

from __future__ import annotations

import json
import os
import signal
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from fellfare.batch.journal import Journal
from fellfare.batch.running import cluster, run, write_parquet
from fellfare.batch.work import COLUMNS, row_of
from fellfare.cli import main
from fellfare.cli.batch import _text
from fellfare.files.demo_documents import write_demo
from fellfare.files.recipe_toml import read_recipe
from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.recipe.sheet import make_sheet

pytestmark = [
    # The library's own sockets and loops close late, and one of its parts calls another old.
    pytest.mark.filterwarnings("ignore::DeprecationWarning"),
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]

SOUP = """title = "Soup {number}"
serves = 1
meals = ["dinner"]
[[line]]
food = "couscous"
amount = "{grams} g"
bag = "pot"
[[step]]
act = "steep"
bags = ["pot"]
water = "200 ml"
"""


@pytest.fixture(scope="module")
def client() -> Iterator[Any]:
    with cluster(2) as made:
        yield made


@pytest.fixture
def recipes(tmp_path: Path) -> Path:
    folder = tmp_path / "recipes"
    folder.mkdir()
    for number in range(12):
        text = SOUP.format(number=number, grams=50 + number)
        (folder / f"soup-{number:02}.toml").write_text(text)
    return folder


def test_a_row_is_the_sheet_of_the_recipe(recipes: Path) -> None:
    path = recipes / "soup-03.toml"
    row = row_of("recipe", str(path))
    sheet = make_sheet(read_recipe(path).recipe, shipped_pantry())
    assert list(row) == list(COLUMNS["recipe"])
    assert row["mass_g"] == sheet.mass.value == 53
    assert row["energy_kcal"] == sheet.energy.whole
    assert row["code"] is None


def test_what_fails_is_a_row_and_the_others_go_on(client: Any, recipes: Path) -> None:
    (recipes / "soup-05.toml").write_text("title = 5 5\n")
    (recipes / "soup-06.toml").write_text(SOUP.format(number=6, grams=-1))
    paths = [str(path) for path in sorted(recipes.glob("*.toml"))]
    journal = Journal(recipes / "rows.journal")
    rows = run(client, "recipe", [*paths, str(recipes / "none.toml")], journal)
    journal.close()
    codes = [row["code"] for row in rows]
    assert codes[5:7] == ["not-toml", "amount-negative"]
    assert codes[12] == "file-missing"
    assert sum(code is None for code in codes) == 10
    assert [row["file"] for row in rows] == [*paths, str(recipes / "none.toml")]
    assert "soup-05.toml:1" in rows[5]["where"]


def test_a_worker_that_is_killed_loses_nothing(recipes: Path) -> None:
    for number in range(12, 120):
        (recipes / f"soup-{number:03}.toml").write_text(SOUP.format(number=number, grams=60))
    paths = [str(path) for path in sorted(recipes.glob("*.toml"))]
    journal = Journal(recipes / "rows.journal")
    with cluster(2) as two:
        pids = list(two.run(os.getpid).values())
        killed: list[int] = []

        def kill_one(row: dict[str, Any], done: int, of: int) -> None:
            if not killed:
                killed.append(pids[0])
                os.kill(pids[0], signal.SIGKILL)

        rows = run(two, "recipe", paths, journal, heard=kill_one)
    journal.close()
    assert killed
    assert [row["file"] for row in rows] == paths
    assert {row["code"] for row in rows} == {None}
    assert len(Journal(recipes / "rows.journal").done) == len(paths)


def test_a_broken_off_run_goes_on_where_it_stopped(client: Any, recipes: Path) -> None:
    paths = [str(path) for path in sorted(recipes.glob("*.toml"))]
    file = recipes / "rows.journal"
    journal = Journal(file)

    class BrokenOffError(Exception):
        pass

    def stop(row: dict[str, Any], done: int, of: int) -> None:
        if done == 5:
            raise BrokenOffError

    with pytest.raises(BrokenOffError):
        run(client, "recipe", paths, journal, heard=stop)
    journal.close()
    with file.open("ab") as torn:
        torn.write(b'{"file": "half a li')  # the power went
    again = Journal(file)
    assert len(again.done) == 5
    heard: list[str] = []
    rows = run(
        client, "recipe", paths, again, heard=lambda row, done, of: heard.append(row["file"])
    )
    again.close()
    assert len(heard) == 7
    assert [row["mass_g"] for row in rows] == [50 + number for number in range(12)]


def test_a_file_that_is_no_journal_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "x.journal"
    path.write_text("my notes\n")
    with pytest.raises(Mistake, match="journal-unreadable"):
        Journal(path)
    assert path.read_text() == "my notes\n"


def test_rows_come_back_from_parquet(recipes: Path) -> None:
    import pyarrow.parquet as pq

    rows = [row_of("recipe", str(path)) for path in sorted(recipes.glob("*.toml"))]
    write_parquet(recipes / "rows.parquet", "recipe", rows)
    assert pq.read_table(recipes / "rows.parquet").to_pylist() == rows


def test_the_command_writes_rows_and_tells_what_failed(
    recipes: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def ask(*words: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["fellfare", "batch", *words])
        with pytest.raises(SystemExit) as left:
            main()
        printed = capsys.readouterr()
        return int(left.value.code or 0), printed.out, printed.err

    (recipes / "soup-05.toml").write_text("title = ")
    out = recipes.parent / "rows.csv"
    status, text, _ = ask(str(recipes), "--recipes", "--out", str(out), "--workers", "1")
    assert status == 1
    assert "1 x not-toml" in text
    assert max(len(line) for line in text.splitlines() if "/" not in line) <= 80
    assert len(out.read_text().splitlines()) == 13
    assert not out.with_name("rows.csv.journal").exists()
    (recipes / "soup-05.toml").unlink()
    status, text, _ = ask(str(recipes), "--recipes", "--out", str(out), "--json")
    assert status == 0
    assert len(json.loads(text)["rows"]) == 11
    assert ask(str(recipes), "--out", str(out))[0] == 2  # no trip lies there
    assert ask(str(recipes), "--recipes", "--out", "rows.txt")[0] == 2


def lone(folder: Path, protein: float) -> Path:
    """The demo's vegetarian alone for two days, with so much protein per kg of body mass."""
    write_demo(folder)
    whole = (folder / "trip.toml").read_text()
    walker = whole[
        whole.index('[[walker]]\nname = "Tansy"') : whole.index('[[walker]]\nname = "Corrie')
    ]
    (folder / "trip.toml").write_text(
        f"""title = "Two days"
recipes = ["recipes"]
{walker}
[walk]
fire = "none"
[[stage]]
distance_m = 14000
ascent_m = 300
[[stage]]
distance_m = 12000
descent_m = 300
[rules]
protein_g_per_kg = {protein}
"""
    )
    return folder / "trip.toml"


def test_a_search_that_ran_out_of_time_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = lone(tmp_path, 0.8)
    beat = iter(range(10**9))  # every look at this clock is another hour
    with monkeypatch.context() as patch:
        patch.setattr("fellfare.batch.work.time.monotonic", lambda: 3600.0 * next(beat))
        row = row_of("trip", str(path), 3.0)
    assert row["code"] == "menu-not-in-time"
    assert "the time ran out (3 s" in row["what"]
    assert "not known" in row["what"]
    assert "give:" not in row["what"]
    assert row["verdict"] == "stopped"


def test_that_there_is_no_menu_is_said_where_it_is_proven(tmp_path: Path) -> None:
    row = row_of("trip", str(lone(tmp_path, 4.0)), 20.0)  # 250 g of protein a day
    assert row["code"] == "no-menu"
    assert "protein" in row["what"]
    assert row["verdict"] == "impossible"


def test_the_best_found_is_told_when_the_time_ran_out(tmp_path: Path) -> None:
    row = row_of("recipe", str(tmp_path / "none.toml")) | dict.fromkeys(COLUMNS["trip"])
    row |= {"file": "a/trip.toml", "title": "A", "verdict": "stopped", "gap": 0.031,
            "mass_g": 5000.0, "energy_kcal": 9000.0, "errors": 0, "cautions": 0}  # fmt: skip
    text = "\n".join(_text("trip", (row,), [], tmp_path / "x.csv"))
    assert "A: the time ran out; the best menu found is told, within 3.1 %" in text
    assert "Without an answer" not in text


def test_a_scheduler_that_does_not_answer_is_told() -> None:
    with (
        pytest.raises(Mistake, match="scheduler-unreachable"),
        cluster(1, "tcp://127.0.0.1:9"),
    ):
        pass
