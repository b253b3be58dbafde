"""The box list: every bag, the customs list, the dates, and what to mind."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from msgspec.structs import replace

from fellfare.files.shipped import shipped_pantry
from fellfare.paper.boxing import box_sheet
from fellfare.paper.lists import list_pdf
from fellfare.provision.bags.plan import bags_of
from fellfare.provision.boxes.box import BoxPlan, boxes
from fellfare.provision.boxes.posting import Post
from fellfare.provision.planned import in_order

Text = Callable[[bytes], str]


def test_a_box_list_has_every_bag_the_customs_list_and_the_dates(our: Any, text_of: Text) -> None:
    plan = in_order(
        replace(dish, stop="Hut", leg=2) for dish in our.plan(our.recipe(), days=(5, 6))
    )
    post = Post(transit_days=(3, 7), hold_days=15)
    plans = {"Hut": BoxPlan(post=post, things=("gas canister",), abroad=True)}
    (box,) = boxes(bags_of(plan), shipped_pantry(), first_day=date(2031, 5, 1), plans=plans)
    text = text_of(list_pdf(box_sheet(box), "letter"))
    for bag in box.bags:
        assert f"{bag.number} {bag.name.capitalize()}" in text
    assert text.count("Dinner: Lentil soup") == 2  # said once a dish, above its bags
    for row in box.customs:
        assert row.description[1:] in text
    for word in ("Box: Hut", "Opened Mon 5 May 2031", "Post it from", "Gas canister", "30 °C"):
        assert word in text, word
    assert all(finding.text.split(".")[0][:40] in text for finding in box.findings)


def test_how_long_a_box_waits_is_told_for_its_day_of_posting(our: Any) -> None:
    plan = in_order(
        replace(dish, stop="Hut", leg=2) for dish in our.plan(our.recipe(), days=(5, 6))
    )
    # Opened on 5 May: by hand, posted from 17 April (15 days held, 3 under way) to 27 April.
    post = Post(transit_days=(3, 7), hold_days=15)

    def lead(posted: date | None, post: Post | None = post) -> str:
        one = BoxPlan(post=post, posted=posted, packed_days=2)
        (box,) = boxes(
            bags_of(plan), shipped_pantry(), first_day=date(2031, 5, 1), plans={"Hut": one}
        )
        return " ".join(box_sheet(box).lead)

    meant = lead(date(2031, 4, 22))
    assert "Posted on that day it is under way and waits 13 days at the longest" in meant
    assert "posted on the first day, 18 days." in meant
    assert "Its bags are filled by Sun 20 Apr 2031." in meant
    open_day = lead(None)
    assert "Posted on the first day it is under way and waits 18 days" in open_day
    assert "Its bags are filled by Fri 25 Apr 2031." in open_day
    assert "waits" not in lead(None, None).split("Reckoned")[0]
