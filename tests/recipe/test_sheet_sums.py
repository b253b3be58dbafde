"""A sheet adds up, and never takes the unknown for nothing.

Laws, tried on random recipes from the shipped pantry; the sums are made here once more,
by plain loops.  The avoirdupois ounce is 28.349523125 g exactly (NIST SP 811).
"""

from __future__ import annotations

from math import fsum

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake, Mistakes
from fellfare.pantry.food import Food, Source
from fellfare.pantry.nutrients import NUTRIENTS, Nutrients
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Bag, Line, Recipe
from fellfare.recipe.rewritten import for_eaters
from fellfare.recipe.sheet import Sheet, make_sheet

PANTRY = shipped_pantry()
FOODS = sorted(food.id for food in PANTRY)
#: A few of them often, so that one food stands in two lines.
OFTEN = ["salt", "garam-masala", "olive-oil", "bulgur"]

AMOUNTS = st.one_of(
    st.integers(1, 900).map(lambda grams: f"{grams} g"),
    st.integers(1, 300).map(lambda tenths: f"{tenths / 10} oz"),
    st.just("to taste"),
    st.just("a pinch"),
)
LINES = st.builds(
    Line,
    food=st.one_of(st.sampled_from(OFTEN), st.sampled_from(FOODS)),
    amount=AMOUNTS,
    bag=st.sampled_from([None, "a", "b", "soak"]),
    scale_exponent=st.one_of(st.none(), st.sampled_from([0.0, 0.5, 0.85, 1.0, 1.3])),
)
RECIPES = st.builds(
    Recipe,
    title=st.just("invented"),
    serves=st.integers(1, 12),
    lines=st.lists(LINES, min_size=1, max_size=9).map(tuple),
)


def recipe(*lines: Line, serves: int = 1, bags: tuple[Bag, ...] = ()) -> Recipe:
    return Recipe(title="invented", serves=serves, lines=lines, bags=bags)


def food(food_id: str, per_100g: Nutrients) -> Food:
    return Food(
        id=food_id,
        name=food_id,
        group="ready",
        form="solid",
        source=Source(kind="label", ref="invented"),
        per_100g=per_100g,
        ways=("dry",),
    )


def masses(sheet: Sheet) -> list[float | None]:
    return [line.mass_g for line in sheet.lines]


@given(RECIPES)
def test_every_total_is_the_sum_of_its_lines(one: Recipe) -> None:
    sheet = make_sheet(one, PANTRY)
    for name in NUTRIENTS:
        known, unknown = [], []
        for line in sheet.lines:
            share: float | None = getattr(line.food.per_100g, name)
            if share == 0:
                continue  # none of it, however much
            if share is None or line.mass_g is None:
                unknown.append(line.food.id)
            else:
                known.append(share * line.mass_g / 100)
        total = sheet.total(name)
        assert total.value == pytest.approx(fsum(known), rel=1e-9, abs=1e-9)
        assert list(total.unknown) == list(dict.fromkeys(unknown))
        assert total.whole == (None if unknown else total.value)


@given(RECIPES)
def test_the_energy_of_the_lines_makes_the_energy_of_the_dish(one: Recipe) -> None:
    sheet = make_sheet(one, PANTRY)
    known = [line.energy_kcal for line in sheet.lines if line.energy_kcal is not None]
    unknown = [line.food.id for line in sheet.lines if line.energy_kcal is None]
    assert sheet.energy.value == pytest.approx(fsum(known), rel=1e-9, abs=1e-9)
    assert list(sheet.energy.unknown) == list(dict.fromkeys(unknown))


@given(RECIPES)
def test_the_bags_weigh_what_the_recipe_weighs(one: Recipe) -> None:
    sheet = make_sheet(one, PANTRY)
    assert fsum(bag.mass_g for bag in sheet.bags) == pytest.approx(sheet.mass.value, abs=1e-9)
    numbers = sorted(number for bag in sheet.bags for number in bag.lines)
    assert numbers == list(range(1, len(one.lines) + 1))
    in_bags = {name for bag in sheet.bags for name in bag.mass_unknown}
    assert in_bags == set(sheet.mass.unknown)


