"""Plain words find the food that a cook means."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.pantry.names import fold, singular, without_preparation

PANTRY = shipped_pantry()

#: What a cook types → the food expected first (common sense of the kitchen, no source).
FIRST = {
    "garlic powder": "garlic-powder",
    "instant rice": "rice-instant",
    "rolled oats": "rolled-oats",
    "olive oil": "olive-oil",
    "couscous": "couscous",
    "cous cous": "couscous",
    "bulgur": "bulgur",
    "salt": "salt",
    "sugar": "sugar",
    "butter": "butter",
    "peanut butter": "peanut-butter",
    "walnuts": "walnut",
    "almonds": "almond",
    "paprika": "paprika",
    "cumin": "cumin",
    "red lentils": "red-lentils",
    "chia": "chia",
    "parmesan": "parmesan",
    "cheddar": "cheddar",
    "onion": "onion",
    "garlic": "garlic",
}


@pytest.mark.parametrize(("words", "expected"), FIRST.items())
def test_the_expected_food_comes_first(words: str, expected: str) -> None:
    assert PANTRY.search(words)[0].id == expected


@pytest.mark.parametrize(
    ("misspelt", "expected"),
    [
        ("brocoli", "broccoli"),
        ("cinamon", "cinnamon"),
        ("parmezan", "parmesan"),
        ("tumeric", "turmeric"),
        ("bulgar wheat", "bulgur"),
        ("corriander", "coriander"),
        ("zuchini", "courgette"),
        ("chedar", "cheddar"),
        ("walnutts", "walnut"),
        ("quinua", "quinoa"),
    ],
)
def test_a_misspelling_is_forgiven_in_search(misspelt: str, expected: str) -> None:
    assert any(expected in food.id for food in PANTRY.search(misspelt, 3))


@pytest.mark.parametrize("misspelt", ["garlick", "brocoli", "turmerik", "oats rolled big ones"])
def test_a_misspelling_is_refused_as_a_name_with_three_suggestions(misspelt: str) -> None:
    with pytest.raises(Mistake, match="unknown-food") as caught:
        PANTRY.named(misspelt)
    assert caught.value.mend.count(" or ") <= 2
    assert "did you mean" in caught.value.mend


@pytest.mark.parametrize("food", list(PANTRY), ids=lambda food: food.id)
def test_every_name_of_a_food_leads_back_to_it(food: object) -> None:
    from fellfare.pantry.food import Food

    assert isinstance(food, Food)
    for phrase in (food.id, food.name, *food.words):
        found, taken = PANTRY.named(phrase)
        assert found.id == food.id, phrase
        assert taken == ""


@pytest.mark.parametrize(
    ("phrase", "food_id", "taken"),
    [
        ("finely chopped onions", "onion", "finely chopped"),
        ("Chopped Walnuts", "walnut", "chopped"),
        ("sliced almonds", None, None),
    ],
)
def test_knife_work_is_taken_off_the_front(
    phrase: str, food_id: str | None, taken: str | None
) -> None:
    food, said = PANTRY.named(phrase)
    if food_id is not None:
        assert (food.id, said) == (food_id, taken)
    else:
        assert "almond" in food.id


@pytest.mark.parametrize(
    ("plural", "one"),
    [
        ("tomatoes", "tomato"), ("berries", "berry"), ("leaves", "leaf"), ("radishes", "radish"),
        ("oats", "oat"), ("peas", "pea"), ("couscous", "couscous"), ("molasses", "molasses"),
        ("dishes", "dish"), ("boxes", "box"), ("asparagus", "asparagus"), ("cress", "cress"),
    ],
)  # fmt: skip
def test_plurals_fold(plural: str, one: str) -> None:
    assert singular(plural) == one


def test_accents_case_and_hyphens_do_not_matter() -> None:
    assert fold("Crème  FRAÎCHE") == fold("creme fraiche")
    assert fold("sun-dried tomatoes") == fold("Sun dried tomato")


@given(st.text(max_size=200))
def test_no_text_raises_anything_but_our_own_mistake(text: str) -> None:
    PANTRY.search(text)
    with suppress(Mistake):
        PANTRY.named(text)


@given(st.lists(st.sampled_from(["finely", "chopped", "and", "sliced", "onion"]), max_size=6))
def test_taking_off_preparation_loses_no_word(words: list[str]) -> None:
    taken, rest = without_preparation(tuple(words))
    assert taken + rest == tuple(words)
