"""Whose back a menu is on, from where to where, and what that does to the need."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.menu.trips import asked, written

from fellfare.menu.answer import Plate, Portion
from fellfare.menu.asked import Asked
from fellfare.menu.asked.offering import fuel_g_of, fuel_g_per_ml
from fellfare.menu.carried import carried, morning_g
from fellfare.menu.minded import menu_findings
from fellfare.menu.settling import settle_trip
from fellfare.menu.trip_menu import trip_menu
from fellfare.menu.trying import Trying

SHOP = '[[stop]]\nname = "Shop"\nkind = "shop"\nday = 1\nat_m = 11000\noffers = [{offers}]'


def plate(question: Asked, day: int, eating: str, dish: str, walker: str = "Rowan") -> Plate:
    """One whole serving."""
    steps = question.dish(dish).dish.steps_per_serving
    time = next(time for (d, time), p in question.places.items() if d == day and p.eating == eating)
    portion = Portion(walker=walker, steps=steps, mass_g=0.0, energy_kcal=0.0)
    return Plate(day=day, time=time, dish=dish, shared=False, times=1, portions=(portion,))


def test_food_is_on_the_back_until_it_is_eaten(tmp_path: Path) -> None:
    question = asked(written(tmp_path))
    plates = [plate(question, 1, "dinner", "rice"), plate(question, 2, "breakfast", "oats")]
    whole = carried(question, plates, question.first_need_kcal)
    rice, oats = (question.dish(name).dish.mass_g for name in ("rice", "oats"))
    assert whole.food_kg[0] * 1000 == pytest.approx([rice, oats])
    assert whole.food_kg[1] == pytest.approx([0, 0])
    assert morning_g(question, whole)[0] == pytest.approx([rice + oats, oats])


def test_what_a_shop_does_not_sell_is_carried_past_it(tmp_path: Path) -> None:
    question = asked(written(tmp_path, more=SHOP.format(offers='"rye-bread"')))
    whole = carried(question, [plate(question, 2, "breakfast", "oats")], question.first_need_kcal)
    one = whole.plates[0]
    assert (one.taken, one.last) == (0, 1)
    grams = question.dish("oats").dish.mass_g
    assert morning_g(question, whole)[0] == pytest.approx([grams, grams])
    assert whole.extra_kg.max() == pytest.approx(grams / 1000)
    # It is on the back from the start to the shop, and that is felt on the first day only.
    stretches = question.plan.stretches
    before = (stretches.day == 0) & (stretches.from_m < 11_000)
    assert (whole.extra_kg[0] > 0).tolist() == before.tolist()
    light = carried(question, [], question.first_need_kcal)
    assert whole.need_kcal(question)[0, 0] > light.need_kcal(question)[0, 0]


def test_what_it_sells_is_taken_up_there(tmp_path: Path) -> None:
    oats = '"rolled-oats", "coconut-milk-powder", "raisins"'
    question = asked(written(tmp_path, more=SHOP.format(offers=oats)))
    whole = carried(question, [plate(question, 2, "breakfast", "oats")], question.first_need_kcal)
    assert whole.plates[0].taken == 1
    assert whole.extra_kg.max() == 0
    assert morning_g(question, whole)[0, 0] == 0
    assert morning_g(question, whole)[0, 1] > 0


def test_no_ration_is_sold_by_a_shop_of_a_few_foods(tmp_path: Path) -> None:
    rules = 'coverage = 1.0\nby_ration = ["snack"]'
    question = asked(written(tmp_path, rules=rules, more=SHOP.format(offers='"rye-bread"')))
    whole = carried(question, [], question.first_need_kcal)
    assert whole.ration_taken == ((0, 0), (0, 1))
    first, second = whole.ration_g[0]
    assert morning_g(question, whole)[0] == pytest.approx([first + second, second])
    before = (question.plan.stretches.day == 0) & (question.plan.stretches.from_m < 11_000)
    assert whole.extra_kg[0] == pytest.approx(np.where(before, second / 1000, 0.0))
    box = SHOP.replace('"shop"', '"box"').replace("\noffers = [{offers}]", "")
    there = asked(written(tmp_path, rules=rules, more=box))
    whole = carried(there, [], there.first_need_kcal)
    assert whole.ration_taken == ((0, 0), (1, 1))
    assert morning_g(there, whole)[0, 0] == pytest.approx(whole.ration_g[0, 0])


def test_a_heavier_menu_asks_for_more(tmp_path: Path) -> None:
    question = asked(written(tmp_path))
    few = [plate(question, 2, "breakfast", "oats")]
    many = [*few, plate(question, 2, "snack", "nuts"), plate(question, 1, "dinner", "rice")]
    need = [
        carried(question, some, question.first_need_kcal).need_kcal(question)
        for some in ([], few, many)
    ]
    assert (need[1] >= need[0] - 1e-9).all()
    assert (need[2] >= need[1] - 1e-9).all()
    assert need[2][0, 0] > need[0][0, 0]
    assert need[2][1] == pytest.approx(need[0][1])  # nobody else carries it


def test_the_party_of_a_settled_menu_is_told_all_of_it(tmp_path: Path) -> None:
    question = asked(written(tmp_path, more=SHOP.format(offers='"rye-bread"')))
    done, whole = settle_trip(question, Trying(gap=0.02, seconds=20.0))
    rules = {finding.rule for finding in menu_findings(question, done, whole)}
    assert "carried-past-a-shop" in rules
    menu = trip_menu(question, done, whole)
    assert menu.settled
    assert np.isfinite([day.eaters[0].pack_g or np.nan for day in menu.days]).all()
    assert set(menu.load_line) == {"Rowan", "Ash"}
    for day in menu.days:
        for one in day.eaters:
            served = [m for m in day.meals if any(h.walker == one.walker for h in m.helpings)]
            assert one.energy_kcal == pytest.approx(
                sum(h.energy_kcal for m in served for h in m.helpings if h.walker == one.walker)
            )


def test_only_fuel_beyond_the_kits_weighs_in_the_choice(tmp_path: Path) -> None:
    # The kit boils 250 mL at breakfast and 425 mL at dinner for each eater, unless told.
    question = asked(written(tmp_path))
    assert question.dish("rice").dish.fuel_g == 0  # 300 mL of 425
    assert question.dish("couscous").dish.fuel_g == 0  # cold
    per_ml = fuel_g_per_ml(question.plan)
    assert question.dish("farina").dish.fuel_g == pytest.approx(50 * per_ml)  # 300 mL of 250
    assert fuel_g_of(question.plan, question.dish("rice")) == pytest.approx(300 * per_ml)
    # 0.01 to 0.03 g of gas for a millilitre: half a litre with 5 to 15 g (common practice).
    assert 0.01 < per_ml < 0.03
