"""A recipe as text, Markdown and card: readable, whole, and readable back.

What is asked of the forms (columns, characters) is our own promise; the limit of 5 000
characters for description fields is common practice, no source.  Grams and ounces: the
avoirdupois ounce is 28.349523125 g exactly (NIST SP 811).
"""

from __future__ import annotations

import re
import unicodedata
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

import fellfare.files
from fellfare.files.own_food import own_food_folders, read_own_foods
from fellfare.files.publish import USUAL_LIMIT, Measures, card_text, markdown, plain_text, tell
from fellfare.files.publish.amounts import mass_text, water_text
from fellfare.files.publish.names import spoken_name
from fellfare.files.publish.sentences import minutes_text
from fellfare.files.publish.told import Told
from fellfare.files.publish.wrapping import columns_of, wrapped
from fellfare.files.recipe_toml import read_recipe
from fellfare.files.shipped import shipped_pantry
from fellfare.measure.reading import read_amount
from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Bag, Line, Recipe, Step
from fellfare.recipe.ingredient_line import read_ingredient
from fellfare.recipe.method_line import water_of
from fellfare.recipe.pasted import read_pasted
from fellfare.recipe.sheet import Sheet, make_sheet
from fellfare.safety import check
from fellfare.safety.dish import case_of_dish

PATHS = sorted((Path(fellfare.files.__file__).parent / "demo" / "recipes").glob("*.toml"))
each = pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
OUNCE_G = 28.349523125


@cache
def pantry() -> Pantry:
    return shipped_pantry().with_foods(read_own_foods(own_food_folders(PATHS[0]))[0])


@cache
def sheet(path: Path, eaters: int = 0) -> Sheet:
    return make_sheet(read_recipe(path).recipe, pantry(), eaters or None)


def told(dish: Sheet, measures: Measures = "both") -> Told:
    return tell(dish, check(case_of_dish(dish, pantry())), pantry(), measures)


def dish(*lines: Line, **more: Any) -> Sheet:
    values: dict[str, Any] = {"title": "Dish", "serves": 1} | more
    return make_sheet(Recipe(lines=lines, **values), pantry())


def ingredient_part(text: str) -> str:
    """From the title to the end of the ingredients."""
    for heading in ("At home", "In camp", "Nutrition"):
        text = text.partition(f"\n{heading}\n")[0].partition(f"\n## {heading}\n")[0]
    return text


# ------------------------------------------------------------------ it reads back


@pytest.mark.parametrize("amount", ["50 g", "1.8 oz (3 tbsp)", "50 g (1.8 oz / 3 tbsp)"])
def test_every_food_of_the_pantry_has_a_name_that_reads_back(amount: str) -> None:
    odd = []
    for food in pantry():
        line, found, _ = read_ingredient(f"{amount} {spoken_name(food, pantry())}", pantry())
        if found.id != food.id or line.note:
            odd.append(food.id)
    assert odd == []


@each
@pytest.mark.parametrize(
    ("form", "measures", "eaters"),
    [
        (plain_text, "both", 0),
        (plain_text, "metric", 7),
        (plain_text, "us", 7),
        (markdown, "both", 7),
    ],
)
def test_pasted_ingredient_lines_give_the_same_foods_and_masses(
    path: Path, form: Any, measures: Measures, eaters: int
) -> None:
    source = sheet(path, eaters)
    text = ingredient_part(form(told(source, measures)))
    pasted = read_pasted(text, pantry())
    assert [str(line.mistake) for line in pasted.refused] == []
    back = make_sheet(pasted.recipe, pantry())
    assert back.eaters == source.eaters
    want = sorted(source.lines, key=lambda line: (line.line.bag or "", line.food.id))
    got = sorted(back.lines, key=lambda line: (line.line.bag or "", line.food.id))
    for one, other in zip(want, got, strict=True):
        assert other.food.id == one.food.id
        assert other.line.bag == one.line.bag
        assert other.line.optional == one.line.optional
        if one.mass_g is None:
            assert other.mass_g is None
            continue
        assert other.mass_g is not None
        # Half of the last printed figure of a kitchen scale, in grams or in ounces.
        grams = 0.05 if one.mass_g < 9.95 else 0.5 if one.mass_g < 999.5 else 5.0
        ounces = (0.005 if one.mass_g < 0.995 * OUNCE_G else 0.05) * OUNCE_G
        half = max(ounces, 0.05) if measures == "us" else grams
        assert abs(other.mass_g - one.mass_g) <= half + 1e-9


