"""Published kitchen swaps and the wait of a food, by hand."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import pytest

from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.pantry.food import Allergens, Food
from fellfare.pantry.swaps.difference import difference
from fellfare.pantry.swaps.flavour import SPREADS, Spread, by_flavour, unit_mass_g
from fellfare.pantry.swaps.form import bought_g, by_form, equal_dry_mass_g, form_swap
from fellfare.pantry.swaps.trouble import HEAT, NO_FLAME, StandIn, heat_safe, without_flame
from fellfare.pantry.swaps.waiting import for_the_wait

PANTRY = shipped_pantry()

#: How many of which measure for one of the food: ends and water [mL], as the extension services'
#: household lists print them (seen in several public copies; US spoons and cups, NIST SP 811).
LISTED = {
    ("garlic", "garlic-powder"): ("clove", "tsp", 1 / 8, 1 / 3, None),
    ("garlic", "garlic-granules"): ("clove", "tsp", 1 / 4, 1 / 2, None),
    ("garlic", "garlic-flakes"): ("clove", "tsp", 1 / 2, 1 / 2, None),
    ("onion", "onion-flakes-dried"): ("piece", "tbsp", 1, 4, None),
    ("onion", "onion-powder"): ("piece", "tsp", 1, 1.5, None),
    ("ginger-root", "ginger-ground"): ("tbsp", "tsp", 1 / 8, 1.5, None),
    ("lemon", "lemon-juice"): ("piece", "tbsp", 2, 3, None),
    ("lemon-juice", "citric-acid"): ("tbsp", "tsp", 1 / 6, 1 / 6, (14.787, 14.787)),
    ("egg", "egg-powder"): ("piece", "tbsp", 2, 2.5, (36.967, 36.967)),
    ("milk-skimmed", "milk-powder"): ("cup", "cup", 1 / 3, 1 / 3, (177.44, 236.59)),
    ("butter", "rapeseed-oil"): ("cup", "cup", 7 / 8, 7 / 8, None),
    ("red-bell-pepper", "red-bell-pepper-dried"): ("piece", "cup", 1 / 4, 1 / 4, None),
    **{(f"{herb}-fresh", dried): ("tbsp", "tsp", 1 / 3, 1, None) for herb, dried in {
        "basil": "basil-dried", "oregano": "oregano-dried", "thyme": "thyme-dried",
        "rosemary": "rosemary-dried", "sage": "sage-dried", "dill": "dill-weed-dried",
        "parsley": "parsley-dried", "coriander-leaf": "coriander-leaf-dried",
        "mint": "spearmint-dried"}.items()},
}  # fmt: skip


def test_the_list_is_the_published_one() -> None:
    assert {(row.food, row.stand_in) for row in SPREADS} == set(LISTED)
    for row in SPREADS:
        unit, other, low, high, water = LISTED[row.food, row.stand_in]
        assert (row.unit, row.count, row.other_unit) == (unit, 1, other)
        assert (row.low, row.high) == pytest.approx((low, high))
        if water is None:
            assert row.water_ml is None
        else:
            assert row.water_ml == pytest.approx(water, rel=1e-4)


@pytest.mark.parametrize("row", SPREADS, ids=lambda row: f"{row.food}>{row.stand_in}")
def test_a_swap_is_so_many_measures_of_the_stand_in(row: Spread) -> None:
    food, other = PANTRY.food(row.food), PANTRY.food(row.stand_in)
    swap = next(s for s in by_flavour(food, 60.0, PANTRY) if s.stand_in is other)
    one, its = unit_mass_g(food, row.unit), unit_mass_g(other, row.other_unit)
    if one is None or its is None:
        assert (swap.low_g, swap.high_g, swap.trust) == (None, None, "unknown")
        return
    times = 60.0 / one
    assert swap.low_g == pytest.approx(times * row.low * its)
    assert swap.high_g == pytest.approx(times * row.high * its)
    assert swap.trust == "common-practice"


def test_a_cup_of_skimmed_milk_is_a_third_of_powder_and_most_of_a_cup_of_water() -> None:
    milk = PANTRY.food("milk-skimmed")
    cup = unit_mass_g(milk, "cup")
    assert cup is not None
    swap = next(s for s in by_flavour(milk, 2 * cup, PANTRY) if s.stand_in.id == "milk-powder")
    assert swap.water_ml == pytest.approx(2 * (0.75 + 1) / 2 * 236.588, rel=1e-4)


def food_with(**measures: float) -> Food:
    plain = {"id": "x", "name": "x", "group": "spice", "form": "powder", "per_100g": {},
             "source": {"kind": "unknown", "ref": "invented"},
             "measures": [{"unit": u, "mass_g": g} for u, g in measures.items()]}  # fmt: skip
    return msgspec.convert(plain, Food)


def test_spoons_and_cups_stand_in_for_each_other() -> None:
    # 1 cup = 16 tbsp = 48 tsp (US customary, NIST SP 811)
    assert unit_mass_g(food_with(cup=96.0), "tsp") == pytest.approx(2.0)
    assert unit_mass_g(food_with(cup=96.0), "tbsp") == pytest.approx(6.0)
    assert unit_mass_g(food_with(tsp=2.0), "cup") == pytest.approx(96.0)
    assert unit_mass_g(food_with(tbsp=6.0, tsp=2.5), "tsp") == 2.5
    assert unit_mass_g(food_with(piece=6.0), "tsp") is None
    assert unit_mass_g(food_with(tsp=6.0), "piece") is None


@pytest.mark.parametrize("door", [by_flavour, by_form])
def test_a_tonne_is_the_most(door: Callable[..., object]) -> None:
    garlic = PANTRY.food("garlic")
    door(garlic, 1e6, PANTRY)
    door(garlic, 0.0, PANTRY)
    for wrong in (1e6 + 1, -0.1):
        with pytest.raises(Mistake, match="mass-out-of-range"):
            door(garlic, wrong, PANTRY)
    assert equal_dry_mass_g(100.0, 0.0, 0.0) == 100.0
    with pytest.raises(Mistake, match="moisture-out-of-range"):
        equal_dry_mass_g(100.0, 0.0, 100.0)


def test_what_is_bought_fresh_is_bought_with_its_refuse() -> None:
    refused = [food for food in PANTRY if food.refuse_percent and food.form == "fresh"]
    assert refused
    for food in refused:
        assert food.refuse_percent is not None
        bought = bought_g(food, 100.0)
        assert bought is not None
        assert bought * (100.0 - food.refuse_percent) / 100.0 == pytest.approx(100.0)
    dried = PANTRY.food("apple-dried")
    assert bought_g(dried, 100.0) == 100.0


@pytest.mark.parametrize(("days", "fits"), [(40.0, True), (40.1, False)])
def test_four_fifths_of_a_life_are_the_most(days: float, fits: bool) -> None:
    # 80 % of 50 days are 40
    apple = PANTRY.food("apple")
    found = for_the_wait(apple, 100, (), days, lambda _: 50.0)
    assert [(one.fits, one.why == "") for one in found] == [(fits, fits)]


def test_a_wait_is_of_ten_years_at_most() -> None:
    apple = PANTRY.food("apple")
    for days in (0, 3650):
        for_the_wait(apple, 100, (), days, lambda _: 1e6)
    for wrong in (-0.1, 3651, float("nan")):
        with pytest.raises(Mistake, match="wait-out-of-range"):
            for_the_wait(apple, 100, (), wrong, lambda _: 1e6)


def test_what_keeps_comes_before_what_nobody_knows_before_what_does_not() -> None:
    apple = PANTRY.food("apple")
    told = {"fresh": 5.0, "dried": None, "freeze-dried": 300.0}
    found = for_the_wait(apple, 100, PANTRY, 20, lambda food: told.get(food.form))
    order = [0 if one.fits else 1 if one.keeps_days is None else 2 for one in found]
    assert order == sorted(order)
    assert set(order) == {0, 1, 2}


def test_a_form_that_must_be_boiled_does_not_stand_in_for_one_that_need_not() -> None:
    precooked = PANTRY.food("chickpeas-precooked")
    judged = {one.food.id: one for one in for_the_wait(precooked, 100, PANTRY, 1, lambda _: 1e4)}
    assert judged["chickpeas-precooked"].fits
    assert not judged["chickpeas-dry"].fits
    assert "boiled" in judged["chickpeas-dry"].why


@pytest.mark.parametrize("row", [*HEAT, *NO_FLAME], ids=lambda row: f"{row.food}>{row.stand_in}")
def test_a_stand_in_by_hand_is_no_heavier_and_holds_no_more_dry_matter(row: StandIn) -> None:
    # Every stand-in is at least as dry as the food: nothing but water may be left out, so its mass
    # lies at or below that of the food, and at most a sixth above equal dry matter.
    assert 0.0 < row.low <= row.high <= 1.0
    food, other = PANTRY.food(row.food), PANTRY.food(row.stand_in)
    find = heat_safe if row in HEAT else without_flame
    swap = next(s for s in find(food, 60.0, PANTRY) if s.stand_in is other)
    if swap.basis in ("heat", "no flame"):
        assert swap.low_g == pytest.approx(60.0 * row.low)
        assert swap.high_g == pytest.approx(60.0 * row.high)
    w, w_other = food.per_100g.water_g, other.per_100g.water_g
    if row in NO_FLAME and w is not None and w_other is not None:
        assert row.low - 0.06 <= equal_dry_mass_g(1.0, w, w_other) <= row.high + 1 / 6


def test_ways_and_allergens_that_change_are_told_each() -> None:
    plain = food_with(tsp=1.0)
    food = msgspec.structs.replace(
        plain, ways=("dry", "cold-soak", "boil"), hazards=("raw-pulse", "honey"),
        allergens=Allergens(contains=("milk",), may_contain=("wheat",), unknown=("sesame",)),
    )  # fmt: skip
    other = msgspec.structs.replace(
        plain, id="y", ways=("boil",), hazards=("honey", "raw-flour"),
        allergens=Allergens(contains=("wheat",), may_contain=("milk", "soy"), unknown=("mustard",)),
    )  # fmt: skip
    told = difference(food, other)
    assert told.ways_lost == ("dry", "cold-soak")
    assert (told.hazards_new, told.hazards_gone) == (("raw-flour",), ("raw-pulse",))
    assert (told.contains, told.may_contain, told.unknown) == (("wheat",), ("soy",), ("mustard",))
    assert told.asks_more
    assert told.allergens_new
    assert not difference(food, food).allergens_new
    assert not difference(food, msgspec.structs.replace(other, ways=("cold-soak",))).asks_more
    assert not difference(msgspec.structs.replace(food, ways=("boil",)), other).asks_more
    assert not told.open_mix


def test_a_form_swap_of_known_water_is_derived() -> None:
    swaps = by_form(PANTRY.food("apple"), 100.0, PANTRY)
    assert {swap.trust for swap in swaps if swap.low_g is not None} == {"derived"}
    nothing = food_with(tsp=1.0)
    unknown = form_swap(nothing, 10.0, PANTRY.food("apple"))
    assert unknown.trust == "unknown"
    assert unknown.stand_in_g is None
    assert any("no mass can be reckoned" in note for note in unknown.notes)
    for swap in swaps:
        assert not any("no mass can be reckoned" in note for note in swap.notes)


def test_the_mass_of_a_swap_lies_in_the_middle_of_its_ends() -> None:
    swap = by_flavour(PANTRY.food("garlic"), 3.0, PANTRY)[0]
    assert swap.low_g is not None
    assert swap.high_g is not None
    assert swap.stand_in_g == pytest.approx((swap.low_g + swap.high_g) / 2)
    assert msgspec.structs.replace(swap, high_g=None).stand_in_g is None
    assert msgspec.structs.replace(swap, low_g=None).stand_in_g is None


def test_a_fresh_stand_in_is_bought_with_its_peel_at_the_upper_end() -> None:
    for row in SPREADS:
        food, other = PANTRY.food(row.food), PANTRY.food(row.stand_in)
        swap = next(s for s in by_flavour(food, 60.0, PANTRY) if s.stand_in is other)
        assert swap.buy_g == (None if swap.high_g is None else bought_g(other, swap.high_g))
        assert swap.high_g is None or other.form == "fresh" or swap.buy_g == swap.high_g
