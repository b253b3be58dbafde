"""Saved pages and files with a schema.org Recipe are read; what is left behind is named.

The pages below are invented; their shapes are those that the vocabulary and JSON-LD 1.1
(W3C Recommendation, 2020) allow: @graph, type lists, @id references, expanded form.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import rdflib
from hypothesis import given
from hypothesis import strategies as st
from rdflib.namespace import XSD

from fellfare.files.jsonld import ReadPage, looks_like_page, read_jsonld, read_saved
from fellfare.files.jsonld.duration import read_duration, write_duration
from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry

COUSCOUS: dict[str, Any] = {
    "@context": "https://schema.org",
    "@type": "Recipe",
    "name": "Couscous",
    "recipeYield": "4 servings",
    "recipeIngredient": ["1 1/2 cups couscous", "2 tbsp olive oil", "1 teaspoon salt"],
    "recipeInstructions": [
        {"@type": "HowToStep", "text": "Pour 500 ml boiling water on the couscous and the salt."},
        {"@type": "HowToStep", "text": "Leave to stand for 10 minutes."},
    ],
}


@cache
def pantry() -> Pantry:
    return shipped_pantry()


def read(data: Any, **more: Any) -> ReadPage:
    return read_jsonld(json.dumps(data | more if more else data), pantry())


def foods(page: ReadPage) -> list[str]:
    return [line.food for line in page.pasted.recipe.lines]


def left(page: ReadPage) -> dict[str, str]:
    return {one.what: one.why for one in page.unread}


def script(*texts: str) -> str:
    tags = "".join(f'<script type="application/ld+json">{text}</script>' for text in texts)
    return f"<!DOCTYPE html><html><head>{tags}</head><body><p>words</p></body></html>"


# ------------------------------------------------------------------ where the recipe stands


@pytest.mark.parametrize(
    "data",
    [
        COUSCOUS,
        [{"@type": "WebSite"}, COUSCOUS],
        {"@context": "https://schema.org", "@graph": [{"@type": "WebPage"}, COUSCOUS]},
        {"@type": "WebPage", "mainEntity": COUSCOUS},
        {"@type": "ItemList", "itemListElement": [{"@type": "ListItem", "item": COUSCOUS}]},
        COUSCOUS | {"@type": ["Thing", "Recipe"]},
        COUSCOUS | {"@type": "http://schema.org/Recipe"},
        COUSCOUS | {"@type": "schema:Recipe"},
        [[[COUSCOUS]]],
    ],
)
def test_the_recipe_is_found_wherever_it_stands(data: Any) -> None:
    for text in (json.dumps(data), script("[]", json.dumps(data))):
        page = read_jsonld(text, pantry())
        assert page.pasted.recipe.title == "Couscous"
        assert page.pasted.recipe.serves == 4
        assert foods(page) == ["couscous", "olive-oil", "salt"]
        (step,) = page.pasted.recipe.steps  # the wait is the time of the pour
        assert (step.act, step.water, step.minutes) == ("steep", "500 ml", 10)
        assert page.pasted.refused == ()


@pytest.mark.parametrize(
    "tag",
    [
        "<script type='application/ld+json'>",
        '<SCRIPT class="x" TYPE="application/ld+json; charset=utf-8">',
        "<script type=application/ld+json>",
        '<script type="application/&#108;d+json"\n data-x="1">',
    ],
)
def test_a_script_is_known_by_its_type_however_it_is_written(tag: str) -> None:
    text = f"<html>{tag}\n{json.dumps(COUSCOUS)}\n</ScRiPt >"
    assert foods(read_jsonld(text, pantry())) == ["couscous", "olive-oil", "salt"]


def test_other_scripts_and_comments_are_passed_over() -> None:
    other = json.dumps(COUSCOUS | {"name": "Commented out"})
    text = (
        f'<html><!-- <script type="application/ld+json">{other}</script> -->'
        "<script>let a = '<script type=\"application/ld+json\">{}';</script>"
        f'<script type="application/json">{other}</script>' + script(json.dumps(COUSCOUS))
    )
    assert read_jsonld(text, pantry()).pasted.recipe.title == "Couscous"


def test_a_broken_script_is_listed_and_the_next_one_read() -> None:
    page = read_jsonld(script("{ broken", json.dumps(COUSCOUS)), pantry())
    assert foods(page) == ["couscous", "olive-oil", "salt"]
    assert "is not JSON" in left(page)["script 1"]


def test_line_ends_inside_strings_and_comment_marks_are_forgiven() -> None:
    text = json.dumps(COUSCOUS | {"description": "one@two"}).replace("@two", "\n two")
    for wrapped in (text, f"<!--\n{text}\n-->", f"//<![CDATA[\n{text}\n//]]>"):
        assert "one two" in read_jsonld(script(wrapped), pantry()).pasted.recipe.about


def test_the_same_recipe_twice_is_one_and_two_recipes_are_refused() -> None:
    short = {"@type": "Recipe", "name": "Couscous"}
    assert len(foods(read([short, COUSCOUS]))) == 3
    with pytest.raises(Mistake, match="Other") as caught:
        read([COUSCOUS, COUSCOUS | {"name": "Other"}])
    assert caught.value.code == "several-recipes"


def test_a_page_without_a_recipe_says_what_is_there() -> None:
    for text in (script(json.dumps({"@type": "NewsArticle"})), "<html><p>no script</p></html>"):
        with pytest.raises(Mistake) as caught:
            read_jsonld(text, pantry())
        assert caught.value.code == "no-recipe-found"
    with pytest.raises(Mistake, match="NewsArticle"):
        read({"@type": "NewsArticle"})


def test_the_expanded_form_of_an_independent_writer_is_read() -> None:
    """rdflib parses our JSON-LD and writes it anew, with full names and wrapped values."""
    data = COUSCOUS | {"@context": {"@vocab": "https://schema.org/"}}
    with pytest.warns(DeprecationWarning, match="ConjunctiveGraph"):
        graph = rdflib.Graph().parse(data=json.dumps(data), format="json-ld")
    text = graph.serialize(format="json-ld", indent=None)
    assert "https://schema.org/recipeIngredient" in text
    page = read_jsonld(text, pantry())
    assert sorted(foods(page)) == ["couscous", "olive-oil", "salt"]  # RDF knows no order
    assert page.pasted.recipe.title == "Couscous"
    assert "steep" in {step.act for step in page.pasted.recipe.steps}


# ------------------------------------------------------------------ what it says


@pytest.mark.parametrize(
    "instructions",
    [
        "Boil the couscous for 5 minutes.\nServe.",
        ["Boil the couscous for 5 minutes.", "Serve."],
        "<ol><li>Boil the couscous for 5&nbsp;minutes.</li><li>Serve.</li></ol>",
        [{"@type": "HowToStep", "name": "Boil the couscous for 5 minutes."}, "Serve."],
        {
            "@type": "ItemList",
            "itemListElement": [
                {"@type": "ListItem", "item": {"text": "Boil the couscous for 5 minutes."}},
                {"@type": "HowToStep", "text": "Serve."},
            ],
        },
        [
            {
                "@type": "HowToSection",
                "name": "In camp",
                "itemListElement": [
                    {
                        "@type": "HowToStep",
                        "itemListElement": [
                            {"@type": "HowToDirection", "text": "Boil the couscous for 5 minutes."},
                            {"@type": "HowToTip", "text": "Mind the flame."},
                        ],
                    },
                    {"@type": "HowToStep", "text": "Serve."},
                ],
            }
        ],
    ],
)
def test_instructions_are_read_in_every_form(instructions: Any) -> None:
    page = read(COUSCOUS, recipeInstructions=instructions)
    steps = page.pasted.recipe.steps
    assert [(step.act, step.minutes) for step in steps] == [("boil", 5), ("serve", None)]
    assert page.pasted.refused == ()


def test_sections_at_home_and_in_camp_give_the_place() -> None:
    sections = [
        {"@type": "HowToSection", "name": name, "itemListElement": ["Mix the couscous."]}
        for name in ("At home", "In camp:", "For the sauce")
    ]
    page = read(COUSCOUS, recipeInstructions=sections)
    assert [step.where for step in page.pasted.recipe.steps] == ["home", "camp", "camp"]
    assert "HowToSection.name" in left(page)


@pytest.mark.parametrize(
    ("told", "serves"),
    [
        ("4 servings", 4), (4, 4), (4.0, 4), (["6", "6 portions"], 6), ("Serves 3", 3),
        ({"@type": "QuantitativeValue", "value": 5, "unitText": "servings"}, 5),
        ({"value": "2"}, 2),
    ],
)  # fmt: skip
def test_the_yield_is_the_number_of_eaters(told: Any, serves: int) -> None:
    page = read(COUSCOUS, recipeYield=told)
    assert page.pasted.recipe.serves == serves
    assert page.pasted.refused == ()


def test_a_yield_of_no_eaters_is_told_and_an_unclear_one_refused() -> None:
    page = read(COUSCOUS, recipeYield="12 cookies")
    assert page.pasted.recipe.serves == 1
    assert "no number of eaters" in left(page)["recipeYield"]
    for odd in ("4-6 servings", "0 servings", "serves many people"):
        (refused,) = read(COUSCOUS, recipeYield=odd).pasted.refused
        assert refused.mistake is not None
        assert refused.mistake.code in ("serves-not-understood", "line-out-of-place")


def test_times_meals_and_source_are_kept() -> None:
    page = read(
        COUSCOUS,
        prepTime="PT10M", cookTime="PT1H5M", totalTime="soon", description="Good &amp; plain.",
        recipeCategory="Dinner, Main course", author={"@type": "Person", "name": "A. Walker"},
        url="https://example.org/couscous",
    )  # fmt: skip
    recipe = page.pasted.recipe
    assert recipe.about == "Good & plain. Times as told: preparation 10 min, cooking 65 min."
    assert recipe.meals == ("dinner",)
    assert recipe.origin == "A. Walker; https://example.org/couscous"
    assert "'Main course'" in left(page)["recipeCategory"]
    assert "no duration" in left(page)["totalTime"]


def test_a_credit_is_the_origin() -> None:
    page = read(COUSCOUS, creditText="from a hut book", author="A. Walker")
    assert page.pasted.recipe.origin == "A. Walker; from a hut book"
    assert "creditText" not in left(page)
    page = read(COUSCOUS, creditText={"@type": "Thing"})
    assert page.pasted.recipe.origin == ""
    assert left(page)["creditText"] == "is no text"


def test_an_author_may_be_a_reference() -> None:
    person = {"@type": "Person", "@id": "#me", "name": "A. Walker"}
    page = read({"@graph": [COUSCOUS | {"author": {"@id": "#me"}}, person]})
    assert page.pasted.recipe.origin == "A. Walker"


def test_no_claim_is_believed_and_every_unread_part_is_named() -> None:
    page = read(
        COUSCOUS,
        image="x.jpg", video={}, aggregateRating={}, review=[], nutrition={"calories": "1 kcal"},
        suitableForDiet="https://schema.org/GlutenFreeDiet", keywords="vegan", cuisineOfMars=1,
    )  # fmt: skip
    assert page.pasted.recipe.tags == ()
    assert left(page).keys() >= {
        "image", "video", "aggregateRating", "review", "nutrition", "suitableForDiet", "keywords",
        "cuisineOfMars",
    }  # fmt: skip


# ------------------------------------------------------------------ refused line by line


def test_a_line_that_is_not_understood_is_refused_with_its_place() -> None:
    page = read(
        COUSCOUS,
        recipeIngredient=["90 g bulgur", "3 sprigs moon dust", "1,000 g salt"],
        recipeInstructions=["Boil the bulgur.", "Meanwhile admire the view."],
    )
    assert foods(page) == ["bulgur"]
    refused = [line.mistake for line in page.pasted.refused]
    assert [mistake.where.partition(" > ")[0] for mistake in refused if mistake] == [
        "recipeIngredient[1]", "recipeIngredient[2]", "recipeInstructions[1]",
    ]  # fmt: skip
    assert [mistake.code for mistake in refused if mistake][0::2] == ["unknown-food", "no-act"]


@pytest.mark.parametrize("heading", ["Notes", "Method:", "Serves 9", "## Ingredients", "Tips"])
def test_a_heading_among_the_ingredients_swallows_nothing(heading: str) -> None:
    lines = ["90 g bulgur", heading, "1 g salt"]
    page = read(COUSCOUS, recipeIngredient=lines, recipeInstructions="Boil the bulgur.")
    assert foods(page) == ["bulgur", "salt"]
    assert page.pasted.recipe.serves == 4
    (refused,) = page.pasted.refused
    assert refused.mistake is not None
    assert refused.mistake.code == "line-out-of-place"


def test_a_heading_for_a_part_becomes_a_bag() -> None:
    lines = ["90 g bulgur", "For the sauce:", "20 g olive oil"]
    page = read(COUSCOUS, recipeIngredient=lines, recipeInstructions="Boil the bulgur.")
    assert [line.bag for line in page.pasted.recipe.lines] == [None, "sauce"]


def test_what_is_of_the_wrong_kind_is_listed() -> None:
    page = read(
        COUSCOUS,
        recipeIngredient=["90 g bulgur", None, True, 1e999, {"a": 1}, [], ""],
        recipeInstructions=["Boil the bulgur.", 7, None, {"@type": "HowToStep", "image": "x"}],
        description=["x", "y"], author={"age": 7}, recipeCategory={"a": 1},
    )  # fmt: skip
    assert foods(page) == ["bulgur"]
    assert any(key.startswith("recipeIngredient") for key in left(page))
    assert {"description", "author", "HowToStep.image"} <= left(page).keys()


def test_a_step_too_long_for_a_line_is_broken_after_sentences() -> None:
    text = " ".join(["Boil the couscous for 5 minutes."] * 40)
    assert len(text) > 500
    page = read(COUSCOUS, recipeInstructions=text)
    assert len(page.pasted.recipe.steps) == 40
    lines = ["90 g bulgur", "x" * 900]
    page = read(COUSCOUS, recipeIngredient=lines, recipeInstructions="Boil the bulgur.")
    (refused,) = page.pasted.refused
    assert refused.mistake is not None
    assert refused.mistake.code == "line-too-long"


def test_a_recipe_without_a_name_is_refused() -> None:
    page = read({key: value for key, value in COUSCOUS.items() if key != "name"})
    assert [line.mistake.code for line in page.pasted.refused if line.mistake] == ["no-title"]


def test_water_among_the_ingredients_goes_to_the_step() -> None:
    page = read(
        COUSCOUS,
        recipeIngredient=["90 g bulgur", "250 ml water"],
        recipeInstructions="Soak the bulgur for an hour.",
    )
    assert page.pasted.recipe.steps[0].water == "250 ml"
    assert page.pasted.refused == ()


# ------------------------------------------------------------------ is it a page?


@pytest.mark.parametrize(
    ("text", "page"),
    [
        ('{"@type": "Recipe"}', True), ("\ufeff\n [ {", True), ("[[{", True),
        ("<!doctype html>", True), ("<html", True), ("<?xml", True), ("<!-- x", True),
        ("Couscous\n90 g couscous", False), ("[Serves 4] Couscous", False), ("", False),
        ("< 5 min soup", False), ("{", True), ("1 cup <fine> bulgur", False),
    ],
)  # fmt: skip
def test_a_page_is_known_by_its_first_letters(text: str, page: bool) -> None:
    assert looks_like_page(text) is page


def test_a_page_may_be_larger_than_a_document(tmp_path: Path) -> None:
    path = tmp_path / "page.html"
    path.write_text(script(json.dumps(COUSCOUS)) + " " * 2_500_000, "utf-8")
    assert foods(read_jsonld(read_saved(path), pantry())) == ["couscous", "olive-oil", "salt"]
    path.write_text("Couscous\n" + " " * 2_500_000, "utf-8")
    with pytest.raises(Mistake) as caught:
        read_saved(path)
    assert caught.value.code == "file-too-large"
    path.write_text("<html>" + " " * 10_000_001, "utf-8")
    with pytest.raises(Mistake) as caught:
        read_saved(path)
    assert caught.value.code == "file-too-large"


# ------------------------------------------------------------------ durations


@pytest.mark.parametrize(
    ("text", "minutes"),
    # By the grammar of ISO 8601-1 and XML Schema part 2, 3.2.6; reckoned by hand.
    [
        ("PT1H15M", 75), ("PT75M", 75), ("P1DT2H", 1560), ("PT0S", 0), ("PT90S", 1.5),
        ("PT1.5H", 90), ("PT0,5H", 30), ("P2W", 20160), ("pt10m", 10), (" PT10M ", 10), ("P0D", 0),
        ("P0DT0H25M", 25),
    ],
)  # fmt: skip
def test_durations_are_read(text: str, minutes: float) -> None:
    assert read_duration(text) == pytest.approx(minutes)


@pytest.mark.parametrize(
    "text",
    ["", "P", "PT", "P1DT", "10 min", "PT1M1H", "1H", "PT-5M", "-PT5M", "P1Y", "P1M", "PT1.5H3M",
     "PT9999999999M", "P400D", "PT1H 5M", "PTM", "\ud800"],
)  # fmt: skip
def test_what_is_no_duration_is_refused(text: str) -> None:
    with pytest.raises(Mistake) as caught:
        read_duration(text)
    assert caught.value.code == "duration-not-understood"


@given(st.integers(0, 525_600 * 60))
def test_a_duration_that_is_written_reads_back_and_rdflib_agrees(seconds: int) -> None:
    text = write_duration(seconds / 60)
    assert read_duration(text) == pytest.approx(seconds / 60, abs=1e-6)
    value = rdflib.Literal(text, datatype=XSD.duration).toPython()
    assert value.total_seconds() == seconds


@pytest.mark.parametrize("minutes", [-1.0, float("nan"), float("inf"), 1e9])
def test_what_cannot_last_so_long_is_not_written(minutes: float) -> None:
    with pytest.raises(Mistake) as caught:
        write_duration(minutes)
    assert caught.value.code == "duration-out-of-range"
