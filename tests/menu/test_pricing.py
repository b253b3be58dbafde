"""The bound of any prices is a bound, and it is what the best free choice costs."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from msgspec.structs import replace
from tests.menu.making import small_question, walk_question

from fellfare.menu.model.board import Board
from fellfare.menu.model.laying import lay_board
from fellfare.menu.model.pricing import Prices, guide_of, no_prices, priced, right_signs
from fellfare.menu.planning import make
from fellfare.menu.trying import Trying


def random_prices(board: Board, rng: np.random.Generator, size: float) -> Prices:
    """Prices of any size on all rows and on some keys of some families."""
    family, key, price = [], [], []
    for f in range(len(board.families)):
        for k in rng.choice(board.families[f].keys, min(2, board.families[f].keys), replace=False):
            family.append(f)
            key.append(int(k))
            price.append(float(rng.normal(scale=size)))
    scale = size / board.rows.scale * 20
    return Prices(
        rows=rng.normal(size=board.rows.count) * scale,
        family=np.array(family, dtype=np.int64),
        key=np.array(key, dtype=np.int64),
        price=np.array(price),
    )


@pytest.mark.parametrize("seed", range(8))
def test_no_prices_prove_more_than_a_menu_costs(seed: int) -> None:
    question = (
        walk_question(seed, days=2, walkers=2, dishes=40) if seed % 2 else small_question(seed)
    )
    made = make(question, Trying(gap=0.02, seconds=20))
    if made.plan is None:
        return
    rng = np.random.default_rng(seed)
    for size in (0.1, 1.0, 10.0, 100.0):
        found = priced(made.board, random_prices(made.board, rng, size))
        assert found.bound <= made.plan.cost() + 1e-6


def test_without_prices_each_time_takes_its_lightest_dish() -> None:
    question = replace(small_question(3), weights=replace(small_question(3).weights, liking_g=0.0))
    board = lay_board(question)
    light = {
        meal: min(
            d.mass_g * d.least_steps / d.steps_per_serving
            for d in question.dishes
            if d.meals == (meal,)
        )
        for meal in ("lunch", "dinner")
    }
    by_hand = question.days * (light["lunch"] + light["dinner"])
    assert priced(board, no_prices(board)).bound == pytest.approx(by_hand)


@pytest.mark.parametrize("seed", range(5))
def test_the_bound_is_the_best_of_all_free_choices(seed: int) -> None:
    """Every dish at either end of its portion, cell by cell, tried out."""
    question = replace(small_question(seed, dishes=3), differents=(), oftens=())
    board = lay_board(question)
    prices = right_signs(board, random_prices(board, np.random.default_rng(seed), 2.0))
    rows = board.rows
    low = np.where(prices.rows > 0, rows.low, 0.0)
    high = np.where(prices.rows < 0, rows.high, 0.0)
    total = float(prices.rows @ (low + high))
    guide = guide_of(prices)
    for f, each in guide.of_family.items():
        total += sum(price * board.families[f].high for _, price in each)
    for cell in range(board.cells):
        plate = int(board.plate_start[cell])
        costs = []
        for r, end in itertools.product(range(board.dishes), (board.least, board.most)):
            if not board.allowed(cell)[r]:
                continue
            cost = float(board.plate_cost[plate] @ board.figures[r]) * end[r]
            for t in range(rows.term_start[plate], rows.term_start[plate + 1]):
                figure = board.figures[r, rows.term_figure[t]]
                cost -= prices.rows[rows.term_row[t]] * rows.term_value[t] * figure * end[r]
            for f in board.families_of[cell]:
                cost -= dict(guide.of_family.get(f, ())).get(int(board.families[f].key[r]), 0.0)
            costs.append(cost + float(board.dish_bonus[r]))
        total += min(costs)
    assert priced(board, prices).bound == pytest.approx(total)


def test_prices_against_a_side_without_limit_are_dropped() -> None:
    board = lay_board(walk_question(0, days=2))
    pushed = replace(no_prices(board), rows=np.full(board.rows.count, 3.0))
    assert (right_signs(board, pushed).rows[~np.isfinite(board.rows.low)] == 0).all()
    pulled = replace(pushed, rows=-pushed.rows)
    assert (right_signs(board, pulled).rows[~np.isfinite(board.rows.high)] == 0).all()
    none = np.zeros(0, dtype=np.int64)
    repeat = replace(no_prices(board), family=none.copy(), key=none.copy(), price=np.zeros(0))
    repeat = replace(repeat, family=np.array([0]), key=np.array([0]), price=np.array([2.0]))
    assert right_signs(board, repeat).price.size == 0  # a repeat has no floor


def test_a_wider_limit_never_lifts_the_bound() -> None:
    board = lay_board(walk_question(1, days=2))
    prices = random_prices(board, np.random.default_rng(1), 1.0)
    wider = replace(board, rows=replace(board.rows, high=board.rows.high * 1.1,
                                        low=board.rows.low * 0.9))  # fmt: skip
    assert priced(wider, prices).bound <= priced(board, prices).bound + 1e-9


def test_dearer_food_never_lowers_the_bound() -> None:
    board = lay_board(walk_question(1, days=2))
    prices = random_prices(board, np.random.default_rng(2), 1.0)
    dearer = replace(board, plate_cost=board.plate_cost * 1.2)
    assert priced(board, prices).bound <= priced(dearer, prices).bound + 1e-9


def test_what_contradicts_itself_is_proven_without_costs() -> None:
    question = small_question(3)
    asks = replace(question.bands[0], low=90_000.0, high=None)
    board = lay_board(replace(question, bands=(asks,)))
    one = replace(no_prices(board), rows=np.where(np.isfinite(board.rows.low), 1.0, 0.0))
    assert priced(board, one, costs=False).bound > 0
