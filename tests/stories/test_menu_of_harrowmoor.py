"""The Harrowmoor Round gets its menu: whole, within every rule, and fit for all three."""

from __future__ import annotations

from itertools import pairwise

import pytest

from fellfare.files.demo_documents import demo_documents
from fellfare.files.recipe_folder import read_recipes_of
from fellfare.files.trip_toml import read_ground, read_trip
from fellfare.menu.asked import Asked, question_of_trip
from fellfare.menu.checking import broken_rules
from fellfare.menu.settling import Settled, settle_trip
from fellfare.menu.trip_menu import TripMenu, trip_menu
from fellfare.menu.trying import Trying
from fellfare.pantry.allergens import combine
from fellfare.pantry.pantry import Pantry
from fellfare.provision.trip.burdens import morning_g
from fellfare.provision.trip.provision import provision_of
from fellfare.trip.plan import plan_trip


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Asked, Settled, TripMenu]:
    folder = tmp_path_factory.mktemp("harrowmoor")
    for name, text in demo_documents():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
    file = read_trip(folder / "trip.toml")
    recipes = read_recipes_of(file)
    plan = plan_trip(file.trip, read_ground(file))
    asked = question_of_trip(plan, recipes.recipes, recipes.pantry)
    # Ends by the gap; the seconds are those of the solver, for one step of the search.
    done, whole = settle_trip(asked, Trying(gap=0.04, seconds=12.0))
    return asked, done, trip_menu(asked, done, whole)


def test_every_eating_time_of_nine_days_has_its_dish(
    made: tuple[Asked, Settled, TripMenu],
) -> None:
    asked, _, menu = made
    assert len(menu.days) == 9
    wanted = sum(
        day_meal.count * len(walkers)
        for day in asked.plan.days
        for day_meal in day.meals
        for walkers in [asked.plan.walkers]
    )
    served = sum(meal.times * len(meal.helpings) for day in menu.days for meal in day.meals)
    assert served == wanted


def test_what_is_packed_weighs_and_fits_as_the_menu_says(
    made: tuple[Asked, Settled, TripMenu],
) -> None:
    asked, _, menu = made
    one = provision_of(
        asked.plan,
        menu.plates,
        {dish.id: dish.recipe for dish in asked.dishes},
        Pantry(food for dish in asked.dishes for food in dish.foods),
        steps_per_serving=menu.steps_per_serving,
    )
    # Portions of pots and bags go by sizes, a menu by servings: a per cent, a spoon a day.
    packed_g = one.food_g + one.packaging_g
    assert packed_g == pytest.approx((menu.mass_g or 0.0) - menu.fuel_g, rel=0.01)
    for name in menu.walkers:
        mornings = morning_g(one.carrying, one.bags, name, len(asked.plan.days))
        assert len(mornings) == len(menu.days)
    everybody = [
        sum(morning_g(one.carrying, one.bags, name, len(menu.days))[place] for name in menu.walkers)
        for place in range(len(menu.days))
    ]
    told = [sum(eater.load_g for eater in day.eaters) for day in menu.days]
    assert everybody == pytest.approx(told, rel=0.04, abs=60)
    assert not [f for f in one.findings if f.rule == "store-too-small"]
    party = one.room.party
    assert party is not None
    assert all(night.fits for night in party.nights)


def test_it_keeps_every_rule_for_the_need_that_it_causes(
    made: tuple[Asked, Settled, TripMenu],
) -> None:
    _, done, menu = made
    assert broken_rules(done.question, done.menu.plates) == ()
    assert menu.settled
    assert menu.rounds[-1].residual_g < 1
    assert menu.bound_mass_g <= (menu.mass_g or 0)
    assert menu.gap <= 0.05


def test_tansy_corrie_and_fell_can_eat_it(made: tuple[Asked, Settled, TripMenu]) -> None:
    asked, _, menu = made
    for day in menu.days:
        for meal in day.meals:
            dish = asked.dish(meal.dish)
            eaters = {one.walker for one in meal.helpings}
            if "Tansy" in eaters:  # the vegetarian
                assert not any(food.group in ("meat", "fish") for food in dish.foods)
            if "Corrie" in eaters:  # no tree nuts: neither told nor unknown
                nuts = set(asked.plan.trip.walkers[1].avoids)
                assert not nuts & {*dish.dish.contains, *dish.dish.unknown_allergens}
            if "Fell" in eaters or day.day in (5, 6):  # no stove; no flame
                assert dish.making.way in ("dry", "cold-soak")


def test_it_reads_like_food(made: tuple[Asked, Settled, TripMenu]) -> None:
    _, _, menu = made
    dinners: dict[str, list[str]] = {}
    for day in menu.days:
        for meal in day.meals:
            for one in meal.helpings:
                if meal.time == "dinner":
                    dinners.setdefault(one.walker, []).append(meal.dish)
        for eater in day.eaters:  # nothing eaten twice on one day
            mine = [
                meal.dish
                for meal in day.meals
                if any(one.walker == eater.walker for one in meal.helpings)
            ]
            assert len(set(mine)) == len(mine)
    for dishes in dinners.values():
        assert len(set(dishes)) >= 6
        assert all(one != other for one, other in pairwise(dishes))


def test_the_pack_grows_lighter_between_the_boxes(made: tuple[Asked, Settled, TripMenu]) -> None:
    _, _, menu = made
    food = [sum(one.load_g for one in day.eaters) for day in menu.days]
    # the thin shop sells none of these dishes: all of it is carried to the box on day 7
    assert food[:7] == sorted(food[:7], reverse=True)
    assert food[7] > food[6]
    assert {meal.taken_up for meal in menu.days[7].meals} == {"Ellerstead box"}
    assert any(one.rule == "carried-past-a-shop" for one in menu.findings)


def test_nobody_is_served_what_the_rule_on_eaters_calls_an_error(
    made: tuple[Asked, Settled, TripMenu],
) -> None:
    """Neither what contains it, nor what is not known to be without it."""
    asked, _, menu = made
    walkers = {walker.name: walker for walker in asked.plan.trip.walkers}
    sheets = {dish.id: dish.sheet for dish in asked.dishes}
    for plate in menu.plates:
        foods = [line.food for line in sheets[plate.dish].lines]
        for portion in plate.portions:
            for agent in walkers[portion.walker].avoids:
                answers = {combine((food,)).of(agent) for food in foods}
                assert not answers & {"contains", "unknown"}, (plate.dish, portion.walker, agent)
