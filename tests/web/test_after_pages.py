"""After a walk: what came home is written down, teaches, and corrects the next trip."""

from __future__ import annotations

import re
import runpy
import tomllib
from html import unescape
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from litestar import Litestar
from litestar.testing import TestClient

from fellfare.book import Book
from fellfare.files.log_toml import log_text
from fellfare.files.shipped import shipped_pantry
from fellfare.learn.lessons import items_of_plates, lessons_of
from fellfare.learn.log import (
    Boiled,
    Day,
    Item,
    Left,
    Liked,
    Soaked,
    TripLog,
    Walked,
    Weighed,
)
from fellfare.learn.next_trip import next_trip
from fellfare.trip.ground import NO_GROUND
from fellfare.trip.plan import plan_trip
from fellfare.web.documents import log_of, menu_of, trip_of
from fellfare.web.pages.after.form import form_from, form_of, log_from
from fellfare.web.pages.after.next_trip import corrected

Client = TestClient[Litestar]

SMALL: Any = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("small_kitchen.py"))))

ITEMS = (
    Item(walker="Ada", day=1, eating="dinner", dish="soup", mass_g=90, energy_kcal=320),
    Item(walker="Ada", day=2, eating="breakfast", dish="oats", mass_g=100, energy_kcal=350),
    Item(walker="Bo", day=2, eating="breakfast", dish="oats", mass_g=120, energy_kcal=420),
)
FULL = TripLog(
    title="Two days",
    rest_eaten=False,
    left=(
        Left(walker="Ada", day=1, eating="dinner", dish="soup", home_g=45),
        Left(walker="Bo", day=2, eating="breakfast", dish="oats", home_g=0, carried_g=130),
        Left(walker="Ada", day=2, eating="snack", home_g=20, carried_g=50),
    ),
    days=(Day(walker="Ada", day=2, felt="very hungry"), Day(walker="Bo", day=1, felt="enough")),
    liked=(Liked(walker="Ada", dish="soup", mark=4), Liked(walker="Bo", dish="oats", mark=2.5)),
    weighed=(Weighed(walker="Bo", before_kg=80, after_kg=79.4, error_kg=0.3),),
    walked=(Walked(walker="Ada", day=1, hours=2.5),),
    boiled=(Boiled(kitchen=1, water_g=500, from_c=10, fuel_g=9),),
    soaked=(Soaked(food="bulgur", water_c=8, done_minutes=80, not_yet_minutes=60),),
)


def words(answer: Any) -> str:
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", answer.text)))


def back(log: TripLog, walkers: tuple[str, ...] = ("Ada", "Bo")) -> TripLog:
    """Through the form, as a browser would send it, and to the document's text and back."""
    sent = {key: value for key, value in form_of(log, ITEMS, walkers).values.items() if value}
    form = form_from(sent, ITEMS, log, walkers)
    made, faults, _ = log_from(form, log.title, walkers, 2)
    assert faults == {}
    return log_of(log_text(made)).log


def plain(log: TripLog) -> set[Any]:
    """Every row of a log; the order of a table says nothing."""
    rows = (*log.left, *log.days, *log.liked, *log.weighed, *log.walked, *log.boiled, *log.soaked)
    return {*rows, log.title, log.rest_eaten}


def test_log_to_form_to_log_loses_nothing() -> None:
    assert plain(back(FULL)) == plain(FULL)


@given(
    home=st.lists(st.floats(0, 90).map(lambda one: round(one, 3)), min_size=3, max_size=3),
    hours=st.floats(0.1, 24).map(lambda one: round(one, 3)),
    rest=st.booleans(),
)
def test_any_figures_come_back_as_they_were(home: list[float], hours: float, rest: bool) -> None:
    log = TripLog(
        title="Any",
        rest_eaten=rest,
        left=tuple(
            Left(walker=one.walker, day=one.day, eating=one.eating, dish=one.dish, home_g=grams)
            for one, grams in zip(ITEMS, home, strict=True)
        ),
        walked=(Walked(walker="Bo", day=2, hours=hours),),
    )
    assert plain(back(log)) == plain(log)


