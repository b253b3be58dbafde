"""The board says what the question says: who may eat what, and what a portion brings to a row."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace
from tests.menu.making import small_question, walk_question

from fellfare.menu.model.board import activity
from fellfare.menu.model.fitting import why_not
from fellfare.menu.model.laying import lay_board
from fellfare.menu.model.plan import Plan, planned
from fellfare.menu.model.rows import draft
from fellfare.menu.pool import Ban, Dish, Lock, Question, Slot, Walker
from fellfare.mistake import Mistake


@pytest.mark.parametrize("seed", range(3))
def test_masks_say_the_same_as_the_words(seed: int) -> None:
    question = walk_question(seed, days=3, walkers=2, dishes=24)
    question = replace(
        question,
        bans=(
            Ban(dish=question.dishes[0].id),
            Ban(dish=question.dishes[3].id, day=2),
            Ban(dish=question.dishes[9].id, walker="w2"),
        ),
    )
    board = lay_board(question)
    for cell in range(board.cells):
        slot = question.slots[int(board.cell_slot[cell])]
        who = int(board.cell_walker[cell])
        walker = None if who < 0 else board.walker_ids[who]
        words = [why_not(question, slot, walker, dish) is None for dish in question.dishes]
        assert words == board.allowed(cell).tolist()


def test_rows_add_up_as_by_hand() -> None:
    question = small_question(1)
    board = lay_board(question)
    dish = question.dishes[0]
    # two servings of the first lunch dish on the plate of day 1
    act = activity(board, np.array([0]), np.array([0]), np.array([2.0]))
    energy = board.rows.wish.index("energy")
    alpha = question.walkers[0].load_kcal_per_kg
    carried = dish.mass_g * question.slots[0].carried_share
    assert act[energy] == pytest.approx(2 * (dish.energy_kcal - alpha / 1000 * carried))


def test_a_fixed_dish_takes_one_place() -> None:
    question = walk_question(0, days=2, walkers=1)
    snack = next(dish for dish in question.dishes if dish.meals == ("snack",))
    locked = replace(question, locks=(Lock(day=1, time="snack", dish=snack.id),))
    board, fixed = lay_board(question), lay_board(locked)
    assert fixed.cells == board.cells + 1
    cell = next(c for c in range(fixed.cells) if fixed.allowed(c).sum() == 1)
    assert fixed.cell_least[cell] == fixed.cell_most[cell] == 1
    snacks = (fixed.cell_day == 1) & (np.array(fixed.cell_time) == "snack")
    assert int(fixed.cell_most[snacks].sum()) == question.slots[1].most


def test_a_fixed_dish_that_does_not_fit_is_refused() -> None:
    question = walk_question(0, days=2, walkers=1)
    dinner = next(dish for dish in question.dishes if dish.meals == ("dinner",))
    with pytest.raises(Mistake, match="locked-dish-does-not-fit"):
        lay_board(replace(question, locks=(Lock(day=1, time="snack", dish=dinner.id),)))
    with pytest.raises(Mistake, match="lock-without-eating-time"):
        lay_board(replace(question, locks=(Lock(day=1, time="midnight", dish=dinner.id),)))


def test_too_many_terms_are_refused_before_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(draft, "MOST_TERMS", 10)
    with pytest.raises(Mistake, match="menu-too-large"):
        lay_board(walk_question(0, days=3))


def test_one_dish_one_day_by_hand() -> None:
    # 80 g, 300 kcal; the day's food weighs, nothing else does
    question = Question(
        days=1,
        dishes=(Dish(id="bar", title="Bar", meals=("snack",), mass_g=80.0, energy_kcal=300.0),),
        walkers=(Walker(id="a"),),
        slots=(Slot(day=1, time="noon", meal="snack", walkers=("a",)),),
    )
    plan = planned(lay_board(question), {0: [(0, 1, (25,))]})  # 25 twentieths
    assert plan.whole
    assert plan.cost() == pytest.approx(100.0)


@pytest.mark.parametrize("seed", range(4))
def test_small_changes_add_up_to_the_same_sums(seed: int) -> None:
    question = walk_question(seed, days=3, walkers=2, dishes=40)
    board = lay_board(question)
    rng = np.random.default_rng(seed)
    plan = Plan(board)
    for _ in range(60):
        cell = int(rng.integers(board.cells))
        fits = np.nonzero(board.allowed(cell))[0]
        if fits.size == 0:
            continue
        dish = int(rng.choice(fits))
        eaters = int(board.plate_start[cell + 1] - board.plate_start[cell])
        low = round(float(board.least[dish] * board.steps[dish]))
        plan = plan.with_cells({cell: [(dish, 1, (low,) * eaters)]})
    again = planned(board, plan.picks)
    assert plan.cost() == pytest.approx(again.cost())
    assert plan.act == pytest.approx(again.act)
    assert plan.missing == again.missing
    assert plan.over == again.over
    assert plan.burden() == pytest.approx(again.burden())
