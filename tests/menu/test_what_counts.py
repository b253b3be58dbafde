"""What counts beside the mass: the way that it is carried, liking, variety, money, shares of times.

Distances, masses and sums are reckoned here by hand, from the trip of :mod:`tests.menu.trips`:
12 km, then 9 km.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.menu.trips import asked, written

from fellfare.files.trip_toml import read_trip
from fellfare.menu.asked import Asked
from fellfare.menu.asked.balance import worth_of
from fellfare.menu.of_trip import menu_of_trip
from fellfare.menu.trip_menu import TripMenu
from fellfare.menu.trying import Trying
from fellfare.mistake import Mistake

WAY = 'coverage = 0.9\nmake_least = "mass-by-distance"'
SHOP = """[[stop]]
name = "Shop"
kind = "shop"
day = 1
at_m = 11000
offers = ["couscous", "olive-oil", "tomato-powder", "salt"]
"""
EXACT = Trying(gap=1e-4, seconds=20.0)


def menu_of(question: Asked, tries: Trying = EXACT) -> TripMenu:
    menu = menu_of_trip(question, tries)
    assert menu.days
    return menu


def test_food_is_weighed_by_the_way_from_where_it_is_taken_up(tmp_path: Path) -> None:
    question = asked(written(tmp_path, rules=WAY, more=SHOP))
    km = question.hauling.km_of
    assert km("rice", 1, "dinner") == pytest.approx(12.0)  # all the way of day 1
    assert km("couscous", 1, "dinner") == pytest.approx(1.0)  # from the shop, 1 km before camp
    assert km("nuts", 2, "snack") == pytest.approx(12.0 + 4.5)  # half of day 2 while walking
    assert km("oats", 2, "breakfast") == pytest.approx(12.0)
    by = {(slot.day, slot.time): slot.mass_weights for slot in question.base.slots}
    unit = question.base.weights.unit_km
    assert unit is not None
    supply = question.hauling.supply["couscous"]
    assert by[1, "dinner"][supply] * unit == pytest.approx(1.0)


def test_the_balance_is_mass_times_way(tmp_path: Path) -> None:
    question = asked(written(tmp_path, rules=WAY, more=SHOP))
    menu = menu_of(question)
    by_hand = 0.0
    for day in menu.days:
        for meal in day.meals:
            km = question.hauling.km_of(meal.dish, meal.day, meal.time)
            fuel = question.dish(meal.dish).dish.fuel_g
            by_hand += sum((one.mass_g + fuel * one.servings) * km for one in meal.helpings)
    assert menu.kg_km == pytest.approx(by_hand / 1000.0, rel=1e-9)
    assert menu.kg_km is not None
    assert menu.bound_kg_km is not None
    assert menu.bound_kg_km <= menu.kg_km * (1 + 1e-9)
    assert menu.bound_kg_km >= menu.kg_km * (1 - 0.02)


def test_food_from_the_shop_is_worth_its_weight_only_by_the_way(tmp_path: Path) -> None:
    plain = menu_of(asked(written(tmp_path / "a", more=SHOP)))
    way = menu_of(asked(written(tmp_path / "b", rules=WAY, more=SHOP)))
    assert way.kg_km is not None
    assert plain.kg_km is not None
    assert way.kg_km <= plain.kg_km * (1 + 2e-3)
    assert (way.mass_g or 0.0) >= (plain.mass_g or 0.0) * (1 - 2e-3)
    dinner = next(m for d in way.days for m in d.meals if m.time == "dinner")
    assert dinner.dish == "couscous"  # 1 km instead of 12


def test_a_liked_dish_comes_as_often_as_it_is_wanted(tmp_path: Path) -> None:
    more = '[[liked]]\ndish = "farina"\ntimes = 1\n'
    path = written(tmp_path, more=more, change=(("start_hour = 6", "start_hour = 5"),))
    question = asked(path)
    assert {one.walker for one in question.base.oftens} == {"Rowan", "Ash"}
    menu = menu_of(question)
    eaten = {
        one.walker
        for day in menu.days
        for meal in day.meals
        if meal.dish == "farina"
        for one in meal.helpings
    }
    assert eaten == {"Rowan", "Ash"}


def test_a_dish_wanted_by_who_may_not_eat_it_is_told(tmp_path: Path) -> None:
    more = '[[liked]]\ndish = "nuts"\ntimes = 1\n'
    question = asked(written(tmp_path, more=more, ash='avoids = ["tree-nut"]'))
    assert [one.walker for one in question.base.oftens] == ["Rowan"]
    (told,) = [one for one in question.findings if one.rule == "liked-dish-not-to-be-had"]
    assert "nuts for Ash" in told.text


def test_liking_before_mass_outweighs_some_grams(tmp_path: Path) -> None:
    more = '[[liked]]\ndish = "rice"\n'
    rules = 'coverage = 0.9\norder = ["liking", "mass"]'
    plain = menu_of(asked(written(tmp_path / "a", more=more)))
    liked = menu_of(asked(written(tmp_path / "b", rules=rules, more=more)))
    assert liked.counts == ("a helping of a liked dish, as 40 g less", "mass")
    assert liked.bound_kg_km is None

    def helpings(menu: TripMenu) -> int:
        return sum(
            len(meal.helpings) for day in menu.days for meal in day.meals if meal.dish == "rice"
        )

    assert helpings(liked) >= helpings(plain)
    # more liking is never bought for more than it is worth
    more_g = (liked.mass_g or 0.0) - (plain.mass_g or 0.0)
    assert more_g <= 40.0 * (helpings(liked) - helpings(plain)) + 0.01 * (plain.mass_g or 0.0)


def test_the_order_says_what_outweighs_what() -> None:
    assert worth_of(("mass",)).nothing
    first, last = worth_of(("liking", "cost", "mass")), worth_of(("mass", "liking", "cost"))
    assert first.liking_g > last.liking_g > 0
    assert first.cost_g > last.cost_g > 0
    assert first.liking_g == 2 * 40.0  # one place further from the mass: twice as much


@pytest.mark.parametrize(
    ("rules", "more", "code"),
    [
        ('order = ["liking"]', "", "order-unclear"),
        ('order = ["mass", "mass"]', "", "order-unclear"),
        ('never = ["rice"]', '[[liked]]\ndish = "rice"', "liked-and-never"),
        ("", '[[liked]]\ndish = "rice"\n[[liked]]\ndish = "rice"', "liked-twice"),
        ("", '[[liked]]\ndish = "rice"\ntimes = 0', "figure-out-of-range"),
        (
            'by_ration = ["tea"]',
            '[[eating]]\nname = "tea"\nhour = 16\nenergy_share = [0, 0.1]',
            "share-by-weight",
        ),
    ],
)
def test_wishes_that_contradict_themselves_are_told(
    tmp_path: Path, rules: str, more: str, code: str
) -> None:
    with pytest.raises(Mistake) as caught:
        read_trip(written(tmp_path, rules=rules, more=more))
    assert caught.value.code == code


def test_a_dish_that_is_fixed_and_that_nobody_wants_is_told(tmp_path: Path) -> None:
    fixed = '[[fixed]]\nday = 1\neating = "dinner"\ndish = "rice"\n'
    with pytest.raises(Mistake, match="fixed-and-never"):
        asked(written(tmp_path, rules='never = ["rice"]', more=fixed))


@pytest.mark.parametrize("pair", ["[0.3, 0.2]", "[-0.1, 0.2]", "[0.2, 1.2]", "[nan, 0.5]"])
def test_shares_of_an_eating_time_are_parts_of_a_whole(tmp_path: Path, pair: str) -> None:
    change = (("hour = 7", f"hour = 7\nenergy_share = {pair}"),)
    with pytest.raises(Mistake) as caught:
        read_trip(written(tmp_path, change=change))
    assert caught.value.code == "band-reversed"


def test_floors_of_more_than_the_day_are_told(tmp_path: Path) -> None:
    change = (
        ("hour = 7", "hour = 7\nenergy_share = [0.6, 0.9]"),
        ("hour = 18", "hour = 18\nenergy_share = [0.5, 0.9]"),
    )
    with pytest.raises(Mistake) as caught:
        read_trip(written(tmp_path, change=change))
    assert caught.value.code == "shares-beyond-whole"


def test_an_eating_time_brings_its_share_of_the_day(tmp_path: Path) -> None:
    rules = "coverage = 0.9\nportions = [0.5, 3]"
    free = menu_of(asked(written(tmp_path / "a", rules=rules)))
    change = (("hour = 18", "hour = 18\nenergy_share = [0.40, 0.45]"),)
    question = asked(written(tmp_path / "b", rules=rules, change=change))
    # day 1 from 6 h on is a whole day of its own: shares 0.22, 0.24, 0.34 of 0.80
    menu = menu_of(question)
    day, whole = menu.days[0], 0.22 + 0.24 + 0.34
    for eater in day.eaters:
        of_dinner = sum(
            one.energy_kcal
            for meal in day.meals
            if meal.time == "dinner"
            for one in meal.helpings
            if one.walker == eater.walker
        )
        scale = day_share(question, "dinner") / (0.34 / whole)
        assert 0.40 * scale - 1e-3 <= of_dinner / eater.target_kcal <= 0.45 * scale + 1e-3
    assert (menu.mass_g or 0.0) >= (free.mass_g or 0.0) * (1 - 3e-3)


def day_share(question: Asked, name: str) -> float:
    return next(meal.share for meal in question.plan.days[0].meals if meal.name == name)


def test_a_share_that_no_dish_can_bring_is_named(tmp_path: Path) -> None:
    change = (("hour = 18", "hour = 18\nenergy_share = [0.9, 0.95]"),)
    menu = menu_of_trip(asked(written(tmp_path, change=change)), EXACT, why_seconds=10.0)
    assert menu.verdict == "impossible"
    told = [give for give in menu.gives if "energy_share = [0.9, 0.95] at dinner" in give.wish]
    named = [wish for one in menu.clashes for wish in one if "energy_share" in wish]
    assert told or named
    assert all("dinner" in give.gives for give in told)
