"""Pasted recipes: what is understood, what is refused, and that nothing is guessed.

The texts are our own, in the ways in which people write recipes; what each should come to
was written down before it was run.  Masses by cup and spoon are those of USDA SR28
(see test_weighing); 1 oz = 28.349523125 g (NIST SP 811).
"""

from __future__ import annotations

from contextlib import suppress
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.files.recipe_toml import read_recipe, recipe_text
from fellfare.files.shipped import shipped_pantry
from fellfare.measure import System
from fellfare.mistake import Mistake
from fellfare.recipe.ingredient_line import read_ingredient
from fellfare.recipe.pasted import MOST_LINE, MOST_LINES, read_pasted
from fellfare.recipe.sheet import make_sheet

PANTRY = shipped_pantry()
OZ = 28.349523125

# -- single ingredient lines: (text, food, grams or None, note) ---------------------------

LINES: list[tuple[str, str, float | None, str]] = [
    ("90 g bulgur", "bulgur", 90, ""),
    ("90g bulgur", "bulgur", 90, ""),
    ("1 cup rolled oats", "rolled-oats", 81, ""),
    ("1½ cups rolled oats, toasted", "rolled-oats", 121.5, "toasted"),
    ("1 1/2 cups of rolled oats", "rolled-oats", 121.5, ""),
    ("1/2 cup (70 g) bulgur", "bulgur", 70, ""),
    ("3.2 oz couscous", "couscous", 3.2 * OZ, ""),
    ("1 lb pasta", "pasta", 453.59237, ""),
    ("2 tablespoons olive oil", "olive-oil", 27, ""),
    ("2 Tbsp. olive oil", "olive-oil", 27, ""),
    ("2 T olive oil", "olive-oil", 27, ""),
    ("2 cloves garlic, crushed", "garlic", 6, "crushed"),
    ("2 garlic cloves", "garlic", 6, ""),
    ("1 onion, finely chopped", "onion", 110, "finely chopped"),
    ("1 large onion", "onion", 150, ""),
    ("1 cup chopped walnuts", "walnut", 117, "chopped"),
    ("1 cup walnuts (chopped)", "walnut", 117, "chopped"),
    ("50 g walnuts, roughly chopped, optional", "walnut", 50, "roughly chopped"),
    ("1 cup packed brown sugar", "brown-sugar", 220, ""),
    ("salt, to taste", "salt", None, ""),
    ("Salt to taste", "salt", None, ""),
    ("a pinch of salt", "salt", None, ""),
    ("pinch salt", "salt", None, ""),
    ("2-3 tbsp olive oil", "olive-oil", 33.75, ""),
    ("about 90 g bulgur", "bulgur", 90, ""),
    ("1 (14 oz) can chickpeas", "chickpeas-canned", 14 * OZ, ""),
    ("1 (400 g) tin chopped tomatoes", "tomatoes-canned", 400, ""),
    ("60 g sun-dried tomatoes, in strips", "sun-dried-tomatoes", 60, "in strips"),
    ("2 eggs", "egg", 100, ""),
    ("half a cup of bulgur", "bulgur", 70, ""),
    ("1,5 cups bulgur", "bulgur", 210, ""),
]


@pytest.mark.parametrize(("text", "food", "grams", "note"), LINES)
def test_an_ingredient_line_is_read(text: str, food: str, grams: float | None, note: str) -> None:
    line, found, understood = read_ingredient(text, PANTRY)
    assert (line.food, found.id, line.note) == (food, food, note)
    assert line.optional == ("optional" in text)
    assert food in understood
    one = read_pasted(f"Dish\n{text}", PANTRY).recipe
    assert make_sheet(one, PANTRY).lines[0].mass_g == (
        None if grams is None else pytest.approx(grams)
    )


@pytest.mark.parametrize(
    ("system", "grams"),
    # A cup of 250 mL and of 236.588 mL (NIST HB 44); SR28 08120: 81 g to the US cup.
    [("us", 81.0), ("metric", 81 * 250 / 236.5882365), ("australian", 81 * 250 / 236.5882365)],
)
def test_the_cup_is_the_authors(system: System, grams: float) -> None:
    recipe = read_pasted("Oats\n1 cup rolled oats", PANTRY, system).recipe
    assert recipe.system == system
    assert make_sheet(recipe, PANTRY).mass.value == pytest.approx(grams)


