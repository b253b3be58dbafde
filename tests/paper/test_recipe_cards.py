"""The recipe card: on one page if it can be, and no words over each other."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import combinations
from pathlib import Path
from typing import Any, Final

import numpy as np
import pytest
from numpy.typing import NDArray

from fellfare.files.demo_documents import write_demo
from fellfare.files.own_food import read_own_foods
from fellfare.files.recipe_toml import read_recipe
from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.paper.lists import Part, Row, Sheet, list_pdf
from fellfare.paper.press import PAGES, Size
from fellfare.paper.recipes import recipes_pdf
from fellfare.provision.cards.recipe import recipe_card
from fellfare.recipe.document import Bag, Line, Recipe, Step
from fellfare.recipe.sheet import make_sheet

Run = Callable[..., bytes]
Text = Callable[[bytes], str]
Told = Callable[[bytes], dict[str, str]]
Box = tuple[float, float, float, float]

_WORD: Final = re.compile(
    r'<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">([^<]*)<'
)


def words_of(run: Run, pdf: bytes, path: Path) -> list[list[tuple[str, Box]]]:
    """Page by page every word with its box [pt], as poppler sees it."""
    path.write_bytes(pdf)
    text = run("pdftotext", "-bbox", str(path), "-").decode("utf-8")
    return [
        [(one[4], (float(one[0]), float(one[1]), float(one[2]), float(one[3])))
         for one in _WORD.findall(page) if one[4].strip("\u200b ")]
        for page in text.split("<page ")[1:]
    ]  # fmt: skip


def overprinted(words: list[tuple[str, Box]]) -> list[tuple[str, str]]:
    """Words that lie over each other by more than the blank between lines and letters."""
    found = []
    for (one, a), (two, b) in combinations(words, 2):
        across = min(a[2], b[2]) - max(a[0], b[0])
        down = min(a[3], b[3]) - max(a[1], b[1])
        if across > 0.8 and down > 0.4 * min(a[3] - a[1], b[3] - b[1]):
            found.append((one, two))
    return found


def a_card(our: Any, pot: str = "pot", **changed: Any) -> Any:
    lines = (
        Line(food="red-lentils", amount="120 g", bag=pot),
        Line(food="salt", amount="2 g", bag=pot),
        Line(food="walnut", amount="40 g", bag="nuts", note="chopped"),
    )
    steps = (
        Step(act="boil", bags=(pot,), water="600 ml", minutes=15.0),
        Step(act="serve", bags=("nuts",)),
    )
    bags = (Bag(name=pot), Bag(name="nuts"))
    recipe: Recipe = our.recipe(lines=lines, steps=steps, bags=bags, **changed)
    return recipe_card(make_sheet(recipe, shipped_pantry()), shipped_pantry())


@pytest.mark.parametrize("size", ["a4", "letter"])
@pytest.mark.parametrize(
    "bag",
    ["pot", ("a long bag name " * 6)[:90], ("a long bag name " * 10)[:160].strip(), "W" * 160],
)
def test_long_names_of_bags_are_whole_and_never_printed_over_a_column(
    our: Any, bag: str, size: Size, run: Run, tmp_path: Path
) -> None:
    pages = words_of(run, recipes_pdf([a_card(our, bag)], size), tmp_path / "card.pdf")
    assert [over for page in pages for over in overprinted(page)] == []
    width_pt = PAGES[size][0] / 25.4 * 72
    assert all(box[0] > 20 and box[2] < width_pt - 20 for page in pages for _, box in page)
    said = "".join(word for page in pages for word, _ in page).replace("\u200b", "")
    assert bag.replace(" ", "") in said


def test_a_word_wider_than_its_column_is_refused_by_name(our: Any) -> None:
    # 22 letters are not broken, and W is the widest: 22 x 0.95 em at 8 pt are 59 mm.
    with pytest.raises(Mistake) as caught:
        recipes_pdf([a_card(our), a_card(our, "W" * 22, title="Wide stew")], "a4")
    assert (caught.value.code, caught.value.where) == ("no-room", "Wide stew")
    assert "bag" in caught.value.what


@pytest.mark.parametrize("size", ["a4", "letter"])
def test_six_meals_and_forty_eaters_do_not_run_together(
    our: Any, size: Size, run: Run, text_of: Text, tmp_path: Path
) -> None:
    meals = ("breakfast", "second breakfast", "lunch", "afternoon", "dinner", "supper")
    pdf = recipes_pdf([a_card(our, meals=meals, serves=40)], size)
    (page,) = words_of(run, pdf, tmp_path / "card.pdf")
    assert overprinted(page) == []
    by_name = {word: box for word, box in page if word in ("SERVES", "FOR", "ENERGY", "WATER")}
    assert set(by_name) == {"SERVES", "FOR", "ENERGY", "WATER"}
    assert by_name["FOR"][0] - by_name["SERVES"][2] > 6
    assert "breakfast, second breakfast, lunch, afternoon, dinner, supper" in text_of(pdf)


@pytest.mark.parametrize("size", ["a4", "letter"])
def test_every_dish_of_the_demo_is_on_one_page(size: Size, told_of: Told, tmp_path: Path) -> None:
    write_demo(tmp_path / "demo")
    paths = sorted((tmp_path / "demo" / "recipes").glob("*.toml"))
    own, _ = read_own_foods((tmp_path / "demo" / "foods",))
    pantry = shipped_pantry().with_foods(own)
    cards = [recipe_card(make_sheet(read_recipe(one).recipe, pantry), pantry) for one in paths]
    assert len(cards) > 20
    assert told_of(recipes_pdf(cards, size))["Pages"] == str(len(cards))


def test_a_really_long_recipe_flows_in_letters_that_are_easy_to_read(
    our: Any, run: Run, told_of: Told, tmp_path: Path
) -> None:
    long = tuple(Step(act="mix", bags=("pot",), text="Stir it well. " * 20) for _ in range(30))
    steps = (*long, Step(act="boil", bags=("pot", "nuts"), water="600 ml", minutes=15.0))
    recipe = our.recipe(steps=steps)
    pdf = recipes_pdf(
        [recipe_card(make_sheet(recipe, shipped_pantry()), shipped_pantry())], "letter"
    )
    assert int(told_of(pdf)["Pages"]) > 1
    pages = words_of(run, pdf, tmp_path / "card.pdf")
    assert [over for page in pages for over in overprinted(page)] == []
    # A full last page: no few lines alone.
    assert len(pages[-1]) > 60


@pytest.mark.parametrize(("name", "other"), [("דוד", "דוה"), ("محمد علي", "محمد علب")])
def test_a_name_from_right_to_left_leaves_the_figures_where_they_are(
    name: str, other: str, pages_of: Callable[..., list[NDArray[np.uint8]]]
) -> None:
    # UAX #9: a number after right-to-left letters is set to their left, unless they are
    # isolated.  The last letter of such a name is its leftmost.
    def drawn(said: str, share: str) -> NDArray[np.uint8]:
        row = Row(cells=(f"Divide: {said} {share} %, Bo 36 %",), notes=())
        part = Part(heading="Dinner", head=("What",), widths=(1.0,), rows=(row,))
        return pages_of(list_pdf(Sheet(title="Pot", parts=(part,), foot=()), "a4"), dpi=80)[0]

    def first_change(said: str, share: str) -> int:
        return int(np.flatnonzero((drawn(said, share) != drawn(name, "64")).any(axis=0))[0])

    assert first_change(name, "11") > first_change(other, "64")


@pytest.mark.parametrize(
    ("note", "said"), [("\U0001f336", "\U0001f336"), ("\ufdd0", "U+FDD0"), ("粥 hot", "粥 hot")]
)
def test_a_sign_that_no_font_has_is_told_with_its_recipe_and_its_place(
    our: Any, note: str, said: str
) -> None:
    with pytest.raises(Mistake) as caught:
        recipes_pdf([a_card(our), a_card(our, about=note, title="Odd stew")], "a4")
    assert caught.value.code == "no-glyph"
    assert caught.value.where == f"Odd stew > ‘{said}’"


@pytest.mark.parametrize("before", range(18, 40, 3))
def test_a_short_part_is_never_broken_over_two_pages(before: int, run: Run, tmp_path: Path) -> None:
    rows = tuple(Row(cells=(f"Bag {n}", "20 g"), notes=()) for n in range(before))
    kept = tuple(Row(cells=(f"Kept {n}", "20 g"), notes=("a note",)) for n in range(5))
    head, widths = ("Bag", "Mass"), (2.0, 1.0)
    parts = (
        Part(heading="First", head=head, widths=widths, rows=rows),
        Part(heading="Second", head=head, widths=widths, rows=kept),
    )
    pdf = list_pdf(Sheet(title="Packing", parts=parts, foot=()), "letter")
    pages = words_of(run, pdf, tmp_path / "list.pdf")
    held = [sum(word == "Kept" for word, _ in page) for page in pages]
    assert sorted(held)[-1] == sum(held) == 5
