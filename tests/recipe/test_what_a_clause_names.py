"""What one act of a method names among the lines of its recipe."""

from __future__ import annotations

import pytest

from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.recipe.document import Line
from fellfare.recipe.naming import Naming

PANTRY = shipped_pantry()
NAMING = Naming(PANTRY)


def lines(*named: str) -> list[tuple[Line, object]]:
    """'red-lentils@a': a food and the bag that it lies in."""
    made = []
    for one in named:
        food, _, bag = one.partition("@")
        made.append((Line(food=food, amount="10 g", bag=bag or None), PANTRY.food(food)))
    return made  # type: ignore[return-value] # as the naming takes them


DISH = lines("rice-instant@rice bag", "green-peas-freeze-dried@rice bag", "walnut", "almond",
             "olive-oil", "milk-powder")  # fmt: skip


def named(clause: str, *, before: tuple[str, ...] = (), refused: tuple[str, ...] = ()) -> list[str]:
    return [*NAMING.in_clause(clause, DISH, frozenset(before), refused)]  # type: ignore[arg-type] # pairs


@pytest.mark.parametrize(
    ("clause", "foods"),
    [
        ("Tip in the rice bag", ["rice bag"]),
        ("Stir in the walnuts", ["walnut"]),
        ("Stir in walnuts and olive oil", ["walnut", "olive-oil"]),
        ("Stir in olive oil and walnuts", ["walnut", "olive-oil"]),  # in the order of the lines
        ("Add the nuts", ["walnut", "almond"]),
        ("Stir in the milk", ["milk-powder"]),
        ("Stir in the rice", ["rice-instant"]),
        ("Add everything", ["rice bag", "walnut", "almond", "olive-oil", "milk-powder"]),
        ("Add everything except the nuts",
         ["rice-instant", "green-peas-freeze-dried", "olive-oil", "milk-powder"]),
        ("Add everything but the rice bag", ["walnut", "almond", "olive-oil", "milk-powder"]),
        ("Mix the dry ingredients",
         ["rice-instant", "green-peas-freeze-dried", "walnut", "almond", "milk-powder"]),
        ("Add water from the coffee mug", []),
        ("Serve", []),
    ],
)  # fmt: skip
def test_a_clause_names_bags_and_foods(clause: str, foods: list[str]) -> None:
    assert named(clause) == foods


def test_the_rest_is_what_was_not_named_before() -> None:
    assert named("Add the rest", before=("rice bag", "walnut")) == [
        "almond", "olive-oil", "milk-powder",
    ]  # fmt: skip


def test_a_food_that_no_line_has_is_told_and_so_is_an_unread_thing() -> None:
    for clause in ("Stir in the cashews", "Add rice, kryptonite and walnuts"):
        with pytest.raises(Mistake, match="food-not-listed"):
            named(clause)
    # what a refused line already told is not told again
    assert named("Add rice, kryptonite and walnuts", refused=("a pinch of kryptonite",)) == [
        "rice-instant", "walnut",
    ]  # fmt: skip


def test_a_word_that_fits_two_lines_is_told() -> None:
    two = lines("peanut-butter", "almond-butter")
    with pytest.raises(Mistake, match="ambiguous-food"):
        NAMING.in_clause("Stir in the butter", two)  # type: ignore[arg-type] # pairs
    found = NAMING.in_clause("Stir in the peanut butter", two)  # type: ignore[arg-type] # pairs
    assert found == ("peanut-butter",)