@given(RECIPES)
def test_an_ounce_holds_as_much_energy_as_its_grams(one: Recipe) -> None:
    sheet = make_sheet(one, PANTRY)
    per_100g, per_oz = sheet.energy_kcal_per_100g, sheet.energy_kcal_per_oz
    if per_100g is None:
        assert sheet.mass.value == 0 or sheet.energy.told is None
        assert per_oz is None
    else:
        assert per_oz == pytest.approx(per_100g * 28.349523125 / 100, rel=1e-12)
        assert per_100g * sheet.mass.value == pytest.approx(100 * sheet.energy.value)


@given(RECIPES, st.integers(1, 60), st.integers(1, 60))
def test_scaling_twice_is_scaling_once(one: Recipe, first: int, second: int) -> None:
    # (a/s)^e · (b/a)^e = (b/s)^e: the way must not matter, whatever the exponent.
    straight = masses(make_sheet(one, PANTRY, second))
    there = for_eaters(one, PANTRY, first)
    around = masses(make_sheet(there, PANTRY, second))
    for direct, detour, halfway in zip(straight, around, there.lines, strict=True):
        if direct is None:
            assert detour is None
            continue
        assert detour is not None
        # The document half way is written to a hundredth of a gram, or three figures.
        written = float(halfway.amount.removesuffix(" g"))
        assert detour == pytest.approx(
            direct, rel=max(0.006 / written, 0.006 if written < 1 else 0)
        )


@given(RECIPES, st.integers(1, 100))
def test_a_scaled_document_weighs_what_the_scaled_sheet_weighs(one: Recipe, eaters: int) -> None:
    document = for_eaters(one, PANTRY, eaters)
    assert document.serves == eaters
    again, sheet = make_sheet(document, PANTRY), make_sheet(one, PANTRY, eaters)
    for got, wanted in zip(masses(again), masses(sheet), strict=True):
        assert got == pytest.approx(wanted, abs=0.0051) or got == pytest.approx(wanted, rel=0.005)


@given(RECIPES)
def test_a_sheet_for_its_own_eaters_is_the_recipe_as_written(one: Recipe) -> None:
    assert make_sheet(one, PANTRY, one.serves) == make_sheet(one, PANTRY)


def test_twice_the_eaters_take_twice_the_food_but_less_than_twice_the_salt() -> None:
    # Salt and spice grow by the power 0.85: common practice, no source; 2^0.85 = 1.8025.
    one = recipe(
        Line(food="bulgur", amount="90 g"),
        Line(food="salt", amount="2 g"),
        Line(food="paprika", amount="1 g"),
        Line(food="parsley-dried", amount="1 g"),
        Line(food="parsley-fresh", amount="1 g"),
    )
    assert masses(make_sheet(one, PANTRY, 2)) == pytest.approx(
        [180, 2 * 1.8025, 1.8025, 1.8025, 2], rel=1e-4
    )


def test_a_stated_exponent_comes_before_the_usual_one() -> None:
    one = recipe(
        Line(food="salt", amount="2 g", scale_exponent=1.0),
        Line(food="bulgur", amount="90 g", scale_exponent=0.5),
        Line(food="bay-leaf", amount="1 g", scale_exponent=0.0),
    )
    assert masses(make_sheet(one, PANTRY, 4)) == pytest.approx([8, 180, 1])


def test_the_exponent_travels_with_the_scaled_document() -> None:
    one = recipe(Line(food="salt", amount="2 g", scale_exponent=0.0))
    assert for_eaters(one, PANTRY, 9).lines[0].scale_exponent == 0.0


@pytest.mark.parametrize("eaters", [0, -1, 10_001])
def test_nobody_and_everybody_cannot_be_fed(eaters: int) -> None:
    with pytest.raises(Mistake, match="eaters-out-of-range"):
        make_sheet(recipe(Line(food="bulgur", amount="90 g")), PANTRY, eaters)


def test_a_little_scaled_down_still_reads_back() -> None:
    one = recipe(Line(food="saffron", amount="0.1 g"), serves=10)
    assert masses(make_sheet(for_eaters(one, PANTRY, 1), PANTRY))[0] == pytest.approx(
        0.1 * 0.1**0.85, rel=0.005
    )


@pytest.mark.parametrize(("amount", "serves", "eaters"), [("300 g", 1, 10_000), ("1 mg", 9, 1)])
def test_what_no_document_can_say_is_refused(amount: str, serves: int, eaters: int) -> None:
    # 3 tonnes, and less than a milligram: the amount reader takes neither back.
    one = recipe(Line(food="bulgur", amount=amount), serves=serves)
    with pytest.raises(Mistake) as caught:
        for_eaters(one, PANTRY, eaters)
    assert caught.value.code == "cannot-be-scaled"
    assert "bulgur" in caught.value.what


