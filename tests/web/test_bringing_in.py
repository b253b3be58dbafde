"""Recipes brought in: pasted, from a saved page, as documents; each line looked over first."""

from __future__ import annotations

import json
import re
from html import unescape
from typing import Any

import pytest
from litestar import Litestar
from litestar.testing import TestClient

from fellfare.book import Book
from fellfare.web.documents import recipe_of

Client = TestClient[Litestar]

TEXT = """Walnut bulgur
Serves 2

Ingredients
1 cup bulgur
2 tbsp olive oil
60 g walnuts, chopped

Method
Soak the bulgur in 300 ml water for 1 hour.
"""

#: A page of our own making, with the vocabulary of schema.org.
THING = {
    "@context": "https://schema.org", "@type": "Recipe", "name": "Walnut bulgur",
    "description": "From a saved page.", "recipeCategory": "dinner", "recipeYield": "2",
    "recipeIngredient": ["90 g bulgur", "60 g walnuts, chopped"],
    "recipeInstructions": ["Soak the bulgur in 300 ml water for 1 hour."],
    "keywords": "quick",
}  # fmt: skip
PAGE = f'<html><script type="application/ld+json">{json.dumps(THING)}</script></html>'


def rows_of(text: str) -> dict[str, Any]:
    """The fields of the looked-over form, as a browser would send them again."""
    form = text.partition('action="/recipes/paste"')[2].partition("</form>")[0]
    fields: dict[str, Any] = {"right": []}
    for tag in re.findall(r"<input[^>]*>", form):
        told = {key: unescape(value) for key, value in re.findall(r'([\w-]+)="([^"]*)"', tag)}
        if told.get("type") == "checkbox":
            fields["right"].append(told["value"])  # as if every line had been ticked
        elif told["name"] != "_csrf_token":
            fields[told["name"]] = told.get("value", "")
    for name, value in re.findall(r'<textarea name="(\w+)"[^>]*>\n(.*?)</textarea>', form, re.S):
        fields[name] = unescape(value)
    return fields


def sent(client: Client, post: Any, name: str, data: bytes | str) -> Any:
    return client.post(
        "/recipes/bring", data={"_csrf_token": post.token, "system": "us"},
        files={"file": (name, data)}, follow_redirects=False,
    )  # fmt: skip


def test_every_line_is_shown_with_what_was_understood(book: Book, post: Any) -> None:
    page = post("/recipes/paste", text=TEXT, system="us")
    assert page.status_code == 200
    assert "60 g of walnut" in page.text
    assert "serves 2" in page.text
    assert book.stamp() == 0


def test_it_is_kept_only_when_every_line_was_ticked(book: Book, post: Any) -> None:
    fields = rows_of(post("/recipes/paste", text=TEXT, system="us").text)
    unticked = post.form("/recipes/paste", fields | {"right": fields["right"][:2], "do": "keep"})
    assert unticked.status_code == 422
    assert "not ticked yet" in unticked.text
    assert book.stamp() == 0
    kept = post.form("/recipes/paste", fields | {"do": "keep"})
    assert kept.status_code == 303
    recipe = recipe_of(book.get("recipe", "walnut-bulgur").text)
    assert (recipe.serves, len(recipe.lines), recipe.lines[2].note) == (2, 3, "chopped")


def test_a_refused_line_is_mended_in_place_and_loses_its_tick(book: Book, post: Any) -> None:
    fields = rows_of(post("/recipes/paste", text=TEXT.replace("walnuts", "walnutz")).text)
    refused = post.form("/recipes/paste", fields | {"do": "keep"})
    assert refused.status_code == 422
    assert "no food is called" in unescape(refused.text)
    row = next(key for key, value in fields.items() if value == "60 g walnutz, chopped")
    mended = post.form("/recipes/paste", fields | {row: "60 g walnuts", "do": "look"})
    assert "60 g of walnut" in mended.text
    told = re.search(r'value="60 g walnuts"( checked)?>', mended.text)
    assert told is not None
    assert told[1] is None
    assert 'value="1 cup bulgur" checked' in mended.text


@pytest.mark.parametrize("name", ["page.html", "recipe.json"])
def test_a_saved_page_is_looked_over_and_kept_with_what_it_says(
    client: Client, book: Book, post: Any, name: str
) -> None:
    answer = sent(client, post, name, PAGE if name == "page.html" else json.dumps(THING))
    assert answer.status_code == 200
    assert "keywords" in answer.text  # told as not taken over
    fields = rows_of(answer.text)
    assert post.form("/recipes/paste", fields | {"do": "keep"}).status_code == 303
    recipe = recipe_of(book.get("recipe", "walnut-bulgur").text)
    assert recipe.meals == ("dinner",)
    assert recipe.about == "From a saved page."
    assert recipe.steps[0].minutes == 60


def test_a_changed_page_still_keeps_what_came_along(client: Client, book: Book, post: Any) -> None:
    fields = rows_of(sent(client, post, "page.html", PAGE).text)
    row = next(key for key, value in fields.items() if value == "90 g bulgur")
    changed = fields | {row: "80 g bulgur", "do": "anyway"}
    assert post.form("/recipes/paste", changed).status_code == 303
    recipe = recipe_of(book.get("recipe", "walnut-bulgur").text)
    assert recipe.lines[0].amount == "80 g"
    assert recipe.meals == ("dinner",)


def test_a_document_is_kept_letter_by_letter(client: Client, book: Book, post: Any) -> None:
    text = '# mine\ntitle = "Oats"\n[[line]]\nfood = "rolled-oats"\namount = "80 g"\n'
    assert sent(client, post, "oats.toml", text).status_code == 303
    assert book.get("recipe", "oats").text == text
    food = 'id = "bar"\nname = "bar"\n[label]\nstyle = "eu"\nenergy_kcal = 400\n'
    assert sent(client, post, "bar.toml", food).status_code == 303
    assert book.get("food", "bar").text == food


def test_a_document_of_a_name_that_is_taken_is_not_laid_over_it(
    client: Client, book: Book, post: Any
) -> None:
    food = 'id = "bar"\nname = "bar"\n[label]\nstyle = "eu"\nenergy_kcal = 400\n'
    sent(client, post, "bar.toml", food)
    both = sent(client, post, "bar.toml", food.replace("400", "450"))
    assert both.status_code == 409
    assert book.get("food", "bar").text == food


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("a.toml", b"title = ", "is not TOML"),
        ("a.toml", b'title = "x"\nserves = 1\n', "has no line"),
        ("a.html", b"<html><p>no recipe here</p></html>", "recipe"),
        ("a.json", b'{"@type": "Recipe"', "JSON"),
        ("a.txt", b"\xff\xfe\x00", "UTF-8"),
        ("a.txt", b"", "nothing to read"),
        ("../../etc/passwd", b"x" * 600, "characters"),
    ],
)
def test_a_file_that_is_none_is_told_and_nothing_is_kept(
    client: Client, book: Book, post: Any, name: str, data: bytes, said: str
) -> None:
    answer = sent(client, post, name, data)
    assert answer.status_code == 422
    assert said in unescape(answer.text)
    assert book.stamp() == 0


def test_pasting_nothing_says_what_to_paste(post: Any) -> None:
    assert post("/recipes/paste", text="").status_code == 422
    assert post.form("/recipes/bring", {}).status_code in (400, 422)
