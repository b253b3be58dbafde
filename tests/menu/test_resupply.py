"""Which boxes and shops: every set is bounded, the best is planned, the others are told."""

from __future__ import annotations

from functools import cache

import pytest
from msgspec.structs import replace
from tests.menu.meals import plain_walk

from fellfare.menu.checking import broken_rules
from fellfare.menu.planning import make
from fellfare.menu.pool import Question
from fellfare.menu.resupply import Choice, Resupply, Stop, Worth, choose_stops, loads_g
from fellfare.menu.resupply.alternatives import (
    lighter_by_thin_stops,
    question_with,
    sets_of,
    taken_day,
)
from fellfare.menu.trying import Trying
from fellfare.mistake import Mistake

TRIES = Trying(gap=0.01, seconds=30.0)
BOX = Stop(name="box", day=4, fee=14.0, effort_min=20.0, waits_days=20.0)


@cache
def walk() -> Question:
    return plain_walk(1, days=5, walkers=1)


def shop() -> Stop:
    snacks = tuple(dish.id for dish in walk().dishes if "snack" in dish.meals)
    return Stop(name="shop", day=3, effort_min=60.0, dishes=snacks)


@cache
def weighed(money_g: float = 0.0, minute_g: float = 0.0, shown: int = 4) -> Resupply:
    worth = Worth(money_g=money_g, minute_g=minute_g)
    return choose_stops(walk(), (BOX, shop()), worth, shown=shown, tries=TRIES)


def by_stops(found: Resupply) -> dict[tuple[str, ...], Choice]:
    return {choice.stops: choice for choice in found.choices}


def test_every_set_is_weighed_once() -> None:
    assert set(by_stops(weighed())) == {(), ("box",), ("shop",), ("shop", "box")}


def test_of_two_stops_of_one_day_one_is_used_at_most() -> None:
    other = replace(BOX, name="hut")
    sets, left = sets_of((BOX, other, replace(BOX, name="farm", day=2, always=True)))
    names = [tuple(stop.name for stop in each) for each in sets]
    assert names == [("farm",), ("farm", "box"), ("farm", "hut")]
    assert left == 0


def test_too_many_sets_are_counted_and_told() -> None:
    stops = tuple(replace(BOX, name=f"box {day}", day=day) for day in range(2, 14))
    sets, left = sets_of(stops)
    assert len(sets) + left == 2**12


def test_more_stops_never_make_the_mean_load_heavier() -> None:
    found = by_stops(weighed())
    for fewer, more in (((), ("box",)), ((), ("shop",)), (("box",), ("shop", "box"))):
        assert found[fewer].mean_load_g is not None
        assert found[more].mean_load_g is not None
        # within the gap that was asked for
        assert (found[more].mean_load_g or 0) <= (found[fewer].mean_load_g or 0) * 1.01
        assert found[more].bound_g <= (found[fewer].score_g or 0)


def test_every_planned_choice_keeps_every_rule_and_its_bound() -> None:
    stops = {"box": BOX, "shop": shop()}
    for choice in weighed().choices:
        used = tuple(stops[name] for name in choice.stops)
        asked = question_with(walk(), used, Worth())
        assert choice.menu is not None
        assert broken_rules(asked, choice.menu.plates) == ()
        assert choice.score_g is not None
        assert choice.bound_g <= choice.score_g + 1e-6


def test_the_mean_load_is_what_the_model_made_least() -> None:
    # The model's objective and the sum over plates are two ways to the same figure.
    for choice in weighed().choices:
        assert choice.mean_load_g == pytest.approx(choice.score_g)


def test_what_is_proven_worse_is_worse_when_it_is_planned() -> None:
    pruned = weighed(money_g=30.0, minute_g=5.0, shown=1)
    best = pruned.best
    assert best is not None
    assert best.score_g is not None
    worse = [choice for choice in pruned.choices if choice.fate == "proven-worse"]
    assert worse
    stops = {"box": BOX, "shop": shop()}
    for choice in worse:
        used = tuple(stops[name] for name in choice.stops)
        worth = Worth(money_g=30.0, minute_g=5.0)
        asked = question_with(walk(), used, worth)
        made = make(asked, TRIES, change=lighter_by_thin_stops(asked, used))
        effort = 5.0 * sum(stop.effort_min for stop in used)
        assert (made.menu.weighed_g or 0.0) + effort >= best.score_g


