"""The leader: twelve people, three diets, a nut allergy, one pot for all, bags not for one."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from fellfare.book import Book

NAMES = ("Alder", "Birch", "Cedar", "Dogwood", "Elder", "Fir", "Gorse", "Holly", "Iris",
         "Juniper", "Kelp", "Larch")  # fmt: skip
DIETS = {"Birch": "vegan", "Cedar": "vegetarian", "Elder": "vegetarian", "Iris": "no-pork"}

RICE = """\
title = "Rice with peas and cashews"
serves = 1
meals = ["dinner"]
[[line]]
food = "rice-instant"
amount = "90 g"
bag = "rice"
[[line]]
food = "green-peas-freeze-dried"
amount = "15 g"
bag = "rice"
[[line]]
food = "olive-oil"
amount = "15 g"
bag = "oil"
[[line]]
food = "cashew-salted"
amount = "20 g"
bag = "cashews"
[[step]]
act = "boil"
bags = ["rice"]
water = "250 ml"
minutes = 6
[[step]]
act = "serve"
bags = ["oil", "cashews"]
[[bag]]
name = "oil"
packing = "screw"
"""


def test_a_leader_feeds_twelve_with_a_nut_allergy_among_them(
    hand: Any,
    served: str,
    book: Book,
    shared_recipes: Callable[..., None],
    pdf_words: Callable[[bytes], str],
) -> None:
    shared_recipes(
        "blueberry-coconut-oats", "millet-sour-cherry-ginger", "black-bean-dip-tortilla-chips",
        "lentil-pumpkin-seed-salad", "seed-sour-cherry-mix", "chilli-lemon-corn-seeds",
        "smoked-almond-pretzel", "coconut-lentil-curry-rice",
    )  # fmt: skip
    book.save("recipe", "rice-peas-cashew", RICE, None)
    page = hand.page
    page.goto(f"{served}/trips/new")
    hand.fill(title="Twelve on the moor", walk__day_c="14", walk__night_c="6", walk__fire="none",
              walk__start_hour="9.5")  # fmt: skip
    for number, name in enumerate(NAMES):
        if number:
            hand.press("One more person")
            page.wait_for_selector(f"#walker-{number}-name")
        hand.fill(**{f"walker__{number}__name": name, f"walker__{number}__age_y": f"{14 + number}",
                     f"walker__{number}__height_cm": "165", f"walker__{number}__mass_kg": "60",
                     f"walker__{number}__base_pack_kg": "6"})  # fmt: skip
        ticked = [("diets", DIETS[name])] if name in DIETS else []
        ticked += [("avoids", "tree-nut")] if name == "Holly" else []
        for key, word in ticked:
            tick = page.locator(f"input[name=walker-{number}-{key}][value={word}]")
            tick.locator("xpath=ancestor::details").locator("> summary").click()
            tick.check()
    hand.fill(
        stage__0__distance_m="9", stage__0__ascent_m="300", stage__0__camp="Low Sike",
        stage__0__water_m="4, 8.9", stage__1__distance_m="7", stage__1__descent_m="300",
        kitchen__0__stove="gas-screened", kitchen__0__fuel="gas", kitchen__0__pot_ml="8",
        kitchen__0__pot_g="900", kitchen__0__kit_g="400", kitchen__0__cooking_place="outside",
        kitchen__0__pots="2", kitchen__0__batches="2",
        rules__energy_band__least="0.75", rules__energy_band__most="1.35",
    )  # fmt: skip
    page.locator("summary", has_text="Dishes that are fixed").click()
    hand.press("One more dish")
    page.wait_for_selector("#fixed-0-day")
    hand.fill(fixed__0__day="1", fixed__0__eating="dinner", fixed__0__dish="rice-peas-cashew")
    hand.press("One more dish")
    page.wait_for_selector("#fixed-1-day")
    hand.fill(fixed__1__day="1", fixed__1__eating="snack", fixed__1__dish="smoked-almond-pretzel",
              fixed__1__walkers="Alder, Fir")  # fmt: skip
    hand.keep(r"/trips/twelve-on-the-moor\?saved=1")
    said = hand.look()
    assert all(name in said for name in NAMES)
    assert "no cashew" in said

    hand.plan("twelve-on-the-moor")
    said = hand.look()
    assert "Rice with peas, without cashews" in said  # the base for all: one pot, Holly in it
    assert "Smoked paprika almonds" in said  # for Alder and Fir alone
    hand.page.goto(f"{served}/menus/twelve-on-the-moor?who=Holly#grid")
    assert "Smoked paprika almonds" not in hand.page.inner_text("#grid")

    hand.press("To the kitchen", "link")
    page.wait_for_url(re.compile("/kitchen/twelve-on-the-moor"))
    hand.look()
    name, data = hand.take(page.get_by_role("link", name=re.compile("A4 PDF of.*llergen")))
    assert name.endswith("allergen-card.pdf")
    card = pdf_words(data)
    assert re.search("Holly Must not eat: tree.nut", card)
    assert "almond (almonds, raw)" in card
    assert "Cashews, roasted" not in card  # nothing with cashews is carried
    page.goto(f"{served}/kitchen/twelve-on-the-moor/labels")
    page.evaluate("document.querySelectorAll('details.list').forEach(one => one.open = true)")
    hand.look()
    dinner = page.locator("li.label", has_text="Rice with peas, without cashews")
    assert dinner.count() >= 1
    assert "for Alder" not in dinner.first.inner_text()  # for all
    almonds = page.locator("li.label", has_text="Smoked paprika almonds").first.inner_text()
    assert "Contains: almond" in almonds
    assert "NOT FOR Holly" in almonds  # who eats other snacks all the same
    assert "NOT FOR" not in dinner.first.inner_text()
    name, data = hand.take(page.get_by_role("button", name="Labels as PDF"))
    assert "NOT FOR Holly: almonds, raw: contains almond" in pdf_words(data)
    page.goto(f"{served}/kitchen/twelve-on-the-moor/bags?by=person")
    assert "not for Holly" in hand.look()
