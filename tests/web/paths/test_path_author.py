"""The recipe author: from pasted notes to what stands under a video and on a page of one's own.

Beside the pages stand outside judges: schema.org's words for a recipe [SCHEMA-RECIPE], and the
pound of 453.59237 g for the second measure.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

NOTES = """\
Walnut bulgur with apricots
Serves 2

Ingredients
1 cup bulgur
60 g walnuz, chopped
80 g dried apricots
2 tbsp olive oil
a good pinch of salt

Method
Soak the bulgur and the apricots in 300 ml water for 1 hour.
Stir in the oil and the walnuts and eat cold.
"""


def test_an_author_goes_from_notes_to_what_is_published(
    hand: Any, served: str, pdf_words: Callable[[bytes], str]
) -> None:
    page = hand.page
    page.goto(served)
    assert "What will you eat out there?" in hand.look()
    hand.press("Paste text", "link")

    # Line by line: one slip, told where it stands, mended there.
    hand.fill(text=NOTES)
    hand.press("Look it over")
    page.get_by_role("alert").wait_for()
    hand.look()
    wrong = page.locator("input[aria-invalid=true]")
    told = [one.input_value() for one in wrong.all()]
    assert told[:2] == ["60 g walnuz, chopped", "a good pinch of salt"]
    assert "names 'walnut': not found" in hand.words()  # the step hangs on the line above
    wrong.nth(0).fill("60 g walnuts, chopped")
    wrong.nth(1).fill("a pinch of salt")
    hand.press("Look again")
    page.wait_for_selector("text=60 g of walnut")
    for box in page.locator("input[type=checkbox]").all():
        box.check()
    hand.press("Keep it")
    page.wait_for_url(re.compile("saved=1"))

    # The sheet: both measures, what holds the density down, what nobody knows.
    sheet = hand.look()
    assert page.inner_text("h1") == "Walnut bulgur with apricots"
    assert "walnuts chopped 60 g 2.1 oz" in sheet  # 60 / 28.349523
    assert "kcal/oz" in sheet
    assert "What to mind" in sheet

    # A change with the figures beside it, while one types.
    hand.press("Change", "link")
    nuts = page.locator("input[id$=-food][value*=walnut]").first.get_attribute("id")
    assert nuts is not None
    row = nuts.removesuffix("-food")
    page.fill(f"#{row}-amount", "80 g")
    page.wait_for_selector(f"#{row}-says >> text=80 g")
    hand.press("Keep it")
    page.wait_for_url(re.compile("saved=2"))
    assert "walnuts chopped 80 g 2.8 oz" in hand.words()

    # Out into the world, in every form.
    hand.press("Publish", "link")
    plain = page.input_value("#published")
    assert "Walnut bulgur with apricots" in plain
    assert "80 g (2.8 oz" in plain
    assert "walnut" in plain.partition("ontains")[2].casefold()  # the allergen goes along
    hand.look()
    hand.press("Markdown", "link")
    page.wait_for_url(re.compile("form=markdown"))
    assert page.input_value("#published").startswith("# Walnut bulgur with apricots")
    hand.press("card", "link")
    page.wait_for_url(re.compile("form=card"))
    card = page.input_value("#published").rstrip("\n").splitlines()
    assert len(card) <= 40
    assert max(map(len, card)) <= 48
    name, data = hand.take(page.get_by_role("link", name="Card, PDF"))
    assert name == "walnut-bulgur-with-apricots.pdf"
    assert "Walnut bulgur with apricots" in pdf_words(data)
    hand.press("JSON-LD", "link")
    page.wait_for_url(re.compile("form=json-ld"))
    hand.fill(author="A. Cook", date="2031-05-01")
    hand.press("Write it so")
    page.wait_for_url(re.compile("author="))
    hand.look()
    name, data = hand.take(page.get_by_role("link", name="As a file"))
    assert name == "walnut-bulgur-with-apricots.jsonld"
    told = json.loads(data)
    assert told["@context"] in ("https://schema.org", "https://schema.org/")
    assert told["@type"] == "Recipe"
    assert told["name"] == "Walnut bulgur with apricots"
    assert told["datePublished"] == "2031-05-01"
    assert len(told["recipeIngredient"]) == 5
    assert any("80 g" in one for one in told["recipeIngredient"])
    assert told["nutrition"]["@type"] == "NutritionInformation"
