"""Trips and menus in a real browser, on a desk and on a phone.

Accessibility by axe-core (Deque) with its default rules; its control stands in test_browser.py.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from fellfare.book import Book

PAGES = (
    "/trips",
    "/trips/new",
    "/trips/harrowmoor-round",
    "/trips/harrowmoor-round/edit",
    "/menus",
)


def violations(page: Any) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{one['id']}: {one['nodes'][0]['html'][:150]}" for one in found]


def fits(page: Any) -> bool:
    wide, window = page.evaluate("[document.documentElement.scrollWidth, window.innerWidth]")
    return bool(wide <= window)


@pytest.mark.parametrize("address", PAGES)
def test_axe_finds_nothing_on_trips(watched: Any, served_demo: str, address: str) -> None:
    watched.page.goto(served_demo + address)
    assert violations(watched.page) == []
    assert fits(watched.page)


def test_dark_trips_have_contrast_too(watched: Any, served_demo: str) -> None:
    watched.page.emulate_media(color_scheme="dark")
    for address in ("/trips/harrowmoor-round", "/trips/new"):
        watched.page.goto(served_demo + address)
        assert violations(watched.page) == []


def test_why_not_and_the_front_have_no_violations(
    tiny: Any, watched: Any, served: str, book: Book
) -> None:
    tiny.lay_in(book, tiny.TRIP.replace("[rules]", "[rules]\nmost_food_kg = 0.4"))
    page = watched.page
    page.goto(f"{served}/trips/moor")
    page.get_by_role("button", name="Plan the menu").click()
    page.wait_for_selector("h1 >> text=It cannot be done", timeout=30_000)
    assert violations(page) == []
    assert fits(page)
    page.get_by_role("button", name="Let this give").first.click()
    page.wait_for_url(re.compile(r"/menus/moor\?job="), timeout=30_000)
    assert "Food on one back at most (0.4 kg)" in page.inner_text("main")
    page.get_by_role("button", name="What variety weighs").click()
    page.wait_for_selector("h1 >> text=What one more", timeout=30_000)
    assert violations(page) == []
    assert fits(page)


def test_dark_menus_have_contrast_too(tiny: Any, watched: Any, served: str, book: Book) -> None:
    tiny.lay_in(book)
    page = watched.page
    page.emulate_media(color_scheme="dark")
    page.goto(f"{served}/trips/moor")
    page.get_by_role("button", name="Plan the menu").click()
    page.wait_for_url(re.compile(r"/menus/moor\?job="), timeout=30_000)
    page.locator("details.dish summary").first.click()
    assert violations(page) == []
    page.goto(f"{served}/menus")
    assert violations(page) == []
    page.goto(f"{served}/menus/moor")
    page.get_by_role("button", name="What variety weighs").click()
    page.wait_for_selector("h1 >> text=one more different dinner", timeout=30_000)
    assert violations(page) == []


def test_a_search_is_watched_and_stopped(
    watched: Any, served: str, book: Book, monkeypatch: pytest.MonkeyPatch, tiny: Any
) -> None:
    from fellfare.web.work import solving

    real = solving.do_job

    def slow(of: Book, kind: str, wanted: Any, report: Any) -> Any:
        told = {"stage": "bound", "best_g": 1500.0, "bound_g": 1400.0, "gap": 0.07, "seconds": 1}
        while report(told):
            watched_once.wait(0.05)
        return real(of, kind, wanted, lambda _: True)

    from threading import Event

    watched_once = Event()
    monkeypatch.setattr(solving, "do_job", slow)
    tiny.lay_in(book)
    page = watched.page
    page.goto(f"{served}/trips/moor")
    page.get_by_role("button", name="Plan the menu").click()
    page.wait_for_selector("#progress >> text=1.5 kg")
    page.reload()  # the search goes on, and the page finds it again
    page.wait_for_selector("#progress >> text=1.4 kg")
    assert violations(page) == []
    page.get_by_role("button", name="Enough").click()
    page.wait_for_url(re.compile(r"/menus/moor\?job="), timeout=30_000)


def test_without_scripts_a_menu_is_planned(
    tiny: Any, browser: Any, served: str, book: Book
) -> None:
    tiny.lay_in(book)
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{served}/trips/moor")
    page.get_by_role("button", name="Plan the menu").click()
    for _ in range(100):
        if "/menus/moor?job=" in page.url:
            break
        page.wait_for_timeout(100)
        if page.get_by_role("link", name="Look again").count():
            page.goto(re.sub(r"\?.*", "", page.url))
    assert "/menus/moor?job=" in page.url
    assert "Two days on the moor" in page.inner_text("h1")
    context.close()


def test_the_whole_form_of_a_trip_unfolded_has_no_violations(
    watched: Any, served_demo: str
) -> None:
    page = watched.page
    page.goto(f"{served_demo}/trips/harrowmoor-round/edit?units=us")
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    assert page.get_by_label("Height [in]").count() == 3
    assert violations(page) == []
    assert fits(page)


def test_without_scripts_what_is_folded_is_filled_and_mended(
    tiny: Any, browser: Any, served: str, book: Book
) -> None:
    tiny.lay_in(book)
    context = browser.new_context(java_script_enabled=False, viewport={"width": 360, "height": 740})
    page = context.new_page()
    page.goto(f"{served}/trips/moor/edit")
    page.locator("summary", has_text="Food bags and canisters").click()
    page.get_by_role("button", name="One more container").click()
    page.fill("#container-0-walker", "Ana")
    page.fill("#container-0-litres", "9 l")
    page.locator("summary", has_text="What the food must be").click()
    page.locator("summary", has_text="Money").click()
    page.fill("#rules-budget", "80")
    page.locator("form.trip-form .stay button").click()
    assert "no number" in page.inner_text("#container-0-litres-fault")
    assert page.input_value("#container-0-walker") == "Ana"
    page.fill("#container-0-litres", "9")
    page.locator("form.trip-form .stay button").click()
    assert "fill in both" in page.inner_text("#rules-budget-fault")  # unfolded by its fault
    page.fill("#rules-currency", "EUR")
    page.locator("form.trip-form .stay button").click()
    assert "/trips/moor?saved=2" in page.url
    text = book.get("trip", "moor").text
    assert 'budget = "80"' in text
    assert text.startswith("# two short days")
    context.close()