def test_effort_that_counts_much_is_not_made() -> None:
    assert weighed().best is not None
    cheap = choose_stops(walk(), (shop(),), Worth(minute_g=1000.0), tries=TRIES)
    assert cheap.best is not None
    assert cheap.best.stops == ()


def test_what_a_thin_shop_does_not_have_is_carried_past_it() -> None:
    used = (shop(),)
    assert taken_day("snack-1", 5, used) == 3
    assert taken_day("lunch-2", 5, used) == 1
    assert taken_day("lunch-2", 5, (shop(), BOX)) == 4
    choice = by_stops(weighed())[("shop",)]
    assert choice.menu is not None
    loads = loads_g(walk(), used, choice.menu)
    lunches = sum(
        portion.mass_g
        for plate in choice.menu.plates
        for portion in plate.portions
        if plate.time != "snacks" and plate.day >= 3
    )
    assert loads[0] >= lunches
    assert choice.heaviest_g == pytest.approx(max(loads))


def test_what_only_the_shop_has_is_not_eaten_before_it() -> None:
    only = replace(
        walk(),
        dishes=tuple(
            replace(dish, stops=("shop",), mass_g=30.0) if dish.id == "snack-1" else dish
            for dish in walk().dishes
        ),
    )
    found = by_stops(choose_stops(only, (shop(),), tries=TRIES))
    with_shop, without = found[("shop",)], found[()]
    assert with_shop.menu is not None
    assert without.menu is not None
    days = [plate.day for plate in with_shop.menu.plates if plate.dish == "snack-1"]
    assert days
    assert min(days) >= 3
    assert "snack-1" not in {plate.dish for plate in without.menu.plates}


def test_what_does_not_keep_in_the_box_is_not_put_into_it() -> None:
    soon = replace(
        walk(),
        dishes=tuple(
            replace(dish, keeps_days=10.0) if dish.id == "lunch-2" else dish
            for dish in walk().dishes
        ),
    )
    asked = question_with(soon, (BOX,), Worth())
    lunch = next(dish for dish in asked.dishes if dish.id == "lunch-2")
    assert lunch.stops == ("walk",)


def test_a_set_that_cannot_be_done_is_told_with_its_reason() -> None:
    short = replace(
        walk(),
        dishes=tuple(
            replace(dish, keeps_days=4.0) if "lunch" in dish.meals else dish
            for dish in walk().dishes
        ),
    )
    found = choose_stops(short, (replace(BOX, waits_days=0.0),), tries=TRIES)
    choices = by_stops(found)
    assert choices[()].fate == "impossible"
    assert choices[("box",)].fate == "planned"
    assert any("cannot be done" in said and "keep until day 5" in said for said in found.sentences)


def test_fees_and_dishes_are_paid() -> None:
    found = by_stops(weighed())
    choice = found[("box",)]
    price = {dish.id: dish.cost or 0.0 for dish in walk().dishes}
    assert choice.menu is not None
    paid = sum(
        price[plate.dish] * portion.steps / 20
        for plate in choice.menu.plates
        for portion in plate.portions
    )
    assert choice.money == pytest.approx(paid + 14.0)


def test_sentences_compare_the_two_best() -> None:
    said = " ".join(weighed().sentences)
    assert "instead of" in said
    assert "effort" in said


@pytest.mark.parametrize(
    ("stops", "worth", "code"),
    [
        ((BOX, BOX), Worth(), "resupply-stops"),
        ((replace(BOX, day=1),), Worth(), "resupply-day"),
        ((replace(BOX, day=6),), Worth(), "resupply-day"),
        ((replace(BOX, dishes=("nothing",)),), Worth(), "resupply-unknown-dish"),
        ((replace(BOX, fee=float("nan")),), Worth(), "resupply-figure"),
        ((BOX,), Worth(minute_g=-1.0), "resupply-figure"),
        (
            (replace(BOX, always=True), replace(BOX, name="hut", always=True)),
            Worth(),
            "resupply-stops",
        ),
    ],
)
def test_nonsense_about_stops_is_refused(stops: tuple[Stop, ...], worth: Worth, code: str) -> None:
    with pytest.raises(Mistake) as caught:
        choose_stops(walk(), stops, worth, tries=TRIES)
    assert caught.value.code == code