REFUSED = [
    ("90 g kryptonite", "unknown-food"),
    ("90 glorps bulgur", "unknown-unit"),  # 'glorps bulgur' is no food, 'bulgur' is
    ("1 generous cup bulgur", "unknown-unit"),
    ("bulgur", "amount-missing"),
    ("some bulgur", "amount-missing"),
    ("salt and pepper", "two-foods"),
    ("juice of 1 lemon", "amount-missing"),
    ("-90 g bulgur", "amount-negative"),
    ("0 g bulgur", "amount-zero"),
    ("1,000 g bulgur", "number-ambiguous"),
    ("90 g", "no-food-named"),
    ("1 can 14 oz chickpeas", "second-amount"),
    ("1 slice olive oil", "no-measure"),
    ("90 g bul\u202egur", "odd-character"),  # right-to-left override
    ("90 g \u200fbulgur", "odd-character"),  # right-to-left mark
    ("90\u200b g bulgur", "odd-character"),  # zero-width space
    ("1 can apricots", "fresh-in-a-can"),
    ("90 g bulgur and rice", "two-foods"),
    ("2 cans (400 g) chickpeas", "each-or-total"),
    ("9999999 kg bulgur", "amount-absurd"),
]


@pytest.mark.parametrize(("text", "code"), REFUSED, ids=lambda value: ascii(value)[:30])
def test_an_ingredient_line_is_refused(text: str, code: str) -> None:
    pasted = read_pasted(f"Dish\nIngredients\n90 g bulgur\n{text}\nMethod\nSoak.", PANTRY)
    (line,) = pasted.refused
    assert line.number == 4
    assert line.mistake is not None
    assert line.mistake.code == code
    assert line.mistake.where.startswith("line 4")
    assert line.mistake.what
    assert line.mistake.mend


@pytest.mark.parametrize("food", ["walnutts", "bulger", "sun tomatoes", "kryptonite", "dry beans"])
def test_an_unknown_food_brings_at_most_three_suggestions(food: str) -> None:
    with pytest.raises(Mistake, match="unknown-food") as caught:
        read_ingredient(f"90 g {food}", PANTRY)
    assert caught.value.mend.partition("?")[0].count(" or ") <= 2


# -- whole texts -----------------------------------------------------------------------------


class Text(NamedTuple):
    """A pasted text and what it should come to."""

    name: str
    text: str
    title: str
    serves: int
    #: (food, bag) of each line.
    lines: list[tuple[str, str | None]]
    #: (act, water, minutes) of each step.
    steps: list[tuple[str, str | None, float | None]]


