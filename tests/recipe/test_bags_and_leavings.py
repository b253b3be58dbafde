"""Bags of a dish, parts left out of it, and its rewriting, by hand on invented foods."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.pantry.food import Food
from fellfare.pantry.nutrients import Nutrients
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.bagging import closed_up, lots_of, tare_g
from fellfare.recipe.composing.taste import taste_findings_of
from fellfare.recipe.document import Bag, Line, Recipe, Step
from fellfare.recipe.leaving_out import (
    addable,
    added,
    added_name,
    left_out,
    name_without,
    names_it,
    parted_name,
    recipe_named,
    recipe_of,
    title_without,
)  # fmt: skip
from fellfare.recipe.packing import BOTTLE_FILL, BOTTLES, ZIP_BAGS, ZIP_FILL, bag_for, packed
from fellfare.recipe.panel.by_line import eu_ends
from fellfare.recipe.panel.dish import panels
from fellfare.recipe.rewritten import for_eaters
from fellfare.recipe.scaling import factor_for, scaled_g
from fellfare.recipe.sheet import Total, make_sheet


def food(name: str, **more: Any) -> Food:
    plain = {"id": name, "name": name, "group": "grain", "form": "powder", "per_100g": {},
             "source": {"kind": "unknown", "ref": "invented"}, "bulk_density_g_per_ml": 0.5,
             **more}  # fmt: skip
    return msgspec.convert(plain, Food)


OATS = food("oats")
OIL = food("oil", form="oil", group="oil", bulk_density_g_per_ml=0.9, traits=["leaks"])
SYRUP = food("syrup", form="liquid", group="sweet", bulk_density_g_per_ml=1.3, traits=["leaks"])
DUST = food("dust", traits=["dusty"])
CURRY = food("curry", traits=["aromatic"])
MYSTERY = food("mystery", bulk_density_g_per_ml=None)
CRISPS = food("crisps", traits=["crushes", "melts"])
SHELF = Pantry([OATS, OIL, SYRUP, DUST, CURRY, MYSTERY, CRISPS])


def recipe(*lines: Line, **more: Any) -> Recipe:
    return Recipe(title="Pot", serves=2, lines=lines, **more)


def line(name: str, grams: float | str, bag: str | None = None, **more: Any) -> Line:
    amount = grams if isinstance(grams, str) else f"{grams:g} g"
    return Line(food=name, amount=amount, bag=bag, **more)


@pytest.mark.parametrize("number", range(len(ZIP_BAGS)))
def test_the_smallest_bag_that_closes_is_filled_to_seven_tenths(number: int) -> None:
    # common practice, no source: a zip bag closes up to 70 % of its volume
    name, brim, mass = ZIP_BAGS[number]
    assert bag_for(0.7 * brim * (1 - 1e-9), "zip") == (name, mass)
    larger = ZIP_BAGS[number + 1][0] if number + 1 < len(ZIP_BAGS) else None
    assert bag_for(0.7 * brim * (1 + 1e-9), "zip")[0] == larger


@pytest.mark.parametrize("number", range(len(BOTTLES)))
def test_a_bottle_keeps_a_twentieth_of_headspace(number: int) -> None:
    name, brim, mass = BOTTLES[number]
    assert brim == float(name.split()[0])  # its name tells its volume
    assert bag_for(0.95 * brim * (1 - 1e-9), "screw") == (name, mass)
    larger = BOTTLES[number + 1][0] if number + 1 < len(BOTTLES) else None
    assert bag_for(0.95 * brim * (1 + 1e-9), "screw")[0] == larger


def test_the_sizes_go_up_and_weigh_as_they_did() -> None:
    # ours, 2026-11, to notice change: volumes [mL] and empty masses [g], common practice
    assert [(brim, mass) for _, brim, mass in ZIP_BAGS] == [
        (40, 0.5), (180, 1.5), (480, 2.0), (950, 6.5), (1900, 8.5), (3800, 10.5),
    ]  # fmt: skip
    assert [(brim, mass) for _, brim, mass in BOTTLES] == [
        (15, 5), (30, 7), (60, 10), (120, 15), (250, 25), (500, 35),
    ]  # fmt: skip
    assert (ZIP_FILL, BOTTLE_FILL) == (0.70, 0.95)


def test_oil_goes_into_a_bottle_with_a_bag_around_it() -> None:
    # 100 mL: a 120 mL bottle (15 g); with a fifth of air and 70 % fill 120 x 1.2 x 0.7 = 100.8 mL
    # of a 180 mL bag (1.5 g)
    closed = closed_up(Bag(name="a"), [OIL], 100.0)
    assert (closed.packing, closed.size, closed.tare_g) == ("screw", "120 mL bottle", 16.5)
    assert closed.second.startswith("snack bag")
    assert "leak" in closed.why
    mixed = closed_up(Bag(name="a"), [OIL, OATS], 100.0)
    assert mixed.packing == "zip"
    assert mixed.second
    assert closed_up(Bag(name="a"), [SYRUP], 10.0).packing == "screw"


def test_dust_and_smell_get_a_second_bag_and_plain_food_none() -> None:
    plain = closed_up(Bag(name="a"), [OATS], 100.0)
    assert (plain.size, plain.tare_g, plain.second, plain.why) == (
        "snack bag, 8 × 13 cm", 1.5, "", "",
    )  # fmt: skip
    # 180 mL x 1.2 x 0.7 = 151 mL: into a sandwich bag (2 g)
    for one, word in ((DUST, "powder"), (CURRY, "smell")):
        closed = closed_up(Bag(name="a"), [OATS, one], 100.0)
        assert closed.tare_g == 3.5
        assert closed.second.startswith("sandwich bag")
        assert word in closed.why
    vacuum = closed_up(Bag(name="a", packing="vacuum"), [DUST], 100.0)
    assert vacuum.second == ""


def test_the_authors_own_bag_counts_and_an_unknown_volume_stays_unknown() -> None:
    assert closed_up(Bag(name="a", tare_g=4.0), [OATS], 100.0).tare_g == 4.0
    assert closed_up(Bag(name="a", tare_g=4.0), [OATS], None).tare_g == 4.0
    unknown = closed_up(Bag(name="a"), [DUST], None)
    assert (unknown.size, unknown.tare_g, unknown.second) == (None, None, "a larger bag")
    huge = closed_up(Bag(name="a"), [DUST], 2600.0)
    assert (huge.tare_g, huge.second) == (10.5, "a larger bag")


def test_lines_without_a_bag_travel_alone_where_others_have_one() -> None:
    some = make_sheet(recipe(line("oats", 90, "a"), line("dust", 10), line("curry", 5, "a")), SHELF)
    assert [lines for _, lines in lots_of(some)] == [(0, 2), (1,)]
    none = make_sheet(recipe(line("oats", 90), line("oil", 9), line("dust", 10)), SHELF)
    assert [lines for _, lines in lots_of(none)] == [(0, 2), (1,)]


def test_empty_bags_for_so_many_servings_filled_together() -> None:
    # two servings hold 90 g of oats, 180 mL: 480 mL bag (2 g); six hold 540 mL: 950 mL (6.5 g)
    sheet = make_sheet(recipe(line("oats", 90, "a")), SHELF)
    assert (tare_g(sheet, 2), tare_g(sheet, 6)) == (2.0, 6.5)
    unknown = make_sheet(recipe(line("mystery", 90, "a"), line("oats", 90, "b")), SHELF)
    assert tare_g(unknown, 2) == 2.0
    pinch = make_sheet(recipe(line("oats", 90, "a"), line("curry", "to taste", "a")), SHELF)
    assert tare_g(pinch, 2) > 2.0  # the smell's second bag


def test_a_packed_bag_tells_mass_volume_and_what_to_mind() -> None:
    made = recipe(
        line("oats", 90, "a"), line("curry", "to taste", "a"), line("syrup", 26, "a"),
        line("crisps", 25, "b"), line("mystery", 10, "c"), line("oats", 50),
        bags=(Bag(name="b", tare_g=3.0),),
        steps=(Step(act="steep", bags=("a",), water="200 ml"),),
    )  # fmt: skip
    a, b, c, loose = make_sheet(made, SHELF).bags
    assert (a.lines, a.mass_g) == ((1, 2, 3), 116.0)
    assert a.volume_ml == pytest.approx(180 + 20)
    assert (a.mass_unknown, a.volume_unknown) == (("curry",), ("curry",))
    assert a.size is not None
    assert a.size.startswith("sandwich")
    assert any("syrup leaks" in one for one in a.advice)
    assert (b.tare_g, b.volume_told_ml) == (3.0, 50.0)
    assert [any(word in one for one in b.advice) for word in ("crushes", "melts")] == [True, True]
    assert (c.size, c.tare_g, c.volume_told_ml) == (None, None, None)
    assert c.volume_unknown == ("mystery",)
    assert (loose.name, loose.size, loose.mass_g) == ("", None, 50.0)
    wetted = packed(recipe(line("crisps", 25, "b"), steps=(Step(act="soak", bags=("b",)),)),
                    ((line("crisps", 25, "b"), CRISPS, 25.0),))  # fmt: skip
    assert not any("crushes" in one for one in wetted[0].advice)


def test_a_sum_over_eaters_keeps_what_is_unknown() -> None:
    total = Total(90.0, ("salt",), 120.0)
    each = total.over(3)
    assert (each.value, each.most, each.unknown) == (30.0, 40.0, ("salt",))
    assert Total(90.0).over(3).most is None
    assert (total.whole, Total(90.0).whole) == (None, 90.0)
    assert (total.told, Total(0.0, ("x",), None, False).told) == (90.0, None)


def test_eu_energy_of_unknown_carbohydrate_by_hand() -> None:
    # Annex XIV: 4 kcal and 17 kJ of carbohydrate, 2 and 8 of fibre, 9 and 37 of fat.  Of 100 g
    # 10 are fat, 20 fibre, 5 sugars, 60 water: the carbohydrate lies between 5 + 20 and 30.
    known = {"fat_g": 10.0, "fibre_g": 20.0, "sugars_g": 5.0, "water_g": 60.0, "protein_g": 0.0,
             "alcohol_g": 0.0}  # fmt: skip
    ends = eu_ends([(food("x", per_100g=known), 100.0)])
    assert ends["carbohydrate_g"] == pytest.approx((5.0, 10.0))
    assert ends["energy_kcal"] == pytest.approx((90 + 20 + 40, 90 + 40 + 40))
    assert ends["energy_kj"] == pytest.approx((370 + 85 + 160, 370 + 170 + 160))


def test_eu_energy_of_unknown_fibre_by_hand() -> None:
    # 50 g carbohydrate, of which 10 are sugars and nobody tells the fibre: all but the sugars may
    # be fibre (10 x 4 + 40 x 2 = 120 kcal; 10 x 17 + 40 x 8 = 490 kJ), or none (200; 850).
    known = {"fat_g": 0.0, "protein_g": 0.0, "alcohol_g": 0.0, "carbohydrate_g": 50.0,
             "sugars_g": 10.0, "water_g": 50.0}  # fmt: skip
    ends = eu_ends([(food("x", per_100g=known), 200.0)])
    assert ends["carbohydrate_g"] == pytest.approx((20.0, 100.0))
    assert ends["energy_kcal"] == pytest.approx((240.0, 400.0))
    assert ends["energy_kj"] == pytest.approx((980.0, 1700.0))


def test_whose_energy_it_is_stands_on_the_panel() -> None:
    own = food("own", source={"kind": "label", "ref": "own food, label"},
               per_100g={"energy_kcal": 400.0})  # fmt: skip
    shelf = Pantry([OATS, own])
    said = [
        panels(make_sheet(recipe(*(line(name, 50) for name in names)), shelf))[0].basis
        for names in (["own"], ["own", "oats"], ["oats"])
    ]
    assert ["label" in one for one in said] == [True, True, False]
    assert ["SR28" in one for one in said] == [False, True, True]


def test_only_lunches_and_dinners_are_asked_for_their_taste() -> None:
    bare = recipe(line("oats", 90))
    for meals, asked in (((), False), (("breakfast",), False), (("dinner",), True),
                         (("lunch", "snack"), True)):  # fmt: skip
        sheet = make_sheet(msgspec.structs.replace(bare, meals=meals), SHELF)
        assert (taste_findings_of(sheet) != ()) == asked  # a tuple, though an empty one


@pytest.mark.parametrize(
    ("title", "foods", "rest"),
    [
        ("Couscous with salmon and dill", ["salmon, pink"], "Couscous with dill, without salmon"),
        ("Couscous with salmon, dill and peas", ["dill"],
         "Couscous with salmon and peas, without dill"),
        ("Couscous with salmon, dill, oil and peas", ["dill"],
         "Couscous with salmon, oil and peas, without dill"),
        ("Rice pot", ["cashews, dry roasted"], "Rice pot, without cashews"),
        ("Rice with cashews", ["cashews"], "Rice, without cashews"),
        ("Rice with peas", ["cashews"], "Rice with peas, without cashews"),
        ("Cashew rice with cashews", ["cashews"], "Cashew rice with cashews, without cashews"),
        ("Rice with berries and nuts", ["berry", "nut"],
         "Rice with nuts, without berry, nut"),
        ("Rice", [], "Rice"),
    ],
)  # fmt: skip
def test_a_title_says_what_is_missing(title: str, foods: list[str], rest: str) -> None:
    assert title_without(title, foods) == rest


def test_a_title_names_a_food_by_its_longer_words() -> None:
    assert names_it("Blueberry porridge", "blueberries, dried")
    assert names_it("Lentil-soup", "lentils")
    assert not names_it("Oat bar", "oat")  # three letters say nothing
    assert names_it("Rice pot", "rice, long grain")
    assert not names_it("Pot with grain", "rice, long grain")


CHOICE = recipe(
    line("oats", 90, "a"), line("dust", 10, "a"), line("curry", 5, "b"), line("crisps", 20, "c"),
    line("syrup", 20, optional=True),
    bags=(Bag(name="a"), Bag(name="b"), Bag(name="c")),
    steps=(
        Step(act="soak", bags=("a",), water="200 ml"),
        Step(act="mix", bags=("b", "a")),
        Step(act="serve", bags=("c",)),
        Step(act="rest"),
    ),
)  # fmt: skip


def test_only_what_is_not_cooked_with_can_be_added_at_the_table() -> None:
    assert addable(CHOICE) == ("crisps", "syrup")


def test_what_is_left_out_is_left_out_of_lines_bags_and_steps() -> None:
    rest = left_out(CHOICE, ["crisps", "dust"], SHELF)
    assert [one.food for one in rest.lines] == ["oats", "curry", "syrup"]
    assert [bag.name for bag in rest.bags] == ["a", "b"]
    assert [step.act for step in rest.steps] == ["soak", "mix", "rest"]
    without_a = left_out(CHOICE, ["oats", "dust"], SHELF)
    assert [step.bags for step in without_a.steps] == [("b",), ("c",), ()]
    with pytest.raises(Mistake, match="unknown-food"):
        left_out(CHOICE, ["mystery"], SHELF)
    with pytest.raises(Mistake, match="nothing-left"):
        left_out(recipe(line("oats", 9)), ["oats"], SHELF)


def test_what_is_added_is_the_other_part() -> None:
    more = added(CHOICE, ["crisps", "syrup"], SHELF)
    assert [one.food for one in more.lines] == ["crisps", "syrup"]
    assert [(step.act, step.bags) for step in more.steps] == [("serve", ("c",))]
    assert [bag.name for bag in more.bags] == ["c"]
    assert (more.title, more.meals) == ("Crisps, syrup for one's own plate of Pot", ())
    with pytest.raises(Mistake, match="unknown-food"):
        added(CHOICE, ["mystery"], SHELF)


def test_the_name_of_a_variant_leads_back_to_it() -> None:
    name = name_without("rice-pot", ("cashew", "walnut"))
    assert name == "rice-pot-without-cashew-and-walnut"
    assert parted_name(name) == ("rice-pot", ("cashew", "walnut"))
    assert recipe_of(name) == "rice-pot"
    assert recipe_of(added_name("rice-pot", ["cashew"])) == "rice-pot"
    assert name_without("rice-pot", ()) == "rice-pot"
    for plain in ("rice-pot", "-without-x", "rice-without-", "rice-without-a-and-"):
        assert parted_name(plain) == (plain, ())
    recipes = {"pot": CHOICE}
    found = recipe_named("pot-without-dust", recipes, SHELF)
    assert found == left_out(CHOICE, ["dust"], SHELF)
    assert recipe_named("pot", recipes, SHELF) is CHOICE
    assert recipe_named(added_name("pot", ["crisps"]), recipes, SHELF) == added(
        CHOICE, ["crisps"], SHELF
    )
    assert recipe_named("pan-without-dust", recipes, SHELF) is None


@pytest.mark.parametrize(
    ("grams", "eaters", "amount"),
    [(90, 6, "270 g"), (0.5, 2, "0.5 g"), (0.01, 2, "0.01 g"), (10, 3, "15 g"), (1, 3, "1.5 g"),
     (0.011, 1, "0.0055 g"), (100, 3, "150 g"), (33.333, 1, "16.67 g")],
)  # fmt: skip
def test_a_rewritten_amount_is_grams_to_a_hundredth_or_three_figures(
    grams: float, eaters: int, amount: str
) -> None:
    made = for_eaters(recipe(line("oats", grams), line("curry", "to taste")), SHELF, eaters)
    assert [one.amount for one in made.lines] == [amount, "to taste"]
    assert made.serves == eaters
    watery = recipe(line("oats", 90), steps=(Step(act="soak", water="201 ml"),))
    assert for_eaters(watery, SHELF, 4).steps[0].water == "402 ml"


def test_eaters_are_counted_from_one() -> None:
    assert factor_for(6, 4) == 1.5
    for wrong in (0, -1):
        with pytest.raises(Mistake, match="eaters-out-of-range"):
            factor_for(wrong, 4)
    # twice and then thrice is six times, whatever the exponent
    assert scaled_g(scaled_g(10.0, 2.0, 0.75), 3.0, 0.75) == pytest.approx(
        scaled_g(10.0, 6.0, 0.75)
    )
    assert scaled_g(10.0, 2.0, 1.0) == 20.0
    assert Nutrients().energy_kcal is None


def test_shipped_oils_need_a_bottle() -> None:
    oil = shipped_pantry().food("olive-oil")
    assert closed_up(Bag(name="a"), [oil], 20.0).packing == "screw"