def test_unknown_is_told_and_exact_nothing_stays_known() -> None:
    pantry = Pantry([
        food("told", Nutrients(energy_kcal=400, sodium_mg=10, vitamin_c_mg=0)),
        food("untold", Nutrients(energy_kcal=None, sodium_mg=None, vitamin_c_mg=0)),
    ])  # fmt: skip
    one = recipe(Line(food="told", amount="50 g"), Line(food="untold", amount="50 g"))
    sheet = make_sheet(one, pantry)
    assert (sheet.energy.value, sheet.energy.unknown) == (200, ("untold",))
    assert sheet.total("sodium_mg").whole is None
    assert sheet.total("vitamin_c_mg").whole == 0
    pinch = make_sheet(recipe(Line(food="told", amount="a pinch")), pantry)
    assert pinch.total("vitamin_c_mg").whole == 0  # none in it, however much it is
    assert pinch.energy.whole is None
    assert pinch.energy_kcal_per_100g is None
    assert pinch.mass.unknown == ("told",)


def test_salt_to_taste_makes_sodium_a_lower_bound_and_leaves_energy_whole() -> None:
    sheet = make_sheet(
        recipe(Line(food="bulgur", amount="90 g"), Line(food="salt", amount="to taste")), PANTRY
    )
    assert sheet.energy.whole == pytest.approx(0.9 * 342)  # SR28 20012: 342 kcal/100 g
    assert sheet.total("sodium_mg").unknown == ("salt",)  # SR28 02047: 0 kcal


def test_an_empty_recipe_is_refused() -> None:
    with pytest.raises(Mistake, match="empty-recipe"):
        make_sheet(recipe(), PANTRY)


def test_all_wrong_lines_are_told_together() -> None:
    one = recipe(
        Line(food="bulgurr", amount="90 g"),
        Line(food="bulgur", amount="90 g"),
        Line(food="olive-oil", amount="2 slices"),
    )
    with pytest.raises(Mistakes) as caught:
        make_sheet(one, PANTRY)
    assert [(m.code, m.where) for m in caught.value.each] == [
        ("unknown-food", "line[0] > food"),
        ("no-measure", "line[2] > amount"),
    ]


def test_an_unknown_food_brings_three_suggestions_at_most() -> None:
    with pytest.raises(Mistake) as caught:
        PANTRY.food("walnutt")
    assert "walnut" in caught.value.mend
    assert caught.value.mend.count(" or ") <= 2


def test_a_thumb_of_ginger_is_near_to_ginger() -> None:
    with pytest.raises(Mistake, match="ginger"):
        PANTRY.named("thumb of ginger")


def test_volumes_add_up_and_unknown_ones_give_no_size() -> None:
    known = replace(food("known", Nutrients()), bulk_density_g_per_ml=0.5)
    unknown = food("unknown", Nutrients())
    pantry = Pantry([known, unknown])
    plain = make_sheet(recipe(Line(food="known", amount="100 g", bag="a")), pantry).bags[0]
    assert (plain.volume_ml, plain.volume_unknown) == (200, ())
    assert plain.size is not None
    both = recipe(
        Line(food="known", amount="100 g", bag="a"), Line(food="unknown", amount="500 g", bag="a")
    )
    mixed = make_sheet(both, pantry).bags[0]
    assert (mixed.volume_ml, mixed.volume_unknown) == (200, ("unknown",))
    assert (mixed.size, mixed.tare_g) == (None, None)


def test_a_pinch_does_not_change_the_bag_but_its_volume_is_unknown() -> None:
    known = replace(food("known", Nutrients()), bulk_density_g_per_ml=0.5)
    pantry = Pantry([known])
    lines = [Line(food="known", amount=text, bag="a") for text in ("100 g", "a pinch")]
    bag = make_sheet(recipe(*lines), pantry).bags[0]
    assert bag.volume_unknown == bag.mass_unknown == ("known",)
    assert bag.size is not None


def test_the_authors_own_tare_counts() -> None:
    one = recipe(Line(food="bulgur", amount="90 g", bag="a"), bags=(Bag(name="a", tare_g=3.5),))
    assert make_sheet(one, PANTRY).bags[0].tare_g == 3.5
