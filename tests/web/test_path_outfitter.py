"""The outfitter's path in a real browser: parties, menus, purchase, papers, late change, recall.

Accessibility by axe-core (Deque) with its default rules; test_browser.py holds the control page.
"""

from __future__ import annotations

import io
import re
import runpy
import zipfile
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from fellfare.book import Book
from fellfare.web.documents import season_of

SMALL: Any = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("small_kitchen.py"))))

SEASON = """\
title = "Summer"
currency = "EUR"
[in_store]
date = 15
[[case]]
food = "red-lentils"
size_g = 100
price = 1.50
[[party]]
name = "early"
trip = "moor"
[[party]]
name = "late"
trip = "late"
[[party]]
name = "nowhere"
trip = "gone"
[[lot]]
number = "L-2031"
food = "red-lentils"
mass_g = 100
best_before = 2031-04-15
supplier = "the mill"
"""
PAGES = (
    "/season", "/season/summer", "/season/summer/buy", "/season/summer/lots",
    "/season/summer/recall", "/season/summer/recall?lot=L-2031&on=2031-05-02",
    "/season/summer/papers", "/season/summer/back?on=2031-07-02", "/season/bad", "/season/empty",
    "/season/empty/buy", "/season/empty/lots", "/season/empty/recall", "/season/empty/papers",
    "/season/empty/back",
)  # fmt: skip


def violations(page: Any) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{one['id']}: {one['nodes'][0]['html'][:150]}" for one in found]


def fits(page: Any) -> bool:
    wide, window = page.evaluate("[document.documentElement.scrollWidth, window.innerWidth]")
    return bool(wide <= window)


@pytest.fixture
def season(book: Book, served: str) -> str:
    """A server: two parties that are provided for, one whose trip is gone, an empty season."""
    SMALL.lay_in(book, SMALL.TRIP + SMALL.BOX)
    late = SMALL.TRIP.replace("2031-05-01", "2031-07-01").replace("Ada", "Bea")
    book.save("trip", "late", late, None)
    book.save("menu", "late", SMALL.MENU.replace("Ada", "Bea"), None)
    log = '[[left]]\nwalker = "Ada"\nday = 1\neating = "dinner"\ndish = "soup"\nhome_g = 30\n'
    book.save("log", "moor", log, None)
    book.save("season", "summer", SEASON, None)
    book.save("season", "empty", 'title = "Nothing yet"', None)
    book.save("season", "bad", "title = 3", None)
    return served


def test_axe_finds_nothing_and_no_page_is_too_wide(watched: Any, season: str) -> None:
    page = watched.page
    for address in PAGES:
        page.goto(season + address)
        assert page.locator("h1").count() == 1, address
        page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
        assert violations(page) == [], address
        assert fits(page), address


def test_a_dark_season_has_contrast_too(watched: Any, season: str) -> None:
    watched.page.emulate_media(color_scheme="dark")
    for address in PAGES[1:6]:
        watched.page.goto(season + address)
        assert violations(watched.page) == [], address


def test_a_wrong_lot_is_told_beside_its_field(watched: Any, season: str) -> None:
    page = watched.page
    page.goto(f"{season}/season/summer/lots")
    page.fill("#lot-1-food", "moss")
    page.get_by_role("button", name="Keep", exact=True).click()
    page.wait_for_selector("#lot-1-food-fault")
    assert page.input_value("#lot-1-food") == "moss"
    assert violations(page) == []
    assert fits(page)


def downloaded(page: Any, name: str) -> dict[str, bytes]:
    with page.expect_download() as told:
        page.get_by_role("link", name=name).first.click()
    with zipfile.ZipFile(io.BytesIO(Path(told.value.path()).read_bytes())) as held:
        return {one: held.read(one) for one in held.namelist()}


