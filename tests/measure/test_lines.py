"""Amounts in front of a food, as in an ingredient line."""

from __future__ import annotations

from fractions import Fraction

import pytest

from fellfare.measure import read_leading_amount
from fellfare.mistake import Mistake

LINES = [
    ("3 heaping tablespoons almond butter", "3", "tbsp", "almond butter"),
    ("1 dl oats", "1", "dl", "oats"),
    ("90 g bulgur, fine", "90", "g", "bulgur, fine"),
    ("2 cups of rice", "2", "cup", "rice"),
    ("a pinch of salt", "1", "pinch", "salt"),
    ("pinch of salt", "1", "pinch", "salt"),
    ("3 glugs of oil", "3", "glug", "oil"),
    ("2 eggs", "2", "piece", "eggs"),
    ("2 large eggs, beaten", "2", "piece", "eggs, beaten"),
    ("a banana", "1", "piece", "banana"),
    ("half an onion", "1/2", "piece", "onion"),
    ("half a small onion", "1/2", "piece", "onion"),
    ("3 cloves", "3", "clove", ""),
    ("3 cloves garlic", "3", "clove", "garlic"),
    ("2 garlic cloves", "2", "piece", "garlic cloves"),
    ("1/2 cup (70 g) bulgur", "1/2", "cup", "bulgur"),
    ("70 g (1/2 cup) bulgur", "70", "g", "bulgur"),
    ("1 cup/240 ml milk", "1", "cup", "milk"),
    ("1 cup (2% fat) milk", "1", "cup", "(2% fat) milk"),
    ("1 cup (packed) basil", "1", "cup", "(packed) basil"),
    ("1 cup packed brown sugar", "1", "cup", "brown sugar"),
    ("1 cup half and half", "1", "cup", "half and half"),
    ("1 cup 2% milk", "1", "cup", "2% milk"),
    ("1 (14 oz) can tomatoes", "1", "can", "tomatoes"),
    ("1 400g tin tomatoes", "1", "can", "tomatoes"),
    ("400 g can chopped tomatoes", "1", "can", "chopped tomatoes"),
    ("2 x 85 g packets noodles", "2", "packet", "noodles"),
    ("1 (14 oz) coconut milk", "1", "piece", "coconut milk"),
    ("¼ cup + 1 tbsp flour", "5/16", "cup", "flour"),
    ("1 lb 4 oz potatoes", "5/4", "lb", "potatoes"),
    ("2 T olive oil", "2", "tbsp", "olive oil"),
    ("2 t. vanilla", "2", "tsp", "vanilla"),
    ("100 g, rolled oats", "100", "g", "rolled oats"),
    ("1 tbsp oil, plus more for frying", "1", "tbsp", "oil, plus more for frying"),
    ("1 tsp salt, or to taste", "1", "tsp", "salt, or to taste"),
    ("Salt, to taste", "1", "to-taste", "Salt"),
    ("salt to taste", "1", "to-taste", "salt"),
    ("Salt and pepper (to taste)", "1", "to-taste", "Salt and pepper"),
    ("Water, as needed.", "1", "as-needed", "Water"),
    ("to taste salt", "1", "to-taste", "salt"),
    ("2\u00a0cups\u00a0crème fraîche", "2", "cup", "crème fraîche"),
    ("2 gâteaux", "2", "piece", "gâteaux"),
    ("1 US cup milk", "1", "cup", "milk"),
    ("2 British scones", "2", "piece", "British scones"),
    ("12 dried apricots", "12", "piece", "dried apricots"),
]


@pytest.mark.parametrize(("line", "low", "unit", "rest"), LINES, ids=lambda v: ascii(v))
def test_amount_and_rest(line: str, low: str, unit: str, rest: str) -> None:
    amount, found = read_leading_amount(line)
    assert (amount.low, amount.unit, found) == (Fraction(low), unit, rest)


REFUSED_LINES = [
    ("", "amount-empty"),
    ("salt", "amount-missing"),
    ("juice of 1 lemon", "amount-missing"),
    ("some salt", "amount-missing"),
    ("a few sprigs thyme", "amount-not-understood"),
    ("1 generous cup flour", "unknown-unit"),
    ("1 lightly packed cup basil", "unknown-unit"),
    ("2 C flour", "unit-doubtful"),
    ("4-grain bread", "unknown-unit"),
    ("2-inch piece ginger", "unknown-unit"),
    ("2. 1 cup flour", "unknown-unit"),
    ("7up", "unknown-unit"),
    ("1e5 g oats", "unknown-unit"),
    ("1/0 cup oats", "division-by-zero"),
    ("1 400 g oats", "number-ambiguous"),
    ("1,000 g oats", "number-ambiguous"),
    ("1 can 14 oz tomatoes", "second-amount"),
    ("2 cups 1 tbsp sugar", "second-amount"),
    ("1 cup flour plus 2 tbsp", "second-amount"),
    ("1 cup flour + 2 tbsp", "second-amount"),
    ("1 can (14 oz, drained) beans", "amount-not-understood"),
    ("2 cans (400 g) beans", "each-or-total"),
    ("1 cup\u200b flour", "odd-character"),
    ("1 cup " + "x" * 500, "amount-too-long"),
]


@pytest.mark.parametrize(("line", "code"), REFUSED_LINES, ids=lambda v: ascii(v)[:40])
def test_a_doubtful_line_is_refused(line: str, code: str) -> None:
    with pytest.raises(Mistake) as caught:
        read_leading_amount(line)
    assert caught.value.code == code


def test_a_heaped_spoon_is_no_piece_of_something() -> None:
    # A trap of readers that match patterns: 3 pieces of 'heaping tablespoons almond butter'.
    amount, _ = read_leading_amount("3 heaping tablespoons almond butter")
    assert (amount.fill, amount.volume_ml) == ("heaped", None)


def test_a_decilitre_is_no_piece_of_oats() -> None:
    amount, _ = read_leading_amount("1 dl oats")
    assert amount.volume_ml == 100


def test_the_system_decides_the_cup_of_a_line() -> None:
    amount, _ = read_leading_amount("1 cup oats", "metric")
    assert amount.volume_ml == 250
