"""The way through the rooms in a real browser: one row on a desk, folded up where it is narrow."""

from __future__ import annotations

import re
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe


@pytest.mark.parametrize("width", [320, 360, 768, 912, 1024, 1280])
def test_the_way_takes_one_row_and_leads_to_every_room(
    watched: Any, served_demo: str, width: int
) -> None:
    if (watched.size == "phone") != (width < 800):
        return
    page = watched.page
    page.set_viewport_size({"width": width, "height": 740})
    page.goto(f"{served_demo}/trips")
    assert page.locator("header.top").bounding_box()["height"] < 76
    wide, window = page.evaluate("[document.documentElement.scrollWidth, window.innerWidth]")
    assert wide <= window
    way = page.get_by_role("navigation", name="Rooms")
    folded = way.locator("summary")
    if folded.is_visible():
        assert way.get_by_role("link", name="After").count() == 0
        folded.focus()
        page.keyboard.press("Enter")
        assert Axe().run(page).response["violations"] == []
    rooms = way.locator("ol a")
    assert rooms.count() >= 8
    assert all(one.is_visible() for one in rooms.all())
    current = way.locator("a[aria-current=page]")
    assert current.inner_text().startswith("Trips")
    way.get_by_role("link", name="After", exact=True).click()
    page.wait_for_url(re.compile("/after$"))


def test_the_way_folds_without_scripts(browser: Any, served_demo: str) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 360, "height": 740})
    page = context.new_page()
    page.goto(f"{served_demo}/")
    page.locator(".way summary").click()
    page.get_by_role("link", name="Foods", exact=True).first.click()
    assert page.url.endswith("/foods")
    context.close()