def test_the_path_of_the_outfitter(watched: Any, served: str, book: Book, tiny: Any) -> None:
    """Several trips over shared recipes to a season, and on to the recall of a lot."""
    tiny.lay_in(book)
    page = watched.page
    # a season, and three parties: two dates of one walk, and a walk of two
    page.goto(f"{served}/season")
    page.fill("#title", "Summer 2031")
    page.fill("#currency", "EUR")
    page.get_by_role("button", name="Begin the season").click()
    page.wait_for_url("**/season/summer-2031?saved=1")
    for number, (name, start) in enumerate((("north", "2031-05-01"), ("south", "2031-06-01")), 2):
        page.select_option("#trip", "moor")
        page.fill("#start", start)
        page.fill("#party", name)
        page.get_by_role("button", name="Add it").click()
        page.wait_for_url(f"**/season/summer-2031?saved={number}")
    assert set(book.names("trip")) == {"moor", "north", "south"}
    assert "2 menus are wanting" in page.inner_text("main")
    # menus, outside of the request
    page.get_by_role("button", name="Plan all of them").click()
    there = page.locator("table.parties").get_by_role("link", name="there", exact=True)
    expect(there).to_have_count(2, timeout=30_000)
    assert violations(page) == []
    # the purchase, in cases
    page.get_by_role("link", name="To buy").first.click()
    page.wait_for_selector("table.purchase")
    assert "2\nparties to be packed" in page.inner_text("dl.figures")
    food = page.locator("#foods option").first.get_attribute("value")
    page.fill("#case-0-food", food)
    page.fill("#case-0-size_g", "2500")
    page.fill("#case-0-price", "12.50")
    page.get_by_role("button", name="Keep", exact=True).click()
    page.wait_for_url("**/buy?saved=4")
    assert "1 × 2.5 kg" in page.inner_text("table.purchase")
    assert "12.50 EUR" in page.inner_text("dl.figures")
    assert violations(page) == []
    # its lot
    page.goto(f"{served}/season/summer-2031/lots?food={food}#deliveries")
    assert page.input_value("#lot-0-food") == food
    page.fill("#lot-0-number", "B-7")
    page.fill("#lot-0-mass_g", "2500")
    page.fill("#lot-0-best_before", "2031-12-01")
    page.get_by_role("button", name="Keep", exact=True).click()
    page.wait_for_url("**/lots?saved=5")
    # papers of all, printed
    page.get_by_role("link", name="Papers").first.click()
    page.wait_for_url("**/papers")
    held = downloaded(page, "All of them in one file")
    assert {name.split("/")[0] for name in held} == {"north", "south"}
    assert held["north/bag-labels.pdf"].startswith(b"%PDF")
    page.get_by_role("button", name="They are printed", exact=True).click()
    page.wait_for_url(re.compile(r"papers\?printed=\d+"))
    assert "Every paper is printed as it stands" in page.inner_text("main")
    # late in the day Ana of the southern party becomes Asa
    late = book.get("trip", "south")
    book.save("trip", "south", late.text.replace('"Ana"', '"Asa"'), late.revision)
    menu = book.get("menu", "south")
    book.save("menu", "south", menu.text.replace('"Ana"', '"Asa"'), menu.revision)
    page.reload()
    assert "of 1 party are to be printed again" in page.inner_text("main")
    assert violations(page) == []
    again = downloaded(page, "These in one file")
    assert {name.split("/")[0] for name in again} == {"south"}
    assert "south/bag-labels.pdf" in again
    # the lot is called back while the northern party is out
    page.goto(f"{served}/season/summer-2031/recall")
    page.select_option("#lot", "B-7")
    page.fill("#on", "2031-05-01")
    page.get_by_role("button", name="Who has it?").click()
    page.wait_for_selector("h1 >> text=Recall of lot B-7")
    heads = page.locator("section.traced h2").all_inner_texts()
    assert [" ".join(one.split()) for one in heads] == ["north out now", "south still to come"]
    told = page.inner_text("main")
    assert "Ana" in told
    assert "Asa" in told
    assert violations(page) == []
    assert fits(page)
    lots = season_of(book.get("season", "summer-2031").text).lots
    assert [(lot.number, lot.food) for lot in lots] == [("B-7", food)]


def test_with_scripts_off_a_season_is_read_and_changed(
    browser: Any, season: str, book: Book
) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 360, "height": 740})
    try:
        page = context.new_page()
        page.goto(f"{season}/season/summer/lots")
        page.fill("#lot-1-number", "O-1")
        page.fill("#lot-1-food", "rolled-oats")
        page.fill("#lot-1-mass_g", "5000")
        page.get_by_role("button", name="Keep", exact=True).click()
        assert "O-1" in page.inner_text("table")
        page.get_by_role("button", name="Undo").click()
        assert len(season_of(book.get("season", "summer").text).lots) == 1
        page.goto(f"{season}/season/summer")
        page.get_by_role("button", name="take out nowhere").click()
        assert "nowhere" not in page.inner_text("main")
    finally:
        context.close()
