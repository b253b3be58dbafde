"""What a person does on the way through the pages: look, press, take a file along."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from fellfare.book import Book
from fellfare.files.demo_documents import demo_documents


class Hand:
    """Somebody before the browser; every page that is looked at must shut nobody out."""

    def __init__(self, page: Any, folder: Path) -> None:
        self.page, self.folder = page, folder

    def look(self) -> str:
        """The words of the page, after axe and the width of the window have been asked."""
        found = Axe().run(self.page).response["violations"]
        told = [f"{one['id']}: {one['nodes'][0]['html'][:150]}" for one in found]
        assert told == [], self.page.url
        wide, window = self.page.evaluate(
            "[document.documentElement.scrollWidth, window.innerWidth]"
        )
        assert wide <= window, self.page.url
        return self.words()

    def words(self) -> str:
        """The words of the page's main part, all white space alike."""
        return " ".join(self.page.inner_text("main").split())

    def press(self, name: str, role: Any = "button") -> None:
        """Press a button, follow a link."""
        self.page.get_by_role(role, name=name, exact=True).first.click()

    def go_to_room(self, name: str) -> None:
        """By the way through the rooms, which is folded up on a phone."""
        way = self.page.get_by_role("navigation", name="Rooms")
        if way.locator("summary").is_visible():
            way.locator("summary").click()
        way.get_by_role("link", name=name, exact=True).click()
        self.page.wait_for_url(re.compile(f"/{name.lower()}$"))

    def fill(self, **fields: str) -> None:
        """Fill fields by their names; '__' stands for '-'."""
        for name, value in fields.items():
            spot = self.page.locator(f"#{name.replace('__', '-')}")
            folded = spot.locator("xpath=ancestor::details[not(@open)]")
            while folded.count():
                folded.first.locator("> summary").click()
            if spot.evaluate("one => one.tagName") == "SELECT":
                spot.select_option(value)
            else:
                spot.fill(value)

    def take(self, link: Any) -> tuple[str, bytes]:
        """Name and content of the file behind a link or a button."""
        with self.page.expect_download() as coming:
            link.click()
        path = self.folder / "taken"
        coming.value.save_as(path)
        return coming.value.suggested_filename, path.read_bytes()

    def keep(self, where: str) -> None:
        """Keep the form, and wait for the page of what was kept."""
        self.page.locator("form .stay button.main, form button.main[value=save]").last.click()
        self.page.wait_for_url(re.compile(where))

    def plan(self, menu: str) -> None:
        """Ask for a menu and wait until it is there."""
        self.press("Plan the menu")
        self.page.wait_for_url(re.compile(rf"/menus/{menu}\?job="), timeout=30_000)


@pytest.fixture
def hand(watched: Any, tmp_path: Path) -> Hand:
    """Somebody before a fresh page, once as on a desk and once as on a phone."""
    return Hand(watched.page, tmp_path)


@pytest.fixture
def pdf_words(tmp_path: Path) -> Callable[[bytes], str]:
    """The words of a PDF by poppler's pdftotext; CI must have it, elsewhere it is skipped."""

    def read(data: bytes) -> str:
        if shutil.which("pdftotext") is None:
            if os.environ.get("CI"):
                pytest.fail("pdftotext is missing: install poppler-utils")
            pytest.skip("pdftotext is not installed")
        path = tmp_path / "read.pdf"
        path.write_bytes(data)
        done = subprocess.run(
            ["pdftotext", "-raw", str(path), "-"], capture_output=True, check=True
        )
        text = done.stdout.decode("utf-8").replace("\u200b", "").replace("\u202f", " ")
        return " ".join(text.split())

    return read


def lay_in(book: Book, *recipes: str) -> None:
    """Some recipes of the demo, with its own foods."""
    texts = dict(demo_documents())
    for name in recipes:
        book.save("recipe", name, texts[f"recipes/{name}.toml"], None)
    for path, text in texts.items():
        if path.startswith("foods/"):
            book.save("food", path[6:-5], text, None)


@pytest.fixture
def shared_recipes(book: Book) -> Callable[..., None]:
    """Lays recipes into the book, as a club has them."""
    return lambda *names: lay_in(book, *names)