@pytest.fixture
def after(client: Client, book: Book) -> Client:
    """A client before a small trip that has been walked."""
    SMALL.lay_in(book)
    return client


def test_an_empty_book_teaches_what_to_weigh(client: Client) -> None:
    assert "Nothing to learn from yet" in words(client.get("/after"))


def test_the_form_is_made_from_the_menu(after: Client) -> None:
    assert 'href="/after/moor/edit"' in after.get("/after").text
    answer = after.get("/after/moor/edit")
    said = words(answer)
    assert "Lentil soup dinner, Ada" in said
    assert 'placeholder="90"' in answer.text  # what was carried, as planned
    assert after.get("/after/moor").status_code == 404  # nothing is written down yet


def test_what_came_home_is_kept_and_teaches(after: Client, book: Book, post: Any) -> None:
    answer = post.form(
        "/after/moor/edit",
        {"based_on": "", "rest": "eaten", "home-0": "45", "felt-0-2": "enough", "hours-0-1": "4",
         "mark-0-soup": "2", "boiled-0-kitchen": "1", "boiled-0-water_g": "500",
         "boiled-0-from_c": "10", "boiled-0-fuel_g": "10"},
    )  # fmt: skip
    assert answer.headers["location"] == "/after/moor?saved=1"
    log = log_of(book.get("log", "moor").text).log
    assert log.left == (Left(walker="Ada", day=1, eating="dinner", dish="soup", home_g=45),)
    page = after.get("/after/moor?saved=1")
    said = words(page)
    # 45 g of 190 g.
    assert "Ada brought 24 % of the food home, mostly dinner" in said
    assert "Lentil soup 2" in said
    assert "weighed boil" in said
    assert 'role="img"' in page.text
    data = after.get("/api/logs/moor/lessons").json()
    assert data["walkers"][0]["home_g"] == 45
    assert "5 notes" in words(after.get("/after"))


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("home-0", "lots", "is no number"),
        ("home-0", "95", "came home of"),
        ("hours-0-1", "30", "hours on the move"),
        ("mark-0-soup", "9", "1 (never again) to 5"),
        ("weighed-0-before_kg", "64", "nothing stands here"),
        ("carried-0", "80", "how much of it came home"),
    ],
)
def test_a_wrong_value_is_told_beside_its_field_and_the_rest_is_kept(
    after: Client, book: Book, post: Any, field: str, value: str, said: str
) -> None:
    fields = {"based_on": "", "home-1": "12"} | {field: value}
    answer = post.form("/after/moor/edit", fields)
    assert answer.status_code == 422
    assert said in words(answer)
    assert 'aria-invalid="true"' in answer.text
    assert f'value="{value}"' in answer.text or f"selected>{value}" in answer.text
    assert 'value="12"' in answer.text
    assert book.names("log") == ()


def test_a_boil_with_more_heat_than_fuel_holds_is_told_at_its_row(after: Client, post: Any) -> None:
    answer = post.form(
        "/after/moor/edit",
        {"based_on": "", "boiled-0-water_g": "2000", "boiled-0-from_c": "5",
         "boiled-0-fuel_g": "2"},
    )  # fmt: skip
    assert answer.status_code == 422
    assert 'id="boiled-0-' in answer.text
    assert "-fault" in answer.text


HUNGRY = """\
title = "Two days"
[[day]]
walker = "Ada"
day = 1
felt = "very hungry"
[[day]]
walker = "Ada"
day = 2
felt = "very hungry"
[[walked]]
walker = "Ada"
day = 1
hours = 4.0
"""


