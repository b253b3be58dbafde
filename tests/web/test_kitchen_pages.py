"""The kitchen in the browser: lists whose ticks stay, papers, boxes, the cupboard, blows."""

from __future__ import annotations

import csv
import re
import runpy
import zipfile
from html import unescape
from io import BytesIO, StringIO
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from litestar import Litestar
from litestar.testing import TestClient

from fellfare.book import Book
from fellfare.web import Settings, make_app

Client = TestClient[Litestar]

SMALL: Any = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("small_kitchen.py"))))


def words(answer: Any) -> str:
    """The words of a page."""
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", answer.text)))


def lines(text: str, what: str = "done") -> list[str]:
    """Values of the boxes of a list; 'done' = of those that are not ticked yet."""
    return [unescape(one) for one in re.findall(rf'name="{what}" value="([^"]+)"', text)]


@pytest.fixture
def kitchen(client: Client, book: Book) -> Client:
    """A client before the small kitchen."""
    SMALL.lay_in(book)
    return client


def test_an_empty_book_teaches_where_a_kitchen_comes_from(client: Client) -> None:
    said = words(client.get("/kitchen"))
    assert "Nothing to cook for yet" in said
    assert "Begin with a trip" in said


def test_a_trip_without_a_menu_is_named(client: Client, book: Book) -> None:
    book.save("trip", "moor", SMALL.TRIP, None)
    assert "Plan one for moor" in words(client.get("/kitchen"))


def test_the_overview_says_what_was_reckoned_by_hand(kitchen: Client) -> None:
    said = words(kitchen.get("/kitchen/moor?units=metric"))
    assert "food as weighed 190 g" in said  # 90 g of lentils, 100 g of oats and dates
    assert "bags to fill 2" in said
    assert "bags ready by 30 Apr" in said  # the day before the first of May
    assert "0 of 3 got" in said
    assert "soup" in words(kitchen.get("/kitchen/moor/list/prep")).casefold()


def test_the_list_follows_the_reader_s_measures(kitchen: Client) -> None:
    metric = words(kitchen.get("/kitchen/moor/list/shopping?units=metric"))
    us = words(kitchen.get("/kitchen/moor/list/shopping?units=us"))
    assert "buy 90 g" in metric
    assert "3.2 oz" not in metric
    assert "buy 3.2 oz" in us


def test_a_tick_stays_and_goes(kitchen: Client, book: Book, post: Any) -> None:
    address = "/kitchen/moor/list/shopping"
    (oats, lentils, _) = lines(kitchen.get(address).text)
    assert lentils == "red-lentils · 90 g"
    answer = post.form(
        "/kitchen/moor/ticks/shopping?at=line-1-0", {"done": lentils, "back": address}
    )
    assert answer.status_code == 303
    assert answer.headers["location"] == f"{address}#line-1-0"
    assert book.ticks("menu", "moor", "shopping") == {lentils}
    again = kitchen.get(address).text
    assert lines(again, "undo") == [lentils]
    assert "1 of 3 got" in words(kitchen.get(address))
    post.form("/kitchen/moor/ticks/shopping", {"done": lentils})  # twice is once
    assert book.ticks("menu", "moor", "shopping") == {lentils}
    post.form("/kitchen/moor/ticks/shopping", {"undo": lentils})
    assert book.ticks("menu", "moor", "shopping") == set()
    post.form("/kitchen/moor/ticks/shopping", {"done": oats})
    post.form("/kitchen/moor/ticks/shopping/clear", {"back": address})
    assert book.ticks("menu", "moor", "shopping") == set()


def test_a_tick_by_script_brings_its_box_and_the_count(kitchen: Client, post: Any) -> None:
    item = lines(kitchen.get("/kitchen/moor/list/shopping").text)[0]
    answer = kitchen.post(
        "/kitchen/moor/ticks/shopping?at=line-0-0",
        data={"_csrf_token": post.token, "done": item}, headers={"hx-request": "true"},
    )  # fmt: skip
    assert 'aria-checked="true"' in answer.text
    assert 'id="line-0-0-box"' in answer.text
    assert "<b>1</b> of 3 got" in answer.text
    assert "<html" not in answer.text


def test_what_changes_wants_to_be_looked_at_again(kitchen: Client, book: Book, post: Any) -> None:
    post.form("/kitchen/moor/ticks/shopping", {"done": "red-lentils · 90 g"})
    menu = book.get("menu", "moor")
    more = menu.text.replace("steps = 15", "steps = 30").replace("mass_g = 90.0", "mass_g = 180.0")
    book.save("menu", "moor", more, menu.revision)
    assert "red-lentils · 180 g" in lines(kitchen.get("/kitchen/moor/list/shopping").text)


def test_a_line_that_is_gone_is_told(kitchen: Client, book: Book, post: Any) -> None:
    answer = post.form("/kitchen/moor/ticks/shopping", {"done": "gold · 3 kg"})
    assert answer.status_code == 422
    assert "not on the list any more" in words(answer)
    assert book.ticks("menu", "moor", "shopping") == set()
    assert post.form("/kitchen/moor/ticks/nothing", {"done": "x"}).status_code == 404