TEXTS = [
    Text(
        "plain lines, prose method, no headings",
        "Camp bulgur\nServes 2\n180 g bulgur\n2 tbsp olive oil\n50 g walnuts, chopped\n\n"
        "Soak the bulgur in 220 ml water for 1 hour. Stir in everything.",
        "Camp bulgur", 2,
        [("bulgur", None), ("olive-oil", None), ("walnut", None)],
        [("soak", "220 ml", 60), ("mix", None, None)],
    ),
    Text(
        "headings, bullets and numbered steps",
        "Red lentil pot\n\nServes: 2\n\nIngredients:\n- 150 g red lentils\n- 1 tsp curry powder\n"
        "- 2 tbsp coconut milk powder\n\nMethod:\n1. Boil the red lentils in 500 ml water for "
        "12 minutes.\n2. Stir in the coconut milk powder.\n3. Serve.",
        "Red lentil pot", 2,
        [("red-lentils", None), ("curry-powder", None), ("coconut-milk-powder", None)],
        [("boil", "500 ml", 12), ("mix", None, None), ("serve", None, None)],
    ),
    Text(
        "markdown, task boxes, water among the ingredients",
        "# Nutty couscous\n\nA quick supper.\n\nServes 1\n\n## Ingredients\n"
        "- [ ] 1/2 cup couscous\n- [x] 1/4 cup (30 g) walnuts, chopped\n- 3/4 cup water\n\n"
        "## Method\n1. Pour boiling water over everything.\n2. Leave to stand 5-10 minutes.",
        "Nutty couscous", 1,
        [("couscous", None), ("walnut", None)],
        [("steep", "3/4 cup", 10)],
    ),
    Text(
        "sub-headings are bags",
        "Bulgur with pepper\nIngredients\nFor the soak:\n90 g bulgur\n10 g dried onion flakes\n"
        "For the oil:\n1 tbsp olive oil\nMethod\nSoak the soak bag in 110 ml cold water for "
        "30 min, then stir in the oil.",
        "Bulgur with pepper", 1,
        [("bulgur", "soak"), ("onion-flakes-dried", "soak"), ("olive-oil", "oil")],
        [("soak", "110 ml", 30), ("mix", None, None)],
    ),
    Text(
        "bold headings, home and camp",
        "**Porridge**\n**Ingredients**\n* 60 g rolled oats\n* 20 g milk powder\n**At home**\n"
        "Mix everything.\n**In camp**\nAdd 250 ml boiling water and leave for 5 minutes.",
        "Porridge", 1,
        [("rolled-oats", None), ("milk-powder", None)],
        [("mix", None, None), ("steep", "250 ml", 5)],
    ),
    Text(
        "half an hour, an hour and a half",
        "Slow pot\n100 g bulgur\nSoak for half an hour. Simmer for 1 1/2 hours. Rest 1½ hours. "
        "Wait an hour and a half.",
        "Slow pot", 1, [("bulgur", None)],
        [("soak", None, 30), ("simmer", None, 90), ("rest", None, 90), ("rest", None, 90)],
    ),
    Text(
        "a quarter hour in figures, hours with minutes",
        "Pot\n100 g bulgur\nSoak 1/4 hour. Dry for 1 hour 30 minutes. Simmer 1 h and 5 min. "
        "Boil 90 seconds.",
        "Pot", 1, [("bulgur", None)],
        [("soak", None, 15), ("dry", None, 90), ("simmer", None, 65), ("boil", None, 1.5)],
    ),
    Text(
        "a boil counts its shorter time, a soak its longer",
        "Pot\n100 g bulgur\nSoak 30-40 minutes. Boil 10 to 15 mins. Simmer 20–25 min.",
        "Pot", 1, [("bulgur", None)],
        [("soak", None, 40), ("boil", None, 10), ("simmer", None, 20)],
    ),
    Text(
        "stirring every so often is no time of the act",
        "Pot\n100 g polenta\nSimmer for 20 minutes, stirring every 5 minutes.",
        "Pot", 1, [("polenta", None)], [("simmer", None, 20)],
    ),
    Text(
        "water that is boiled alone is added once",
        "Noodles\n1 packet instant noodles\nBoil 400 ml water. Pour the boiling water over the "
        "noodles. Wait 4 minutes.",
        "Noodles", 1, [("instant-noodles", None)],
        [("heat", None, None), ("steep", "400 ml", 4)],
    ),
    Text(
        "boiling water poured on boils nothing",
        "Beans\n100 g black bean flakes\nBoil 300 ml water, pour over the flakes and wait "
        "10 minutes.",
        "Beans", 1, [("black-bean-flakes", None)], [("steep", "300 ml", 10)],
    ),
    Text(
        "'bring to the boil and simmer' is one simmer: no time at the boil is meant",
        "Rice\n80 g long grain rice\nBring the rice with 200 ml water to the boil and simmer for "
        "15 minutes.",
        "Rice", 1, [("rice-white-long", None)], [("simmer", "200 ml", 15)],
    ),
    Text(
        "notes and tips are no steps",
        "Oats\nIngredients\n60 g rolled oats\nMethod\nSoak in 150 ml water overnight.\nNotes:\n"
        "Add more water if you like it thin.\nKeep cold.",
        "Oats", 1, [("rolled-oats", None)], [("soak", "150 ml", None)],
    ),
    Text(
        "prose above the ingredients",
        "Trail mix\nMy aunt's, for cold days.\nIt keeps well.\nIngredients\n50 g raisins\n"
        "50 g almonds\nMethod\nMix everything.",
        "Trail mix", 1, [("raisins", None), ("almond", None)], [("mix", None, None)],
    ),
    Text(
        "a yield is no number of eaters",
        "Bars\nMakes 12 bars\n200 g rolled oats\n100 g honey\nMix everything. Bake for 25 minutes.",
        "Bars", 1, [("rolled-oats", None), ("honey", None)],
        [("mix", None, None), ("bake", None, 25)],
    ),
    Text(
        "number words for the eaters",
        "Dal\nServes four\n300 g red lentils", "Dal", 4, [("red-lentils", None)], [],
    ),
    Text("for two people", "Dal\nFor 2 people\n150 g red lentils", "Dal", 2,
         [("red-lentils", None)], []),
    Text("makes 3 servings", "Dal\nmakes 3 servings\n225 g red lentils", "Dal", 3,
         [("red-lentils", None)], []),
    Text("capitals", "DAL\nINGREDIENTS\n150 G RED LENTILS\nMETHOD\nBOIL 12 MINUTES.", "DAL", 1,
         [("red-lentils", None)], [("boil", None, 12)]),
    Text("windows line ends and a byte-order mark", "\ufeffDal\r\n150 g red lentils\r\n", "Dal", 1,
         [("red-lentils", None)], []),
    Text("typographer's bullets", "Mix\n• 50 g raisins\n– 50 g almonds\n☐ 20 g sugar", "Mix", 1,
         [("raisins", None), ("almond", None), ("sugar", None)], []),
    Text("a title with a colon and a number", "3 bean chili:\n100 g black bean flakes",
         "3 bean chili", 1, [("black-bean-flakes", None)], []),
    Text("step words", "Dal\n150 g red lentils\nMethod\nStep 1: Soak 20 min.\nStep 2 - Drain.",
         "Dal", 1, [("red-lentils", None)], [("soak", None, 20), ("drain", None, None)]),
    Text("a stray heading among the steps", "Dal\n150 g red lentils\nMethod\nSoak 20 min.\n"
         "The next day:\nBoil 12 min.", "Dal", 1, [("red-lentils", None)],
         [("soak", None, 20), ("boil", None, 12)]),
    Text("cups in the method", "Oats\n1 cup oats\nMethod\nSimmer in 2 1/2 cups water, 5 minutes.",
         "Oats", 1, [("rolled-oats", None)], [("simmer", "2 1/2 cups", 5)]),
    Text("'until' goes with the act before it", "Dal\n150 g red lentils\nMethod\n"
         "Simmer 10 min. or until soft.", "Dal", 1, [("red-lentils", None)],
         [("simmer", None, 10)]),
    Text("method without its heading after bags", "Bowl\nFor the pot:\n90 g bulgur\nSoak 30 min.",
         "Bowl", 1, [("bulgur", "pot")], [("soak", None, 30)]),
]  # fmt: skip


