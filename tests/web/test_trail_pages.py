"""The trail in the browser: each day by the clock, its food, and the file for the phone."""

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

Client = TestClient[Litestar]

SMALL: Any = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("small_kitchen.py"))))


def words(answer: Any) -> str:
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", answer.text)))


@pytest.fixture
def trail(client: Client, book: Book) -> Client:
    """A client before a small trip with a box."""
    SMALL.lay_in(book, SMALL.TRIP + SMALL.BOX)
    return client


def test_an_empty_book_teaches_what_would_come_along(client: Client) -> None:
    assert "Nothing comes along yet" in words(client.get("/trail"))


def test_the_list_offers_the_file_for_the_phone(trail: Client) -> None:
    answer = trail.get("/trail")
    assert 'href="/trail/moor"' in answer.text
    assert 'href="/kitchen/moor/papers/html"' in answer.text


def test_a_day_goes_by_the_clock(trail: Client) -> None:
    said = words(trail.get("/trail/moor"))
    # 9 km on the flat begin at 8 h, the trip's own hour where none is told; the spring is at km 4.
    day = said[said.index("By the clock") : said.index("Day 2 Fri")]
    assert "08:00 leave" in day
    assert "last water: km 4.0" in day
    assert day.index("leave") < day.index("last water") < day.index("Low Sike")
    assert "opens Ridge box" in said


def test_what_is_done_with_each_bag_stands_beside_it(trail: Client) -> None:
    said = words(trail.get("/trail/moor"))
    assert "Bag 1 pot, 90 g" in said
    assert "Boil : 450 ml" in said or "Boil: 450 ml" in said  # 15 tenths of 300 ml
    assert "Bag 2 jar, 100 g" in said


def test_the_phone_file_holds_the_same_card(trail: Client) -> None:
    answer = trail.get("/kitchen/moor/papers/html")
    assert answer.headers["content-disposition"].startswith("attachment")
    assert len(answer.content) < 300_000
    for words_ in ("Lentil soup", "Cold oats", "Bag 1 pot, 90 g"):
        assert words_ in answer.text


def test_a_trail_without_its_recipes_says_why(trail: Client, book: Book) -> None:
    book.delete("recipe", "oats")
    assert "cannot be provided for yet" in words(trail.get("/trail/moor"))
    assert trail.get("/trail/nothing").status_code == 404
