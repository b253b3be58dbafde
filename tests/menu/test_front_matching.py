"""Different dishes for different seats, against another library's assignment."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from fellfare.menu.front.matching import cheapest_matchings


def least_by_assignment(weight: np.ndarray[tuple[int, int], np.dtype[np.float64]], k: int) -> float:
    """The cheapest k pairs as a full assignment: all seats but k get an empty dish for nothing."""
    seats = weight.shape[0]
    table = np.hstack([np.where(np.isfinite(weight), weight, 1e6), np.zeros((seats, seats - k))])
    row, column = linear_sum_assignment(table)
    return float(table[row, column].sum())


@pytest.mark.parametrize("seed", range(12))
def test_every_size_is_the_cheapest_of_its_size(seed: int) -> None:
    rng = np.random.default_rng(seed)
    seats, dishes = int(rng.integers(2, 9)), int(rng.integers(2, 12))
    weight = np.round(rng.uniform(0, 50, (seats, dishes)), 1)
    weight[rng.random(weight.shape) < 0.25] = np.inf
    found = cheapest_matchings(weight)
    assert [one.size for one in found] == list(range(len(found)))
    for one in found:
        assert one.weight == pytest.approx(least_by_assignment(weight, one.size), abs=1e-6)
        pairs = one.dish[one.dish >= 0]
        assert len(set(pairs.tolist())) == one.size
    if len(found) <= min(seats, dishes):
        assert least_by_assignment(weight, len(found)) >= 1e6  # one more is not possible


@pytest.mark.parametrize("seed", range(6))
def test_one_more_never_costs_less_than_the_one_before(seed: int) -> None:
    weight = np.random.default_rng(seed).uniform(0, 50, (7, 9))
    steps = np.diff([one.weight for one in cheapest_matchings(weight)])
    assert (np.diff(steps) >= -1e-9).all()


def test_it_goes_on_from_pairs_that_stand() -> None:
    weight = np.array([[0.0, 5.0, 9.0], [0.0, 7.0, 3.0], [4.0, 0.0, 8.0]])
    found = cheapest_matchings(weight, begin=np.array([0, -1, 1]))
    assert [one.weight for one in found] == [0.0, 3.0]
    assert found[-1].dish.tolist() == [0, 2, 1]


def test_no_dish_for_any_seat() -> None:
    found = cheapest_matchings(np.full((2, 3), np.inf))
    assert [one.size for one in found] == [0]
