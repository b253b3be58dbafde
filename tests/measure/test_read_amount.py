"""What cooks write and what it means: both columns typed by hand."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from fellfare.measure import Amount, System, read_amount

#: text, low, high, unit, and whatever else differs from the plain case.
SPELLINGS: list[tuple[str, str, str, str, dict[str, Any]]] = [
    # grams, kilograms, milligrams
    ("90 g", "90", "", "g", {}),
    ("90g", "90", "", "g", {}),
    ("90 G", "90", "", "g", {}),
    ("90 g.", "90", "", "g", {}),
    ("90 gm", "90", "", "g", {}),
    ("90 grams", "90", "", "g", {}),
    ("1 gramme", "1", "", "g", {}),
    ("  90   g  ", "90", "", "g", {}),
    ("0.5 g", "1/2", "", "g", {}),
    ("0,5 g", "1/2", "", "g", {}),
    (".5 g", "1/2", "", "g", {}),
    ("1000 g", "1000", "", "g", {}),
    ("453.592 g", "56699/125", "", "g", {}),
    ("1 kg", "1", "", "kg", {}),
    ("1.25 kg", "5/4", "", "kg", {}),
    ("1.250 kg", "5/4", "", "kg", {}),
    ("0,500 kg", "1/2", "", "kg", {}),
    ("2 kilos", "2", "", "kg", {}),
    ("1 kilogram", "1", "", "kg", {}),
    ("250 mg", "250", "", "mg", {}),
    ("250 milligrams", "250", "", "mg", {}),
    # ounces and pounds
    ("1 3/4 oz", "7/4", "", "oz", {}),
    ("1-3/4 oz", "7/4", "", "oz", {}),
    ("1 ¾ oz", "7/4", "", "oz", {}),
    ("1¾ oz", "7/4", "", "oz", {}),
    ("1-¾ oz", "7/4", "", "oz", {}),
    ("1 and 3/4 oz", "7/4", "", "oz", {}),
    ("1 & 3/4 oz", "7/4", "", "oz", {}),
    ("1.75 oz.", "7/4", "", "oz", {}),
    ("7/4 ounces", "7/4", "", "oz", {}),
    ("1 3⁄4 oz", "7/4", "", "oz", {}),  # fraction slash U+2044
    ("1 oz", "1", "", "oz", {}),
    ("14-oz", "14", "", "oz", {}),
    ("1 lb", "1", "", "lb", {}),
    ("2 lbs.", "2", "", "lb", {}),
    ("2½ pounds", "5/2", "", "lb", {}),
    ("a quarter pound", "1/4", "", "lb", {}),
    ("a half pound", "1/2", "", "lb", {}),
    ("1 lb 4 oz", "5/4", "", "lb", {}),
    ("1 lb. 4 oz.", "5/4", "", "lb", {}),
    ("1 lb 1 1/2 oz", "35/32", "", "lb", {}),
    ("1 kg 200 g", "6/5", "", "kg", {}),
    # millilitres to litres
    ("150 ml", "150", "", "ml", {}),
    ("150ml", "150", "", "ml", {}),
    ("150 mL", "150", "", "ml", {}),
    ("150 ML", "150", "", "ml", {}),
    ("150 millilitres", "150", "", "ml", {}),
    ("150 milliliters", "150", "", "ml", {}),
    ("5 cc", "5", "", "ml", {}),
    ("20 cl", "20", "", "cl", {}),
    ("1 dl", "1", "", "dl", {}),
    ("1,5 dl", "3/2", "", "dl", {}),
    ("1.5 dl", "3/2", "", "dl", {}),
    ("2 decilitres", "2", "", "dl", {}),
    ("1 l", "1", "", "l", {}),
    ("1 L", "1", "", "l", {}),
    ("1.5 litres", "3/2", "", "l", {}),
    ("0,125 l", "1/8", "", "l", {}),
    ("2 liters", "2", "", "l", {}),
    ("half a litre", "1/2", "", "l", {}),
    # spoons
    ("1 tsp", "1", "", "tsp", {}),
    ("½ tsp", "1/2", "", "tsp", {}),
    ("½tsp", "1/2", "", "tsp", {}),
    ("1/2 tsp.", "1/2", "", "tsp", {}),
    ("1 / 2 tsp", "1/2", "", "tsp", {}),
    ("1 t", "1", "", "tsp", {}),
    ("1 t.", "1", "", "tsp", {}),
    ("2 TSP", "2", "", "tsp", {}),
    ("1 teaspoon", "1", "", "tsp", {}),
    ("2 teaspoons", "2", "", "tsp", {}),
    ("2 teaspoonfuls", "2", "", "tsp", {}),
    ("1 teaspoon(s)", "1", "", "tsp", {}),
    ("⅛ teaspoon", "1/8", "", "tsp", {}),
    ("1 tbsp", "1", "", "tbsp", {}),
    ("1 Tbsp.", "1", "", "tbsp", {}),
    ("1 TBSP", "1", "", "tbsp", {}),
    ("1 T", "1", "", "tbsp", {}),
    ("1 T.", "1", "", "tbsp", {}),
    ("2T", "2", "", "tbsp", {}),
    ("2 tbs", "2", "", "tbsp", {}),
    ("2 tblsp", "2", "", "tbsp", {}),
    ("2 tablespoons", "2", "", "tbsp", {}),
    ("two tablespoons", "2", "", "tbsp", {}),
    ("1 dessertspoon", "1", "", "dessertspoon", {}),
    # cups and the larger ones
    ("1 cup", "1", "", "cup", {}),
    ("2 cups", "2", "", "cup", {}),
    ("2 c", "2", "", "cup", {}),
    ("2 c.", "2", "", "cup", {}),
    ("a cup", "1", "", "cup", {}),
    ("one cup", "1", "", "cup", {}),
    ("half cup", "1/2", "", "cup", {}),
    ("half a cup", "1/2", "", "cup", {}),
    ("half of a cup", "1/2", "", "cup", {}),
    ("one half cup", "1/2", "", "cup", {}),
    ("one-half cup", "1/2", "", "cup", {}),
    ("a quarter of a cup", "1/4", "", "cup", {}),
    ("quarter cup", "1/4", "", "cup", {}),
    ("one third cup", "1/3", "", "cup", {}),
    ("two thirds of a cup", "2/3", "", "cup", {}),
    ("two-thirds cup", "2/3", "", "cup", {}),
    ("three quarters of a cup", "3/4", "", "cup", {}),
    ("one and a half cups", "3/2", "", "cup", {}),
    ("1 and a half cups", "3/2", "", "cup", {}),
    ("two and three quarters cups", "11/4", "", "cup", {}),
    ("⅔ cup", "2/3", "", "cup", {}),
    ("2⅓ cups", "7/3", "", "cup", {}),
    ("1 cupful", "1", "", "cup", {}),
    ("2 fl oz", "2", "", "fl-oz", {}),
    ("2 fl. oz.", "2", "", "fl-oz", {}),
    ("2 fl-oz", "2", "", "fl-oz", {}),
    ("2 FL OZ", "2", "", "fl-oz", {}),
    ("2 fluid ounces", "2", "", "fl-oz", {}),
    ("1 pint", "1", "", "pint", {}),
    ("1 pt", "1", "", "pint", {}),
    ("1 dry pint", "1", "", "dry pint", {}),
    ("1 qt.", "1", "", "quart", {}),
    ("1 gallon", "1", "", "gallon", {}),
    ("1 US cup", "1", "", "cup", {"system": "us"}),
    ("1 metric cup", "1", "", "cup", {"system": "metric"}),
    ("1 imperial pint", "1", "", "pint", {"system": "imperial"}),
    ("1 imp. pint", "1", "", "pint", {"system": "imperial"}),
    ("1 UK pint", "1", "", "pint", {"system": "imperial"}),
    ("1 Australian tbsp", "1", "", "tbsp", {"system": "australian"}),
    # fill, packing, about
    ("3 heaping tablespoons", "3", "", "tbsp", {"fill": "heaped"}),
    ("a heaped teaspoon", "1", "", "tsp", {"fill": "heaped"}),
    ("1 tbsp heaped", "1", "", "tbsp", {"fill": "heaped"}),
    ("1 tbsp, heaped", "1", "", "tbsp", {"fill": "heaped"}),
    ("1 rounded tsp", "1", "", "tsp", {"fill": "rounded"}),
    ("1 scant cup", "1", "", "cup", {"fill": "scant"}),
    ("scant ½ cup", "1/2", "", "cup", {"fill": "scant"}),
    ("1 level tbsp", "1", "", "tbsp", {}),
    ("1 packed cup", "1", "", "cup", {"note": "packed"}),
    ("1 firmly packed cup", "1", "", "cup", {"note": "packed"}),
    ("1 cup packed", "1", "", "cup", {"note": "packed"}),
    ("1 cup, firmly packed", "1", "", "cup", {"note": "packed"}),
    ("1 cup sifted", "1", "", "cup", {"note": "sifted"}),
    ("about 90 g", "90", "", "g", {"about": True}),
    ("approx. 90 g", "90", "", "g", {"about": True}),
    ("~90 g", "90", "", "g", {"about": True}),
    # ranges
    ("2-3 cloves", "2", "3", "clove", {}),
    ("2–3 cloves", "2", "3", "clove", {}),  # en dash
    ("2‑3 cloves", "2", "3", "clove", {}),  # no-break hyphen U+2011
    ("2 - 3 cloves", "2", "3", "clove", {}),
    ("2 to 3 cloves", "2", "3", "clove", {}),
    ("two or three cloves", "2", "3", "clove", {}),
    ("1/2-3/4 cup", "1/2", "3/4", "cup", {}),
    ("½–¾ cup", "1/2", "3/4", "cup", {}),
    ("1/2 to 1 cup", "1/2", "1", "cup", {}),
    ("1-1 1/2 cups", "1", "3/2", "cup", {}),
    ("1½-2 cups", "3/2", "2", "cup", {}),
    ("1.5-2.5 dl", "3/2", "5/2", "dl", {}),
    ("2-5/2 cups", "2", "5/2", "cup", {}),
    ("100 g to 150 g", "100", "150", "g", {}),
    ("100 g - 150 g", "100", "150", "g", {}),
    ("1 tsp to 1 tbsp", "1", "3", "tsp", {}),
    ("2-2 cloves", "2", "", "clove", {}),
    # sums, in the first unit
    ("1 cup plus 2 tbsp", "9/8", "", "cup", {}),
    ("1 cup + 2 tbsp", "9/8", "", "cup", {}),
    ("¼ cup + 1 tbsp", "5/16", "", "cup", {}),
    ("1 tbsp and 1 tsp", "4/3", "", "tbsp", {}),
    ("1 cup plus 1-2 tbsp", "17/16", "9/8", "cup", {}),
    ("1 cup + 1 tbsp + 1 tsp", "13/12", "", "cup", {}),
    ("1 kg plus 250 g", "5/4", "", "kg", {}),
    # counted things
    ("2", "2", "", "piece", {}),
    ("½", "1/2", "", "piece", {}),
    ("1½", "3/2", "", "piece", {}),
    ("2 eggs", "2", "", "piece", {}),
    ("2 large eggs", "2", "", "piece", {"size": "large"}),
    ("1 small", "1", "", "piece", {"size": "small"}),
    ("3 pieces", "3", "", "piece", {}),
    ("half a dozen", "6", "", "piece", {}),
    ("2 dozen", "24", "", "piece", {}),
    ("one clove", "1", "", "clove", {}),
    ("12 slices", "12", "", "slice", {}),
    ("twelve slices", "12", "", "slice", {}),
    ("1 small packet", "1", "", "packet", {"size": "small"}),
    ("1 pkg", "1", "", "packet", {}),
    ("2 sachets", "2", "", "sachet", {}),
    ("3 leaves", "3", "", "leaf", {}),
    ("2 tea bags", "2", "", "teabag", {}),
    ("1 stick", "1", "", "stick", {}),
    ("2 tins", "2", "", "can", {}),
    ("1 bunch", "1", "", "bunch", {}),
    # without a measure
    ("a pinch", "1", "", "pinch", {}),
    ("pinch", "1", "", "pinch", {}),
    ("2 pinches", "2", "", "pinch", {}),
    ("a large pinch", "1", "", "pinch", {"size": "large"}),
    ("a dash", "1", "", "dash", {}),
    ("a handful", "1", "", "handful", {}),
    ("to taste", "1", "", "to-taste", {}),
    ("To Taste", "1", "", "to-taste", {}),
    ("as needed", "1", "", "as-needed", {}),
    ("as required", "1", "", "as-needed", {}),
    # typographer's spaces
    ("90\u00a0g", "90", "", "g", {}),
    ("1\u20093/4\u202foz", "7/4", "", "oz", {}),
    ("90\tg", "90", "", "g", {}),
]


@pytest.mark.parametrize(("text", "low", "high", "unit", "more"), SPELLINGS, ids=lambda v: ascii(v))
def test_it_means_this(text: str, low: str, high: str, unit: str, more: dict[str, Any]) -> None:
    expected = Amount(low=Fraction(low), high=Fraction(high) if high else None, unit=unit, **more)
    assert read_amount(text) == expected


def test_there_are_spellings_enough() -> None:
    assert len(SPELLINGS) >= 150


@pytest.mark.parametrize(
    ("text", "count", "unit", "each", "each_unit"),
    [
        ("1 (14 oz) can", 1, "can", 14, "oz"),
        ("1 (14-oz) can", 1, "can", 14, "oz"),
        ("1 (14 oz.) can", 1, "can", 14, "oz"),
        ("2 (85 g) packets", 2, "packet", 85, "g"),
        ("2 x 85 g packets", 2, "packet", 85, "g"),
        ("2 × 85 g packets", 2, "packet", 85, "g"),
        ("2x85g packets", 2, "packet", 85, "g"),
        ("2 x 85 g", 2, "piece", 85, "g"),
        ("1 14-oz can", 1, "can", 14, "oz"),
        ("1 14 oz can", 1, "can", 14, "oz"),
        ("one 14-ounce can", 1, "can", 14, "oz"),
        ("a 400 g tin", 1, "can", 400, "g"),
        ("1 400g tin", 1, "can", 400, "g"),
        ("400 g can", 1, "can", 400, "g"),
        ("250 ml carton", 1, "carton", 250, "ml"),
        ("1 can (400 g)", 1, "can", 400, "g"),
        ("2 cans (400 g each)", 2, "can", 400, "g"),
        ("2 packets, 85 g each", 2, "packet", 85, "g"),
        ("2 packets of 85 g each", 2, "packet", 85, "g"),
        ("3 slices (20 g each)", 3, "slice", 20, "g"),
    ],
)
def test_packs_keep_their_number_and_what_each_holds(
    text: str, count: int, unit: str, each: int, each_unit: str
) -> None:
    amount = read_amount(text)
    assert (amount.low, amount.unit) == (Fraction(count), unit)
    assert amount.each == Amount(low=Fraction(each), unit=each_unit)


@pytest.mark.parametrize(
    ("text", "first", "second"),
    [
        ("1/2 cup (70 g)", (Fraction(1, 2), "cup"), (70, "g")),
        ("70 g (1/2 cup)", (70, "g"), (Fraction(1, 2), "cup")),
        ("70 g / 2.5 oz", (70, "g"), (Fraction(5, 2), "oz")),
        ("1/2 cup / 70 g", (Fraction(1, 2), "cup"), (70, "g")),
        ("1 cup/240 ml", (1, "cup"), (240, "ml")),
        ("1 tsp = 5 ml", (1, "tsp"), (5, "ml")),
        ("2 cloves (6 g)", (2, "clove"), (6, "g")),
        ("2 cans (800 g total)", (2, "can"), (800, "g")),
        ("1/2 cup (about 70 g)", (Fraction(1, 2), "cup"), (70, "g")),
        ("2 eggs (100 g)", (2, "piece"), (100, "g")),
    ],
)
def test_two_measures_of_one_amount_are_both_kept(
    text: str, first: tuple[object, str], second: tuple[object, str]
) -> None:
    amount = read_amount(text)
    assert amount.beside is not None
    assert (amount.low, amount.unit) == first
    assert (amount.beside.low, amount.beside.unit) == second


def test_three_measures_of_one_amount_hang_on_one_another() -> None:
    amount = read_amount("1 cup (240 ml / 8 fl oz)")
    assert amount.beside is not None
    assert amount.beside.beside is not None
    assert amount.beside.beside.unit == "fl-oz"


# -- what the amount then says -------------------------------------------------------------


def test_the_mass_wins() -> None:
    assert read_amount("1/2 cup (70 g)").mass_g == 70


def test_a_trap_that_cut_an_amount_to_less_than_half() -> None:
    # pint 0.25 reads '1 3/4 oz' as 0.75 oz without a word; 7/4 oz is exact there too.
    assert read_amount("1 3/4 oz").mass_g == Fraction(317514659, 6400000)


def test_packs_are_weighed_together() -> None:
    assert read_amount("2 x 85 g packets").mass_g == 170
    assert read_amount("2 packets").mass_g is None


@pytest.mark.parametrize("text", ["to taste", "a pinch", "2 cloves", "1 heaped tbsp", "3"])
def test_what_the_text_does_not_say_is_unknown(text: str) -> None:
    assert read_amount(text).mass_g is None
    assert read_amount(text).volume_ml is None


def test_a_heaped_spoon_shows_what_a_level_one_holds() -> None:
    assert read_amount("2 heaped tbsp", "metric").level_volume_ml == 30


def test_a_heaped_spoon_with_its_mass_has_one() -> None:
    assert read_amount("1 heaped tbsp (20 g)").mass_g == 20


def test_a_range_keeps_its_ends_and_has_a_middle() -> None:
    amount = read_amount("2-3 dl")
    assert amount.value == Fraction(5, 2)
    assert amount.volume_range_ml == (Fraction(200), Fraction(300))
    assert amount.volume_ml == 250


def test_unmeasured_amounts_say_what_they_are() -> None:
    assert read_amount("to taste").unmeasured == "to taste"
    assert read_amount("2 pinches").unmeasured == "pinch"
    assert read_amount("2 g").unmeasured is None


@pytest.mark.parametrize(
    ("system", "tbsp", "cup"),
    [
        ("us", "14.78676478125", "236.5882365"),
        ("us-label", "15", "240"),
        ("metric", "15", "250"),
        ("imperial", "15", "284.130625"),
        ("australian", "20", "250"),
    ],
)
def test_whose_spoon_and_cup(system: System, tbsp: str, cup: str) -> None:
    assert read_amount("1 tbsp", system).volume_ml == Fraction(tbsp)
    assert read_amount("1 cup", system).volume_ml == Fraction(cup)


def test_scaling_leaves_taste_and_the_size_of_packs_alone() -> None:
    assert read_amount("to taste").times(4) == read_amount("to taste")
    assert read_amount("2 x 85 g packets").times(2).mass_g == 340
    assert read_amount("1/2 cup (70 g)").times(3) == read_amount("1 1/2 cups (210 g)")
