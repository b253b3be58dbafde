"""Walking energy, pace, stove, soak and liking against closed forms and known constants."""

from __future__ import annotations

from math import exp, sqrt

import numpy as np
import pytest
from msgspec.structs import replace

from fellfare.camp.fuel.fuels import find_fuel
from fellfare.files.shipped import shipped_pantry
from fellfare.learn.belief import Belief, updated
from fellfare.learn.energy import Balance, learn_energy
from fellfare.learn.kitchen import learn_soaks, learn_stove
from fellfare.learn.liking import learn_liking
from fellfare.learn.log import Boiled, Eaten, Liked, Soaked
from fellfare.learn.pace import learn_pace
from fellfare.mistake import Mistake

PANTRY = shipped_pantry()


def test_one_after_another_is_all_at_once() -> None:
    # Normal-normal in closed form: precision adds, means are weighted by it.
    belief = Belief(1.0, 0.12)
    seen = [(1.1, 0.2), (0.9, 0.3), (1.3, 0.25)]
    for value, sd in seen:
        belief = updated(belief, value, sd)
    precision = 1 / 0.12**2 + sum(1 / sd**2 for _, sd in seen)
    mean = (1.0 / 0.12**2 + sum(value / sd**2 for value, sd in seen)) / precision
    assert belief.mean == pytest.approx(mean, rel=1e-12)
    assert belief.sd == pytest.approx(precision**-0.5, rel=1e-12)


@pytest.mark.parametrize(("legs", "sd"), [(1, 0.103), (4, 0.057), (8, 0.042), (20, 0.027)])
def test_pace_is_known_after_a_few_legs(legs: int, sd: float) -> None:
    # by hand: (1/0.20**2 + n/0.12**2)**-0.5
    factor, left = learn_pace(1.0, 0.20, [(5.0, 5.0)] * legs)
    assert factor == pytest.approx(1.0)
    assert left == pytest.approx(sd, abs=5e-4)
    assert left == pytest.approx((1 / 0.04 + legs / 0.0144) ** -0.5)


def test_a_slow_walker_is_found() -> None:
    rng = np.random.default_rng(3)
    timed = [(5.0, 5.0 / 0.8 * exp(0.12 * rng.standard_normal())) for _ in range(30)]
    factor, sd = learn_pace(1.0, 0.20, timed)
    assert factor == pytest.approx(0.8, abs=3 * 0.8 * sd)


@pytest.mark.parametrize(
    ("error_kg", "sd"), [(0.9, 0.140), (0.6, 0.131), (0.4, 0.118), (0.3, 0.109)]
)
def test_one_trip_says_little_of_the_walking_energy(error_kg: float, sd: float) -> None:
    # An eight-day walk of 16 000 kcal walking, 15 700 kcal eaten, nothing lost: figures of
    # the size of a published design calculation (posterior SD 0.140 to 0.109), by hand here.
    balance = Balance(days=8, eaten_kcal=31_000, walking_kcal=16_400, other_kcal=14_600,
                      lost_kg=0.0, lost_error_kg=error_kg)  # fmt: skip
    learnt = learn_energy(balance, 1.0)
    by_hand = sqrt((7000 * error_kg) ** 2 + (0.04 * 31_000) ** 2 + (0.05 * 14_600) ** 2) / 16_400
    assert learnt.seen is not None
    assert learnt.seen.sd == pytest.approx(by_hand)
    assert learnt.after.sd == pytest.approx(sd, abs=0.006)
    assert learnt.after.mean == pytest.approx(1.0, abs=0.01)


def test_the_walking_factor_is_found_again_and_its_band_holds() -> None:
    rng = np.random.default_rng(8)
    inside = 0
    for _ in range(400):
        true = 1.0 + 0.15 * rng.standard_normal()
        walking, other, eaten = 16_000.0, 14_000.0, 27_000.0
        lost = (true * walking + other - eaten) / 7000.0
        seen = lost + 0.4 * rng.standard_normal()
        learnt = learn_energy(
            Balance(days=8, eaten_kcal=eaten, walking_kcal=walking, other_kcal=other,
                    lost_kg=seen, lost_error_kg=0.4), 1.0)  # fmt: skip
        inside += learnt.after.low <= true <= learnt.after.high
    # the stated error is wider than that of these draws (intake and rest are exact here)
    assert 0.77 <= inside / 400 <= 0.97


