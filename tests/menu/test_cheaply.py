"""A tight budget is reached by way of a cheap menu, and what that costs is a way out."""

from __future__ import annotations

from msgspec.structs import replace
from tests.menu.making import walk_question

from fellfare.menu.answer import Menu
from fellfare.menu.cheaply import by_cheapness, cheap_menu
from fellfare.menu.checking import broken_rules
from fellfare.menu.impossible import ways
from fellfare.menu.impossible.why import why_impossible
from fellfare.menu.planning import plan_menu
from fellfare.menu.pool import Budget, Question
from fellfare.menu.trying import Trying

TRIES = Trying(gap=0.02, seconds=4.0)


def priced_walk() -> tuple[Question, Menu]:
    """A walk whose dishes have prices, and its lightest menu, whatever it costs."""
    question = replace(walk_question(1), budget=Budget(wish="purse", most=1e4))
    menu = plan_menu(question, TRIES)
    assert menu.cost is not None
    return question, menu


def capped(question: Question, most: float) -> Question:
    return replace(question, budget=Budget(wish="purse", most=most))


def test_a_cheap_menu_costs_less_than_the_lightest() -> None:
    question, lightest = priced_walk()
    assert lightest.cost is not None
    made = cheap_menu(capped(question, 0.9 * lightest.cost), TRIES, bound_g=lightest.bound_g)
    assert made is not None
    assert made.menu.cost is not None
    assert made.menu.cost < lightest.cost
    assert not broken_rules(question, made.menu.plates)


def test_a_menu_by_way_of_a_cheap_one_keeps_the_budget() -> None:
    question, lightest = priced_walk()
    assert lightest.cost is not None
    tight = capped(question, 0.9 * lightest.cost)
    made = by_cheapness(tight, TRIES, bound_g=lightest.bound_g)
    assert made is not None
    assert made.menu.plates
    assert broken_rules(tight, made.menu.plates) == ()


def test_the_budget_alone_is_a_way_out_of_a_large_question() -> None:
    question, lightest = priced_walk()
    assert lightest.cost is not None
    poor = capped(question, 0.1 * lightest.cost)
    small, ways.SMALL = ways.SMALL, 0  # as if it were too large to be solved whole
    try:
        why = why_impossible(poor, Trying(seconds=2.5))
    finally:
        ways.SMALL = small
    assert why.ways_out
    assert {give.wish for give in why.ways_out[0].gives} == {"purse"}
    assert broken_rules(why.ways_out[0].question, why.ways_out[0].plates) == ()
