"""Whatever a page holds: a recipe, a list of what was not read, or a Mistake.  Nothing else."""

from __future__ import annotations

import json
from contextlib import suppress
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fellfare.files.jsonld import ReadPage, looks_like_page, read_jsonld
from fellfare.files.recipe_toml import recipe_text
from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry

KEYS = (
    "@type", "@id", "@graph", "@value", "@list", "name", "text", "item", "itemListElement",
    "mainEntity", "recipeYield", "recipeIngredient", "recipeInstructions", "author", "url",
    "prepTime", "recipeCategory", "description", "image", "value", "unitText", "step", "position",
)  # fmt: skip
WORDS = (
    "Recipe", "HowToStep", "HowToSection", "HowToTip", "HowToDirection", "ItemList", "#a",
    "90 g bulgur", "Boil the bulgur.", "250 ml water", "Notes", "Method:", "Serves 0", "PT5M",
    "https://schema.org/Recipe", "4 servings", "<p>&amp;lt;b&gt;</p>", "\ud800", "\x00\x1b[31m",
    "At home", "dinner", "a" * 600, "\u202e", "Ingredients", "1" * 30,
)  # fmt: skip


@cache
def pantry() -> Pantry:
    return shipped_pantry()


def read(text: str) -> ReadPage | None:
    """Reads; a Mistake is a fair answer, and what is read can be written as a document."""
    with suppress(Mistake):
        page = read_jsonld(text, pantry())
        if not page.pasted.refused and page.pasted.recipe.lines:
            recipe_text(page.pasted.recipe).encode("utf-8")
        for one in page.unread:
            (one.what + one.why).encode("utf-8")
            assert (one.what + one.why).isprintable()
        for line in page.pasted.lines:
            line.text.encode("utf-8")
            assert line.text.isprintable()
        return page
    return None


leaves = (
    st.none() | st.booleans() | st.integers() | st.floats() | st.sampled_from(WORDS) | st.text()
)
values = st.recursive(
    leaves,
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.sampled_from(KEYS) | st.text(max_size=8), inner, max_size=6)
    ),
    max_leaves=30,
)


@settings(max_examples=200)
@given(values)
def test_any_json_is_a_recipe_or_a_mistake(value: Any) -> None:
    read(json.dumps(value))
    read(json.dumps({"@type": "Recipe", "name": "x", "recipeIngredient": value}))


@settings(max_examples=200)
@given(st.dictionaries(st.sampled_from(KEYS), values, max_size=8))
def test_any_recipe_object_is_read_or_refused(value: dict[str, Any]) -> None:
    text = json.dumps(value | {"@type": "Recipe"})
    read(text)
    read(f'<html><script type="application/ld+json">{text}</script>')


pieces = st.sampled_from(
    ["<script", ' type="application/ld+json"', ">", "</script>", "<!--", "-->", "{", "}", '"',
     '{"@type":"Recipe","name":"x","recipeIngredient":["90 g bulgur"]}', "<html>", "<![CDATA[",
     "//]]>", "'", "=", "/", "\x00", "\ufeff", "&#x0;", "&", "<script type='"]
)  # fmt: skip


@settings(max_examples=200)
@given(st.lists(pieces | st.text(max_size=10), max_size=25).map("".join))
def test_any_mark_up_is_read_or_refused(text: str) -> None:
    looks_like_page(text)
    read("<" + text)
    read(text)


@pytest.mark.parametrize("opening", ["[", '{"a":', '{"@graph":[', '[{"recipeInstructions":'])
@pytest.mark.parametrize("depth", [60, 900, 100_000])
def test_deep_nesting_ends_in_a_mistake(opening: str, depth: int) -> None:
    with pytest.raises(Mistake) as caught:
        read_jsonld(opening * depth, pantry())
    assert caught.value.code in ("not-json", "no-recipe-found")


def test_steps_within_steps_end_somewhere() -> None:
    step: Any = "Boil the bulgur."
    for _ in range(200):
        step = {"@type": "HowToStep", "itemListElement": [step]}
    page = read(json.dumps({"@type": "Recipe", "name": "x", "recipeInstructions": step}))
    assert page is not None
    assert "steps within steps" in {one.what for one in page.unread}


def test_a_reference_to_itself_ends() -> None:
    node = {"@id": "#a", "@type": "HowToStep", "itemListElement": {"@id": "#a"}}
    recipe = {"@type": "Recipe", "name": "x", "recipeInstructions": {"@id": "#a"}, "author": node}
    assert read(json.dumps(recipe)) is not None


@pytest.mark.parametrize(
    "text",
    [
        "<script " * 300_000,
        "<!--" * 500_000,
        "<" * 2_000_000,
        '<script type="application/ld+json">' * 60_000,
        '<script type="application/ld+json">{}</script>' * 40_000,
        "<!" * 1_000_000,
        '{"a":' + "9" * 1_000_000 + "}",
        json.dumps({"@type": "Recipe", "name": "<!--" * 200_000}),
        json.dumps({"@type": "Recipe", "name": "<a " * 200_000}),
        json.dumps({"@type": "Recipe", "recipeYield": "4 " * 200_000}),
        json.dumps({"@type": "Recipe", "name": "x"} | {f"k{n}": n for n in range(50_000)}),
        json.dumps([{"@type": "Recipe", "name": f"{n}"} for n in range(20_000)]),
        json.dumps({"@type": "Recipe", "name": "x", "recipeIngredient": ["Notes"] * 300}),
    ],
    ids=lambda text: text[:20],
)
def test_megabytes_of_nonsense_are_read_or_refused(text: str) -> None:
    page = read(text)
    assert page is None or len(page.unread) <= 110


def test_more_than_ten_megabytes_are_refused() -> None:
    with pytest.raises(Mistake) as caught:
        read_jsonld("<html>" + " " * 10_000_000, pantry())
    assert caught.value.code == "page-too-large"


def test_hundreds_of_lines_are_no_recipe() -> None:
    recipe = {"@type": "Recipe", "name": "x", "recipeIngredient": ["90 g bulgur"] * 900}
    with pytest.raises(Mistake) as caught:
        read_jsonld(json.dumps(recipe), pantry())
    assert caught.value.code == "text-too-long"
