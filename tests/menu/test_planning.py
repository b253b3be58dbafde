"""Whole menus: what comes back keeps every wish, and is what its bound says."""

from __future__ import annotations

import pytest
from tests.menu.making import small_question, walk_question

from fellfare.menu.checking import broken_rules
from fellfare.menu.planning import plan_menu
from fellfare.menu.trying import Trying


@pytest.mark.parametrize("seed", range(6))
def test_every_wish_is_kept(seed: int) -> None:
    question = walk_question(seed, days=3, walkers=1 + seed % 3)
    menu = plan_menu(question, Trying(gap=0.01, seconds=20))
    assert menu.plates
    assert broken_rules(question, menu.plates) == ()
    assert menu.weighed_g is not None
    assert menu.bound_g <= menu.weighed_g


@pytest.mark.parametrize("seed", range(30))
def test_small_questions_are_answered(seed: int) -> None:
    question = small_question(seed)
    menu = plan_menu(question, Trying(gap=0, seconds=20))
    assert menu.verdict in ("optimal", "impossible")
    assert broken_rules(question, menu.plates) == () or not menu.plates
