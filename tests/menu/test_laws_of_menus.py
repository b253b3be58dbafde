"""Laws of menus: whatever is asked, these hold. Questions drawn small, answers proven best."""

from __future__ import annotations

from random import Random

import numpy as np
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from tests.menu.enumerating import best_by_trying_all
from tests.menu.making import dish, small_question

from fellfare.menu.answer import Menu
from fellfare.menu.checking import broken_rules
from fellfare.menu.impossible import proven_impossible
from fellfare.menu.model.board import Floats
from fellfare.menu.model.laying import lay_board
from fellfare.menu.model.pricing import priced
from fellfare.menu.model.relaxing import relax
from fellfare.menu.planning import plan_menu
from fellfare.menu.pool import Ban, Lock, Question
from fellfare.menu.solver import Effort
from fellfare.menu.trying import Trying

EXACT = Trying(gap=0.0, seconds=30.0)
few = settings(max_examples=8, suppress_health_check=[HealthCheck.too_slow], deadline=None)

questions = st.builds(
    small_question,
    seed=st.integers(0, 10_000),
    days=st.integers(1, 2),
    dishes=st.integers(2, 4),
    walkers=st.integers(1, 2),
    shared=st.booleans(),
)


def best(question: Question) -> Menu:
    menu = plan_menu(question, EXACT)
    assert menu.verdict in ("optimal", "impossible")
    return menu


def weight(menu: Menu) -> float:
    """What was made least; where there is no menu, more than any."""
    return float("inf") if menu.weighed_g is None else menu.weighed_g


def no_heavier(new: Menu, old: Menu) -> bool:
    return weight(new) <= weight(old) + 1e-6 * abs(weight(old) if old.plates else 1.0)


@few
@given(questions)
def test_every_menu_keeps_every_rule(question: Question) -> None:
    menu = best(question)
    assert broken_rules(question, menu.plates) == () or not menu.plates


@few
@given(questions, st.data())
def test_a_wish_less_is_never_heavier(question: Question, data: st.DataObject) -> None:
    kinds = ("bands", "repeats", "oftens", "differents", "load_caps")
    there = [(kind, at) for kind in kinds for at in range(len(getattr(question, kind)))]
    kind, at = data.draw(st.sampled_from(there))
    wishes = getattr(question, kind)
    freer = replace(question, **{kind: wishes[:at] + wishes[at + 1 :]})
    assert no_heavier(best(freer), best(question))


@few
@given(questions, st.integers(0, 1000))
def test_a_dish_more_is_never_heavier(question: Question, seed: int) -> None:
    rng = Random(seed)
    new = dish("new", rng.choice(("lunch", "dinner")), rng, ways=("dry",), steps_per_serving=2,
               least_steps=2, most_steps=3)  # fmt: skip
    richer = replace(question, dishes=(*question.dishes, new))
    assert no_heavier(best(richer), best(question))


@few
@given(questions, st.data())
def test_a_locked_dish_stays_and_never_makes_it_lighter(
    question: Question, data: st.DataObject
) -> None:
    slot = data.draw(st.sampled_from(question.slots))
    fits = [each.id for each in question.dishes if slot.meal in each.meals]
    chosen = data.draw(st.sampled_from(fits))
    locked = replace(question, locks=(Lock(day=slot.day, time=slot.time, dish=chosen),))
    menu = best(locked)
    for plate in menu.plates:
        if (plate.day, plate.time) == (slot.day, slot.time):
            assert plate.dish == chosen
    assert no_heavier(best(question), menu)


@few
@given(questions, st.floats(0.001, 0.2))
def test_a_menu_told_near_is_near(question: Question, gap: float) -> None:
    truth, menu = best(question), plan_menu(question, Trying(gap=gap, seconds=30.0))
    assert (truth.verdict == "impossible") == (menu.verdict == "impossible")
    if truth.plates:
        assert menu.bound_g <= weight(truth) + 1e-6 * abs(weight(truth))
        assert weight(menu) - menu.bound_g <= gap * abs(weight(menu)) + 1e-6


@few
@given(questions)
def test_banning_what_is_eaten_never_makes_it_lighter(question: Question) -> None:
    menu = best(question)
    assume(menu.plates)
    bans = tuple(Ban(dish=name) for name in sorted({plate.dish for plate in menu.plates}))
    assert no_heavier(menu, best(replace(question, bans=bans)))
    again = best(replace(question, bans=bans[:1]))
    assert bans[0].dish not in {plate.dish for plate in again.plates}


@few
@given(questions, st.randoms(use_true_random=False))
def test_the_order_of_dishes_and_walkers_does_not_matter(question: Question, rng: Random) -> None:
    dishes, walkers = list(question.dishes), list(question.walkers)
    rng.shuffle(dishes)
    rng.shuffle(walkers)
    shuffled = replace(question, dishes=tuple(dishes), walkers=tuple(walkers))
    here, there = weight(best(question)), weight(best(shuffled))
    assert here == there or abs(here - there) <= 1e-6 * abs(here)


@few
@given(questions, st.integers(0, 3))
def test_the_same_seed_gives_the_same_menu(question: Question, seed: int) -> None:
    tries = Trying(gap=0.01, seconds=30.0, seed=seed)
    assert plan_menu(question, tries).plates == plan_menu(question, tries).plates


@few
@given(st.integers(0, 10_000), st.integers(0, 10_000), st.floats(0.0, 1.0))
def test_no_prices_lift_the_bound_above_the_best_menu(seed: int, luck: int, noise: float) -> None:
    """Weak duality: good prices, and the same shaken by up to ``noise`` of their size."""
    question = small_question(seed, days=1 + seed % 2, dishes=2)
    truth = best_by_trying_all(question)
    assume(truth is not None)
    assert truth is not None
    board = lay_board(question)
    good = relax(board, list(range(board.days)), Effort(seconds=10.0))
    assert good.bound <= truth[0] + 1e-6 * abs(truth[0])
    rng = Random(luck)

    def shaken(prices: Floats) -> Floats:
        noisy = [price * (1 + rng.uniform(-noise, noise)) for price in prices.tolist()]
        return np.array(noisy, dtype=np.float64)

    prices = replace(good.prices, rows=shaken(good.prices.rows), price=shaken(good.prices.price))
    assert priced(board, prices).bound <= truth[0] + 1e-6 * abs(truth[0])


@few
@given(st.integers(0, 10_000))
def test_at_no_cost_a_bound_above_zero_means_no_menu(seed: int) -> None:
    question = small_question(seed, days=1, dishes=2)
    board = lay_board(question)
    if proven_impossible(board, list(range(board.days)), 10.0, EXACT):
        assert best_by_trying_all(question) is None
