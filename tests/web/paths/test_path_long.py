"""The long-distance walker: boxes posted ahead, what lies in them, and when to post each."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from fellfare.book import Book


def test_a_long_distance_walker_posts_boxes(
    tiny: Any, hand: Any, served: str, book: Book, pdf_words: Callable[[bytes], str]
) -> None:
    tiny.lay_in_recipes(book)
    page = hand.page
    page.goto(f"{served}/trips/new")
    hand.fill(
        title="Edge to edge", start_date="2031-05-05", walker__0__name="Bo",
        walker__0__age_y="41", walker__0__height_cm="180", walker__0__mass_kg="75",
        walker__0__base_pack_kg="6", walk__day_c="16", walk__night_c="6", walk__fire="none",
        kitchen__0__jar_ml="0.7",
    )  # fmt: skip
    for _ in range(4):
        hand.press("One more day")
    for day in range(6):
        hand.fill(**{f"stage__{day}__distance_m": "14", f"stage__{day}__ascent_m": "250",
                     f"stage__{day}__descent_m": "250", f"stage__{day}__camp": f"Camp {day + 1}",
                     f"stage__{day}__water_m": "4, 13.8"})  # fmt: skip
    for number, (name, on) in enumerate((("Sike Farm", "2"), ("Low Bothy", "4"))):
        page.locator("summary", has_text="Stops").click() if number == 0 else None
        hand.press("One more stop")
        page.wait_for_selector(f"#stop-{number}-name")
        hand.fill(**{
            f"stop__{number}__name": name, f"stop__{number}__kind": "box",
            f"stop__{number}__day": on, f"stop__{number}__at_m": "14",
            f"stop__{number}__transit_days__least": "3", f"stop__{number}__warmest_c": "24",
            f"stop__{number}__transit_days__most": "6", f"stop__{number}__hold_days": "14",
        })  # fmt: skip
    hand.keep(r"/trips/edge-to-edge\?saved=1")
    assert "Sike Farm box, day 2" in hand.look()

    hand.plan("edge-to-edge")
    assert "taken up at Sike Farm" in page.locator("main").text_content()
    hand.press("To the kitchen", "link")
    page.wait_for_url(re.compile("/kitchen/edge-to-edge"))
    assert "Boxes" in hand.look()
    page.get_by_role("navigation", name="Kitchen of Edge to edge").get_by_role(
        "link", name="Boxes"
    ).click()
    page.wait_for_url(re.compile("/boxes"))
    said = hand.look()
    # Opened on day 2, 6 May.  Kept for 14 days after three in the post at least: not before
    # 6 May - 17 days.  There after six at most, and a day in hand: not after 6 May - 7 days.
    # The other one is opened two days later.
    first = date(2031, 5, 6)
    for late in (0, 2):
        begins, ends = (first + timedelta(days=late - days) for days in (17, 7))
        assert f"{begins:%-d %b} to {ends:%-d %b}" in said
    assert "2031" in said
    box = page.get_by_role("checkbox").first
    box.click()
    page.wait_for_selector("#far >> text=1 of")
    name, data = hand.take(page.get_by_role("link", name="All box lists as a PDF"))
    assert name.endswith("box-lists.pdf")
    words = pdf_words(data)
    assert "Sike Farm" in words
    assert "Low Bothy" in words
    assert "29 Apr" in words
    page.reload()
    assert page.get_by_role("checkbox").first.get_attribute("aria-checked") == "true"
