"""Kitchen, trail, after and compose in a real browser, on a desk and on a phone.

Accessibility by axe-core (Deque) with its default rules; test_browser.py holds the control page.
"""

from __future__ import annotations

import runpy
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from fellfare.book import Book
from fellfare.files.demo_documents import demo_documents
from fellfare.web.work.composing import ask
from fellfare.web.work.worker import at_rest

SMALL: Any = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("small_kitchen.py"))))

LOG = """\
title = "Two days"
[[left]]
walker = "Ada"
day = 1
eating = "dinner"
dish = "soup"
home_g = 45
[[day]]
walker = "Ada"
day = 2
felt = "hungry"
[[walked]]
walker = "Ada"
day = 1
hours = 4.0
"""

PAGES = {
    "lists": ("/kitchen", "/kitchen/moor", "/kitchen/moor/list/shopping",
              "/kitchen/moor/list/prep", "/kitchen/moor/bags?by=person", "/kitchen/moor/labels"),
    "loads": ("/kitchen/moor/carrying", "/kitchen/moor/boxes", "/kitchen/moor/cupboard",
              "/kitchen/moor/wrong"),
    "after": ("/trail", "/trail/moor", "/after", "/after/moor", "/after/moor/edit"),
    "compose": ("/compose", "/compose/new", "/compose/pots", "/compose/pots/edit"),
}  # fmt: skip
DARK = ("/kitchen/moor/list/shopping", "/kitchen/moor/wrong", "/trail/moor", "/after/moor",
        "/compose/pots")  # fmt: skip

#: The demo's composition.
POTS = dict(demo_documents())["compositions/hut-evening-pots.toml"]


@pytest.fixture
def cooked(book: Book, served: str) -> str:
    """A server: a small trip with a box, walked and written down, and a composition that ran."""
    SMALL.lay_in(book, SMALL.TRIP + SMALL.BOX)
    book.save("log", "moor", LOG, None)
    book.save("provision", "moor", SMALL.OWN, None)
    book.save("composition", "pots", POTS, None)
    ask(book, "pots", 1, 0.5, "")
    assert at_rest(book, 30)
    return served


def violations(page: Any) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{one['id']}: {one['nodes'][0]['html'][:150]}" for one in found]


@pytest.mark.parametrize("room", PAGES)
def test_axe_finds_nothing_and_no_page_is_too_wide(watched: Any, cooked: str, room: str) -> None:
    page = watched.page
    for address in PAGES[room]:
        page.goto(cooked + address)
        assert page.locator("h1").count() == 1, address
        page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
        assert violations(page) == [], address
        wide, window = page.evaluate("[document.documentElement.scrollWidth, window.innerWidth]")
        assert wide <= window, address


def test_dark_kitchens_have_contrast_too(watched: Any, cooked: str) -> None:
    watched.page.emulate_media(color_scheme="dark")
    for address in DARK:
        watched.page.goto(cooked + address)
        assert violations(watched.page) == []


def test_a_tick_is_set_by_keyboard_and_stays(watched: Any, served: str, book: Book) -> None:
    SMALL.lay_in(book)
    page = watched.page
    page.goto(f"{served}/kitchen/moor/list/shopping")
    box = page.get_by_role("checkbox", name="Red lentils, split, raw")
    assert box.get_attribute("aria-checked") == "false"
    box.focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("#far >> text=1 of 3")
    assert page.get_by_role("checkbox", name="Red lentils").get_attribute("aria-checked") == "true"
    page.wait_for_function("document.activeElement.getAttribute('role') == 'checkbox'")
    page.reload()
    assert page.get_by_role("checkbox", name="Red lentils").get_attribute("aria-checked") == "true"
    page.get_by_role("checkbox", name="Red lentils").click()
    page.wait_for_selector("#far >> text=0 of 3")
    assert book.ticks("menu", "moor", "shopping") == set()


def test_a_composition_is_run_and_a_dish_becomes_a_recipe(
    watched: Any, served: str, book: Book
) -> None:
    book.save("composition", "pots", POTS, None)
    page = watched.page
    page.goto(f"{served}/compose/pots")
    page.get_by_role("button", name="for 10 s at most").click()
    page.wait_for_selector(".composed", timeout=20_000)
    page.get_by_role("button", name="Make it a recipe").first.click()
    page.wait_for_url("**/recipes/**")
    assert len(book.names("recipe")) == 1
    at_rest(book, 10)


def test_with_scripts_off_a_tick_and_a_log_are_kept(browser: Any, served: str, book: Book) -> None:
    SMALL.lay_in(book)
    context = browser.new_context(java_script_enabled=False, viewport={"width": 360, "height": 740})
    try:
        page = context.new_page()
        page.goto(f"{served}/kitchen/moor/list/shopping")
        page.get_by_role("checkbox", name="Rolled oats").click()
        assert page.locator("#far").inner_text().strip().startswith("1 of 3")
        page.goto(f"{served}/after/moor/edit")
        page.fill("#home-0", "20")
        page.get_by_role("button", name="Keep", exact=True).click()
        assert page.locator("h1").inner_text() == "Two days"
        assert "11 % of the food home" in page.locator("main").inner_text()  # 20 g of 190 g
    finally:
        context.close()
