"""Whole canisters: by hand, by brute force, and against fuel to the gram."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.camp.canister_steps import CanisterStove, canister_stair, lightest_set
from fellfare.camp.fuel.canister import CanisterSize
from fellfare.camp.stoveless import NoStoveKit, StoveKit, stove_days_g, stove_mean_g
from fellfare.mistake import Mistake


def size(net_g: float, tare_g: float) -> CanisterSize:
    return CanisterSize(net_g=net_g, tare_low_g=tare_g, tare_high_g=tare_g)


SMALL, MIDDLE, LARGE = size(110, 100), size(230, 145), size(450, 210)
# 60 g jar, 300 g of water for 3 of 8 walking hours, 40 g of food more a day.
COLD = NoStoveKit(jar_g=60, soaking_water_g=300, soaking_share=3 / 8, extra_food_g_per_day=40)
STOVE = CanisterStove(kit_g=210, fuel_g_per_day=16, sizes=(SMALL, MIDDLE, LARGE), reserve=0.15)


def test_five_and_six_days_by_hand() -> None:
    # 5 x 16 = 80 g, 92 g with reserve: one of 110 g, 30 g left.
    five = canister_stair(STOVE, COLD, 5)
    assert (five.canisters.counts, five.canisters.left_g) == (((110, 1),), 30)
    # 210 kit + 100 empty + 30 left + 16 x 2.5 burning on the mean day.
    assert five.stove_mean_g == pytest.approx(380)
    assert five.stove_days_g == pytest.approx((412, 396, 380, 364, 348))
    # 6 x 16 = 96 g, 110.4 g with reserve: too much for one of 110 g.
    six = canister_stair(STOVE, COLD, 6)
    assert (six.canisters.counts, six.canisters.left_g) == (((230, 1),), 134)
    assert six.stove_mean_g == pytest.approx(210 + 145 + 134 + 48)


def test_the_stair_can_cross_more_than_once() -> None:
    stair = canister_stair(STOVE, COLD, 5)
    # Without a stove: 172.5 + 40 (n + 1)/2; with: 210 + tare + left + 8 n.
    # 12 days: 192 g, 220.8 g with reserve, one of 230 g: 210 + 145 + 38 + 96 = 489 > 432.5;
    # 16 days: 294.4 g, small and middle: 210 + 245 + 84 + 128 = 667 > 512.5, by hand.
    for days, by_hand in ((12, 489.0), (16, 667.0)):
        assert stair.curve[days - 1].stove_mean_g == pytest.approx(by_hand)
        assert by_hand > stair.curve[days - 1].no_stove_mean_g
    lighter = {d for low, high in stair.stove_lighter for d in range(low, high + 1)}
    assert lighter == {s.days for s in stair.curve if s.stove_mean_g < s.no_stove_mean_g}
    assert stair.first_days == min(lighter)
    assert stair.for_good_days is not None
    assert stair.for_good_days > stair.first_days
    assert len(stair.stove_lighter) > 1
    for days in (min(lighter), 12):  # said as it is on the last day of each
        word = "stove" if days in lighter else "stoveless"
        assert canister_stair(STOVE, COLD, days).lighter == word


@given(st.floats(0, 900), st.floats(0, 0.5))
def test_no_set_is_lighter_than_the_one_taken(fuel_g: float, reserve: float) -> None:
    sizes = (SMALL, MIDDLE, LARGE)
    taken = lightest_set(fuel_g, sizes, reserve)
    wanted = fuel_g * (1 + reserve)
    assert taken.net_g >= wanted - 1e-5
    masses = [
        sum(n * (s.net_g + s.tare_low_g) for n, s in zip(counts, sizes, strict=True))
        for counts in product(range(14), range(8), range(5))
        if sum(n * s.net_g for n, s in zip(counts, sizes, strict=True)) >= wanted - 1e-6
    ]
    assert taken.net_g + taken.tare_g == pytest.approx(min(masses))


@given(st.floats(0, 60), st.integers(1, 60), st.floats(0, 1), st.floats(0, 0.5))
def test_steps_never_make_a_stove_lighter(
    fuel_g: float, days: int, morning: float, reserve: float
) -> None:
    stove = CanisterStove(
        kit_g=200, fuel_g_per_day=fuel_g, morning_share=morning, sizes=(SMALL, LARGE),
        reserve=reserve,
    )  # fmt: skip
    stair = canister_stair(stove, COLD, days, 60)
    least = 0.0 if fuel_g * days * (1 + reserve) <= 1e-6 else 100.0
    smooth = StoveKit(kit_g=200 + least, fuel_g_per_day=fuel_g, morning_share=morning)
    assert stair.stove_mean_g >= stove_mean_g(smooth, days) - 1e-4
    assert sum(stair.stove_days_g) / days == pytest.approx(stair.stove_mean_g)


def test_tiny_canisters_without_tare_are_fuel_to_the_gram() -> None:
    stove = CanisterStove(kit_g=310, fuel_g_per_day=16, sizes=(size(1, 0),), reserve=0.0)
    stair = canister_stair(stove, COLD, 9)
    smooth = StoveKit(kit_g=310, fuel_g_per_day=16)
    assert stair.stove_days_g == pytest.approx(stove_days_g(smooth, 9))
    assert stair.first_days == stair.for_good_days == 10  # even at 9.79 days, by hand


@pytest.mark.parametrize(
    ("stove", "code"),
    [
        (CanisterStove(kit_g=-1, fuel_g_per_day=16, sizes=(SMALL,)), "stove-or-stoveless-unclear"),
        (
            CanisterStove(kit_g=1, fuel_g_per_day=float("nan"), sizes=(SMALL,)),
            "stove-or-stoveless-unclear",
        ),
        (CanisterStove(kit_g=1, fuel_g_per_day=16, sizes=()), "canister-size-out-of-range"),
        (
            CanisterStove(kit_g=1, fuel_g_per_day=16, sizes=(size(0, 9),)),
            "canister-size-out-of-range",
        ),
        (
            CanisterStove(kit_g=1, fuel_g_per_day=16, sizes=(SMALL,), reserve=9),
            "reserve-out-of-range",
        ),
    ],
)
def test_nonsense_is_refused(stove: CanisterStove, code: str) -> None:
    with pytest.raises(Mistake) as told:
        canister_stair(stove, COLD, 5)
    assert told.value.code == code
