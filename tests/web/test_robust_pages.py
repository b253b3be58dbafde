"""What goes wrong, as a page: the command's figures, drawn and in a table."""

from __future__ import annotations

import re
import runpy
from html import unescape
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from litestar import Litestar
from litestar.testing import TestClient

from fellfare.book import Book
from fellfare.provision.robust.blows import Blow, verdict_of
from fellfare.provision.robust.swings import Swing
from fellfare.web.pages.kitchen.wrong_pictures import SHORT, moves, shares

SMALL: Any = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("small_kitchen.py"))))
Client = TestClient[Litestar]


@pytest.fixture
def wrong(client: Client, book: Book) -> tuple[str, dict[str, Any]]:
    """The page and the command's data."""
    SMALL.lay_in(book, SMALL.TRIP + SMALL.BOX)
    data: dict[str, Any] = client.get("/api/menus/moor/robust").json()
    return client.get("/kitchen/moor/wrong").text, data


def words(text: str) -> str:
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", text)))


def test_every_blow_has_its_verdict_in_the_words_of_the_core(
    wrong: tuple[str, dict[str, Any]],
) -> None:
    page, data = wrong
    said = words(page)
    kinds = {blow["kind"] for blow in data["blows"]}
    assert {"bag", "day-bag", "extra-day", "storm-day", "dry-source", "box"} <= kinds
    rows = re.findall(r"<tr><th scope=\"row\">(.*?)</tr>", page, re.DOTALL)
    for blow in data["blows"]:
        (row,) = [words(one) for one in rows if blow["what"][1:] + "." in words(one)][:1]
        assert blow["verdict"] in row
        if blow["share"] is not None:
            assert f"{int(100 * blow['share'] + 1e-9)} %" in row
    assert "Judgements, no source" in said
    # the verdicts of the core, and no word that promises more
    assert " safe" not in said.lower().replace("food safe", "")


def test_the_most_that_helps_and_three_assumptions_are_named(
    wrong: tuple[str, dict[str, Any]],
) -> None:
    page, data = wrong
    said = words(page)
    assert "Which 150 g would help most" in said
    first = data["helps"][0]["what"]
    assert first[:1].upper() + first[1:] in said
    order = sorted(data["swings"], key=lambda one: -one["moves_g"])
    most = [one["assumption"] for one in order[:3]]
    assert f"Most of all: {most[0]} , {most[1]} , {most[2]} ." in said


def test_each_picture_has_words_and_a_table(wrong: tuple[str, dict[str, Any]]) -> None:
    page, _ = wrong
    for name in ("shares", "moves"):
        assert f'aria-labelledby="{name}-title {name}-desc"' in page
        assert f'<desc id="{name}-desc">' in page
    assert page.count("The table holds the figures.") == 2
    assert "1e-" not in page
    assert re.search(r"\d\.\d{3,}", re.sub(r"<svg.*?</svg>", "", page, flags=re.DOTALL)) is None


def blow(share: float | None, days: int = 3, **more: Any) -> Blow:
    told: dict[str, Any] = {
        "kind": "bag", "what": "a bag is lost", "first_day": 1, "last_day": days, "walker": "Ada",
        "share": share, "lacking_kcal": 0.0, "verdict": verdict_of(share, days),
    }  # fmt: skip
    return Blow(**(told | more))


def test_bars_are_as_long_as_their_share() -> None:
    drawn = shares([blow(0.4), blow(0.8), blow(None), blow(3.0)])
    assert drawn is not None
    first, second, most = drawn.bars
    assert second.width == pytest.approx(2 * first.width, abs=0.2)
    assert (first.kind, second.kind) == ("does-not-stand", "stands")
    stands = next(line for line in drawn.lines if line.text == "80")
    assert second.x + second.width == pytest.approx(stands.x, abs=0.2)
    assert most.x + most.width <= drawn.width  # what is far beyond ends at the picture's end
    assert most.text == "300 %"
    assert shares([blow(None)]) is None
    assert set(SHORT) == {
        "bag", "day-bag", "extra-day", "storm-day", "storm-fuel", "dry-source", "box",
    }  # fmt: skip


def test_assumptions_go_both_ways_from_the_plan() -> None:
    swing = Swing(assumption="appetite", low="less", high="more", low_food_g=900.0,
                  high_food_g=1200.0, low_fuel_g=10.0, high_fuel_g=10.0)  # fmt: skip
    drawn = moves([swing], 1000.0)
    assert drawn is not None
    (zero,) = drawn.lines
    less, more = drawn.bars
    assert less.x + less.width == pytest.approx(zero.x)
    assert more.x == pytest.approx(zero.x)
    assert more.width == pytest.approx(2 * less.width, abs=0.2)
    assert [bar.text for bar in drawn.bars] == ["−100 g", "+200 g"]
    none = Swing(assumption="air", low="", high="", low_food_g=None, high_food_g=1000.0,
                 low_fuel_g=None, high_fuel_g=10.0)  # fmt: skip
    assert moves([none], 1000.0) is None
