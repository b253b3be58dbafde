"""Small mixed models settled by our own tree and by rounding: against HiGHS's own tree."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from msgspec.structs import replace

from fellfare.menu.solver import Effort, Problem, problem_by_rows, rounded, small_tree, solve

INF = float("inf")


def choice(seed: int, cells: int = 5, dishes: int = 6) -> Problem:
    """One dish in each cell, broken portions, a floor and a ceiling: a day in small."""
    rng = np.random.default_rng(seed)
    many = cells * dishes
    energy, salt = rng.integers(200, 900, many), rng.integers(1, 30, many)
    mass = np.round(energy / rng.uniform(2.9, 6.6, many), 1)
    rows = []
    for cell in range(cells):
        line = np.zeros(2 * many)
        line[cell * dishes : (cell + 1) * dishes] = 1.0
        rows.append(line)
    for at in range(many):
        line = np.zeros(2 * many)
        line[many + at], line[at] = 1.0, -0.6
        rows.append(line)
    rows.append(np.concatenate([energy, energy]))
    rows.append(np.concatenate([salt, salt]))
    floor = float(np.sort(energy)[-cells * 2 :].mean() * cells)
    low = [1.0] * cells + [-INF] * many + [floor, -INF]
    high = [1.0] * cells + [0.0] * many + [1.05 * floor, 18.0 * cells]
    return problem_by_rows(
        np.concatenate([mass, mass]), rows, low, high,
        high=[1.0] * many + [0.6] * many, whole=[True] * many + [False] * many,
    )  # fmt: skip


def portions(seed: int, packs: bool, misses: bool) -> tuple[Problem, list[int]]:
    """Six numbers of steps, a floor, a ceiling, a food in packs that a purse pays for."""
    rng = np.random.default_rng(seed)
    kcal, mass = rng.integers(3, 9, 6).astype(float), np.round(rng.uniform(0.5, 2.5, 6), 2)
    food = rng.integers(0, 6, 6).astype(float)
    cost, whole, high = mass.tolist(), [True] * 6, [60.0] * 6
    rows = [kcal.tolist(), food.tolist()]
    low, top = [700.0, -INF], [720.0, INF]
    if packs:
        cost, whole, high = [*cost, 0.0], [*whole, True], [*high, INF]
        rows = [[*rows[0], 0.0], [*rows[1], -40.0], [*mass.tolist(), 9.0]]
        low, top = [*low, -INF], [720.0, 0.0, 230.0]
    if misses:
        cost, whole, high = [*cost, 50.0], [*whole, False], [*high, INF]
        rows = [[*line, 1.0 if at == 0 else 0.0] for at, line in enumerate(rows)]
    problem = problem_by_rows(cost, rows, low, top, high=high, whole=whole)
    return problem, [6] if packs else []


@pytest.mark.parametrize("seed", range(12))
def test_a_small_tree_finds_what_the_large_one_finds(seed: int) -> None:
    problem = choice(seed)
    ours, theirs = small_tree(problem, Effort(), 2_000), solve(problem, Effort())
    assert ours is not None
    assert (ours.status == "impossible") == (theirs.status == "impossible")
    if theirs.value is not None:
        assert ours.value == pytest.approx(theirs.value, abs=1e-4)
        assert ours.bound <= theirs.value + 1e-4


@pytest.mark.parametrize("seed", range(12))
def test_a_gap_is_kept_and_the_bound_is_a_bound(seed: int) -> None:
    problem = choice(seed)
    best = solve(problem, Effort())
    out = small_tree(problem, Effort(near=8.0), 2_000)
    assert out is not None
    if best.value is not None:
        assert out.value is not None
        assert out.bound <= best.value + 1e-4
        assert best.value - 1e-4 <= out.value <= best.value + 8.0 + 1e-4


def test_too_few_models_say_that_they_stopped() -> None:
    outs = [small_tree(choice(seed), Effort(), 3) for seed in range(12)]
    assert any(out is not None and out.status == "stopped" for out in outs)
    for seed, out in enumerate(outs):
        best = solve(choice(seed), Effort())
        assert out is not None
        if best.value is not None:
            assert out.bound <= best.value + 1e-4
            assert out.status != "impossible"


def test_the_same_comes_out_again() -> None:
    first, second = (small_tree(choice(4), Effort(near=2.0), 500) for _ in range(2))
    assert first is not None
    assert second is not None
    assert first.nodes == second.nodes
    assert first.x is not None
    assert second.x is not None
    assert first.x.tolist() == second.x.tolist()


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("packs", [False, True])
@pytest.mark.parametrize("misses", [False, True])
def test_a_rounding_keeps_all_rows_and_its_gap(seed: int, packs: bool, misses: bool) -> None:
    problem, at = portions(seed, packs, misses)
    best = solve(problem, Effort())
    out = rounded(problem, Effort(near=1.0), at)
    if out is None:
        return
    assert best.value is not None
    assert out.x is not None
    assert out.value is not None
    assert best.value - 1e-4 <= out.value <= best.value + 1.0 + 1e-4
    assert out.bound <= best.value + 1e-4
    assert out.value == pytest.approx(float(problem.cost @ out.x))
    whole = out.x[problem.whole]
    assert whole.tolist() == np.rint(whole).tolist()
    row = np.repeat(np.arange(problem.rows), np.diff(problem.start))
    act = np.bincount(row, weights=problem.value * out.x[problem.index], minlength=problem.rows)
    assert (act >= problem.row_low - 1e-6).all()
    assert (act <= problem.row_high + 1e-6).all()


def test_most_roundings_are_near_enough() -> None:
    cases = itertools.product(range(8), (False, True), (False, True))
    found = [rounded(*_asked(*case)) is not None for case in cases]
    assert sum(found) >= 24


def _asked(seed: int, packs: bool, misses: bool) -> tuple[Problem, Effort, list[int]]:
    problem, at = portions(seed, packs, misses)
    return problem, Effort(near=1.0), at


def test_what_is_not_plain_is_left_to_others() -> None:
    problem, at = portions(1, packs=True, misses=True)
    shared = replace(problem, cost=np.where(np.arange(problem.columns) == 6, -1.0, problem.cost))
    assert rounded(shared, Effort(near=1e9), at) is None  # a pack that pays
    free = replace(problem, whole=np.zeros(problem.columns, dtype=np.bool_))
    assert rounded(free, Effort(near=1e9)) is None  # broken columns that are no misses
    many = problem_by_rows([1.0] * 20, [[1.0] * 20], [9.5], [INF], whole=[True] * 20)
    assert rounded(many, Effort(near=1e9)) is None  # too many to look at


@pytest.mark.parametrize("seed", range(8))
def test_where_all_are_looked_at_the_best_is_found(seed: int) -> None:
    problem, at = portions(seed, packs=True, misses=True)
    steps = np.arange(problem.columns) < 6
    high = np.where(steps, float(20 + seed % 3), problem.high)
    few = replace(problem, low=np.where(steps, high - 3, problem.low), high=high)
    best, out = solve(few, Effort()), rounded(few, Effort(), at)
    assert (out is None) == (best.value is None)
    if out is not None:
        assert out.value == pytest.approx(best.value, abs=1e-4)