def test_nobody_is_led_to_another_host(kitchen: Client, post: Any) -> None:
    answer = post.form(
        "/kitchen/moor/ticks/shopping?at=%22evil", {"undo": "x", "back": "//evil.example/"}
    )
    assert answer.headers["location"] == "/kitchen/moor"


@pytest.mark.parametrize("by", ["day", "meal", "person", "box", "dish", "food"])
def test_every_view_holds_the_same_bags(kitchen: Client, by: str) -> None:
    text = kitchen.get(f"/kitchen/moor/bags?by={by}&units=metric").text
    assert {one.split(" · ")[0] for one in lines(text)} == {"bag 1", "bag 2"}
    grams = re.findall(r"(\d+) g of food", text)
    assert sum(map(int, grams)) == 190


def test_a_tick_of_a_bag_shows_in_every_view(kitchen: Client, post: Any) -> None:
    item = lines(kitchen.get("/kitchen/moor/bags").text)[0]
    post.form("/kitchen/moor/ticks/bags", {"done": item})
    for by in ("day", "person", "food"):
        assert item in lines(kitchen.get(f"/kitchen/moor/bags?by={by}").text, "undo")


def test_every_paper_is_what_it_says(kitchen: Client) -> None:
    text = kitchen.get("/kitchen/moor").text
    papers = set(re.findall(r"/kitchen/moor/papers/([a-z]+)", text))
    assert papers == {"shopping", "prep", "labels", "packing", "carrying", "trail", "days",
                      "allergens", "cards", "html", "csv", "all"}  # fmt: skip
    for kind in ("shopping", "labels", "trail"):
        answer = kitchen.get(f"/kitchen/moor/papers/{kind}?size=letter")
        assert answer.content.startswith(b"%PDF")
        assert answer.headers["content-disposition"].startswith("attachment")
    page = kitchen.get("/kitchen/moor/papers/html").text
    assert "Lentil soup" in page
    assert "default-src 'none'" in page
    with zipfile.ZipFile(BytesIO(kitchen.get("/kitchen/moor/papers/csv").content)) as tables:
        (rows,) = (list(csv.DictReader(StringIO(tables.read(name).decode())))
                   for name in tables.namelist() if name == "shopping-list.csv")  # fmt: skip
    assert {row["food"]: float(row["need_g"]) for row in rows} == {
        "rolled-oats": 80, "red-lentils": 90, "date": 20}  # fmt: skip
    assert kitchen.get("/kitchen/moor/papers/boxes").status_code == 404  # there is no box
    assert kitchen.get("/kitchen/moor/papers/secrets").status_code == 404
    assert kitchen.get("/kitchen/moor/tables/bags.csv").text.startswith("bag,day,")
    assert kitchen.get("/kitchen/moor/tables/..%2Fbook").status_code == 404


def test_a_wrong_grid_is_told_beside_its_field(kitchen: Client) -> None:
    for field, value in (("grid", "many"), ("skip", "1.5"), ("width_mm", "wide")):
        answer = kitchen.get(f"/kitchen/moor/papers/labels?{field}={value}")
        assert answer.status_code == 422
        assert f'id="{field}-fault"' in answer.text
        assert f'value="{value}"' in answer.text  # what was typed is kept


def test_labels_say_what_paper_says(kitchen: Client) -> None:
    said = words(kitchen.get("/kitchen/moor/labels?units=metric"))
    assert "1 of 2 · Day 1 dinner" in said
    assert "450 ml" in said  # 15 tenths of 300 ml
    assert "Eat Thu 1 May 2031" in said
    assert "Wet it between" in said  # the oats soak


def test_a_bag_that_must_not_reach_somebody_says_so_everywhere(client: Client, book: Book) -> None:
    nuts = SMALL.OATS.replace('food = "date"', 'food = "walnut"')
    trip = SMALL.TRIP.replace("base_pack_kg = 6", 'base_pack_kg = 6\navoids = ["walnut"]')
    SMALL.lay_in(book, trip)
    book.save("recipe", "oats", nuts, 1)
    for address in ("/kitchen/moor/labels", "/kitchen/moor", "/trail/moor"):
        said = words(client.get(address))
        assert "walnut" in said, address
        assert re.search(r"(STOP|NOT FOR|error:) ?Ada: walnut", said, re.IGNORECASE), address


def test_backs_nights_fuel_and_water_stand_in_tables_beside_the_pictures(kitchen: Client) -> None:
    answer = kitchen.get("/kitchen/moor/carrying")
    said = words(answer)
    assert answer.text.count('role="img"') == 2
    for heading in ("Food on each back, in the morning", "Room at night, 9 litres in all", "Fuel",
                    "Water for the food"):  # fmt: skip
        assert heading in said


