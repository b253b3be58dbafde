"""Trail card, day sheets, recipe card, allergen card, lists: whole, tagged, inside their pages."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.paper.allergens import allergens_pdf
from fellfare.paper.buying import shopping_sheet
from fellfare.paper.lists import Part, Row, Sheet, list_pdf
from fellfare.paper.preparing import prep_sheet
from fellfare.paper.press import press
from fellfare.paper.recipes import nutrition_line, recipes_pdf
from fellfare.paper.trail import day_sheets_pdf, trail_pdf
from fellfare.provision.bags.plan import bags_of
from fellfare.provision.cards.allergen import allergen_card
from fellfare.provision.cards.recipe import CardNutrient, recipe_card
from fellfare.provision.prep.list import prep_list
from fellfare.provision.shopping.list import shopping_list
from fellfare.recipe.document import Line, Step

Picture = NDArray[np.uint8]
Pages = Callable[..., list[Picture]]
Text = Callable[[bytes], str]
Told = Callable[[bytes], dict[str, str]]

#: Inked pixels this near to the edge are off the type area [mm].
EDGE_MM = 6.0

ODD = "#panic(1) $x$ *b* <script>"


def one_list(title: str = "Box 2", food: str = "Oats", rows: int = 1) -> Sheet:
    row = Row(cells=(food, "120 g"), notes=("for porridge",))
    part = Part(heading="Grain", head=("Food", "Buy"), widths=(2.0, 1.0), rows=(row,) * rows)
    return Sheet(title=title, parts=(part,), foot=("All of it.",))


def papers(our: Any, title: str = "Lentil soup", size: Any = "a4") -> dict[str, bytes]:
    """Every paper of a one-dish plan."""
    recipe = our.recipe(title=title)
    plan = our.plan(recipe, days=(1, 2))
    card = our.card(plan)
    pantry = shipped_pantry()
    bought = shopping_list(bags_of(plan), pantry)
    return {
        "trail": trail_pdf(card, size),
        "days": day_sheets_pdf(card, size),
        "recipe": recipes_pdf([recipe_card(plan[0].sheet, pantry)], size),
        "allergens": allergens_pdf(allergen_card(plan), size),
        "shopping": list_pdf(shopping_sheet(bought), size),
        "list": list_pdf(one_list(food=title), size),
    }


@pytest.mark.parametrize(
    ("size", "points"), [("a4", "595.276 x 841.89 pts"), ("letter", "612 x 792 pts")]
)
def test_papers_are_tagged_and_have_their_size(
    our: Any, size: str, points: str, told_of: Told
) -> None:
    # ISO 216 A4 and US Letter in points of 1/72 in; tags as ISO 14289-1 asks.
    for name, pdf in papers(our, size=size).items():
        told = told_of(pdf)
        assert told["Page size"].startswith(points), name
        assert told["Tagged"] == "yes", name
        assert told["Title"], name
        assert b"/StructTreeRoot" in pdf, name
        assert b"pdfuaid" in pdf, name
        assert "CreationDate" not in told, name


def test_the_same_plan_is_the_same_bytes(our: Any) -> None:
    assert papers(our) == papers(our)


@pytest.mark.parametrize("title", ["x" * 400, "Soup with long names " * 19, ODD, "Борщ Żurek ½"])
def test_odd_names_are_printed_whole_and_stay_on_the_page(
    our: Any, title: str, text_of: Text, pages_of: Pages
) -> None:
    for name, pdf in papers(our, title).items():
        if name != "shopping":  # its small print names the dish; the others are about it
            assert title.replace(" ", "") in text_of(pdf).replace(" ", "").replace("-", ""), name
        for page in pages_of(pdf, dpi=80):
            edge = round(EDGE_MM * 80 / 25.4)
            # Text is nearly black; the grey line to fold or cut runs to the edge.
            sides = (page[:, :edge], page[:, -edge:], page[:edge], page[-edge:])
            assert min(side.min() for side in sides) > 120, name


def test_a_letter_without_glyph_is_refused_with_its_day(our: Any) -> None:
    plan = our.plan(our.recipe(title="Stew 🌶"), days=(3,))
    with pytest.raises(Mistake, match="U\\+1F336") as caught:
        trail_pdf(our.card(plan), "a4")
    assert (caught.value.code, caught.value.where) == ("no-glyph", "day 3 > ‘Stew 🌶’")


@given(st.text(max_size=60))
@example("a\ufeffb")
@example("a\ufffeb\U0001ffffc\ue000d")
@example("a\u200eb\u2028c\u00add\x85e")
@settings(max_examples=25)
def test_any_text_is_printed_or_refused_in_clear_words(words: str) -> None:
    # Every character of Unicode may turn up; typst's own errors must not.
    try:
        pdf = list_pdf(one_list(title=words, food=words), "a4")
    except Mistake as mistake:
        if mistake.code == "no-glyph" and "(U+" in mistake.what:
            return
        raise
    assert pdf.startswith(b"%PDF-")


def test_a_trail_card_says_what_a_walker_asks(our: Any, text_of: Text) -> None:
    text = text_of(trail_pdf(our.card(our.plan(our.recipe(), days=(1, 2))), "a4"))
    for word in (
        "Day 1 Thu 1 May 2031", "Fire ban: no flame today.", "Dinner · for all", "Lentil soup",
        "Boil: 600 ml (2½ cups) · 15 min", "Later add nuts 40 g", "NOT FOR Ada", "ERROR: Ada",
        "Day 2 Fri 2 May 2031", "Emergency: 112 / 911", "☐",
    ):  # fmt: skip
        assert word in text, word


def test_a_full_day_goes_on_in_the_next_panel(our: Any, text_of: Text, told_of: Told) -> None:
    recipes = [our.recipe(title=f"Soup {n}", meals=(f"meal {n}",)) for n in range(1, 13)]
    pdf = trail_pdf(our.card(our.plan(*recipes)), "letter")
    text = text_of(pdf)
    assert "Day 1 Thu 1 May 2031 · continued" in text
    assert [f"Soup {n}" in text for n in range(1, 13)] == [True] * 12
    assert text.count("The day’s food") == 1


def test_a_day_stays_in_one_panel_if_smaller_type_brings_it_there(our: Any, text_of: Text) -> None:
    # Two such meals are too long for a panel at 11 pt, and have room at 9 pt or more.
    recipes = [our.recipe(title=f"Soup {n}", meals=(f"meal {n}",)) for n in range(1, 3)]
    card = our.card(our.plan(*recipes))
    assert "continued" not in text_of(trail_pdf(card, "a4"))


def test_panels_keep_off_the_fold(our: Any, pages_of: Pages) -> None:
    recipes = [our.recipe(title=f"Soup {n} with words " * 3, meals=(f"m{n}",)) for n in range(5)]
    pdf = trail_pdf(our.card(our.plan(*recipes, days=range(1, 9))), "a4")
    for page in pages_of(pdf, dpi=100):
        height, width = page.shape
        # The dashed line is grey, the text nearly black: none of it within 4 mm of a fold.
        band = round(4 * 100 / 25.4)
        assert page[:, width // 2 - band : width // 2 + band].min() > 120
        assert page[height // 2 - band : height // 2 + band, :].min() > 120
        assert page.min() == 0


@pytest.mark.parametrize("size", ["a4", "letter"])
@pytest.mark.parametrize("letters", [90, 400, 720, 1500])
def test_a_long_title_stays_in_its_panel(
    our: Any, letters: int, size: Any, text_of: Text, pages_of: Pages
) -> None:
    title = ("A walk over the hills and back " * 60)[:letters].strip()
    pdf = trail_pdf(our.card(our.plan(our.recipe()), title), size)
    assert title in text_of(pdf)
    assert "Notes" in text_of(pdf)
    (page,) = pages_of(pdf, dpi=100)
    height, width = page.shape
    band = round(4 * 100 / 25.4)
    assert page[:, width // 2 - band : width // 2 + band].min() > 120
    assert page[height // 2 - band : height // 2 + band, :].min() > 120


def test_a_title_larger_than_a_panel_is_refused_by_name(our: Any) -> None:
    with pytest.raises(Mistake) as caught:
        trail_pdf(our.card(our.plan(our.recipe()), "Round " * 700), "a4")
    assert (caught.value.code, caught.value.where) == ("no-room", "title")
    assert "title" in caught.value.mend


def test_a_meal_larger_than_a_panel_is_refused(our: Any) -> None:
    long = our.recipe(title="Soup " * 900)
    with pytest.raises(Mistake) as caught:
        trail_pdf(our.card(our.plan(long, days=(4,))), "a4")
    assert (caught.value.code, caught.value.where) == ("no-room", "day 4")


def test_black_and_white_carries_everything(our: Any, pages_of: Pages) -> None:
    # The pages are drawn in greys only: nothing can be lost on a black printer.
    for name, pdf in papers(our).items():
        assert b"/DeviceRGB" not in pdf, name
        assert min(page.min() for page in pages_of(pdf, dpi=60)) == 0, name


def test_a_recipe_card_has_both_systems_and_both_places(our: Any, text_of: Text) -> None:
    steps = (
        Step(act="toast", bags=("nuts",), where="home", minutes=8.0, text="Until they smell."),
        Step(act="boil", bags=("pot",), water="600 ml", minutes=15.0, text="Stir well."),
    )
    sheet = our.plan(our.recipe(steps=steps))[0].sheet
    text = text_of(recipes_pdf([recipe_card(sheet, shipped_pantry())], "a4"))
    home, camp = text.index("AT HOME"), text.rindex("IN CAMP")
    assert home < text.index("Toast: 8 min") < text.index("Until they smell.") < camp
    assert camp < text.index("Boil: 600 ml (2½ cups) · 15 min") < text.index("PER SERVING")
    for word in ("120 g", "4.2 oz", "CONTAINS walnut", "kJ", "CAUTION", "Local rules"):
        assert word in text, word


def test_unknown_nutrients_are_a_lower_bound_that_says_so() -> None:
    energy = CardNutrient(name="energy_kcal", value=412.0, unknown=())
    salt = CardNutrient(name="sodium_mg", value=0.0, unknown=("sumac",))
    said = nutrition_line([energy, salt])
    # 1 kcal is 4.184 kJ: 412 kcal are 1 723.8 kJ.
    assert said.startswith("412 kcal (1724 kJ) · sodium at least 0 mg.")
    assert "nobody has measured sumac" in said


def test_several_recipes_begin_their_own_pages(our: Any, told_of: Told) -> None:
    card = recipe_card(our.plan(our.recipe())[0].sheet, shipped_pantry())
    assert told_of(recipes_pdf([card] * 3, "a4"))["Pages"] == "3"


def test_an_allergen_card_names_person_dish_and_food(our: Any, text_of: Text) -> None:
    text = text_of(allergens_pdf(allergen_card(our.plan(our.recipe())), "a4"))
    for word in (
        "Ada Must not eat: tree nut (almond, hazelnut, walnut",
        "Day 1 dinner, Lentil soup Walnuts CONTAINS walnut; Walnuts MAY CONTAIN tree nuts",
        "CONTAINS walnut (walnuts)", "Walnut: US ‘tree nuts (walnut)’", "‘Not declared’",
    ):  # fmt: skip
        assert word.replace("‘Not declared’", "'Not declared'") in text, word


def test_an_allergen_card_does_not_take_the_unknown_for_none(our: Any, text_of: Text) -> None:
    lines = (Line(food="cumin", amount="2 g"),)
    recipe = our.recipe(lines=lines, bags=(), steps=())
    text = text_of(allergens_pdf(allergen_card(our.plan(recipe)), "a4"))
    assert "NOT KNOWN whether cumin holds: almond" in text
    assert "NOT KNOWN, read the packs:" in text
    assert "No dish of theirs" not in text


def test_an_allergen_card_has_no_decoration(our: Any, pages_of: Pages) -> None:
    # No rule, frame or tint: no line of pixels is inked for a third of the width.
    for page in pages_of(allergens_pdf(allergen_card(our.plan(our.recipe())), "a4"), dpi=60):
        dark = page < 200
        runs = [max(map(len, "".join("x" if d else " " for d in row).split()), default=0)
                for row in dark]  # fmt: skip
        assert max(runs) < page.shape[1] / 3


def test_a_shopping_list_has_every_food_to_tick(our: Any, text_of: Text) -> None:
    plan = our.plan(our.recipe(), days=(1, 2, 3))
    bought = shopping_list(bags_of(plan), shipped_pantry())
    text = text_of(list_pdf(shopping_sheet(bought), "letter"))
    rows = [row for place in bought.places for row in place.rows]
    assert len(rows) == 3
    assert text.count("☐") == len(rows)
    # 3 × 120 g.
    assert "360 g (12.7 oz)" in text
    assert "Packs" not in text


def test_a_long_list_repeats_its_head(text_of: Text, told_of: Told) -> None:
    pdf = list_pdf(one_list(rows=120), "a4")
    pages = int(told_of(pdf)["Pages"])
    assert pages > 2
    assert text_of(pdf).count("Food Buy") == pages


def test_an_empty_list_is_refused() -> None:
    with pytest.raises(Mistake) as caught:
        list_pdf(one_list(rows=0), "a4")
    assert caught.value.code == "empty-list"


def test_a_list_with_a_missing_cell_is_a_fault_of_the_caller() -> None:
    part = Part(heading="x", head=("a", "b"), widths=(1.0, 1.0), rows=(Row(cells=("one",)),))
    with pytest.raises(TypeError, match="columns"):
        list_pdf(Sheet(title="x", parts=(part,)), "a4")


def test_an_unknown_paper_is_refused() -> None:
    with pytest.raises(Mistake) as caught:
        press("list.typ", {}, "a5", "x")  # type: ignore[arg-type]
    assert caught.value.code == "unknown-paper"


def test_nothing_planned_is_refused(our: Any) -> None:
    empty = type(our.card(our.plan(our.recipe())))(title="x", days=(), standing=())
    for draw in (trail_pdf, day_sheets_pdf):
        with pytest.raises(Mistake) as caught:
            draw(empty, "a4")
        assert caught.value.code == "nothing-planned"
    with pytest.raises(Mistake) as caught:
        recipes_pdf([], "a4")
    assert caught.value.code == "no-recipes"


def test_a_prep_list_goes_by_day_and_says_what_to_mind(our: Any, text_of: Text) -> None:
    steps = (
        Step(act="toast", bags=("nuts",), where="home", minutes=8.0, text="Until they smell."),
        Step(act="boil", bags=("pot",), water="600 ml", minutes=15.0),
    )
    plan = our.plan(our.recipe(steps=steps), days=(1, 2))
    bags = bags_of(plan)
    bought = shopping_list(bags, shipped_pantry())
    dated = prep_list(plan, bags, bought, first_day=date(2031, 5, 1))
    text = text_of(list_pdf(prep_sheet(dated), "a4"))
    assert text.count("☐") == len(dated.tasks)
    # Bags must be ready the day before day 1; toasted food must be cold by then.
    assert text.index("By Tue 29 Apr 2031") < text.index("Until they smell.")
    assert text.index("Until they smell.") < text.index("By Wed 30 Apr 2031")
    for word in ("8 min", "ERROR: Ada", "walnuts, 80 g", "bag 2 nuts (for Ada, Bo), 40 g"):
        assert word in text, word
    undated = prep_list(plan, bags, bought)
    text = text_of(list_pdf(prep_sheet(undated), "a4"))
    assert text.index("1 day before packing") < text.index("On the day of packing")
