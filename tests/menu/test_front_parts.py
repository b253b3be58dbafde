"""The pieces of a front: prices and picks on another board, mixed prices, menus between menus."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from msgspec.structs import replace
from tests.menu.meals import plain_walk

from fellfare.menu.checking import broken_rules
from fellfare.menu.front.between import between, portioned_like
from fellfare.menu.front.ladder import Line, mixed
from fellfare.menu.front.money import Floor, at_rate, with_prices
from fellfare.menu.front.purse import Purse
from fellfare.menu.front.seats import seats_of
from fellfare.menu.model.carried import plan_on, prices_on
from fellfare.menu.model.figures import FIGURE
from fellfare.menu.model.laying import lay_board
from fellfare.menu.model.pricing import priced
from fellfare.menu.planning import Made, make
from fellfare.menu.pool import Different, Question
from fellfare.menu.telling import plates_of
from fellfare.menu.trying import Trying

TRIES = Trying(gap=0.01, seconds=20.0)


@cache
def made_at(rate_g: float = 0.0) -> tuple[Question, Made]:
    question = with_prices(plain_walk(1))
    made = make(at_rate(question, rate_g), TRIES)
    assert made.plan is not None
    assert made.prices is not None
    return question, made


def test_on_its_own_board_nothing_changes() -> None:
    _, made = made_at()
    assert made.plan is not None
    assert made.prices is not None
    again = plan_on(made.board, made.board, made.plan)
    assert {c: tuple(p) for c, p in again.picks.items()} == {
        c: tuple(p) for c, p in made.plan.picks.items()
    }
    prices = prices_on(made.board, made.board, made.prices)
    assert prices.rows == pytest.approx(made.prices.rows)
    bound = priced(made.board, made.prices).bound
    assert priced(made.board, prices).bound == pytest.approx(bound)


def test_prices_of_an_old_question_prove_a_bound_for_a_new_one() -> None:
    question, made = made_at()
    assert made.prices is not None
    wish = Different(wish="kinds", times=("dinner",), least=4)
    fewer = tuple(dish for dish in question.dishes if dish.id != "lunch-2")
    asked = replace(question, dishes=fewer, differents=(wish,), repeats=())
    board = lay_board(asked)
    bound = priced(board, prices_on(board, made.board, made.prices)).bound
    menu = make(asked, TRIES).menu
    assert menu.weighed_g is not None
    assert bound <= menu.weighed_g
    assert bound >= 0.9 * menu.weighed_g  # and it is worth something


@pytest.mark.parametrize("share", [0.0, 0.3, 0.7, 1.0])
def test_mixed_prices_prove_a_true_bound(share: float) -> None:
    question, light = made_at()
    _, cheap = made_at(40.0)
    assert light.prices is not None
    assert cheap.prices is not None
    board = lay_board(at_rate(question, 40.0 * share))
    prices = mixed(
        prices_on(board, light.board, light.prices),
        prices_on(board, cheap.board, cheap.prices),
        share,
    )
    bound = priced(board, prices).bound
    for made in (light, cheap):
        assert made.plan is not None
        assert bound <= plan_on(board, made.board, made.plan).cost() + 1e-6


def test_menus_between_are_whole_and_get_cheaper() -> None:
    question, light = made_at()
    _, cheap = made_at(40.0)
    assert light.plan is not None
    assert cheap.plan is not None
    purse = Purse(question, light.board)
    then = plan_on(light.board, cheap.board, cheap.plan)
    found = between(light.plan, then, purse.money)
    assert found
    start = purse.money(light.plan)
    assert start is not None
    for plan in found:
        cost = purse.money(plan)
        assert cost is not None
        assert cost < start
        assert broken_rules(question, plates_of(question, light.board, plan)) == ()


def test_another_dish_is_portioned_to_the_same_energy() -> None:
    question, made = made_at()
    assert made.plan is not None
    board = made.board
    cell = next(c for c in range(board.cells) if board.cell_time[c] == "lunch")
    other = next(at for at, dish in enumerate(question.dishes) if dish.id == "lunch-8")
    kcal = board.figures[:, FIGURE["energy_kcal"]] / board.steps
    ((old, _, steps),) = made.plan.picks[cell]
    ((new, times, portions),) = portioned_like(made.plan, cell, [(other, 1, (20,))])
    assert (new, times) == (other, 1)
    assert 12 <= portions[0] <= 32
    if 12 < portions[0] < 32:
        more = portions[0] * kcal[other] - steps[0] * kcal[old]
        assert 0 <= more <= kcal[other]  # rounded up by less than a step


def test_every_pick_is_a_seat_and_every_dish_holds_one() -> None:
    _, made = made_at()
    assert made.plan is not None
    board = made.board
    cells = [c for c in range(board.cells) if board.cell_time[c] == "snacks"]
    seats = seats_of(board, made.plan, cells)
    assert len(seats.seat) == sum(t for c in cells for _, t, _ in made.plan.picks[c])
    held = seats.begin[seats.begin >= 0]
    assert len(set(held.tolist())) == len(held) == len({seat.dish for seat in seats.seat})


def test_the_floor_against_money_never_falls_when_money_does() -> None:
    floor = Floor([Line(rate_g=0.0, bound_g=900.0), Line(rate_g=5.0, bound_g=1500.0)])
    floor.step(80.0, 1150.0)
    heights = [floor.at(cost) for cost in np.linspace(140, 20, 60)]
    assert heights == sorted(heights)
    assert floor.at(130.0) == 900.0
    assert floor.at(100.0) == 1000.0
    assert floor.at(79.0) == 1150.0