def test_a_box_says_when_it_is_posted(client: Client, book: Book) -> None:
    SMALL.lay_in(book, SMALL.TRIP + SMALL.BOX)
    answer = client.get("/kitchen/moor/boxes")
    # Latest: 1 May less 5 days in the post and one of margin; earliest: less 2 and 14 days.
    assert "post it 15 Apr to 25 Apr" in words(answer)
    assert len(lines(answer.text)) == 2  # bags to put in; the list for customs is only read
    assert client.get("/kitchen/moor/papers/boxes").content.startswith(b"%PDF")


def test_the_cupboard_is_kept_and_used(kitchen: Client, book: Book, post: Any) -> None:
    answer = post.form("/kitchen/moor/cupboard", {"text": SMALL.OWN, "based_on": ""})
    assert answer.headers["location"] == "/kitchen/moor?saved=1"
    assert book.get("provision", "moor").text == SMALL.OWN
    assert "2.35 EUR" in words(kitchen.get("/kitchen/moor"))
    said = words(kitchen.get("/kitchen/moor/list/shopping?units=metric"))
    assert "packs 1 × 500 g left over 410 g cost 2.35" in said
    wrong = post.form("/kitchen/moor/cupboard", {"text": "[[pack]]\nfood = 3", "based_on": "1"})
    assert wrong.status_code == 422
    assert "food = 3" in wrong.text
    lost = post.form("/kitchen/moor/cupboard", {"text": SMALL.OWN + "# mine\n", "based_on": ""})
    assert lost.status_code == 409  # somebody has begun one meanwhile
    assert kitchen.get("/cupboards/moor", follow_redirects=False).status_code == 303


def test_a_missing_recipe_is_told_with_the_way_back(kitchen: Client, book: Book) -> None:
    book.delete("recipe", "soup")
    answer = kitchen.get("/kitchen/moor")
    assert "cannot be provided for yet" in words(answer)
    assert 'href="/menus/moor"' in answer.text
    assert kitchen.get("/kitchen/nothing").status_code == 404


def test_a_menu_whose_trip_is_gone_is_told(kitchen: Client, book: Book) -> None:
    book.delete("trip", "moor")
    assert "no trip that the menu" in words(kitchen.get("/kitchen/moor"))
    assert "no trip that this menu belongs to" in words(kitchen.get("/kitchen"))


def test_what_goes_wrong_is_what_the_command_says(kitchen: Client) -> None:
    said = words(kitchen.get("/kitchen/moor/wrong"))
    blows = kitchen.get("/api/menus/moor/robust").json()["blows"]
    assert blows
    for blow in blows:
        assert f"{blow['what'][:1].upper()}{blow['what'][1:]}." in said


def test_the_data_are_those_of_the_command(kitchen: Client) -> None:
    data = kitchen.get("/api/menus/moor/provision").json()
    assert data["mass_g"]["food"] == 190
    assert [bag["mass_g"] for bag in data["bags"]] == [90, 100]


def test_a_script_in_a_name_stays_words(client: Client, book: Book) -> None:
    SMALL.lay_in(book, SMALL.TRIP.replace('title = "Two days"', 'title = "<script>x()</script>"'))
    for address in ("/kitchen/moor", "/kitchen/moor/bags", "/trail/moor", "/after/moor/edit"):
        assert "<script>x()" not in client.get(address).text


def test_a_name_that_prints_otherwise_is_said_beside_the_papers(client: Client, book: Book) -> None:
    SMALL.lay_in(book, SMALL.TRIP.replace('title = "Two days"', 'title = "Two days 🏔"'))
    assert "'Two days 🏔' is 'Two days' on the printed papers" in words(client.get("/kitchen/moor"))
    assert client.get("/kitchen/moor/papers/shopping").status_code == 200


def test_a_reader_changes_nothing_not_even_a_tick(book: Book) -> None:
    SMALL.lay_in(book)
    log = '[[day]]\nwalker = "Ada"\nday = 1\nfelt = "enough"\n'
    book.save("log", "moor", log, None)
    pots = 'title = "P"\n[[part]]\nname = "a"\nfoods = ["couscous"]\namounts = ["60 g"]\n'
    book.save("composition", "pots", pots, None)
    reader = Book(book.shelf, book.club_id, role="reader")
    settings = Settings(hosts=("testserver.local",), secret="0" * 64)
    with TestClient(make_app(reader, settings)) as client:
        found = re.search(r'name="_csrf_token" value="([^"]+)"', client.get("/").text)
        assert found is not None
        form = {"_csrf_token": found[1]}

        def send(address: str, **fields: str) -> int:
            return client.post(address, data=form | fields, follow_redirects=False).status_code

        assert send("/kitchen/moor/ticks/shopping", done="red-lentils · 90 g") == 403
        assert book.ticks("menu", "moor", "shopping") == set()
        assert send("/kitchen/moor/ticks/shopping/clear") == 403
        assert send("/kitchen/moor/cupboard", text=SMALL.OWN) == 403
        assert send("/after/moor/edit", based_on="1", **{"home-0": "5"}) == 403
        assert send("/after/moor/next", do="new", title="Again") == 403
        assert send("/compose/pots/run") == 403
    assert book.names("provision") == ()
    assert book.names("trip") == ("moor",)
    assert book.jobs.all() == ()