def test_the_trip_is_corrected_as_a_revision_and_its_comments_stay(
    after: Client, book: Book, post: Any
) -> None:
    book.save("log", "moor", HUNGRY, None)
    assert "Correct this trip" in words(after.get("/after/moor"))
    answer = post.form("/after/moor/next", {"do": "correct", "based_on": "1"})
    assert answer.headers["location"] == "/trips/moor?saved=2"
    text = book.get("trip", "moor").text
    assert "# two short days; this word must stay" in text
    assert "# she walks alone" in text
    ada = tomllib.loads(text)["walker"][0]
    # 4 h for 18 km in two days were planned as 3: she is slower than the plan thought.
    assert ada["pace_factor"] < 1.0
    assert ada["appetite"][-1]["share"] > 1.0 or len(ada["appetite"]) > 1
    undone = post("/book/trip/moor/undo", based_on="2")
    assert undone.status_code == 303
    assert book.get("trip", "moor").text == SMALL.TRIP


def test_the_corrected_document_says_what_was_learnt_and_no_more(
    after: Client, book: Book, post: Any
) -> None:
    left = '[[left]]\nwalker = "Ada"\nday = 1\neating = "dinner"\ndish = "soup"\nhome_g = 60\n'
    boil = "[[boiled]]\nkitchen = 1\nwater_g = 500\nfrom_c = 10\nfuel_g = 10\n"
    log = log_of(HUNGRY.replace("very hungry", "enough") + left + boil).log
    trip = trip_of(SMALL.TRIP)
    items = items_of_plates(menu_of(SMALL.MENU).plates)
    lessons = lessons_of(log, plan_trip(trip, NO_GROUND), shipped_pantry(), items)
    made = next_trip(trip, lessons)
    text = corrected(SMALL.TRIP, made)
    assert trip_of(text) == made.trip != trip
    assert trip_of(text).eating != trip.eating  # dinner moved against the others
    assert trip_of(text).kitchens != trip.kitchens


@pytest.mark.parametrize(
    "rows",
    [
        '[[walked]]\nwalker = "Ada"\nday = 1\nhours = 2\n' * 2,
        '[[liked]]\nwalker = "Zoe"\ndish = "soup"\nmark = 2\n',
        '[[day]]\nwalker = "Ada"\nday = 9\nfelt = "enough"\n',
    ],
)
def test_a_log_with_rows_that_have_no_field_is_changed_as_text(
    after: Client, book: Book, rows: str
) -> None:
    book.save("log", "moor", rows, None)
    answer = after.get("/after/moor/edit", follow_redirects=False)
    assert answer.headers["location"] == "/book/log/moor/text"


def test_a_new_trip_is_begun_from_it(after: Client, book: Book, post: Any) -> None:
    book.save("log", "moor", HUNGRY, None)
    answer = post.form("/after/moor/next", {"do": "new", "title": "Moor again"})
    assert answer.headers["location"] == "/trips/moor-again?saved=1"
    keys = tomllib.loads(book.get("trip", "moor-again").text)
    assert keys["title"] == "Moor again"
    assert "start_date" not in keys
    assert keys["walker"][0]["pace_factor"] < 1.0
    assert book.get("trip", "moor").text == SMALL.TRIP
    assert after.get("/trips/moor-again").status_code == 200


def test_the_second_of_two_logs_is_shown_both(after: Client, book: Book, post: Any) -> None:
    book.save("log", "moor", HUNGRY, None)
    answer = post.form("/after/moor/edit", {"based_on": "", "home-0": "10"})
    assert answer.status_code == 409
    assert book.get("log", "moor").text == HUNGRY


def test_without_a_menu_eating_times_are_asked(client: Client, book: Book, post: Any) -> None:
    book.save("trip", "moor", SMALL.TRIP, None)
    answer = client.get("/after/moor/edit")
    assert "asked by eating times" in words(answer)
    kept = post.form("/after/moor/edit", {"based_on": "", "home-0": "5"})
    assert kept.status_code == 303
    assert "no menu says it dish by dish" in words(client.get("/after/moor"))


def test_a_log_that_does_not_fit_is_shown_with_its_text(after: Client, book: Book) -> None:
    book.save("log", "moor", '[[day]]\nwalker = "Zoe"\nday = 1\nfelt = "enough"\n', None)
    said = words(after.get("/after/moor"))
    assert "no walker of the trip is called 'Zoe'" in said
    assert "As text" in said
    book.save("log", "lost", HUNGRY, None)
    assert "no trip that the log" in words(after.get("/after/lost"))
