"""The solo walker: from the track of a weekend to the labels on the bags."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from fellfare.book import Book


def test_a_solo_walker_goes_from_track_to_labels(
    tiny: Any,
    hand: Any,
    served: str,
    book: Book,
    tmp_path: Path,
    pdf_words: Callable[[bytes], str],
) -> None:
    tiny.lay_in_recipes(book)
    track = tmp_path / "moor.gpx"
    track.write_bytes(tiny.gpx())
    page = hand.page
    page.goto(served)
    hand.go_to_room("Trips")
    hand.press("New trip", "link")
    hand.fill(
        title="Moor edge", start_date="2031-05-03", walker__0__name="Ana", walker__0__age_y="35",
        walker__0__height_cm="170", walker__0__mass_kg="6o", walker__0__base_pack_kg="5.5",
        walk__day_c="14", walk__night_c="6", walk__fire="none", kitchen__0__jar_ml="0.7",
    )  # fmt: skip
    page.set_input_files("#track", track)
    page.locator("form.trip-form .stay button").click()
    page.wait_for_selector("#walker-0-mass_kg-fault")  # '6o' is told beside its field
    hand.look()
    assert page.input_value("#walker-0-name") == "Ana"
    hand.fill(walker__0__mass_kg="60")
    hand.keep(r"/trips/moor-edge\?saved=1")
    page.wait_for_selector("svg.sketch")
    assert "11.1 km" in hand.look()  # a tenth of a degree of latitude is 11.1 km [WGS 84]

    hand.plan("moor-edge")
    said = hand.look()
    assert "The menu is there" in said
    first = page.locator("details.dish").first
    first.locator("summary").focus()
    page.keyboard.press("Enter")
    first.get_by_role("button", name=re.compile("^Fix")).first.focus()
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile("fixed=fix"))
    assert page.locator("details.dish.fixed").count() == 1
    assert page.locator(".pinned").bounding_box()["y"] >= 0  # in sight, with its Undo

    other = page.locator("details.dish:not(.fixed)").last
    other.locator("summary").click()
    other.get_by_role("link", name=re.compile("^Another")).first.click()
    page.wait_for_selector("h1 >> text=Another dish")
    hand.look()
    page.get_by_role("button", name=re.compile("^Take")).first.click()
    page.wait_for_url(re.compile(r"/menus/moor-edge\?job="), timeout=30_000)
    assert "→" in page.inner_text(".said")
    assert page.locator("details.dish.fixed").count() == 2
    hand.press("Undo")
    page.wait_for_url(re.compile("undone="))
    assert page.locator("details.dish.fixed").count() == 1  # the swapped one is let go as well
    hand.press("Redo")
    page.wait_for_url(re.compile("restored="))
    assert page.locator("details.dish.fixed").count() == 2
    hand.press("Undo")
    page.wait_for_url(re.compile("undone="))
    dishes = [
        one.inner_text().removeprefix("fixed:").strip()
        for one in page.locator("details.dish .what").all()
    ]

    hand.press("Labels", "link")
    page.wait_for_url(re.compile("/kitchen/moor-edge/labels"))
    hand.look()
    shown = page.locator("li.label").count()
    assert shown >= len(dishes)
    hand.fill(skip="nine")
    hand.press("Labels as PDF")
    page.wait_for_selector("#skip-fault")
    hand.fill(skip="1")
    name, data = hand.take(page.get_by_role("button", name="Labels as PDF"))
    assert name.endswith(".pdf")
    words = pdf_words(data)
    for dish in dishes:
        assert dish in words
    assert f"of {shown}" in words
    assert "Sat 3 May" in words or "3 May" in words
