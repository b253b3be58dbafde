"""``fellfare basket`` through the front door: text, JSON, exit status, refusals."""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from typing import Any

import pytest

from fellfare.cli import main
from fellfare.cli.basket import command
from fellfare.cli.layout import WIDTH, shown_width

CSV = """\
name,size_g,wrapping_g,price,stock,volume_ml,energy_kcal,protein_g,salt_g,contains,may_contain,diets,ways,currency
oat biscuits,250,6,2.40,4,520,460,7,0.9,oats wheat,almond,vegetarian,dry,EUR
salted peanuts,200,4,3.10,3,330,615,25,1.1,peanut,,vegan,dry,EUR
hard cheese,150,5,4.00,3,150,400,28,1.8,milk,,vegetarian,dry,EUR
instant noodles,85,8,0.90,12,240,455,9,4.2,wheat soy,egg,vegetarian,hot-pour,EUR
loose dates,500,,4.20,2,480,282,2.5,,,,vegan,dry,EUR
"""
DOCS = Path(__file__).parents[2] / "docs" / "basket.md"


class Run:
    """Runs the real command line on the shelf above."""

    def __init__(
        self, folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        self.path = folder / "kiosk.csv"
        self.path.write_text(CSV, encoding="utf-8")
        self.capsys, self.patch = capsys, monkeypatch

    def __call__(self, *words: str) -> tuple[int, str, str]:
        self.patch.setattr(sys, "argv", ["fellfare", "basket", str(self.path), *words])
        with pytest.raises(SystemExit) as left:
            main()
        printed = self.capsys.readouterr()
        return int(left.value.code or 0), printed.out, printed.err

    def data(self, *words: str) -> tuple[int, dict[str, Any]]:
        status, out, err = self(*words, "--json")
        assert err == ""
        data = json.loads(out)
        assert isinstance(data, dict)
        return status, data


@pytest.fixture
def run(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    return Run(tmp_path, capsys, monkeypatch)


def test_a_basket_is_told_in_eighty_columns(run: Run) -> None:
    status, out, err = run("--days", "2", "--kcal", "2500", "--protein", "60", "--share", "60")
    assert (status, err) == (0, "")
    assert "Proven: there is no lighter basket" in out
    assert "at least 5 000" in out
    assert all(shown_width(line) <= WIDTH for line in out.splitlines())


def test_what_nobody_knows_is_not_told_as_nothing(run: Run) -> None:
    _, out, _ = run("--days", "1", "--kcal", "2000", "--price", "20")
    rows = [line.split() for line in out.splitlines()]
    assert ["fat", "unknown"] in rows  # the shelf has no column for fat
    assert any(row[:1] == ["price"] and row[-1] == "20.00" for row in rows)


def test_json_adds_up(run: Run) -> None:
    status, data = run.data("--days", "1.5", "--people", "2", "--kcal", "2400")
    assert status == 0
    assert data["verdict"] == "optimal"
    assert data["mass_g"] == pytest.approx(sum(one["mass_g"] for one in data["bought"]))
    assert data["price"] == pytest.approx(sum(one["price"] for one in data["bought"]))
    assert data["nutrients"]["energy_kcal"]["value"] >= 1.5 * 2 * 2400
    assert data["bound_g"] == data["value_g"] == data["mass_g"]
    assert data["currency"] == "EUR"


def test_cheapest_is_no_dearer_than_lightest(run: Run) -> None:
    words = ("--days", "2", "--kcal", "2500")
    _, light = run.data(*words)
    _, cheap = run.data(*words, "--least", "price")
    assert cheap["price"] <= light["price"]
    assert light["mass_g"] <= cheap["mass_g"]
    assert cheap["bound_price"] == cheap["price"]


def test_what_must_not_be_met_stays_on_the_shelf(run: Run) -> None:
    status, data = run.data("--days", "1", "--kcal", "1500", "--avoid", "tree-nut", "--no-fire")
    assert status == 0
    why = {one["name"]: one["why"] for one in data["left_out"]}
    assert "almond" in why["oat biscuits"]
    assert "not known" in why["loose dates"]
    assert "hot-pour" in why["instant noodles"]
    assert not why.keys() & {one["name"] for one in data["bought"]}


def test_what_cannot_be_done_ends_with_one_and_says_what_would_be_enough(run: Run) -> None:
    status, out, _ = run("--days", "5", "--kcal", "4000")
    assert status == 1
    assert "cannot be done" in out
    assert "Any one of these" in out
    status, data = run.data("--days", "5", "--kcal", "4000")
    assert status == 1
    assert data["verdict"] == "impossible"
    assert data["bought"] == []
    assert {give["wish"] for give in data["any_one"]} == {"energy at least", "what the shop has"}


def test_nothing_left_on_the_shelf_is_told(run: Run) -> None:
    status, out, _ = run("--days", "1", "--kcal", "2000", "--diet", "no-alcohol")
    assert status == 1
    assert "not known to be no-alcohol" in " ".join(out.split())


@pytest.mark.parametrize(
    "words",
    [
        ("--days", "0", "--kcal", "2000"),
        ("--days", "nan", "--kcal", "2000"),
        ("--days", "2", "--kcal", "nan"),
        ("--days", "2", "--kcal", "-3"),
        ("--days", "2", "--kcal", "2000", "--people", "0"),
        ("--days", "2", "--kcal", "2000", "--share", "0"),
        ("--days", "2", "--kcal", "2000", "--seconds", "0"),
        ("--days", "2", "--kcal", "2000", "--avoid", "plastic"),
        ("--days", "2", "--kcal", "3000", "--most-kcal", "2000"),
    ],
)
def test_nonsense_ends_with_two_and_one_clear_word(run: Run, words: tuple[str, ...]) -> None:
    status, out, err = run(*words)
    assert status == 2
    assert out == ""
    assert "mend:" in err


def test_every_option_stands_on_its_page() -> None:
    page = DOCS.read_text(encoding="utf-8")
    options = [name for param in command.params for name in param.opts if name.startswith("--")]
    assert len(options) >= 15
    missing = [name for name in options if not re.search(rf"`{name}\b|, `{name}\b", page)]
    assert missing == []