def test_unmeasured_and_counted_lines_read_back() -> None:
    lines = (
        Line(food="salt", amount="to taste", note="flaked"),
        Line(food="black-pepper", amount="a pinch", optional=True),
        Line(food="garlic", amount="2 cloves", note="crushed"),
        Line(food="olive-oil", amount="0.04 g"),
        Line(food="bulgur", amount="1.2 kg"),
    )
    for measures in ("both", "metric", "us"):
        text = ingredient_part(plain_text(told(dish(*lines), measures)))
        pasted = read_pasted(text, pantry())
        assert [str(line.mistake) for line in pasted.refused] == []
        assert [line.food for line in pasted.recipe.lines] == [line.food for line in lines]
        masses = [line.mass_g for line in make_sheet(pasted.recipe, pantry()).lines]
        assert masses[:2] == [None, None]
    assert "2 cloves) garlic, crushed" in plain_text(told(dish(*lines)))


def test_unbagged_lines_stand_before_the_bags_that_could_claim_them() -> None:
    lines = (Line(food="bulgur", amount="80 g", bag="pot"), Line(food="walnut", amount="20 g"))
    for form in (plain_text, markdown):
        pasted = read_pasted(ingredient_part(form(told(dish(*lines)))), pantry())
        bags = {line.food: line.bag for line in pasted.recipe.lines}
        assert bags == {"bulgur": "pot", "walnut": None}


def test_ounces_are_left_out_where_a_spoon_says_it_better() -> None:
    lines = (
        Line(food="garlic-powder", amount="1.6 g"),
        Line(food="bulgur", amount="82 g"),
        Line(food="salt", amount="0.1 g"),
    )
    both, us = (plain_text(told(dish(*lines), measures)) for measures in ("both", "us"))
    assert "\n1.6 g (½ tsp) garlic powder\n82 g (2.9 oz / ½ cup + 1 tbsp) bulgur\n" in both
    assert "\n0.06 oz (½ tsp) garlic powder\n2.9 oz (½ cup + 1 tbsp) bulgur\n" in us
    assert "\n0.1 g (a pinch) salt\n" in us  # 0.01 oz would be nearly three times as much


# ------------------------------------------------------------------ text


@each
def test_text_fits_a_description_field(path: Path) -> None:
    text = plain_text(told(sheet(path)))
    assert len(text) <= USUAL_LIMIT
    assert max(map(columns_of, text.splitlines())) <= 100
    assert not set("<>\t\r") & set(text)
    assert not any(
        unicodedata.category(char) in ("Cc", "Cf", "Co") for char in text if char != "\n"
    )


@each
def test_text_says_all_that_a_stranger_needs(path: Path) -> None:
    source = sheet(path)
    text = plain_text(told(source))
    lines = text.splitlines()
    assert lines[0] == source.recipe.title[:100]
    assert f"Serves {source.eaters}" in lines
    for heading in ("Ingredients", "Nutrition", "Allergens", "Please mind"):
        assert heading in lines
    joined = " ".join(lines)
    for food in source.lines:
        assert spoken_name(food.food, pantry()) in joined
    for step in source.steps:
        if step.water_ml is not None:
            assert " water (" in joined
        if step.minutes is not None:
            assert minutes_text(step.minutes) in joined
    for bag in source.bags:
        if bag.name:
            assert f'Bag "{bag.name}":' in lines  # its ingredients
            assert f'Bag "{bag.name}": {mass_text(bag.mass_g, "both")};' in joined  # its packing
    for finding in check(case_of_dish(source, pantry())):
        if finding.severity != "note":
            assert " ".join(finding.text.split())[-40:] in joined


