"""``fellfare bulk``: the worked example of the trade, by hand, and what is refused."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from fellfare.cli import main

TEXT = """title = "Course"
people = 4
days = 8
column_lb = 1.75
avoid = ["tree-nut"]

[[group]]
name = "breakfast"
foods = { quick-oats = 0.75, raisins = 0.25 }

[[group]]
name = "cheese"
foods = { cheddar = 1.0 }

[[group]]
name = "trail food"
foods = { almond = 0.5, peanut = 0.5 }

[[group]]
name = "spice kit"
g_per_person_day = 5
foods = { curry-powder = 1.0 }

[[pack]]
food = "quick-oats"
size_g = 500
price = 1.20
"""
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    def ask(text: str, *words: str) -> tuple[int, str, str]:
        path = tmp_path / "bulk.toml"
        path.write_text(text)
        monkeypatch.setattr(sys, "argv", ["fellfare", "bulk", str(path), *words])
        with pytest.raises(SystemExit) as left:
            main()
        printed = capsys.readouterr()
        return int(left.value.code or 0), printed.out, printed.err

    return ask


def test_the_trades_worked_example(run: Run) -> None:
    # 4 people x 8 days x 1.75 lb = 56 lb: the trade's own worked example.
    status, out, _ = run(TEXT, "--json")
    assert status == 1  # almonds in a shared bag for somebody who avoids tree nuts
    data = json.loads(out)
    assert data["promised_g"] == pytest.approx(56 * 453.59237)
    rows = {row["food"]: row for row in data["shopping"]}
    # breakfast 0.28 lb at 1.75: 0.28 x 32 person-days x 453.59 g, three quarters of it oats
    oats = rows["quick-oats"]
    assert oats["need_g"] == pytest.approx(0.75 * 0.28 * 32 * 453.59237)
    assert oats["packs"] == [{"size_g": 500.0, "count": 7}]
    assert oats["spare_g"] == pytest.approx(7 * 500 - oats["need_g"])
    assert float(oats["price"]) == pytest.approx(8.40)
    assert len(oats["bags_g"]) == 4
    assert sum(oats["bags_g"]) == pytest.approx(oats["need_g"])
    assert rows["curry-powder"]["need_g"] == pytest.approx(5 * 32)
    assert data["mass_g"] == pytest.approx(sum(row["need_g"] for row in rows.values()))
    assert data["cost"] is None  # not every food has a price
    rules = {finding["rule"] for finding in data["findings"]}
    assert {"bulk-allergen", "ration-group-left-out"} <= rules


def test_a_factor_that_nobody_can_read_is_told_and_left_out(run: Run) -> None:
    text = TEXT.replace("column_lb = 1.75", "column_lb = 2.0") + (
        '\n[[group]]\nname = "flour and baking"\nfoods = { plain-flour = 1.0 }\n'
    )
    _, out, _ = run(text, "--json")
    data = json.loads(out)
    group = next(g for g in data["groups"] if g["name"] == "flour and baking")
    assert group["mass_g"] is None
    assert "plain-flour" not in {row["food"] for row in data["shopping"]}
    assert "ration-factor-not-legible" in {finding["rule"] for finding in data["findings"]}


def test_the_screen_fits_and_says_what_it_holds(run: Run) -> None:
    _, text, err = run(TEXT)
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "56 lb, 25.4 kg" in text
    assert "kcal/g" in text
    assert "ERROR" in err


@pytest.mark.parametrize(
    ("old", "new", "code", "line"),
    [
        ("quick-oats = 0.75", "quick-oats = 0.5", "bulk-shares", 9),
        ("cheddar = 1.0", "moss = 1.0", "unknown-food", 13),
        ('name = "cheese"', 'name = "chees"', "bulk-group-unknown", 12),
        ("column_lb = 1.75", "column_lb = 24", "ration-not-in-pounds", 4),
        ("g_per_person_day = 5", "g_per_person_day = -5", "ration-out-of-range", 21),
        ("people = 4", "people = 0", "ration-out-of-range", 2),
        ("size_g = 500", "size_g = 0", "pack-out-of-range", 26),
    ],
)
def test_a_wrong_field_is_told(run: Run, old: str, new: str, code: str, line: int) -> None:
    status, out, err = run(TEXT.replace(old, new))
    assert status == 2
    assert out == ""
    assert code in err
    if code in ("bulk-shares", "unknown-food", "bulk-group-unknown"):
        assert f"bulk.toml:{line}" in err


def test_the_cost_of_all_stands_with_its_currency(run: Run) -> None:
    _, text, _ = run(TEXT.replace("people = 4", 'people = 4\ncurrency = "EUR"'))
    # seven packs of 1.20; cheese, nuts, raisins and spices have no price
    assert "Cost at least 8.40 EUR (5 foods without a price)." in " ".join(text.split())


def test_a_trip_of_another_party_is_compared_for_a_person_and_day(run: Run, tmp_path: Path) -> None:
    (tmp_path / "trip.toml").write_text(
        'title = "Two days"\n[walk]\nfire = "none"\n[[stage]]\ndistance_m = 9000\ncamp = "C"\n'
        "[[stage]]\ndistance_m = 9000\n"
        '[[walker]]\nname = "Ada"\nsex = "female"\nage_y = 30\nheight_cm = 168\nmass_kg = 60\n'
        "base_pack_kg = 6\n"
    )
    text = TEXT.replace("people = 4", 'people = 4\ntrip = "trip.toml"')
    _, out, err = run(text)
    assert "4 × 8 (people × days)" in " ".join(err.split())
    assert "on 1 × 2 days" in " ".join(out.split())
    _, out, _ = run(text, "--json")
    data = json.loads(out)
    assert (data["need_people"], data["need_days"]) == (1, 2)
    assert data["covers"] == pytest.approx(data["energy_kcal"] / 32 * 2 / data["need_kcal"])
