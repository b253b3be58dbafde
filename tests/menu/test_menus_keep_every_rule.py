"""What the planner hands over, looked at by the checker; and its own figures, added up again."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from tests.menu.making import small_question, walk_question

from fellfare.menu.answer import Menu
from fellfare.menu.checking import broken_rules
from fellfare.menu.planning import plan_menu
from fellfare.menu.pool import Band, Different, Lock, Question, Weights
from fellfare.menu.trying import Trying

NEAR = Trying(gap=0.05, seconds=20.0)


def figures_add_up(question: Question, menu: Menu) -> None:
    """Mass, money, packs and the unknown, from the plates alone."""
    dishes = {dish.id: dish for dish in question.dishes}
    mass = sum(portion.mass_g for plate in menu.plates for portion in plate.portions)
    assert menu.mass_g == pytest.approx(mass, rel=1e-9)
    assert menu.bound_mass_g <= mass * (1 + 1e-9)
    assert menu.weighed_g is not None
    assert menu.bound_g <= menu.weighed_g * (1 + 1e-9)
    assert menu.gap == pytest.approx(1 - menu.bound_g / menu.weighed_g, abs=1e-9)
    if menu.verdict != "stopped":
        assert menu.gap <= NEAR.gap
    need: dict[str, float] = {}
    money = 0.0
    for plate in menu.plates:
        dish = dishes[plate.dish]
        servings = sum(portion.steps for portion in plate.portions) / dish.steps_per_serving
        money += (dish.cost or 0.0) * servings
        for food, grams in dish.foods:
            need[food] = need.get(food, 0.0) + grams * servings
    if question.budget is not None:
        sold = {pack.food: pack for pack in question.packs}
        bought = dict(menu.packs)
        for food, grams in need.items():
            assert bought[food] * sold[food].size_g >= grams * (1 - 1e-6)
            assert (bought[food] - 1) * sold[food].size_g < grams
        money += sum(sold[food].price * many for food, many in bought.items())
        money += sum(leg.fee for leg in question.legs)
        assert menu.cost == pytest.approx(money, rel=1e-9)
        assert money <= question.budget.most * (1 + 1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_a_walk_of_two_days_keeps_every_rule(seed: int) -> None:
    question = walk_question(seed, days=2, walkers=1 + seed % 3, dishes=40)
    menu = plan_menu(question, NEAR)
    assert menu.plates
    assert broken_rules(question, menu.plates) == ()
    figures_add_up(question, menu)


@pytest.mark.parametrize("seed", range(8))
def test_small_trips_keep_every_rule_or_say_why_not(seed: int) -> None:
    question = small_question(seed, dishes=4, walkers=1 + seed % 2, shared=bool(seed % 2))
    menu = plan_menu(question, Trying(gap=0.0, seconds=20.0))
    assert menu.verdict in ("optimal", "impossible")
    if menu.plates:
        assert broken_rules(question, menu.plates) == ()
        figures_add_up(question, menu)


def test_what_is_unknown_is_named() -> None:
    question = small_question(4, dishes=4)
    salt = Band(wish="salt", walker="w1", nutrient="sodium_mg", high=9000.0)
    question = replace(question, bands=(*question.bands, salt))
    dishes = tuple(
        replace(dish, sodium_mg=None) if dish.meals == ("lunch",) else dish
        for dish in question.dishes
    )
    menu = plan_menu(replace(question, dishes=dishes), NEAR)
    assert menu.plates
    lunches = {plate.dish for plate in menu.plates if plate.time == "lunch"}
    told = {dish for nutrient, dish in menu.unknown if nutrient == "sodium_mg"}
    assert told == lunches


def test_liking_and_cost_are_weighed_as_they_say() -> None:
    plain = replace(small_question(3, dishes=4), bands=(), weights=Weights(liking_g=7.0))
    menu = plan_menu(plain, NEAR)
    dishes = {dish.id: dish for dish in plain.dishes}
    liked = sum(dishes[plate.dish].liking * len(plate.portions) for plate in menu.plates)
    assert menu.mass_g is not None
    assert menu.weighed_g == pytest.approx(menu.mass_g - 7.0 * liked, rel=1e-9)


@pytest.mark.parametrize("seed", range(1, 7))
def test_menus_keep_the_rules_of_single_times_and_weigh_as_they_say(seed: int) -> None:
    """Mass by where it is taken up, a share for one eating time, a worth for variety; by hand."""
    plain = small_question(seed, dishes=4, walkers=1 + seed % 2, shared=bool(seed % 2))
    time = plain.slots[-1].time
    one_time = Band(
        wish="one time", walker="w1", nutrient="energy_kcal", low=200.0, high=900.0, times=(time,)
    )
    asked = replace(
        plain,
        dishes=tuple(replace(dish, supply=at % 3) for at, dish in enumerate(plain.dishes)),
        slots=tuple(replace(slot, mass_weights=(1.0, 0.2 * slot.day, 1.7)) for slot in plain.slots),
        bands=(*plain.bands, one_time),
        differents=(Different(wish="variety", times=(time,), least=1, worth_g=25.0),),
    )
    menu = plan_menu(asked, Trying(gap=0.0, seconds=20.0))
    assert menu.verdict in ("optimal", "impossible")
    if not menu.plates:
        return
    assert broken_rules(asked, menu.plates) == ()
    dishes = {dish.id: dish for dish in asked.dishes}
    slots = {(slot.day, slot.time): slot for slot in asked.slots}
    weighed = 0.0
    for plate in menu.plates:
        dish, slot = dishes[plate.dish], slots[plate.day, plate.time]
        weighed -= asked.weights.liking_g * dish.liking * plate.times * len(plate.portions)
        for part in plate.portions:
            servings = part.steps / dish.steps_per_serving
            weighed += part.mass_g * slot.mass_weights[dish.supply]
            weighed += slot.water_g_per_ml * dish.water_ml * servings
    weighed -= 25.0 * len({plate.dish for plate in menu.plates if plate.time == time})
    assert menu.weighed_g == pytest.approx(weighed, rel=1e-9, abs=1e-6)
    assert menu.bound_g <= weighed + 1e-6 * abs(weighed)
    assert menu.bound_mass_g <= (menu.mass_g or 0.0) * (1 + 1e-9)


def test_a_fixed_dish_stays_at_its_time() -> None:
    question = walk_question(1, days=2, walkers=1, dishes=30)
    dinner = question.dishes[-1].id
    locked = replace(question, locks=(Lock(day=2, time="dinner", dish=dinner),))
    menu = plan_menu(locked, NEAR)
    assert [p.dish for p in menu.plates if (p.day, p.time) == (2, "dinner")] == [dinner]
    assert broken_rules(locked, menu.plates) == ()


def test_faults_planted_into_a_planned_menu_are_found() -> None:
    """Every plate once away, once too large, once of a dish that must not stand there."""
    question = walk_question(1, days=2, walkers=2, dishes=40)
    menu = plan_menu(question, NEAR)
    assert menu.plates
    assert broken_rules(question, menu.plates) == ()
    dishes = {dish.id: dish for dish in question.dishes}
    nutty = {dish.id for dish in question.dishes if "nuts" in dish.contains}
    for at, plate in enumerate(menu.plates):
        before, after = menu.plates[:at], menu.plates[at + 1 :]
        if plate.time != "snack":  # of snacks there may be fewer
            wishes = {each.wish for each in broken_rules(question, before + after)}
            assert "a dish at every eating time" in wishes
        most = dishes[plate.dish].most_steps * plate.times
        large = replace(plate.portions[0], steps=most + 1)
        grown = replace(plate, portions=(large, *plate.portions[1:]))
        wishes = {each.wish for each in broken_rules(question, (*before, grown, *after))}
        assert {"portion sizes", "the plan"} <= wishes
        other = next(d for d in question.dishes if d.meals != dishes[plate.dish].meals)
        strange = replace(plate, dish=other.id)
        wishes = {each.wish for each in broken_rules(question, (*before, strange, *after))}
        assert "kinds of meal" in wishes
        allergic = {walker.id for walker in question.walkers if walker.avoids}
        if allergic & {portion.walker for portion in plate.portions}:
            bad = replace(plate, dish=min(nutty))
            wishes = {each.wish for each in broken_rules(question, (*before, bad, *after))}
            assert "allergies" in wishes
