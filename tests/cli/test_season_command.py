"""``fellfare season``: one purchase, lots, a recall, and only the papers that changed."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from fellfare.cli import main

TRIP = """
title = "{title}"
start_date = {start}
[walk]
day_c = 15
night_c = 5
fire = "none"
[[stage]]
distance_m = 9000
camp = "Camp"
[[stage]]
distance_m = 9000
[[walker]]
name = "{walker}"
sex = "female"
age_y = 30
height_cm = 168
mass_kg = 60
base_pack_kg = 6
[[kitchen]]
walkers = ["{walker}"]
stove = "gas-screened"
fuel = "gas"
"""
MENU = """
title = "saved"
[[plate]]
day = 1
time = "dinner"
dish = "soup"
[[plate.portions]]
walker = "{walker}"
steps = {steps}
of = 20
mass_g = 70.0
energy_kcal = 250.0
"""
SOUP = """
title = "Lentil soup"
serves = 1
meals = ["dinner"]
[[line]]
food = "red-lentils"
amount = "60 g"
bag = "pot"
[[line]]
food = "salt"
amount = "2 g"
bag = "pot"
[[step]]
act = "boil"
bags = ["pot"]
water = "300 ml"
minutes = 15
"""
SEASON = """
title = "Summer"
currency = "EUR"
[in_store]
salt = 1000
[[case]]
food = "red-lentils"
size_g = 100
price = 1.50
[[party]]
name = "early"
trip = "early/trip.toml"
log = "early/log.toml"
[[party]]
name = "late"
trip = "late/trip.toml"
[[lot]]
number = "L2"
food = "red-lentils"
mass_g = 500
best_before = 2031-12-01
[[lot]]
number = "L1"
food = "red-lentils"
mass_g = 70
best_before = 2031-06-15
supplier = "the mill"
"""

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    def ask(*words: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["fellfare", "season", *words])
        with pytest.raises(SystemExit) as left:
            main()
        printed = capsys.readouterr()
        return int(left.value.code or 0), printed.out, printed.err

    return ask


@pytest.fixture
def season(tmp_path: Path) -> Path:
    for name, walker, start in (("early", "Ada", "2031-05-01"), ("late", "Bea", "2031-07-01")):
        folder = tmp_path / name
        (folder / "recipes").mkdir(parents=True)
        (folder / "recipes/soup.toml").write_text(SOUP)
        (folder / "trip.toml").write_text(TRIP.format(title=name, walker=walker, start=start))
        (folder / "menu.toml").write_text(MENU.format(walker=walker, steps=20))
    (tmp_path / "early/log.toml").write_text(
        '[[left]]\nwalker = "Ada"\nday = 1\neating = "dinner"\nhome_g = 14\n'
    )
    path = tmp_path / "season.toml"
    path.write_text(SEASON)
    return path


def data(run: Run, *words: str) -> Any:
    status, out, _ = run(*words, "--json")
    assert status == 0
    return json.loads(out)


def test_one_purchase_for_all_in_whole_cases(run: Run, season: Path) -> None:
    told = data(run, str(season), "--today", "2031-04-01")
    rows = {row["food"]: row for row in told["purchase"]["shopping"]}
    lentils = rows["red-lentils"]
    # by hand: 60 g for each of two parties; two cases of 100 g, where each alone spares 40 g
    assert lentils["need_g"] == pytest.approx(120)
    assert lentils["packs"] == [{"size_g": 100.0, "count": 2, "name": ""}]
    assert lentils["parties"] == {"early": 60.0, "late": 60.0}
    assert float(lentils["price"]) == 3.0
    assert told["purchase"]["spare_g"] == told["purchase"]["spare_apart_g"] == pytest.approx(80)
    assert rows["salt"]["in_store_g"] > 0
    assert rows["salt"]["buy_g"] == 0


def test_what_is_past_is_not_bought_again(run: Run, season: Path) -> None:
    told = data(run, str(season), "--today", "2031-06-01")
    assert [party["when"] for party in told["parties"]] == ["back", "to come"]
    (row,) = [r for r in told["purchase"]["shopping"] if r["food"] == "red-lentils"]
    assert row["need_g"] == pytest.approx(60)


def test_for_filled_bags_nothing_is_bought(run: Run, season: Path) -> None:
    season.write_text(f'{SEASON}\n[[packed]]\nparty = "early"\nlots = ["L1", "L2"]\n')
    told = data(run, str(season), "--today", "2031-04-01")
    (row,) = [r for r in told["purchase"]["shopping"] if r["food"] == "red-lentils"]
    assert row["need_g"] == pytest.approx(60)


def test_lots_go_by_their_dates_and_a_recall_finds_the_bags(run: Run, season: Path) -> None:
    told = data(run, str(season), "--today", "2031-05-02", "--recall", "L1")
    lots = {lot["number"]: lot for lot in told["lots"]}
    # L1 spoils first: 60 g to the early party, 10 g to the late one; the rest from L2
    assert lots["L1"]["left_g"] == pytest.approx(0)
    assert lots["L2"]["left_g"] == pytest.approx(450)
    assert [(one["party"], one["when"], one["mass_g"]) for one in told["recall"]] == [
        ("early", "out", pytest.approx(60)),
        ("late", "to come", pytest.approx(10)),
    ]
    assert told["recall"][0]["eaters"] == ["Ada"]
    assert told["recall"][0]["bags"][0]["eaten_on"] == "2031-05-01"
    assert told["recall_doubtful"] == []  # L2 covers what L1 does not
    rules = {one["rule"] for one in told["findings"] if not one["parties"]}
    assert rules == {"lot-past-its-date", "lot-not-written-down"}  # late eats L1; salt has no lot
    status, text, _ = run(str(season), "--today", "2031-05-02", "--recall", "L1")
    assert status == 0
    assert "before they eat it" in text
    assert max(len(line) for line in text.splitlines()) <= 80
    assert run(str(season), "--recall", "L9")[0] == 2


def test_the_same_food_of_no_lot_may_be_of_it(run: Run, season: Path) -> None:
    text = SEASON.replace("mass_g = 500", "mass_g = 1")
    season.write_text(text)
    told = data(run, str(season), "--today", "2031-05-02", "--recall", "L1")
    # by hand: of the late party's 60 g, 10 g are of L1 and 1 g of L2
    assert [(one["party"], one["mass_g"]) for one in told["recall_doubtful"]] == [("late", 49)]
    _, out, _ = run(str(season), "--today", "2031-05-02", "--recall", "L1")
    assert "it may be of this one" in out
    assert max(len(line) for line in out.splitlines()) <= 80


def test_what_came_back_is_counted_by_party(run: Run, season: Path) -> None:
    (row,) = data(run, str(season), "--today", "2031-06-01")["returned"]
    assert row["party"] == "early"
    assert row["home_g"] == pytest.approx(14)
    assert row["share"] == pytest.approx(14 / 70)
    assert row["dishes"] == {"soup": pytest.approx(14)}


def test_a_late_change_writes_only_the_papers_it_touches(run: Run, season: Path) -> None:
    out = season.parent / "papers"
    words = (str(season), "--today", "2031-04-01", "--out", str(out))
    first = data(run, *words)["papers"]
    assert set(first.values()) == {"new"}
    assert set(data(run, *words)["papers"].values()) == {"same"}
    menu = season.parent / "late/menu.toml"
    menu.write_text(MENU.format(walker="Bea", steps=25))
    fates = data(run, *words)["papers"]
    assert {fate for path, fate in fates.items() if "/early/" in path} == {"same"}
    changed = {Path(path).name for path, fate in fates.items() if fate == "changed"}
    assert {"bag-labels.pdf", "shopping-list.pdf"} <= changed
    one = data(run, *words, "--party", "early")["papers"]
    assert all("/early/" in path for path in one)


def test_a_name_that_prints_otherwise_is_said(run: Run, season: Path) -> None:
    for file in ("trip.toml", "menu.toml"):
        path = season.parent / "early" / file
        path.write_text(path.read_text().replace('"Ada"', '"Ada 🥾"'))
    (season.parent / "early/log.toml").unlink()
    season.write_text(season.read_text().replace('log = "early/log.toml"\n', ""))
    out = season.parent / "papers"
    status, _, said = run(str(season), "--today", "2031-04-01", "--out", str(out))
    assert status == 0
    assert said.count("'Ada 🥾' is 'Ada' on the printed papers") == 1


def test_the_screen_fits(run: Run, season: Path) -> None:
    status, text, _ = run(str(season), "--today", "2031-04-01")
    assert status == 0
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "if every party bought alone" in " ".join(text.split())


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('name = "late"', 'name = "early"', "party-twice"),
        ('name = "late"', 'name = "../x"', "party-twice"),
        ('number = "L2"', 'number = "L1"', "lot-twice"),
        ("mass_g = 500", "mass_g = -5", "lot-out-of-range"),
        ('food = "red-lentils"\nmass_g = 70', 'food = "moss"\nmass_g = 70', "unknown-food"),
        ("late/trip.toml", "nowhere/trip.toml", "file-missing"),
        ("size_g = 100", "size_g = -1", "pack-out-of-range"),
    ],
)
def test_a_season_that_does_not_hold_is_told(
    run: Run, season: Path, old: str, new: str, code: str
) -> None:
    season.write_text(SEASON.replace(old, new))
    status, out, err = run(str(season))
    assert status == 2
    assert out == ""
    assert code in err


def test_a_book_that_is_written_out_is_read_as_it_stands(run: Run, tmp_path: Path) -> None:
    """``seasons/NAME.toml`` names trips, menus and logs as the book's folder has them."""
    for kind, name, text in (
        ("seasons", "summer", 'title = "S"\n[[party]]\nname = "a"\ntrip = "moor"\n'),
        ("recipes", "soup", SOUP),
        ("menus", "moor", MENU.format(walker="Ada", steps=20)),
        ("logs", "moor", '[[left]]\nwalker = "Ada"\nday = 1\neating = "dinner"\nhome_g = 14\n'),
        ("", "moor", TRIP.format(title="Moor", walker="Ada", start="2031-05-01")),
    ):
        (tmp_path / kind).mkdir(exist_ok=True)
        (tmp_path / kind / f"{name}.toml").write_text(text)
    told = data(run, str(tmp_path / "seasons/summer.toml"), "--today", "2031-04-01")
    assert [(one["name"], one["when"], one["bags"]) for one in told["parties"]] == [
        ("a", "to come", 1)
    ]
    assert told["returned"][0]["home_g"] == pytest.approx(14)


