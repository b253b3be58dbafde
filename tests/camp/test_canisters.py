"""Counting canisters."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.camp.fuel.canister import SIZES, CanisterSize, canister_choices, canisters
from fellfare.mistake import Mistake

NAN = float("nan")


def test_a_week_by_hand() -> None:
    # 6 days of 16.6 g are 99.6 g; with 15 % 114.5 g: over one of 110, within one of 230.
    by_size = {c.size.net_g: c for c in canister_choices(99.6, 0.15)}
    assert {size: c.count for size, c in by_size.items()} == {100: 2, 110: 2, 230: 1, 450: 1}
    assert by_size[230].wanted_g == pytest.approx(114.54)
    assert by_size[230].spare_g == pytest.approx(130.4)
    assert by_size[230].reserve == 0.15


@given(st.floats(0, 5000), st.floats(0, 1), st.sampled_from(SIZES))
def test_enough_and_not_one_too_many(fuel_g: float, reserve: float, size: CanisterSize) -> None:
    carried = canisters(fuel_g, size, reserve)
    assert carried.count * size.net_g >= carried.wanted_g - 1e-5
    assert (carried.count - 1) * size.net_g < carried.wanted_g or carried.count == 0


def test_rounding_does_not_buy_a_canister() -> None:
    assert canisters(100.00000000000001, SIZES[0], 0).count == 1
    assert canisters(0, SIZES[0]).count == 0


def test_the_lightest_load_stands_first() -> None:
    loads = [c.carried_low_g + c.carried_high_g for c in canister_choices(180)]
    assert loads == sorted(loads)


@dataclass(frozen=True)
class Bad:
    fuel_g: float
    net_g: float
    reserve: float
    code: str


@pytest.mark.parametrize(
    "bad",
    [
        Bad(-1, 100, 0.1, "fuel-mass-out-of-range"),
        Bad(NAN, 100, 0.1, "fuel-mass-out-of-range"),
        Bad(10, 100, -0.1, "reserve-out-of-range"),
        Bad(10, 100, 15, "reserve-out-of-range"),
        Bad(10, 0, 0.1, "canister-size-out-of-range"),
        Bad(10, NAN, 0.1, "canister-size-out-of-range"),
    ],
)
def test_nonsense_is_refused(bad: Bad) -> None:
    size = CanisterSize(net_g=bad.net_g, tare_low_g=90, tare_high_g=110)
    with pytest.raises(Mistake) as told:
        canisters(bad.fuel_g, size, bad.reserve)
    assert told.value.code == bad.code
