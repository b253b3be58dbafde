"""A club in a real browser, on either engine: a link, two accounts, what each may, two clubs."""

from __future__ import annotations

import re
from itertools import count
from typing import Any

import pytest
from argon2 import PasswordHasher
from playwright.sync_api import Browser, Page

from fellfare.book.accounts import passwords

PASSWORD = "lichen ladder ninety plum"

_NUMBERS = count(1)


@pytest.fixture(autouse=True)
def quick_passwords(monkeypatch: pytest.MonkeyPatch) -> None:
    """Their cost is the book's to test; here it would only take time."""
    cheap = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    monkeypatch.setattr(passwords, "hasher", lambda: cheap)


@pytest.fixture
def windows_of(browser: Browser) -> Any:
    """Opens a window with cookies of its own: somebody else's browser."""
    opened = []

    def open_one() -> Page:
        context = browser.new_context(viewport={"width": 1280, "height": 800})
        context.set_default_timeout(10_000)
        opened.append(context)
        return context.new_page()

    yield open_one
    for context in opened:
        context.close()


def join(page: Page, link: str, club: str, name: str) -> None:
    """By the form that the link leads to."""
    page.goto(link)
    page.get_by_label("Name of the club").fill(club)
    page.get_by_label("Your name there").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Join").click()
    page.wait_for_selector(f"text={name}")


def invited(page: Page, address: str, role: str) -> str:
    """The link that a keeper's page makes."""
    page.goto(f"{address}/members")
    page.locator("select[name=role]").last.select_option(role)
    page.get_by_role("button", name="Make a link").click()
    page.wait_for_selector("#link")
    link = page.locator("#link").input_value()
    return address + link[link.index("/join") :]


def test_from_the_first_link_to_two_clubs_that_do_not_see_one_another(
    windows_of: Any, served_club: tuple[str, Any]
) -> None:
    address, shelf = served_club
    club, other = f"Fell Club {next(_NUMBERS)}", f"Moor Club {next(_NUMBERS)}"
    links = {}
    for name in (club, other):
        founded = shelf.accounts.found_club(name)
        token = shelf.accounts.invite(founded.id, "keeper", None)
        links[name] = f"{address}/join?invitation={token}"
    keeper, cook, reader, stranger = (windows_of() for _ in range(4))
    join(keeper, links[club], club, "Kay")
    join(cook, invited(keeper, address, "cook"), club, "Cat")
    join(reader, invited(keeper, address, "reader"), club, "Rhea")
    join(stranger, links[other], other, "Sam")

    # The cook writes; the reader reads it, and finds no button that changes it.
    cook.goto(f"{address}/recipes/new")
    cook.locator("#title").fill("Oats of the club")
    cook.locator("#line-0-food").fill("rolled-oats")
    cook.locator("#line-0-amount").fill("80 g")
    cook.locator("button[name=do][value=save]").first.click()
    cook.wait_for_url(re.compile("/recipes/oats-of-the-club"))
    reader.goto(f"{address}/recipes/oats-of-the-club")
    assert "Oats of the club" in reader.inner_text("h1")
    assert "Cat" in reader.inner_text("main")
    assert reader.locator("a[href$='/edit']").count() == 0
    refused = reader.request.post(f"{address}/demo", form={})
    assert refused.status == 403

    # Another club on the same server and in the same database has none of it.
    for place in ("/recipes/oats-of-the-club", "/book/recipe/oats-of-the-club/history"):
        answer = stranger.goto(address + place)
        assert answer is not None
        assert answer.status == 404
    stranger.goto(f"{address}/members")
    assert "Kay" not in stranger.inner_text("main")

    # A role that is taken away is gone with the next click.
    number = next(one.id for one in shelf.accounts.members(_of(shelf, club)) if one.name == "Cat")
    keeper.goto(f"{address}/members")
    keeper.locator(f"#role-{number}").select_option("reader")
    keeper.locator(f"form:has(#role-{number}) button").first.click()
    cook.goto(f"{address}/recipes/oats-of-the-club")
    assert cook.locator("a[href$='/edit']").count() == 0


def _of(shelf: Any, club: str) -> Any:
    """Somebody of the club, to look through whose eyes it has to be."""
    token = shelf.accounts.invite(shelf.accounts.club(club).id, "keeper", None)
    return shelf.accounts.sign_up(token, "Looker", PASSWORD)
