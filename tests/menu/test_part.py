"""A small model and the plan that it is read into say the same."""

from __future__ import annotations

import numpy as np
import pytest
from tests.menu.making import walk_question

from fellfare.menu.model.part import Part, begun_at, filled, part_of, solve_part
from fellfare.menu.model.plan import Plan
from fellfare.menu.planning import Made, make
from fellfare.menu.solver import Effort
from fellfare.menu.trying import Trying


def menu(seed: int) -> tuple[Made, Plan]:
    made = make(walk_question(seed, days=2, walkers=2, dishes=40), Trying(gap=0.1, seconds=20))
    assert made.plan is not None
    return made, made.plan


def whole_part(plan: Plan) -> Part:
    """All cells free, their own dishes the only candidates."""
    chosen = {cell: [r for r, _, _ in picks] for cell, picks in plan.picks.items()}
    return begun_at(part_of(Plan(plan.board), chosen, strict=True), plan)


def start_vector(part: Part, plan: Plan) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """The start as a whole vector: what is left over are packs, the last columns."""
    assert part.start is not None
    x = np.zeros(part.problem.columns)
    index, values = part.start
    x[index] = values
    packs = plan.packs()
    if packs.size:
        x[-packs.size :] = packs
    return x


@pytest.mark.parametrize("seed", range(4))
def test_a_plan_is_an_answer_of_its_own_model(seed: int) -> None:
    made, plan = menu(seed)
    part = whole_part(plan)
    x = start_vector(part, plan)
    problem = part.problem
    assert float(problem.cost @ x) + made.board.offset == pytest.approx(plan.cost())
    row = np.repeat(np.arange(problem.rows), np.diff(problem.start))
    act = np.bincount(row, weights=problem.value * x[problem.index], minlength=problem.rows)
    assert (act >= problem.row_low - 1e-6).all()
    assert (act <= problem.row_high + 1e-6).all()
    assert (x <= problem.high + 1e-9).all()


@pytest.mark.parametrize("seed", range(4))
def test_what_is_read_is_what_was_written(seed: int) -> None:
    _, plan = menu(seed)
    part = whole_part(plan)
    again = filled(Plan(plan.board), part, start_vector(part, plan))
    assert {c: sorted(p) for c, p in again.picks.items()} == {
        c: sorted(p) for c, p in plan.picks.items()
    }
    assert again.cost() == pytest.approx(plan.cost())
    assert again.whole


@pytest.mark.parametrize("seed", range(4))
def test_another_days_portions_never_break_what_is_kept(seed: int) -> None:
    made, plan = menu(seed)
    board = made.board
    for day in range(1, board.days + 1):
        plates = np.nonzero(board.cell_day[board.plate_cell] == day)[0].tolist()
        _, new = solve_part(plan, part_of(plan, {}, portions=plates), Effort(seconds=5, gap=1e-4))
        assert new is not None
        assert new.whole
        assert new.cost() <= plan.cost() * (1 + 1e-4)
        assert {c: [p[:2] for p in picks] for c, picks in new.picks.items()} == {
            c: [p[:2] for p in picks] for c, picks in plan.picks.items()
        }
