"""What stands on a label."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from msgspec.structs import replace

from fellfare.menu.asked.diets import against, is_untold
from fellfare.menu.asked.wetting import Wetted
from fellfare.mistake import Mistake
from fellfare.pantry.allergens import combine
from fellfare.pantry.pantry import Pantry
from fellfare.provision.bags.plan import bags_of
from fellfare.provision.cards.allergen import allergen_card
from fellfare.provision.cards.recipe import recipe_card
from fellfare.provision.cards.trail import trail_card
from fellfare.provision.label import keep_by, labels, minutes_said, stated, water_measure
from fellfare.provision.planned import (
    Planned,
    Share,
    findings_for,
    in_order,
    planned_recipe,
)
from fellfare.provision.trip.provision import provision_of
from fellfare.recipe.document import Line, Recipe, Step
from fellfare.trip.plan import TripPlan

FIRST = date(2027, 6, 1)


def test_one_bag_one_label(plan: tuple[Planned, ...]) -> None:
    bags = bags_of(plan)
    told = labels(plan, bags, first_day=FIRST, packed_on=date(2027, 5, 20))
    assert [label.number for label in told] == list(range(1, len(bags) + 1))
    assert {label.count for label in told} == {len(bags)}
    assert all(label.title in label.payload and label.dish in label.payload for label in told)


def test_all_water_of_a_dish_stands_on_its_labels_once(plan: tuple[Planned, ...]) -> None:
    told = labels(plan, bags_of(plan))
    card = trail_card(plan, bags_of(plan))
    on_labels = sum(step.water.value for one in told for step in one.steps if step.water)
    assert on_labels == pytest.approx(sum(day.water_ml for day in card.days))
    # 3 + 3 + 2 porridges of 250 ml; pots of 150 ml for 3, 2 and 3 eaters (shares sum to that)
    wanted = 250 * (3 + 3 + 2.25) + 150 * (3 + 2 + 3)
    assert on_labels == pytest.approx(wanted)


def test_the_label_says_what_a_tired_eater_needs(plan: tuple[Planned, ...]) -> None:
    first = labels(plan, bags_of(plan), first_day=FIRST, packed_on=date(2027, 5, 20))[0]
    text = first.payload
    assert "Day 1 breakfast" in text
    assert "pour on boiling water, cover: 750 ml (3¼ cups), 5 min" in text
    assert "Contains: milk, oats" in text
    assert "eat 2027-06-01" in text
    assert "packed 2027-05-20" in text
    assert "http" not in text


def test_household_water_is_said_in_both_systems() -> None:
    # NIST SP 811: US cup 236.588 ml; metric cup 250 ml
    said = water_measure(237.0)
    assert (said.metric, said.us) == ("235 ml", "1 cup")
    assert water_measure(250.0).metric_household == "1 cup"


def test_what_one_goes_without_has_a_bag_and_a_warning(plan: tuple[Planned, ...]) -> None:
    told = labels(plan, bags_of(plan))
    nuts = [label for label in told if label.bag == "nuts"]
    assert all("Ada" not in label.eaters for label in nuts)
    assert all(any("Ada" in said and "walnut" in said for said in label.not_for) for label in nuts)
    assert all("NOT FOR: Ada" in label.payload for label in nuts)


def test_unknown_allergens_are_never_silent(plan: tuple[Planned, ...]) -> None:
    for label in labels(plan, bags_of(plan)):
        assert label.allergens.lines
        if label.allergens.unknown or label.allergens.all_unknown:
            assert "Not known" in label.payload


def test_keeping_is_the_earliest_and_names_the_unknown(pantry: Pantry) -> None:
    oats, walnut = pantry.food("rolled-oats"), pantry.food("walnut")
    told = keep_by((oats, walnut), date(2027, 1, 1))
    # FoodKeeper v128, product 446: walnuts 2-4 weeks in the pantry.
    assert told.days == 14
    assert told.until == date(2027, 1, 15)
    assert told.food == walnut.name
    # Q10 of 3 when warmer (Labuza 1982): 10 K above the table, a third.
    assert keep_by((walnut,), None, walnut.keeping.at_c + 10).days == 4  # type: ignore[union-attr]
    unknown = [food for food in pantry if food.keeping is None or not food.keeping.unopened_days]
    assert keep_by(unknown[:1], None).unknown == (unknown[0].name,)
    assert keep_by(unknown[:1], None).days is None


def test_minutes_read_like_a_watch() -> None:
    assert minutes_said(5) == "5 min"
    assert minutes_said(20, 30) == "20 to 30 min"
    assert minutes_said(150) == "2 h 30 min"


def test_the_trail_card_has_every_meal_and_its_error(plan: tuple[Planned, ...]) -> None:
    card = trail_card(plan, bags_of(plan), notes={2: ("18 km; fire ban",)})
    assert [day.day for day in card.days] == [1, 2, 3]
    # On day 2 Bo and Cy have jars of their own with unlike servings: each stands alone.
    assert [len(day.meals) for day in card.days] == [2, 3, 2]
    own = [meal for meal in card.days[1].meals if meal.dish == "Couscous pot"]
    assert [meal.who for meal in own] == ["Bo", "Cy"]
    # 300 ml for two eaters: 1.25 and 0.75 servings are 187.5 and 112.5 ml.
    water = [step.water.value for meal in own for step in meal.steps if step.water is not None]
    assert water == [187.5, 112.5]
    assert card.days[2].stops == ("Upper Hut box",)
    assert card.days[1].notes == ("18 km; fire ban",)


def test_left_out_food_is_a_caution_and_eaten_food_an_error(
    dish: Callable[..., Planned],
) -> None:
    ada = Share(name="Ada", avoids=("tree-nut",), without=("walnut",))
    mild = findings_for(dish("porridge", eaters=(ada,)))
    assert not [one for one in mild if one.rule == "allergen"]
    assert [one.severity for one in mild if one.rule == "left-out"] == ["caution"]
    eats = Share(name="Ada", avoids=("tree-nut",))
    assert "error" in [
        one.severity
        for one in findings_for(dish("porridge", eaters=(eats,)))
        if one.rule == "allergen"
    ]


def test_the_allergen_card_uses_both_laws(plan: tuple[Planned, ...]) -> None:
    card = allergen_card(plan)
    rows = {row.agent: row for one in card.dishes for row in one.rows}
    assert rows["walnut"].us == "tree nuts (walnut)"
    assert rows["walnut"].eu == "nuts (walnut)"
    # 21 U.S.C. 321(qq): wheat only; Annex II: cereals containing gluten, oats among them.
    assert (rows["oats"].us, rows["oats"].eu) == ("", "cereals containing gluten (oats)")
    assert [person.name for person in card.people] == ["Ada"]
    assert len(card.people[0].goes_without) == 3


def test_a_recipe_card_has_home_and_camp_parts(plan: tuple[Planned, ...], pantry: Pantry) -> None:
    card = recipe_card(plan[0].sheet, pantry)
    assert card.water is not None
    assert card.water.value == pytest.approx(750)
    assert [step.act for step in card.camp] == ["steep", "serve"]
    assert card.serving_g == pytest.approx(113)
    # per serving, from the oats', milk's, raspberry's and walnut's own rows
    energy = sum(
        grams * (pantry.food(food).per_100g.energy_kcal or 0) / 100
        for food, grams in (
            ("rolled-oats", 60),
            ("milk-powder-whole", 20),
            ("raspberry-freeze-dried", 8),
            ("walnut", 25),
        )
    )
    assert card.nutrients[0].name == "energy_kcal"
    assert card.nutrients[0].value == pytest.approx(energy)
    assert card.lines[0].amount is not None
    assert card.lines[0].amount.metric == "180 g"


@pytest.mark.parametrize(
    ("code", "change"),
    [
        ("day-out-of-range", {"day": 0}),
        ("leg-out-of-range", {"leg": 0}),
        ("no-eaters", {"eaters": ()}),
        ("servings-out-of-range", {"eaters": (Share(name="A", servings=float("nan")),)}),
        ("servings-out-of-range", {"eaters": (Share(name="A", servings=0.0),)}),
        ("eater-twice", {"eaters": (Share(name="A"), Share(name="A"))}),
        ("unknown-food", {"eaters": (Share(name="A", without=("moon-dust",)),)}),
        ("unknown-allergen", {"eaters": (Share(name="A", avoids=("pollen",)),)}),
    ],
)
def test_what_cannot_be_is_refused(plan: tuple[Planned, ...], code: str, change: object) -> None:
    with pytest.raises(Mistake) as caught:
        in_order((replace(plan[0], **change),))  # type: ignore[arg-type]
    assert caught.value.code == code
    assert caught.value.where.startswith("dish 1")


def test_no_dish_no_plan() -> None:
    with pytest.raises(Mistake, match="nothing-planned"):
        in_order(())


def test_a_name_of_four_hundred_characters_is_kept_whole(dish: Callable[..., Planned]) -> None:
    name = "𓀀‮" * 200
    one = in_order((dish("pot", eaters=(Share(name=name),)),))
    assert labels(one, bags_of(one))[0].eaters == (name,)


def test_odd_servings_are_refused_before_any_sum(
    dish: Callable[..., Planned], pantry: Pantry
) -> None:
    recipe = dish("pot").sheet.recipe
    for servings in (float("nan"), float("inf"), -1.0):
        with pytest.raises(Mistake, match="servings-out-of-range"):
            planned_recipe(recipe, pantry, [Share(name="A", servings=servings)])


def test_bags_of_another_plan_are_refused(plan: tuple[Planned, ...]) -> None:
    bags = bags_of(plan)
    for other in (plan[:1], tuple(plan[1:])):
        with pytest.raises(Mistake, match="bags-of-another-plan"):
            labels(other, bags)


def test_three_thousand_labels_are_no_matter(dish: Callable[..., Planned]) -> None:
    many = [dish("pot", day=day) for day in range(1, 334) for _ in range(3)]
    bags = bags_of(many)
    assert len(bags) == 333 * 3 * 3
    assert len(labels(many, bags)) == len(bags)


def test_a_label_ends_where_the_next_bag_begins(plan: tuple[Planned, ...]) -> None:
    told = labels(plan, bags_of(plan))
    pot = next(one for one in told if one.bag == "pot")
    assert [step.act for step in pot.steps] == ["steep"]
    assert [one.later for one in pot.add_ins] == [True, True]
    cheese = next(one for one in told if one.bag == "cheddar")
    assert [step.act for step in cheese.steps] == ["mix"]
    oil = next(one for one in told if one.bag == "olive oil")
    assert oil.joins == "cheddar"
    assert not oil.steps


def test_a_mix_of_which_no_part_is_told_makes_all_unknown(pantry: Pantry) -> None:
    mix = next(food for food in pantry if food.allergens.open_mix)
    told = stated((pantry.food("rolled-oats"), mix))
    assert told.all_unknown
    assert any("other allergens" in line for line in told.lines)
    assert not stated((pantry.food("rolled-oats"),)).all_unknown


def only(*lines: str) -> Recipe:
    """A snack of these foods in one bag."""
    return Recipe(
        title="Snack",
        serves=1,
        meals=("snack",),
        lines=tuple(Line(food=food, amount="30 g", bag="mix") for food in lines),
    )


def test_traces_are_minded_and_only_what_is_known_or_unknown_is_barred(pantry: Pantry) -> None:
    # In our pantry tahini may contain tree nuts and oats hold none; walnut is one.
    tahini = pantry.food("tahini")
    assert combine((tahini,)).of("walnut") == "may contain"
    eli = Share(name="Eli", avoids=("walnut",))
    bo = Share(name="Bo")
    (alone,) = planned_recipe(only("tahini", "rolled-oats"), pantry, [eli])
    bags = bags_of((alone,))
    assert len(bags) == 1  # a lone eater has nobody to keep traces from
    (label,) = labels((alone,), bags)
    assert not label.not_for
    assert label.minds == (f"Eli: {tahini.name}: may contain walnut; read the label",)
    assert "NOT FOR" not in label.payload
    (both,) = planned_recipe(only("tahini", "rolled-oats", "walnut"), pantry, [eli, bo])
    told = {label.bag: label for label in labels((both,), bags_of((both,)))}
    assert len(told) == 3
    barred = [name for name, label in told.items() if label.not_for]
    assert len(barred) == 1
    assert "walnut" in barred[0].lower()
    assert any(label.minds for label in told.values())


def test_a_rule_against_traces_bars_them(pantry: Pantry) -> None:
    eli = Share(name="Eli", avoids=("walnut",), traces_barred=True)
    (both,) = planned_recipe(only("tahini"), pantry, [eli, Share(name="Bo")])
    (label,) = labels((both,), bags_of((both,)))
    assert label.not_for
    assert not label.minds


def test_a_bag_says_whom_of_the_party_it_is_not_for_though_they_eat_something_else(
    pantry: Pantry,
) -> None:
    eli, fay = Share(name="Eli", avoids=("walnut",)), Share(name="Fay", avoids=("milk",))
    (plain,) = planned_recipe(only("walnut"), pantry, [Share(name="Bo")])
    assert not labels((plain,), bags_of((plain,)))[0].not_for
    dish = replace(plain, others=(eli, fay))
    (bag,) = bags_of((dish,))
    assert bag.not_for == ("Eli",)
    assert bag.packing == bags_of((plain,))[0].packing  # said on it, not packed otherwise
    (label,) = labels((dish,), (bag,))
    assert [said.partition(":")[0] for said in label.not_for] == ["Eli"]
    assert "contains walnut" in label.not_for[0]
    assert not label.minds
    # What may hold traces is for those to mind who eat it.
    tahini = replace(planned_recipe(only("tahini"), pantry, [Share(name="Bo")])[0], others=(eli,))
    assert not labels((tahini,), bags_of((tahini,)))[0].not_for


def test_a_bag_of_one_eater_is_never_called_not_for_that_eater(pantry: Pantry) -> None:
    eli = Share(name="Eli", avoids=("walnut",))
    (dish,) = planned_recipe(only("walnut"), pantry, [eli])
    (label,) = labels((dish,), bags_of((dish,)))
    assert not label.not_for
    assert label.minds[0].startswith("STOP Eli")


def test_a_diet_bars_as_an_allergen_does(whole: Any, trip_plan: TripPlan, pantry: Pantry) -> None:
    """A vegan who gets cheese by an older menu: an error, a warning on bag, card and label."""
    changed = tuple(
        replace(one, diets=("vegan",)) if one.name == "Bo" else one
        for one in trip_plan.trip.walkers
    )
    plan = replace(trip_plan, trip=replace(trip_plan.trip, walkers=changed))
    one = provision_of(plan, whole.plates, whole.recipes, pantry)
    broken = [finding for finding in one.findings if finding.rule == "diet-not-kept"]
    assert broken
    assert {finding.severity for finding in broken} == {"error"}
    assert any("Bo (vegan): cheddar: not vegan" in finding.text for finding in broken)
    assert not any("couscous" in finding.text for finding in broken)
    cheese = [bag for bag in one.bags if any(food.id == "cheddar" for food in bag.foods)]
    shared = [bag for bag in cheese if "Bo" in bag.eaters and len(bag.eaters) > 1]
    assert shared
    assert all("Bo" in bag.not_for for bag in shared)
    said = " ".join(text for label in one.labels for text in (*label.not_for, *label.minds))
    assert "Bo: cheddar: not vegan" in said
    (bo,) = [person for person in allergen_card(one.dishes).people if person.name == "Bo"]
    assert bo.diets == ("vegan",)
    assert any("cheddar: not vegan" in text for text in bo.minds)
    plain = provision_of(trip_plan, whole.plates, whole.recipes, pantry)
    assert not [finding for finding in plain.findings if finding.rule == "diet-not-kept"]


def test_only_a_label_tells_of_a_mix_unless_the_author_vouches(pantry: Pantry) -> None:
    untold = next(food for food in pantry if is_untold(food) and not against((food,), ["no-pork"],
                  ["vegan"]))  # fmt: skip
    found = against((untold,), ("vegan",))
    assert found == {untold.id: "not known whether it is vegan"} or "not vegan" in found[untold.id]
    assert against((untold,), ("no-pork",)) == {untold.id: "not known whether it is free of pork"}
    assert against((untold,), ("no-pork",), ("vegan",)) == {}


def test_a_label_says_how_long_it_soaks_in_the_water_there(pantry: Pantry) -> None:
    # 25 kJ/mol for precooked food: 1.75 times as long at 5 °C as at 20 °C, by hand.
    soup = replace(
        only("couscous"), steps=(Step(act="soak", bags=("mix",), water="60 ml", minutes=40),)
    )
    (dish,) = planned_recipe(soup, pantry, [Share(name="Fell")])
    soak = Wetted(
        written_minutes=40.0,
        minutes=70.0,
        hold_minutes=120.0,
        when="Wet it between 16:50 and 17:20",
        then="ready for dinner",
    )
    there = replace(dish, soaks={"Fell": soak})
    bags = bags_of((there,))
    (label,) = labels((there,), bags)
    assert label.steps[0].minutes == 70
    assert label.wet == "Wet it between 16:50 and 17:20; eat it all within 120 min of wetting"
    assert label.wet in label.payload
    (meal,) = trail_card((there,), bags).days[0].meals
    assert meal.steps[0].minutes == 70
    assert meal.wet == label.wet


def test_a_warm_box_takes_its_part_of_the_life_first(pantry: Pantry) -> None:
    oats = pantry.food("rolled-oats")
    of = oats.keeping
    assert of is not None
    assert of.unopened_days is not None
    days = of.unopened_days[0]
    # Labuza 1982: at Q10 = 3 a tenth of a kelvin decade takes three times the life.  Ten days
    # at +10 K spend thirty; what is left is spent at the table's own temperature.
    told = keep_by((oats,), date(2027, 1, 1), of.at_c, ((10.0, of.at_c + 10.0),))
    assert told.days == days - 20
    assert told.until == date(2027, 1, 1) + timedelta(days=days - 20)
    # All spent in the box: its date falls into the wait.
    hot = keep_by((oats,), None, of.at_c, ((days, of.at_c + 10.0),))
    assert hot.days == days // 3