@pytest.mark.parametrize("text", TEXTS, ids=lambda text: text.name)
def test_a_pasted_recipe_is_read_as_it_was_meant(text: Text) -> None:
    pasted = read_pasted(text.text, PANTRY)
    assert [str(line.mistake) for line in pasted.refused] == []
    recipe = pasted.recipe
    assert (recipe.title, recipe.serves) == (text.title, text.serves)
    assert [(line.food, line.bag) for line in recipe.lines] == text.lines
    assert [(step.act, step.water, step.minutes) for step in recipe.steps] == [
        (act, water, None if minutes is None else pytest.approx(minutes))
        for act, water, minutes in text.steps
    ]
    make_sheet(recipe, PANTRY)  # and it is a recipe


@pytest.mark.parametrize("text", TEXTS, ids=lambda text: text.name)
def test_every_line_of_the_text_has_a_fate(text: Text) -> None:
    pasted = read_pasted(text.text, PANTRY)
    written = [n for n, row in enumerate(text.text.splitlines(), 1) if row.strip("\ufeff \r")]
    assert [line.number for line in pasted.lines] == written


@pytest.mark.parametrize(
    ("text", "number", "code"),
    [
        ("Ingredients\n90 g bulgur", 2, "no-title"),
        ("90 g bulgur\n30 g walnuts", 1, "no-title"),
        ("Dish\nServes 2-3\n90 g bulgur", 2, "serves-not-understood"),
        ("Dish\nServes 0\n90 g bulgur", 2, "serves-not-understood"),
        ("Dish\nIngredients\nServes 2 or 3\n90 g bulgur", 3, "serves-not-understood"),
        ("Dish\n90 g bulgur\nSalt\n30 g walnuts", 3, "amount-missing"),
        ("Dish\n90 g bulgur\n100 ml water", 3, "water-without-step"),
        ("Dish\n90 g bulgur\nMethod\nAdmire the view.", 4, "no-act"),
        ("Dish\n90 g bulgur\nMethod\nSoak 10 minutes or 1 hour cold.", 4, "two-times"),
        ("Dish\n90 g bulgur\nMethod\nSoak in 1,000 ml water.", 4, "number-ambiguous"),
    ],
)
def test_what_is_not_plain_is_refused_and_nothing_taken_from_it(
    text: str, number: int, code: str
) -> None:
    refused = read_pasted(text, PANTRY).refused
    assert [(line.number, line.mistake.code) for line in refused if line.mistake] == [
        (number, code)
    ]