def test_a_short_trip_teaches_nothing_of_the_need() -> None:
    learnt = learn_energy(
        Balance(days=3, eaten_kcal=9000, walking_kcal=5000, other_kcal=5000, lost_kg=2.0,
                lost_error_kg=0.5), 1.0)  # fmt: skip
    assert learnt.seen is None
    assert learnt.after == learnt.before


def test_a_gain_of_the_hungry_is_weighed_as_water() -> None:
    balance = Balance(days=8, eaten_kcal=31_000, walking_kcal=16_400, other_kcal=14_600,
                      lost_kg=-2.0, lost_error_kg=0.3)  # fmt: skip
    fed, hungry = learn_energy(balance, 1.0), learn_energy(balance, 1.0, hungry=True)
    assert fed.seen is not None
    assert hungry.seen is not None
    assert (fed.water, hungry.water) == (False, True)
    # by hand: docs/learn.md's 2 kg of water besides the log's own 0.3 kg
    by_hand = sqrt(
        7000**2 * (0.3**2 + 2.0**2) + (2.0 * 1500) ** 2 + (0.04 * 31_000) ** 2
        + (0.05 * 14_600) ** 2
    ) / 16_400  # fmt: skip
    assert hungry.seen.sd == pytest.approx(by_hand)
    assert hungry.seen.mean == fed.seen.mean
    assert fed.after.mean < hungry.after.mean < 1.0
    # a loss of the hungry is no water
    lost = learn_energy(replace(balance, lost_kg=1.0), 1.0, hungry=True)
    assert not lost.water
    assert lost.after == learn_energy(replace(balance, lost_kg=1.0), 1.0).after


def test_a_balance_of_nothing_is_refused() -> None:
    with pytest.raises(Mistake, match="balance-out-of-range"):
        learn_energy(
            Balance(days=5, eaten_kcal=1, walking_kcal=0, other_kcal=1, lost_kg=0,
                    lost_error_kg=1), 1.0)  # fmt: skip


def test_a_stove_is_found_again_from_its_boils() -> None:
    gas = find_fuel("isobutane")
    true = 0.47
    heat_kj = 0.5 * 4.19 * (99 - 12)
    boil = Boiled(kitchen=1, water_g=500, from_c=12, fuel_g=heat_kj / true / gas.lhv_kj_per_g)
    learnt = learn_stove(1, "gas-screened", "isobutane", None, [boil] * 12)
    assert learnt.after.mean == pytest.approx(true, abs=0.02)
    assert learnt.after.sd < learnt.before.sd
    one = learn_stove(1, "gas-screened", "isobutane", None, [boil])
    assert abs(one.after.mean - true) > abs(learnt.after.mean - true)


def test_a_boil_with_more_heat_than_fuel_is_refused() -> None:
    boil = Boiled(kitchen=1, water_g=1000, from_c=5, fuel_g=3)
    with pytest.raises(Mistake, match="efficiency-impossible"):
        learn_stove(1, "gas-screened", "isobutane", None, [boil])


def test_soak_tests_move_the_pantrys_minutes() -> None:
    bulgur = PANTRY.food("bulgur")
    usual = next(soak for soak in bulgur.soaks if soak.way == "cold-soak")
    at = usual.at_c if usual.at_c is not None else 20.0
    (learnt,) = learn_soaks(
        [Soaked(food="bulgur", water_c=at, done_minutes=1.5 * usual.minutes)] * 3, PANTRY
    )
    assert learnt.factor is not None
    # by hand: precision-weighted mean of log 1 and three times log 1.5
    weight = 3 / 0.18**2 / (3 / 0.18**2 + 1 / 0.30**2)
    assert learnt.factor == pytest.approx(1.5**weight, rel=1e-6)
    with pytest.raises(Mistake, match="unknown-food"):
        learn_soaks([Soaked(food="moss", water_c=8, done_minutes=10)], PANTRY)


def test_marks_are_shrunk_and_leftovers_count() -> None:
    def eaten(dish: str, home: float) -> Eaten:
        return Eaten(walker="A", day=1, eating="lunch", dish=dish, carried_g=100, home_g=home,
                     energy_kcal=400)  # fmt: skip

    dishes = learn_liking(
        [Liked(walker="A", dish="good", mark=5), *[Liked(walker="A", dish="best", mark=5)] * 5],
        [eaten("left", 80), eaten("good", 0)],
    )
    assert [dish.dish for dish in dishes] == ["best", "good", "left"]
    assert 3 < dishes[1].liking.mean < dishes[0].liking.mean < 5
    assert dishes[2].points < 0
