"""The app in a real browser, on a desk and on a phone: what only a browser can tell.

Accessibility by axe-core (Deque) with its default rules; a deliberately bad page is the control.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

PAGES = (
    "/", "/book", "/cautions", "/foods?q=oats", "/foods?group=grain", "/foods/rolled-oats",
    "/foods/new",
    "/foods/own", "/recipes", "/recipes/new", "/recipes/paste",
    "/recipes/bulgur-pepper-walnut-sumac", "/recipes/bulgur-pepper-walnut-sumac/edit",
    "/recipes/bulgur-pepper-walnut-sumac/publish",
    "/book/recipe/bulgur-pepper-walnut-sumac/history",
    "/book/recipe/bulgur-pepper-walnut-sumac/text", "/nothing-here",
)  # fmt: skip

#: Pages that look quite another way on a desk; the others are looked at on a phone only.
LAID_OUT_ANEW = (
    "/", "/recipes", "/recipes/bulgur-pepper-walnut-sumac",
    "/recipes/bulgur-pepper-walnut-sumac/edit", "/foods/rolled-oats",
)  # fmt: skip

#: Every way in which a page can shut somebody out that axe should see.
BAD = (
    "<html><head><title></title></head><body><img src='a.png'><input type='text'>"
    "<p style='color:#ccc;background:#fff'>pale</p><a href='#'></a></body></html>"
)


def violations(page: Any) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{one['id']}: {one['nodes'][0]['html'][:150]}" for one in found]


def test_the_eye_of_axe_sees_a_bad_page(watched: Any) -> None:
    watched.page.set_content(BAD)
    seen = {one.partition(":")[0] for one in violations(watched.page)}
    assert {"html-has-lang", "image-alt", "label", "color-contrast", "link-name"} <= seen


@pytest.mark.parametrize("address", PAGES)
def test_axe_finds_nothing_and_no_page_is_wider_than_its_window(
    watched: Any, served_demo: str, address: str
) -> None:
    page = watched.page
    page.goto(served_demo + address)
    if address == "/nothing-here":
        watched.complaints.clear()  # the browser's own word about the 404
    if watched.size == "phone" or address in LAID_OUT_ANEW:
        assert violations(page) == []
    wide, window = page.evaluate("[document.documentElement.scrollWidth, window.innerWidth]")
    assert wide <= window


def test_dark_pages_have_contrast_too(watched: Any, served_demo: str) -> None:
    watched.page.emulate_media(color_scheme="dark")
    for address in ("/recipes/bulgur-pepper-walnut-sumac", "/recipes/new"):
        watched.page.goto(served_demo + address)
        assert violations(watched.page) == []


def test_a_recipe_is_written_with_figures_beside_it_and_kept(watched: Any, served: str) -> None:
    page = watched.page
    page.goto(f"{served}/recipes/new")
    page.fill("#title", "Walnut bulgur")
    page.fill("#line-0-food", "bulgur")
    page.fill("#line-0-amount", "90 g")
    page.wait_for_selector("#line-0-says >> text=90 g")
    page.fill("#line-1-food", "walnuz")
    page.fill("#line-1-amount", "30 g")
    page.wait_for_selector("#line-1-says >> text=no food is called")
    page.wait_for_selector("#line-1-food[aria-invalid=true]")
    page.get_by_role("button", name="walnuts", exact=True).click()
    page.wait_for_selector("#line-1-food:focus, #line-1-amount:focus")
    assert page.input_value("#line-1-food") == "walnut"
    assert page.input_value("#title") == "Walnut bulgur"
    page.fill("#new-line", "1 tbsp olive oil")
    page.get_by_role("button", name="Add", exact=True).click()
    page.wait_for_selector("#line-2-food")
    page.click("#do-line-up-2")
    page.wait_for_selector("#do-line-up-1:focus")
    assert page.input_value("#line-1-food") == "olive-oil"
    page.fill("#step-0-water", "150 ml")
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_url(re.compile("saved=1"))
    assert page.inner_text("h1") == "Walnut bulgur"
    page.get_by_role("button", name="Undo").click()
    page.wait_for_url(re.compile("deleted="))
    page.get_by_role("button", name="Take it back").click()
    page.wait_for_url(re.compile("/recipes/walnut-bulgur"))


def test_an_author_pastes_mends_and_publishes(watched: Any, served: str) -> None:
    page = watched.page
    page.goto(f"{served}/recipes/paste")
    page.fill(
        "#text",
        "Walnut bulgur\nServes 1\n\nIngredients\n90 g bulgur\n1 tbsp olive oil\n"
        "30 g walnutz, chopped\n\nMethod\nSoak the bulgur in 150 ml water for 1 hour.",
    )
    page.get_by_role("button", name="Look it over").click()
    page.get_by_role("alert").wait_for()
    assert violations(page) == []
    page.locator("input[aria-invalid=true]").fill("30 g walnuts, chopped")
    page.get_by_role("button", name="Look again").click()
    page.wait_for_selector("text=30 g of walnut")
    for box in page.locator("input[type=checkbox]").all():
        box.check()
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_url(re.compile("saved=1"))
    page.get_by_role("link", name="Publish").click()
    page.wait_for_selector("#published")
    assert "30 g (1.1 oz" in page.input_value("#published")
    page.get_by_role("link", name="JSON-LD").click()
    page.wait_for_url(re.compile("json-ld"))
    assert '"@type": "Recipe"' in page.input_value("#published")
    assert violations(page) == []


def test_foods_answer_while_one_types(watched: Any, served_demo: str) -> None:
    page = watched.page
    page.goto(f"{served_demo}/foods")
    page.locator("#q").press_sequentially("brocoli")  # a cook's slip
    page.wait_for_selector("#answers >> text=broccoli")
    assert violations(page) == []


def test_everything_can_be_reached_by_the_keyboard_alone(watched: Any, served_demo: str) -> None:
    page = watched.page
    page.goto(served_demo)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('main') !== null")


def test_without_scripts_a_recipe_is_read_and_changed(browser: Any, served: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{served}/recipes/new")
    page.fill("#title", "Plain oats")
    page.fill("#line-0-food", "rolled oats")
    page.fill("#line-0-amount", "80 g")
    page.get_by_role("button", name="Reckon", exact=True).last.click()
    assert "80 g" in page.inner_text("#line-0-says")
    assert page.input_value("#title") == "Plain oats"
    page.get_by_role("button", name="Keep it").click()
    assert page.inner_text("h1") == "Plain oats"
    page.get_by_role("link", name="Change").click()
    page.fill("#line-0-amount", "100 g")
    page.get_by_role("button", name="Keep it").click()
    assert "Kept as revision 2." in page.inner_text(".said")
    context.close()


def test_what_was_typed_is_still_there_after_a_refusal(browser: Any, served: str) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.on("dialog", lambda asked: asked.accept())
    page.goto(f"{served}/recipes/new")
    page.fill("#title", "Precious words")
    page.fill("#line-0-food", "bulgur")
    context.clear_cookies()  # the token has gone stale
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_selector("text=gone stale")
    page.go_back()
    page.wait_for_selector("#title")
    assert page.input_value("#title") == "Precious words"
    assert page.input_value("#line-0-food") == "bulgur"
    context.close()


def test_joining_a_club_and_its_pages_shut_nobody_out(
    watched: Any, served_club: tuple[str, Any]
) -> None:
    address, shelf = served_club
    club = shelf.accounts.found_club(f"Fell Club {watched.size}")
    invitation = shelf.accounts.invite(club.id, "keeper", None)
    page = watched.page
    page.goto(f"{address}/recipes")
    page.wait_for_url(re.compile("/sign-in"))
    assert violations(page) == []
    page.goto(f"{address}/join?invitation={invitation}")
    assert violations(page) == []
    page.get_by_label("Name of the club").fill(club.name)
    page.get_by_label("Your name there").fill("Ada")
    page.get_by_label("Password").fill("lichen ladder ninety plum")
    page.get_by_role("button", name="Join").click()
    page.wait_for_url(f"{address}/")
    page.get_by_role("link", name="Ada").click()
    page.wait_for_url(re.compile("/account"))
    assert violations(page) == []
    page.get_by_role("link", name="Who is in").click()
    page.get_by_role("button", name="Make a link").click()
    page.wait_for_selector("#link")
    assert violations(page) == []
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url(re.compile("/sign-in"))
