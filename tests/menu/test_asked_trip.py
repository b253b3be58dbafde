"""From a trip to the question: who may eat what, where it can be made, what is asked of a day."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace
from tests.menu.trips import RECIPES, SERVE, STEEP, asked, planned, recipe, written

from fellfare.camp.timetable import Span, clock
from fellfare.menu.asked.dishes import STEPS, USUAL_DINNERS, USUAL_PORTIONS
from fellfare.menu.asked.here import dishes_here
from fellfare.menu.asked.keeping import PACKED_DAYS, kept, stays_before
from fellfare.menu.asked.offering import may_eat
from fellfare.menu.asked.places import places_of, soak_minutes_at
from fellfare.menu.asked.taking import legs_of, takes_of
from fellfare.menu.asked.wetting import wetted_at
from fellfare.menu.of_trip import milder
from fellfare.menu.pool import Lock, Repeat
from fellfare.menu.settling import settle_trip
from fellfare.menu.trip_menu import trip_menu
from fellfare.menu.trying import Trying
from fellfare.mistake import Mistake
from fellfare.pantry.food import Food, Keeping, Source
from fellfare.pantry.nutrients import Nutrients
from fellfare.recipe.bagging import tare_g
from fellfare.trip.timetable import MEAL_HOURS


def two_kitchens(folder: Path) -> Path:
    return written(
        folder,
        more='[[kitchen]]\nwalkers = ["Ash"]\njar_ml = 900',
        change=(('walkers = ["Rowan", "Ash"]', 'walkers = ["Rowan"]'),),
    )


def test_every_meal_out_of_the_pack_is_a_slot(tmp_path: Path) -> None:
    plan = planned(written(tmp_path))
    question = asked(tmp_path / "trip.toml").base
    told = {(slot.day, slot.meal, slot.most) for slot in question.slots}
    meals = {(day.day, meal.name, meal.count) for day in plan.days for meal in day.meals}
    assert told == meals


def test_a_bought_meal_is_none(tmp_path: Path) -> None:
    stop = '[[stop]]\nname = "Inn"\nkind = "hut"\nday = 1\nat_m = 12000\nmeals = ["dinner"]'
    question = asked(written(tmp_path, more=stop)).base
    assert (1, "dinner") not in {(slot.day, slot.meal) for slot in question.slots}
    assert (1, "breakfast") in {(slot.day, slot.meal) for slot in question.slots}


def test_dinner_is_shared_by_a_kitchen_and_everything_else_is_ones_own(tmp_path: Path) -> None:
    slots = asked(written(tmp_path)).base.slots
    assert all(slot.shared == (slot.meal == "dinner") for slot in slots)


def test_two_kitchens_have_slots_of_their_own(tmp_path: Path) -> None:
    slots = asked(two_kitchens(tmp_path)).base.slots
    assert len({(slot.day, slot.time) for slot in slots}) == len(slots)
    assert {slot.walkers for slot in slots} == {("Rowan",), ("Ash",)}
    assert not any(slot.shared for slot in slots)


def test_without_a_stove_nothing_hot_is_made(tmp_path: Path) -> None:
    question = asked(two_kitchens(tmp_path))
    for slot in question.base.slots:
        for one in question.dishes:
            hot = one.making.way in ("hot-pour", "boil")
            why = question.barred.get((one.id, slot.day, slot.time), "")
            if slot.meal in one.dish.meals and hot:
                assert ("no stove" in why) == (slot.walkers == ("Ash",))


def test_a_fire_rule_bars_what_needs_heat_and_says_so(tmp_path: Path) -> None:
    rule = '[[day]]\nday = 2\nfire = "no-flame"'
    question = asked(written(tmp_path, more=rule))
    assert "fire rule of day 2: no-flame" in question.barred["farina", 2, "breakfast"]
    assert ("farina", 1, "breakfast") not in question.barred
    assert ("oats", 2, "breakfast") not in question.barred


def test_the_stove_stays_packed_where_the_kitchen_says_nothing_of_it(tmp_path: Path) -> None:
    hot = ("pot_ml = 2000", 'pot_ml = 2000\nhot = [{ eating = "dinner", water_ml = 500 }]')
    question = asked(written(tmp_path, change=(hot,)))
    assert "stays packed" in question.barred["farina", 1, "breakfast"]


@pytest.mark.parametrize(
    ("avoids", "gone", "left"),
    [
        # almond, cashew and walnut are among the US law's tree nuts; the others contain none
        ('["tree-nut"]', {"nuts", "rice", "farina"}, {"chicken", "couscous"}),
        # of the nuts nobody knows whether peanut is in them: as hard as contained
        ('["peanut"]', {"dates", "nuts"}, {"couscous"}),
        ('["wheat"]', {"couscous", "chicken"}, {"nuts", "dates"}),
    ],
)
def test_what_contains_an_allergen_is_never_eaten_by_who_avoids_it(
    tmp_path: Path, avoids: str, gone: set[str], left: set[str]
) -> None:
    question = asked(written(tmp_path, rowan=f"avoids = {avoids}"))
    rowan, ash = question.base.walkers
    for name in gone:
        assert not may_eat(rowan, question.dish(name).dish)
        assert may_eat(ash, question.dish(name).dish)
    for name in left - gone:
        assert may_eat(rowan, question.dish(name).dish)


def test_traces_bar_only_when_the_trip_says_so(tmp_path: Path) -> None:
    loose = asked(written(tmp_path, rowan='avoids = ["tree-nut"]'))
    strict = asked(written(tmp_path, rowan='avoids = ["tree-nut"]', rules='traces = "avoid"'))
    doubtful = [
        one.id
        for one in loose.dishes
        if set(one.dish.may_contain) & {a.allergen for a in loose.base.walkers[0].avoids}
        and may_eat(loose.base.walkers[0], one.dish)
    ]
    assert doubtful
    assert not any(may_eat(strict.base.walkers[0], strict.dish(name).dish) for name in doubtful)


def test_a_vegetarian_gets_no_chicken_and_a_vegan_no_butter(tmp_path: Path) -> None:
    recipes = RECIPES | {
        "buttered": recipe("Buttered oats", "breakfast", {"rolled-oats": "80 g", "ghee": "20 g"},
                           STEEP),
    }  # fmt: skip
    question = asked(
        written(tmp_path, recipes=recipes, rowan='diets = ["vegetarian"]', ash='diets = ["vegan"]')
    )
    rowan, ash = question.base.walkers
    assert not may_eat(rowan, question.dish("chicken").dish)
    assert may_eat(rowan, question.dish("buttered").dish)
    assert not may_eat(ash, question.dish("buttered").dish)
    assert may_eat(ash, question.dish("couscous").dish)


def test_what_weighs_nobody_knows_is_left_out_and_told(tmp_path: Path) -> None:
    recipes = RECIPES | {
        "handful": recipe("A handful", "snack", {"almond": "as needed", "raisins": "30 g"}, SERVE),
        "ghost": recipe("Ghost", "snack", {"no-such-food": "30 g"}, SERVE),
        "cocoa": recipe("Cocoa", "drink", {"sugar": "30 g"}, STEEP),
    }
    question = asked(written(tmp_path, recipes=recipes))
    why = {one.dish: one.why for one in question.left_out}
    assert set(why) == {"handful", "ghost", "cocoa"}
    assert "weighed" in why["handful"]
    assert "no-such-food" in why["ghost"]
    assert "no eating time" in why["cocoa"]
    told = {finding.rule: finding for finding in question.findings}
    assert told["dish-left-out"].severity == "caution"
    assert "Ghost" in told["dish-left-out"].text
    assert "Cocoa" in told["dish-without-time"].text


def test_kinds_of_an_eating_time(tmp_path: Path) -> None:
    recipes = RECIPES | {"cocoa": recipe("Cocoa", "drink", {"sugar": "60 g"}, STEEP)}
    kinds = ('name = "breakfast"', 'name = "breakfast"\nkinds = ["breakfast", "drink"]')
    question = asked(written(tmp_path, recipes=recipes, change=(kinds,)))
    assert question.dish("cocoa").dish.meals == ("breakfast",)


def test_without_a_kind_the_way_of_making_tells_it(tmp_path: Path) -> None:
    recipes = RECIPES | {
        "plain": recipe("Plain nuts", "", {"almond": "50 g"}, SERVE),
        "pot": recipe("A pot", "", {"couscous": "100 g", "olive-oil": "20 g"}, STEEP),
    }
    question = asked(written(tmp_path, recipes=recipes))
    assert question.dish("plain").dish.meals == ("snack",)
    assert question.dish("pot").dish.meals == ("dinner",)


def test_a_day_asks_for_need_times_coverage_times_appetite(tmp_path: Path) -> None:
    # coverage 0.9, appetite of the first days 0.9 (common practice): 0.81 of the need.
    question = asked(written(tmp_path, rules="coverage = 0.9\nenergy_band = [0.9, 1.2]"))
    need = np.full((2, 2), 3000.0)
    bands = question.question(need).bands
    day = next(b for b in bands if b.walker == "Rowan" and b.days == (1,))
    assert day.low == pytest.approx(0.9 * 0.81 * 3000)
    assert day.high == pytest.approx(1.2 * 0.81 * 3000)
    whole = next(b for b in bands if b.walker == "Rowan" and b.whole)
    assert whole.low == pytest.approx(0.81 * 6000)


@pytest.mark.parametrize("coverage", [1.0, 0.8])
def test_floors_of_grams_go_by_the_part_of_the_day(tmp_path: Path, coverage: float) -> None:
    """Who carries less than the need still asks for so much protein."""
    question = asked(written(tmp_path, rules=f"coverage = {coverage}\nprotein_g_per_kg = 1.2"))
    bands = [b for b in question.base.bands if b.nutrient == "protein_g"]
    assert bands == []  # bands come with a need
    told = [
        b for b in question.question(question.first_need_kcal).bands if b.nutrient == "protein_g"
    ]
    for band in told:
        part = question.plan.days[band.days[0] - 1].frame.hours / 24
        mass = {"Rowan": 75, "Ash": 60}[band.walker]
        assert band.low == pytest.approx(1.2 * mass * part)


def test_a_ration_takes_its_time_out_of_the_menu(tmp_path: Path) -> None:
    question = asked(written(tmp_path, rules='coverage = 1.0\nby_ration = ["snack"]'))
    assert "snack" not in {slot.meal for slot in question.base.slots}
    for day, meals in enumerate(one.meals for one in question.plan.days):
        snack = sum(meal.share for meal in meals if meal.name == "snack")
        assert question.by_weight[0, day] == pytest.approx(snack)
        assert question.by_dish[0, day] == pytest.approx(1 - snack)


def test_fixed_dishes_are_locks_for_those_who_eat_them(tmp_path: Path) -> None:
    more = (
        '[[fixed]]\nday = 1\neating = "dinner"\ndish = "couscous"\n'
        '[[fixed]]\nday = 2\neating = "breakfast"\ndish = "oats"\nwalkers = ["Ash"]'
    )
    locks = asked(written(tmp_path, more=more)).base.locks
    assert set(locks) == {
        Lock(day=1, time="dinner", dish="couscous"),
        Lock(day=2, time="breakfast", dish="oats", walker="Ash"),
    }


def test_a_dish_fixed_at_another_time_may_stand_only_there(tmp_path: Path) -> None:
    more = '[[fixed]]\nday = 1\neating = "dinner"\ndish = "oats"'
    question = asked(written(tmp_path, more=more))
    assert set(question.dish("oats").dish.meals) == {"breakfast", "dinner"}
    banned = {(ban.day, ban.time) for ban in question.base.bans if ban.dish == "oats"}
    dinners = {(s.day, s.time) for s in question.base.slots if s.meal == "dinner"}
    assert banned == dinners - {(1, "dinner")}


@pytest.mark.parametrize(
    "more",
    ['[[fixed]]\nday = 1\neating = "dinner"\ndish = "couscus"', "rules"],
)
def test_a_dish_that_is_not_there_is_refused(tmp_path: Path, more: str) -> None:
    path = (
        written(tmp_path, rules='never = ["couscus"]')
        if more == "rules"
        else written(tmp_path, more=more)
    )
    with pytest.raises(Mistake, match="couscus") as told:
        asked(path)
    assert told.value.code == "unknown-dish"
    assert "couscous" in told.value.mend


def test_a_fixed_dish_that_is_left_out_is_an_error(tmp_path: Path) -> None:
    recipes = RECIPES | {"ghost": recipe("Ghost", "dinner", {"no-such-food": "30 g"}, SERVE)}
    more = '[[fixed]]\nday = 1\neating = "dinner"\ndish = "ghost"'
    found = asked(written(tmp_path, recipes=recipes, more=more)).findings
    assert [one.severity for one in found if one.rule == "fixed-dish-left-out"] == ["error"]


def test_a_fixed_dish_that_cannot_be_made_there_is_an_error(tmp_path: Path) -> None:
    more = (
        '[[fixed]]\nday = 2\neating = "breakfast"\ndish = "rice"\n'
        '[[day]]\nday = 2\nfire = "no-flame"'
    )
    question = asked(written(tmp_path, more=more))
    told = [one.text for one in question.findings if one.rule == "fixed-dish-barred"]
    assert len(told) == 1
    assert "fire rule of day 2" in told[0]
    assert question.base.locks == ()


def test_an_allergy_does_not_give_way_to_a_wish(tmp_path: Path) -> None:
    more = '[[fixed]]\nday = 1\neating = "snack"\ndish = "nuts"'
    question = asked(written(tmp_path, more=more, rowan='avoids = ["almond"]'))
    assert question.base.locks == (Lock(day=1, time="snack", dish="nuts", walker="Ash"),)
    told = [one for one in question.findings if one.rule == "fixed-dish-barred"]
    # Fixed for all who may eat it: Ash has it; only where Rowan was named is it an error.
    assert [one.severity for one in told] == ["caution"]
    assert "Rowan may not eat it" in told[0].text
    named = more + '\nwalkers = ["Rowan", "Ash"]'
    question = asked(written(tmp_path, more=named, rowan='avoids = ["almond"]'))
    told = [one for one in question.findings if one.rule == "fixed-dish-barred"]
    assert [one.severity for one in told] == ["error"]


def test_nobody_gets_what_nobody_wants(tmp_path: Path) -> None:
    bans = asked(written(tmp_path, rules='never = ["rice"]')).base.bans
    assert [ban.dish for ban in bans] == ["rice"]


def test_repeats_of_an_eating_time_go_before_those_of_the_rules(tmp_path: Path) -> None:
    own = ("every_walking_hours = 1.5", "every_walking_hours = 1.5\ndays_between = 0")
    question = asked(
        written(tmp_path, rules="days_between = 1\nmost_of_one_dish = 4", change=(own,))
    ).base
    told = {(one.wish, one.within_days, one.most, one.times) for one in question.repeats}
    assert ("most_of_one_dish = 4", 2, 4, ()) in told
    assert ("days_between = 1", 2, 1, ("breakfast", "dinner")) in told
    assert not any("usual" in one.wish for one in question.repeats)


def test_bases_and_flavours_keep_their_days_apart(tmp_path: Path) -> None:
    dinner = ('name = "dinner"\nhour = 18', 'name = "dinner"\nhour = 18\nbase_days_between = 3')
    question = asked(
        written(tmp_path, rules="base_days_between = 0\nflavour_days_between = 1",
                change=(dinner,))
    ).base  # fmt: skip
    told = {(one.wish, one.key, one.within_days, one.times) for one in question.repeats}
    # Two days in all: no more than the walk is long.
    assert ("base_days_between = 3 at dinner", "base", 2, ("dinner",)) in told
    assert ("flavour_days_between = 1 at breakfast", "family", 2, ("breakfast",)) in told
    assert not any(wish.startswith("base") and "breakfast" in wish for wish, *_ in told)
    assert not any("usual: no base" in wish for wish, *_ in told)


def test_usual_variety_is_said_and_no_more_than_the_dishes_allow(tmp_path: Path) -> None:
    question = asked(written(tmp_path))
    assert question.usual
    assert all(one.wish.startswith("usual: ") for one in question.base.repeats)
    assert any(one.rule == "usual-variety" for one in question.findings)
    # three dinners, one a day: two days can lie between two of one dish, three cannot
    dinner = [one for one in question.base.repeats if one.times == ("dinner",)]
    assert [one.within_days for one in dinner if one.key == "dish"] == [3]
    without = question.question(question.first_need_kcal, usual=False)
    assert without.repeats == ()


def test_portions_of_a_dinner_are_whole_ones(tmp_path: Path) -> None:
    question = asked(written(tmp_path))
    for one in question.dishes:
        least, most = USUAL_DINNERS if "dinner" in one.kinds else USUAL_PORTIONS
        assert one.dish.steps_per_serving == STEPS
        assert one.dish.least_steps / STEPS == pytest.approx(least)
        assert one.dish.most_steps / STEPS == pytest.approx(most)
    told = asked(written(tmp_path, rules="portions = [0.5, 3]"))
    assert {(one.dish.least_steps, one.dish.most_steps) for one in told.dishes} == {(10, 60)}


def test_what_is_counted_in_pieces_is_not_cut_finely(tmp_path: Path) -> None:
    recipes = RECIPES | {
        "cakes": recipe("Oatcakes", "snack", {"oatcakes": "31.5 g (3 pieces)"}, SERVE),
        "one": recipe("One date", "snack", {"date-medjool": "1 piece"}, SERVE),
    }
    question = asked(written(tmp_path, recipes=recipes))
    assert question.dish("cakes").dish.steps_per_serving == 3
    assert question.dish("one").dish.steps_per_serving == 2


def test_a_serving_weighs_its_lines_and_its_packing(tmp_path: Path) -> None:
    question = asked(written(tmp_path))
    one = question.dish("couscous")
    # The bag as the provision closes it, its second one, and a part of the day's large bag:
    # no bag of ours for 150 to 300 g is lighter than 2 g or heavier, doubled, than 21 g.
    tare = one.dish.mass_g - (110 + 30 + 15 + 1)
    two = tare_g(one.sheet, 2.0) / 2.0
    assert 0 < two < tare_g(one.sheet, 1.0)  # a pot for two needs fewer bags
    assert 2.0 / 2 < tare < 21.0


def test_soaking_slows_in_the_cold_as_arrhenius_has_it() -> None:
    # 25 kJ/mol for precooked food: 1.75 times as long at 5 °C as at 20 °C, by hand.
    factor = math.exp(25_000 / 8.314462618 * (1 / 278.15 - 1 / 293.15))
    assert factor == pytest.approx(1.74, abs=0.01)
    assert soak_minutes_at(30, 5) == pytest.approx(30 * factor, rel=1e-6)
    assert soak_minutes_at(30, 35) == 30  # warmer water is not counted on


def test_a_soak_that_outlasts_the_advised_hold_is_barred(tmp_path: Path) -> None:
    # 2 h from wetting to the last bite (USDA FSIS), 20 min of them for eating.
    slow = RECIPES["couscous"].replace("minutes = 30", "minutes = 95")
    warm = asked(written(tmp_path, recipes=RECIPES | {"slow": slow}, change=(
        ("day_c = 16", "day_c = 20\nwater_c = 20"),)))  # fmt: skip
    cold = asked(written(tmp_path, recipes=RECIPES | {"slow": slow}, change=(
        ("day_c = 16", "day_c = 16\nwater_c = 10"),)))  # fmt: skip
    assert ("slow", 1, "dinner") not in warm.barred
    assert "min" in cold.barred["slow", 1, "dinner"]


def test_a_jar_that_freezes_is_barred(tmp_path: Path) -> None:
    cold = "[[day]]\nday = 1\nday_c = -3\nnight_c = -12"
    question = asked(written(tmp_path, more=cold))
    assert "freeze" in question.barred["couscous", 1, "dinner"]
    assert ("rice", 1, "dinner") not in question.barred


def test_a_small_jar_bars_a_soak_and_a_small_pot_only_what_is_cooked_in_it(tmp_path: Path) -> None:
    cooked = RECIPES["rice"].replace('act = "steep"', 'act = "boil"')
    path = written(
        tmp_path,
        recipes=RECIPES | {"cooked": cooked},
        change=(("pot_ml = 2000", "pot_ml = 2000\njar_ml = 300"),),
    )
    question = asked(path)
    # 156 g of couscous and oil with 200 mL of water do not go into 300 mL
    assert "jar of 300 ml" in question.barred["couscous", 1, "dinner"]
    assert ("rice", 1, "dinner") not in question.barred
    assert question.dish("rice").dish.pot_ml == 0
    assert question.dish("cooked").dish.pot_ml == pytest.approx(110 + 40 + 20 + 300)
    dinner = next(slot for slot in question.base.slots if slot.meal == "dinner")
    assert dinner.pot_ml == pytest.approx(0.9 * 2000)


@pytest.mark.parametrize(
    ("told", "held_ml", "wishes"), [("", 0.9 * 500, 1), ("\npots = 2\nbatches = 3", 2700, 0)]
)
def test_pots_and_batches_hold_what_one_pot_does_not(
    told: str, held_ml: float, wishes: int, tmp_path: Path
) -> None:
    cooked = RECIPES["rice"].replace('act = "steep"', 'act = "boil"')
    # 470 ml for one serving: two of them are more than 450 ml
    path = written(
        tmp_path,
        recipes={
            name: text for name, text in RECIPES.items() if name not in ("couscous", "chicken")
        }
        | {"rice": cooked},
        change=(("pot_ml = 2000", f"pot_ml = 500{told}"),),
    )
    question = asked(path)
    dinner = next(slot for slot in question.base.slots if slot.meal == "dinner")
    assert dinner.pot_ml == pytest.approx(held_ml)
    menu = trip_menu(question, *settle_trip(question, Trying(gap=0.02, seconds=10.0)))
    if wishes:
        assert not menu.days
    else:
        meals = [meal for day in menu.days for meal in day.meals if meal.time == "dinner"]
        servings = [sum(one.servings for one in meal.helpings) for meal in meals]
        assert all(2 <= each <= 4 for each in servings)
        # by hand: so many fillings of 450 ml, two pots in each batch
        assert [meal.batches for meal in meals] == [
            math.ceil(math.ceil(470 * each / 450) / 2) for each in servings
        ]


def test_whoever_walks_eats_what_needs_no_jar(tmp_path: Path) -> None:
    recipes = RECIPES | {
        "pudding": recipe("Pudding", "snack", {"rolled-oats": "60 g"}, STEEP.replace(
            "steep", "soak"))}  # fmt: skip
    question = asked(written(tmp_path, recipes=recipes))
    assert "while walking" in question.barred["pudding", 1, "snack"]


def test_a_box_cuts_the_walk_and_a_thin_shop_does_not(tmp_path: Path) -> None:
    def legs(kind: str, more: str) -> list[tuple[int, int]]:
        stop = f'[[stop]]\nname = "Stop"\nkind = "{kind}"\nday = 1\nat_m = 12000\n{more}'
        plan = planned(written(tmp_path, more=stop))
        return [(leg.first_day, leg.last_day) for leg, _ in legs_of(plan, takes_of(plan))]

    assert legs("box", "") == [(1, 1), (2, 2)]
    assert legs("shop", "") == [(1, 1), (2, 2)]
    assert legs("shop", 'offers = ["rye-bread"]') == [(1, 2)]


def test_limits_of_box_back_and_bags(tmp_path: Path) -> None:
    more = (
        '[[stop]]\nname = "Box"\nkind = "box"\nday = 1\nat_m = 12000\nmost_kg = 2\n'
        "most_litres = 5\n"
        '[[container]]\nwalker = "Rowan"\nlitres = 10\n[[container]]\nwalker = "Ash"\nlitres = 9'
    )
    question = asked(written(tmp_path, more=more, rules="most_food_kg = 3.5")).base
    assert [(cap.leg, cap.most_g, cap.most_ml) for cap in question.box_caps] == [
        ("Box", 2000, 5000)
    ]
    # One night; a day's rubbish of 40 g each at 0.2 g/mL, half a litre each for soap, and a
    # tenth of air between the bags: the figures by which provision looks at the same night.
    assert [one.litres for one in question.litres] == [pytest.approx((19 - 1 - 0.4) / 1.1)]
    assert [one.days for one in question.litres] == [(1,)]
    assert {cap.most_g for cap in question.load_caps} == {3500}


def food(days: int, ends: str, at_c: float = 20.0) -> Food:
    return Food(
        id="x", name="x", group="nut", form="solid", per_100g=Nutrients(),
        source=Source(kind="memory", ref=""),
        keeping=Keeping(id="x", unopened_days=(days, 2 * days), at_c=at_c, ends=ends),
    )  # fmt: skip


def test_fat_keeps_by_q10_and_four_fifths_of_its_life() -> None:
    # Q10 of 3 when warmer: 30 days at 20 °C are 10 at 30 °C, of which 8 may be used.
    assert kept([food(30, "fat")], (), 30.0).days == pytest.approx(8.0)
    # Q10 of 2 when cooler: 60 days at 10 °C.
    assert kept([food(30, "fat")], (), 10.0).days == pytest.approx(48.0)
    # What bacteria end is not stretched by the cool.
    assert kept([food(5, "bacteria")], (), 5.0).days == pytest.approx(5.0)


def test_days_before_the_walk_count(tmp_path: Path) -> None:
    plan = planned(written(tmp_path))
    before = stays_before(plan, None)
    assert kept([food(30, "mould")], before, 20.0).days == pytest.approx(30 - PACKED_DAYS)


def test_a_dish_of_unknown_keeping_keeps_for_nobody_knows_how_long() -> None:
    wet = Food(id="w", name="w", group="dairy", form="fresh", per_100g=Nutrients(),
               source=Source(kind="memory", ref=""))  # fmt: skip
    assert kept([wet], (), 20.0).days is None


def test_dishes_here_tells_for_every_time_why_not(tmp_path: Path) -> None:
    rule = '[[day]]\nday = 2\nfire = "no-flame"'
    question = asked(written(tmp_path, more=rule, ash='diets = ["vegetarian"]'))
    here = {(one.day, one.time, one.dish): one for one in dishes_here(question)}
    assert "fire rule" in here[2, "breakfast", "farina"].why_not
    assert here[1, "breakfast", "farina"].why_not == ""
    assert here[1, "dinner", "chicken"].barred_for == ("Ash",)
    assert "Wet it" in here[1, "dinner", "couscous"].wet
    assert len(here) == sum(
        one.dish.meals.count(place.eating)
        for place in places_of(question.plan)
        for one in question.dishes
    )


def test_no_recipes_and_nothing_to_plan_are_refused(tmp_path: Path) -> None:
    everything = 'by_ration = ["breakfast", "snack", "dinner"]'
    with pytest.raises(Mistake) as told:
        asked(written(tmp_path, rules=everything))
    assert told.value.code == "nothing-to-plan"


def test_nobody_is_asked_to_wet_a_breakfast_asleep(tmp_path: Path) -> None:
    question = asked(written(tmp_path))
    place = next(p for p in question.places.values() if p.in_camp and p.at_m <= 0.0)
    up = place.up_min
    assert up is not None
    soon = replace(place, hold_minutes=120.0, eat=Span(early=up + 20, late=up + 20))
    told = wetted_at(60.0, soon)
    assert told is not None
    assert told.when == f"Wet it when you get up ({clock(up)})"
    assert told.then == f"ready at {clock(up + told.minutes)}"
    assert "120 min" in told.text
    late = wetted_at(10.0, replace(soon, eat=Span(early=up + 90, late=up + 90)))
    assert late is not None
    assert late.when.startswith(f"Wet it between {clock(up)} and")
    assert wetted_at(0.0, place) is None
    # On a cold day it may stand for six hours; that is no reason to get up at one.
    cold = wetted_at(60.0, replace(soon, hold_minutes=360.0))
    assert cold is not None
    assert cold.when == f"Wet it when you get up ({clock(up)})"
    frost = wetted_at(60.0, replace(soon, hold_minutes=360.0, night_c=-6.0))
    assert frost is not None
    assert "water kept from freezing (the night may go to -6 °C)" in frost.when
    # A hold that covers the night begins in the evening, but not where the jar would freeze.
    over = replace(soon, hold_minutes=600.0, eat=Span(early=up, late=up), night_c=3.0)
    long = wetted_at(60.0, over)
    assert long is not None
    first = up + 60.0 * MEAL_HOURS - 600.0
    assert long.when == f"Wet it before you sleep, not before {clock(first % 1440.0)}"
    icy = wetted_at(60.0, replace(over, night_c=-1.0))
    assert icy is not None
    assert icy.when.startswith("Wet it when you get up")


def test_what_a_place_bars_is_no_wish(tmp_path: Path) -> None:
    rule = '[[day]]\nday = 2\nfire = "no-flame"'
    question = asked(written(tmp_path, more=rule))
    bans = {(ban.dish, ban.day, ban.time): ban.firm for ban in question.base.bans}
    assert question.barred
    assert all(bans[place] for place in question.barred)


def test_usual_variety_gives_way_by_its_milder_form_first(tmp_path: Path) -> None:
    question = asked(written(tmp_path))
    base = question.base
    hard = Repeat(
        wish="usual: 2 days between two of one dish at dinner",
        key="dish",
        within_days=3,
        times=("dinner",),
    )
    asked_for = tuple(one for one in base.repeats if not one.wish.startswith("usual: "))
    mild = milder(replace(question, base=replace(base, repeats=(*asked_for, hard)), usual=("far",)))
    assert mild is not None
    assert mild.usual == ("at least a day between two of one dish at dinner",)
    assert mild.base.repeats[-1].within_days == 2
    assert mild.base.repeats[:-1] == asked_for
    assert milder(mild) is None
