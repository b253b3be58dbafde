"""The small door to the solver: what goes in is checked, what comes out says what it is worth."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest
from msgspec.structs import replace

from fellfare.menu.solver import Effort, Growing, branched, problem_by_rows, solve, version
from fellfare.menu.solver.outcome import gap_of
from fellfare.mistake import Mistake

INF = float("inf")
#: A linear programme found in many textbooks (Dantzig's own teaching example has
#: this form): max 3x + 5y, x <= 4, 2y <= 12, 3x + 2y <= 18; best 36 at (2, 6).
TEXTBOOK = problem_by_rows(
    [-3.0, -5.0], [[1, 0], [0, 2], [3, 2]], [-INF, -INF, -INF], [4.0, 12.0, 18.0]
)


def knapsack(items: int = 40, seed: int = 3) -> tuple[list[float], list[float]]:
    rng = np.random.default_rng(seed)
    weight = rng.integers(20, 90, items).astype(float)
    return (weight + rng.integers(-5, 6, items)).tolist(), weight.tolist()


def test_a_known_answer() -> None:
    out = solve(TEXTBOOK, Effort())
    assert out.status == "optimal"
    assert out.value == pytest.approx(-36)
    assert out.x == pytest.approx([2, 6])
    assert out.duals == pytest.approx([0, -1.5, -1])  # the textbook's shadow prices


def test_whole_numbers() -> None:
    # 5x + 4y at most, 6x + 4y <= 24, x + 2y <= 6: broken 21 at (3, 1.5), whole 20 at (4, 0)
    broken = problem_by_rows([-5.0, -4.0], [[6, 4], [1, 2]], [-INF, -INF], [24.0, 6.0])
    whole = replace(broken, whole=np.array([True, True]))
    assert solve(broken, Effort()).value == pytest.approx(-21)
    out = solve(whole, Effort())
    assert out.value == pytest.approx(-20)
    assert out.bound == pytest.approx(-20)
    assert out.x == pytest.approx([4, 0])


def test_impossible_and_unbounded_are_told_apart() -> None:
    clash = problem_by_rows([1.0], [[1], [1]], [5.0, -INF], [INF, 4.0])
    assert solve(clash, Effort()).status == "impossible"
    loose = problem_by_rows([-1.0], [[1]], [0.0], [INF])
    assert solve(loose, Effort()).status == "unbounded"


def test_stopped_is_not_impossible() -> None:
    value, weight = knapsack()
    problem = problem_by_rows([-v for v in value], [weight], [-INF], [1000.0], high=[1.0] * 40,
                              whole=[True] * 40)  # fmt: skip
    out = solve(problem, Effort(), watch=lambda best, bound: True)
    assert out.status in ("stopped", "optimal")
    assert solve(problem, Effort(seconds=1e-6)).status in ("stopped", "optimal")


def test_a_watcher_hears_and_the_bound_is_a_bound() -> None:
    value, weight = knapsack()
    problem = problem_by_rows([-v for v in value], [weight], [-INF], [1000.0], high=[1.0] * 40,
                              whole=[True] * 40)  # fmt: skip
    heard: list[float] = []

    def listen(best: float | None, bound: float) -> bool:
        heard.append(bound)
        return False

    out = solve(problem, Effort(), watch=listen)
    assert out.value is not None
    assert all(bound <= out.value + 1e-6 for bound in heard)
    assert out.bound <= out.value + 1e-9


def test_the_same_again() -> None:
    value, weight = knapsack(seed=5)
    problem = problem_by_rows([-v for v in value], [weight], [-INF], [900.0], high=[1.0] * 40,
                              whole=[True] * 40)  # fmt: skip
    first, second = (solve(problem, Effort(gap=0.01, seed=7)) for _ in range(2))
    assert first.x is not None
    assert second.x is not None
    assert first.x.tolist() == second.x.tolist()


def test_a_model_grows_where_it_stands() -> None:
    model = Growing(problem_by_rows([4.0], [[1.0]], [3.0], [INF]), Effort())
    assert model.run().value == pytest.approx(12)
    one = np.array([1.0])
    at = np.array([0], dtype=np.int32)
    model.add_columns(one, np.zeros(1), np.array([2.0]), at, at, one)
    assert model.run().value == pytest.approx(6)  # two of the cheap one, one of the dear one
    model.bound(1, 0.0, 1.0)
    assert model.run().value == pytest.approx(9)
    both = np.array([0, 1], dtype=np.int32)
    model.add_rows(np.array([5.0]), np.array([INF]), at, both, np.ones(2))
    assert model.run().value == pytest.approx(17)
    linear = model.linear(np.zeros(2), np.array([INF, 1.0]))
    assert linear.run({0: (4.0, 4.0)}) is not None
    whole = branched(linear, Effort(), 10, np.array([0]))
    assert whole is not None
    assert whole.value == pytest.approx(17)
    linear.move({})
    assert model.run().value == pytest.approx(17)


@pytest.mark.parametrize("bad", [float("nan"), INF])
def test_figures_that_are_none_are_refused(bad: float) -> None:
    with pytest.raises(Mistake, match="model-not-a-number"):
        problem_by_rows([bad], [[1.0]], [0.0], [1.0])
    with pytest.raises(Mistake, match="model-shape"):
        problem_by_rows([1.0], [[1.0]], [0.0, 0.0], [1.0])


@pytest.mark.parametrize(
    "bad",
    [
        {"seconds": 0},
        {"gap": 1.0},
        {"gap": float("nan")},
        {"threads": 0},
        {"seed": -1},
        {"near": -1.0},
    ],
)
def test_effort_out_of_range_is_refused(bad: dict[str, float]) -> None:
    with pytest.raises(Mistake, match="effort-out-of-range"):
        Effort(**bad)  # type: ignore[arg-type] # on purpose


def test_the_solver_prints_nothing() -> None:
    """Its own banner would break every `--json`; a process of its own has a clean stdout."""
    work = (
        "from fellfare.menu.solver import *\n"
        "solve(problem_by_rows([1.0], [[1.0]], [2.0], [9.0], whole=[True]), Effort())"
    )
    done = subprocess.run([sys.executable, "-c", work], capture_output=True, check=True)
    assert done.stdout == b""
    assert done.stderr == b""


def test_the_solver_says_who_it_is() -> None:
    assert version().startswith("HiGHS ")


def test_nothing_found_is_an_infinite_gap() -> None:
    assert gap_of(None, 3.0) == INF
    assert gap_of(4.0, 3.0) == pytest.approx(0.25)
    assert gap_of(4.0, 5.0) == 0.0
