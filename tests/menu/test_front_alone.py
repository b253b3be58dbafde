"""Where no step from one menu to the next is found, a search of its own goes on."""

from __future__ import annotations

import pytest
from tests.menu.making import walk_question

from fellfare.menu.front.climbing import Climb
from fellfare.menu.front.drawing import front
from fellfare.menu.trying import Trying


def test_a_front_goes_on_where_no_step_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    question = walk_question(1)
    monkeypatch.setattr(Climb, "to", lambda *_: None)
    drawn = front(question, tries=Trying(gap=0.02, seconds=4.0))
    assert len(drawn.points) > 1
    many = [point.different for point in drawn.points]
    assert many == sorted(set(many))