def test_a_season_without_a_party_says_so(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "season.toml"
    path.write_text('title = "S"\n')
    status, _, err = run(str(path))
    assert status == 2
    assert "season-empty" in err


def test_no_figure_has_endless_digits(run: Run, season: Path) -> None:
    _, out, _ = run(str(season), "--today", "2031-05-02", "--recall", "L1", "--json")
    assert re.findall(r"\d\.\d{4,}", out) == []


def test_what_a_party_must_not_eat_is_an_error_of_the_season(run: Run, season: Path) -> None:
    late = season.parent / "late"
    (late / "recipes/soup.toml").write_text(
        SOUP.replace('food = "salt"\namount = "2 g"', 'food = "peanut"\namount = "20 g"')
    )
    # a late change: the menu stays as it was saved
    trip = (late / "trip.toml").read_text()
    (late / "trip.toml").write_text(
        trip.replace("base_pack_kg = 6", 'base_pack_kg = 6\navoids = ["peanut"]')
    )
    words = (str(season), "--today", "2031-04-01", "--out", str(season.parent / "papers"))
    status, _, err = run(*words)
    assert status == 1
    said = " ".join(err.split())
    assert "ERROR: late: " in said
    assert "peanut" in said
    assert "ERROR: early" not in said
    status, out, _ = run(*words, "--json")
    assert status == 1
    found = [one for one in json.loads(out)["findings"] if one["severity"] == "error"]
    assert found
    assert all(one["parties"] == ["late"] for one in found)
    # once they are back it is no news any more
    assert run(str(season), "--today", "2031-08-01")[0] == 0