def test_what_is_unknown_is_told_and_never_zero() -> None:
    source = dish(Line(food="sumac", amount="5 g"), Line(food="bulgur", amount="80 g"))
    text = " ".join(plain_text(told(source)).split())
    assert "at least" in text
    assert "not everything is known of sumac" in text
    only = " ".join(plain_text(told(dish(Line(food="sumac", amount="5 g")))).split())
    assert "energy not known" in only
    assert "protein not known" in only
    assert " 0.0 g" not in only


def test_an_error_finding_stands_above_everything() -> None:
    source = dish(
        Line(food="kidney-beans-dry", amount="80 g", bag="pot"),
        steps=(Step(act="soak", bags=("pot",), water="200 ml", minutes=60),),
    )
    said = told(source)
    assert said.stops
    for form in (plain_text, markdown, card_text):
        text = form(said)
        assert 0 < text.index("STOP") < text.index("kidney beans")


def test_steps_are_told_with_act_water_and_minutes() -> None:
    lines = (Line(food="bulgur", amount="80 g", bag="pot"), Line(food="walnut", amount="20 g"))
    steps = (
        Step(act="toast", bags=("walnut",), minutes=8, where="home"),
        Step(act="steep", bags=("pot",), water="160 ml", minutes=150, text="Under a hat."),
        Step(act="serve", bags=("walnut",), text="Walnuts."),
    )
    text = plain_text(told(dish(*lines, steps=steps)))
    assert "1. Toast walnuts for 8 min." in text
    assert '2. Pour 160 ml boiling water (⅔ cup) on bag "pot", cover and leave for' in text
    assert "2 h 30 min. Under a hat." in " ".join(text.split())
    assert "3. Serve: Walnuts." in text


@each
def test_every_line_of_every_part_is_a_line_of_words(path: Path) -> None:
    said = told(sheet(path))
    parts = (
        said.facts, said.home, said.camp, said.home_short, said.camp_short, said.contents,
        said.nutrition, said.allergens, said.allergens_short, said.packing, said.stops,
        said.cautions, said.notes, said.standing,
    )  # fmt: skip
    assert len(said.packing) == len(said.contents)
    assert [line for part in parts for line in part if len(line.split()) < 2] == []
    assert [line for part in parts for line in part if "  " in line] == []


@given(st.floats(1, 20_000), st.sampled_from(["both", "metric", "us"]))
def test_water_reads_back(volume_ml: float, measures: Measures) -> None:
    text = water_text(volume_ml, measures, "treated cold water")
    found = water_of(f"Soak the bulgur in {text} for 5 min", "us")
    assert found is not None
    amount = read_amount(found).volume_ml
    assert amount is not None
    # Half a step: of a tenth of a fluid ounce, of 5 ml, of 100 ml from ten litres; cups 3 %.
    assert abs(float(amount) - volume_ml) <= max(2.6, 0.031 * volume_ml)


def test_a_bag_of_unknown_volume_or_mass_is_told_as_at_least() -> None:
    undense = next(food for food in pantry() if food.bulk_density_g_per_ml is None)
    lines = (
        Line(food="bulgur", amount="80 g", bag="one"),
        Line(food="bulgur", amount="80 g", bag="two"),
        Line(food=undense.id, amount="20 g", bag="two"),
        Line(food="salt", amount="to taste", bag="two"),
    )
    one, two = told(dish(*lines)).packing
    assert one.startswith('Bag "one": 80 g (2.8 oz); about ')
    assert "at least" not in one
    assert two.startswith('Bag "two": at least 100 g (3.5 oz); at least ')
    assert "size not known" in two


