"""What an amount of a food weighs, against USDA SR28 and the units' definitions.

Household masses are typed by hand from USDA National Nutrient Database for Standard
Reference, Release 28 (2015), file WEIGHT: food (NDB number), amount, measure, grams.
Cup and spoon sizes: US customary by NIST HB 44 (231 cubic inches to the gallon);
metric cup 250 mL and Australian tablespoon 20 mL by their national kitchen standards.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.files.shipped import shipped_pantry
from fellfare.measure import System, read_amount
from fellfare.mistake import Mistake
from fellfare.pantry.food import Food, HouseholdMeasure, Source
from fellfare.pantry.nutrients import Nutrients
from fellfare.recipe.weighing import FILL, Weighed, weigh

PANTRY = shipped_pantry()
#: 231 cubic inches of 2.54³ mL, a sixteenth of it.
US_CUP_ML = 231 * 2.54**3 / 16

# (amount, food, note, grams of SR28): the figures are copied by hand.
BY_HAND = [
    ("1 cup", "rolled-oats", "", 81),  # 08120, cup
    ("1 tbsp", "olive-oil", "", 13.5),  # 04053, tablespoon
    ("1 cup", "olive-oil", "", 216),  # 04053, cup
    ("1 tsp", "olive-oil", "", 4.5),  # 04053, tsp
    ("1 clove", "garlic", "", 3.0),  # 11215, clove
    ("3 cloves", "garlic", "", 9.0),  # 11215, 3 cloves
    ("1 tsp", "salt", "", 6.0),  # 02047, tsp
    ("1 tbsp", "salt", "", 18),  # 02047, tbsp
    ("1 cup", "bulgur", "", 140),  # 20012, cup
    ("1 cup", "couscous", "", 173),  # 20028, cup
    ("1 cup", "plain-flour", "", 125),  # 20081, cup
    ("1 cup", "sugar", "", 200),  # 19335, cup
    ("1 tsp", "sugar", "", 4.2),  # 19335, tsp
    ("1 cup", "honey", "", 339),  # 19296, cup
    ("1 tbsp", "honey", "", 21),  # 19296, tbsp
    ("2 tbsp", "peanut-butter", "", 32),  # 16098, 2 tbsp
    ("1 cup", "walnut", "chopped", 117),  # 12155, cup, chopped
    ("1 cup", "walnut", "ground", 80),  # 12155, cup, ground
    ("1 cup", "walnut", "pieces", 120),  # 12155, cup pieces or chips
    ("1 cup", "almond", "sliced", 92),  # 12061, cup, sliced
    ("1 cup", "almond", "slivered", 108),  # 12061, cup, slivered
    ("1 cup", "almond", "whole", 143),  # 12061, cup, whole
    ("1 cup", "raisins", "packed", 165),  # 09298, cup, packed
    ("1 cup", "raisins", "not packed", 145),  # 09298, cup (not packed)
    ("1 cup packed", "brown-sugar", "", 220),  # 19334, cup packed
    ("1 cup", "brown-sugar", "unpacked", 145),  # 19334, cup unpacked
    ("1 cup", "cocoa-powder", "", 86),  # 19165, cup
    ("1 tbsp", "cocoa-powder", "", 5.4),  # 19165, tbsp
    ("1 large", "onion", "", 150),  # 11282, large
    ("1 small", "onion", "", 70),  # 11282, small
    ("1 medium", "onion", "", 110),  # 11282, medium (2-1/2" dia)
    ("1 large", "egg", "", 50),  # 01123, large
]


def of(text: str, food: str, note: str = "", system: System = "us") -> Weighed:
    return weigh(read_amount(text, system), PANTRY.food(food), note)


def invented(*measures: HouseholdMeasure) -> Food:
    return Food(
        id="thing",
        name="thing",
        group="ready",
        form="solid",
        source=Source(kind="label", ref="invented"),
        per_100g=Nutrients(),
        measures=measures,
    )


@pytest.mark.parametrize(("text", "food", "note", "grams"), BY_HAND)
def test_the_household_measure_is_that_of_sr28(
    text: str, food: str, note: str, grams: float
) -> None:
    weighed = of(text, food, note)
    assert weighed.mass_g == pytest.approx(grams, abs=1e-9)
    assert "SR28" in weighed.measure  # and says so


def test_a_mass_wins_over_the_cup_beside_it() -> None:
    weighed = of("1/2 cup (70 g)", "bulgur")
    assert weighed.mass_g == 70
    assert weighed.trust == "measured"
    assert weighed.measure == "by mass"
    assert weighed.own_measure_g == pytest.approx(70)  # SR28 20012: half of 140 g


def test_a_mass_wins_whichever_stands_first() -> None:
    assert of("70 g (1/2 cup)", "bulgur").mass_g == 70
    assert of("1 oz / 1/4 cup", "bulgur").mass_g == pytest.approx(28.349523125)  # NIST SP 811


def test_what_the_cup_alone_would_weigh_stays_visible() -> None:
    # SR28 08120: a cup is 81 g; 200 g written beside it is somebody's slip.
    assert of("1 cup (200 g)", "rolled-oats").own_measure_g == pytest.approx(81)


def test_a_mass_needs_no_measure_of_the_food() -> None:
    assert weigh(read_amount("1 lb"), invented()).mass_g == pytest.approx(453.59237)


@pytest.mark.parametrize(
    ("system", "cup_ml", "tbsp_ml", "tsp_ml"),
    [
        ("us", US_CUP_ML, US_CUP_ML / 16, US_CUP_ML / 48),
        ("us-label", 240, 15, 5),  # 21 CFR 101.9(b)(5)(viii)
        ("metric", 250, 15, 5),
        ("imperial", 284.130625, 15, 5),  # half an imperial pint; spoons common practice
        ("australian", 250, 20, 5),
    ],
)
def test_a_cup_weighs_by_its_size(
    system: System, cup_ml: float, tbsp_ml: float, tsp_ml: float
) -> None:
    # The tables mean US cups and spoons; density is theirs, size the author's.
    assert of("1 cup", "rolled-oats", system=system).mass_g == pytest.approx(
        81 * cup_ml / US_CUP_ML, rel=1e-9
    )
    assert of("1 tbsp", "olive-oil", system=system).mass_g == pytest.approx(
        13.5 * tbsp_ml / (US_CUP_ML / 16), rel=1e-9
    )
    assert of("1 tsp", "salt", system=system).mass_g == pytest.approx(
        6 * tsp_ml / (US_CUP_ML / 48), rel=1e-9
    )


def test_millilitres_weigh_by_the_cup() -> None:
    assert of("100 ml", "rolled-oats").mass_g == pytest.approx(81 * 100 / US_CUP_ML)
    assert of("1 dl", "rolled-oats").mass_g == pytest.approx(81 * 100 / US_CUP_ML)


def test_a_little_is_weighed_by_the_spoon_and_much_by_the_cup() -> None:
    # SR28 19334: 1 tsp packed = 4.6 g, 1 cup packed = 220 g (4.58 g a teaspoon).
    assert of("5 ml", "brown-sugar", "packed").measure.startswith("1 tsp packed")
    assert of("1 l", "brown-sugar", "packed").measure.startswith("1 cup packed")


def test_a_range_weighs_its_middle_and_keeps_its_ends() -> None:
    weighed = of("2-3 cloves", "garlic")
    assert (weighed.low_g, weighed.mass_g, weighed.high_g) == (6.0, 7.5, 9.0)
    by_mass = of("100-150 g", "bulgur")
    assert (by_mass.low_g, by_mass.mass_g, by_mass.high_g) == (100.0, 125.0, 150.0)


def test_a_can_of_a_size_weighs_what_it_says() -> None:
    assert of("1 (14 oz) can", "chickpeas-canned").mass_g == pytest.approx(14 * 28.349523125)
    assert of("2 x 85 g packets", "instant-noodles").mass_g == 170


def test_a_heaped_spoon_is_more_and_says_so() -> None:
    # Common practice, no source: half as much again; the sheet tells that cooks differ.
    weighed = of("1 heaped tbsp", "olive-oil")
    assert weighed.mass_g == pytest.approx(13.5 * FILL["heaped"])
    assert (weighed.fill, weighed.trust) == ("heaped", "common-practice")
    scant, level = of("1 scant cup", "bulgur").mass_g, of("1 cup", "bulgur").mass_g
    assert scant is not None
    assert level is not None
    assert scant < level


@pytest.mark.parametrize("text", ["to taste", "a pinch", "as needed", "1 handful", "a drizzle"])
def test_what_nobody_measured_has_no_mass(text: str) -> None:
    weighed = of(text, "salt")
    assert (weighed.mass_g, weighed.low_g, weighed.high_g) == (None, None, None)
    assert weighed.trust == "unknown"
    assert weighed.measure.startswith("unmeasured: ")


def test_a_food_without_the_measure_is_refused_with_a_way_out() -> None:
    with pytest.raises(Mistake) as caught:
        weigh(read_amount("1 cup"), invented())
    assert caught.value.code == "no-measure"
    assert "thing" in caught.value.what
    assert "no household measure at all" in caught.value.what
    assert "g)" in caught.value.mend
    assert "[[measure]]" in caught.value.mend


def test_the_refusal_tells_the_measures_that_there_are() -> None:
    with pytest.raises(Mistake, match="1 clove = 3 g"):
        of("1 slice", "garlic")


def test_an_own_food_may_say_what_a_decilitre_weighs() -> None:
    food = invented(HouseholdMeasure(unit="dl", mass_g=40))
    assert weigh(read_amount("250 ml"), food).mass_g == pytest.approx(100)
    assert weigh(read_amount("1 cup", "metric"), food).mass_g == pytest.approx(100)


def test_packed_is_not_the_measure_that_is_not_packed() -> None:
    loose = HouseholdMeasure(unit="cup", mass_g=145, note="(not packed)")
    packed = HouseholdMeasure(unit="cup", mass_g=165, note="packed")
    for order in ((loose, packed), (packed, loose)):
        food = invented(*order)
        assert weigh(read_amount("1 cup"), food, "packed").mass_g == 165
        assert weigh(read_amount("1 cup"), food, "not packed").mass_g == 145


def test_large_chunks_do_not_make_a_large_onion() -> None:
    assert of("1", "onion", "cut in large chunks").mass_g == 110  # SR28 11282, medium


@given(
    st.sampled_from(["rolled-oats", "olive-oil", "bulgur", "sugar", "honey"]),
    st.integers(1, 40),
    st.sampled_from(["cup", "ml", "dl"]),
)
def test_so_many_times_the_volume_weighs_so_many_times_as_much(
    food: str, count: int, unit: str
) -> None:
    if unit == "ml":  # from 60 mL on by the cup throughout
        one, many = of("100 ml", food).mass_g, of(f"{count * 100} ml", food).mass_g
    else:
        one, many = of(f"1 {unit}", food).mass_g, of(f"{count} {unit}", food).mass_g
    assert one is not None
    assert many == pytest.approx(one * count, rel=1e-12)