@pytest.mark.parametrize("heading", ["Sauce:", "### Sauce", "**Sauce**", "**Sauce:**"])
def test_a_heading_of_any_manner_begins_a_bag(heading: str) -> None:
    # CommonMark 0.31: '#' begins a heading; two stars on both sides make bold.
    recipe = read_pasted(f"Dish\n## Ingredients\n90 g bulgur\n{heading}\n10 g salt", PANTRY).recipe
    assert recipe is not None
    assert [line.bag for line in recipe.lines] == [None, "sauce"]


def test_a_line_refused_does_not_spoil_the_next() -> None:
    recipe = read_pasted("Dish\n90 g bulgur\nSalt\n30 g walnuts", PANTRY).recipe
    assert [line.food for line in recipe.lines] == ["bulgur", "walnut"]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "no-text"),
        (" \n\t\n\ufeff\n", "no-text"),
        ("Dish\n" + "x" * 100_000, "line-too-long"),
        ("Dish\n" + "90 g bulgur\n" * 10_000, "text-too-long"),
        ("Dish\n" + " " * (MOST_LINE + 1), "line-too-long"),
        ("a\n" * (MOST_LINES + 1), "text-too-long"),
    ],
    ids=["empty", "blank", "long line", "many lines", "long blank", "one line more"],
)
def test_what_is_no_recipe_is_refused_whole(text: str, code: str) -> None:
    with pytest.raises(Mistake) as caught:
        read_pasted(text, PANTRY)
    assert caught.value.code == code


# -- laws ---------------------------------------------------------------------------------------

WORDS = st.sampled_from([
    "Serves", "2", "1/2", "1½", "cup", "g", "ml", "water", "bulgur", "walnuts", "salt", "soak",
    "boil", "minutes", "hour", "an", "half", "and", "the", "then", "for", "For the sauce:", ",",
    "(", ")", "Ingredients", "Method:", "Notes:", "1.", "- ", "\n", "\n\n", ". ", ";", "every",
    "to taste", "can", "packet", "heaped", "tbsp", "-", "0", "\u202e", "½", "\x0b", "**", "#",
    "boiling",
])  # fmt: skip


@given(st.text(max_size=300))
def test_no_text_does_anything_but_be_read_or_refused(text: str) -> None:
    with suppress(Mistake):  # and nothing else
        read_pasted(text, PANTRY)


@given(st.lists(WORDS, max_size=60).map(" ".join))
def test_no_jumble_of_recipe_words_does_anything_else(text: str) -> None:
    for line in read_pasted(f"Dish\n{text}", PANTRY).refused:
        assert line.mistake is not None
        assert line.mistake.where.startswith(f"line {line.number}")


@given(
    lines=st.lists(st.sampled_from([text for text, *_ in LINES]), min_size=1, max_size=8),
    title=st.sampled_from([text.text.partition("\n")[0] for text in TEXTS]),
)
def test_what_is_read_and_written_reads_back_equal(
    lines: list[str], title: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    recipe = read_pasted("\n".join([title, "Ingredients", *lines]), PANTRY).recipe
    path = tmp_path_factory.mktemp("pasted") / "dish.toml"
    path.write_text(recipe_text(recipe), encoding="utf-8")
    again = read_recipe(path).recipe
    assert again == recipe
    assert make_sheet(again, PANTRY) == make_sheet(recipe, PANTRY)


@given(st.sampled_from(["1 ", "1/", "½ ", "(", "and ", " ", "a ", "boil the ", "1 1/2 "]))
def test_a_line_of_one_piece_again_and_again_is_read_at_once(piece: str) -> None:
    # 100 such lines: a reader whose work grew with the cube of the length would not come back.
    line = (piece * MOST_LINE)[: MOST_LINE - 1] + "x"
    read_pasted("Dish\n90 g bulgur\nMethod\n" + f"{line}\n" * 100, PANTRY)