def test_treated_water_is_told_as_such() -> None:
    line = Line(food="bulgur", amount="80 g", bag="pot")
    for treated, told_as in ((True, "treated cold water"), (None, "ml cold water")):
        step = Step(act="soak", bags=("pot",), water="160 ml", water_treated=treated)
        said = told(dish(line, steps=(step,)))
        assert told_as in said.camp[0]
        assert told_as in said.camp_short[0]


def test_metric_text_has_no_ounces_and_us_text_no_grams() -> None:
    source = sheet(PATHS[0])
    assert " oz" not in plain_text(told(source, "metric"))
    us = plain_text(told(source, "us")).partition("\nNutrition")[0]
    assert " ml " not in us
    # Below a tenth of an ounce grams may stand in: no ounce scale shows so little.
    assert not re.search(r"(?<![\d.])(?:[3-9]|\d{2,})(?:\.\d)? g ", us)


# ------------------------------------------------------------------ card


@each
def test_card_fits_its_sheet_and_keeps_what_matters(path: Path) -> None:
    source = sheet(path)
    text = card_text(told(source))
    lines = text.splitlines()
    assert len(lines) <= 40
    assert max(map(columns_of, lines)) <= 48
    joined = " ".join(text.split())
    for line in told(source).allergens_short:
        assert line.partition(":")[0] in joined
    for food in source.lines:
        assert spoken_name(food.food, pantry()) in joined
    for caution in told(source).cautions:
        assert " ".join(caution.split())[:40] in joined


def test_a_card_that_cannot_fit_is_refused() -> None:
    foods = [food.id for food in list(pantry())[:60]]
    source = dish(*(Line(food=food, amount="10 g") for food in foods))
    with pytest.raises(Mistake, match="lines") as caught:
        card_text(told(source))
    assert caught.value.code == "card-too-long"


# ------------------------------------------------------------------ Markdown


def test_marks_in_the_authors_words_are_escaped() -> None:
    source = dish(
        Line(food="bulgur", amount="80 g", note="*fine* or [coarse](x) <b>_or_</b>"),
        title="# Bulgur | `fast`",
        about="1. not a list",
    )
    text = markdown(told(source))
    assert text.startswith("# \\# Bulgur \\| \\`fast\\`\n")
    assert "\\*fine\\* or \\[coarse\\](x) \\<b\\>\\_or\\_\\</b\\>" in text
    assert "\n1\\. not a list\n" in text


# ------------------------------------------------------------------ odd names


@given(
    st.text(min_size=1, max_size=400).filter(str.strip),
    st.text(max_size=400),
    st.text(min_size=1, max_size=60).filter(str.strip),
)
def test_any_words_of_the_author_come_out_within_the_columns(
    title: str, words: str, bag: str
) -> None:
    source = dish(
        Line(food="bulgur", amount="80 g", bag=bag, note=words),
        title=title,
        about=words,
        steps=(Step(act="soak", bags=(bag,), water="200 ml", text=words),),
        bags=(Bag(name=bag),),
    )
    said = told(source)
    text = plain_text(said)
    assert max(map(columns_of, text.splitlines())) <= 100
    assert not set("<>") & set(text)
    markdown(said).encode("utf-8", "surrogatepass")
    with suppress(Mistake):  # 'card-too-long', seen above
        assert max(map(columns_of, card_text(said).splitlines())) <= 48


@given(st.text(max_size=300), st.integers(10, 120))
def test_wrapping_loses_no_printable_letter(text: str, width: int) -> None:
    lines = wrapped(text, width, "  ")
    assert "".join("".join(lines).split()) == "".join(
        char for char in text if char.isprintable() and not char.isspace()
    )
    assert all(columns_of(line) <= width for line in lines)


def test_the_same_recipe_reads_the_same_twice() -> None:
    source = sheet(PATHS[0])
    again = make_sheet(replace(source.recipe), pantry())
    assert plain_text(told(source)) == plain_text(told(again))
