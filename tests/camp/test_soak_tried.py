"""One soak test: the tested minutes, their band, and the step to other water."""

from __future__ import annotations

from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.camp import SoakTried, own_soak, own_soak_minutes, soak_food
from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake

BULGUR = shipped_pantry().food("bulgur")
LENTILS = shipped_pantry().food("black-beans-dry")


def test_in_the_tested_water_the_test_speaks_alone() -> None:
    own = own_soak(BULGUR, SoakTried(done_minutes=52, not_yet_minutes=45, water_c=11))
    time = own_soak_minutes(own, BULGUR, 11)
    assert (time.low_minutes, time.minutes, time.high_minutes) == pytest.approx((45, 52, 65))
    assert (time.trust, time.temperature_source) == ("measured", "same temperature, no step")


def test_the_step_to_colder_water_is_arrhenius_by_hand() -> None:
    own = own_soak(BULGUR, SoakTried(done_minutes=60, water_c=18))
    cold = own_soak_minutes(own, BULGUR, 8)
    # exp[25/R (1/281.15 - 1/291.15)] = 1.444; R = 8.314e-3 kJ/(mol K) (SI).
    assert cold.minutes == pytest.approx(60 * exp(25 / 8.314e-3 * (1 / 281.15 - 1 / 291.15)), 1e-3)
    assert cold.minutes == pytest.approx(86.6, abs=0.1)
    assert cold.trust == "common-practice"


def test_a_test_that_agrees_with_the_pantry_changes_nothing() -> None:
    said = soak_food(BULGUR, 14)
    assert said.minutes is not None
    own = own_soak(BULGUR, SoakTried(done_minutes=said.minutes, water_c=14))
    assert own.factor == pytest.approx(1)
    assert own_soak_minutes(own, BULGUR, 6).minutes == pytest.approx(
        soak_food(BULGUR, 6).minutes or 0
    )
    assert own.findings == ()


@given(st.floats(1, 600), st.floats(0, 60), st.floats(0, 60))
def test_more_minutes_in_the_test_are_more_in_any_water(
    done: float, tested_c: float, water_c: float
) -> None:
    one, more = (
        own_soak_minutes(
            own_soak(BULGUR, SoakTried(done_minutes=m, water_c=tested_c)), BULGUR, water_c
        )
        for m in (done, done + 10)
    )
    for time in (one, more):
        assert time.minutes is not None
        assert time.low_minutes is not None
        assert time.high_minutes is not None
        assert time.low_minutes <= time.minutes * (1 + 1e-9) <= time.high_minutes * (1 + 2e-9)
    assert (more.minutes or 0) > (one.minutes or 0)


def test_a_test_far_from_the_pantry_is_doubted() -> None:
    (doubt,) = own_soak(BULGUR, SoakTried(done_minutes=5, water_c=11)).findings
    assert (doubt.rule, doubt.severity) == ("soak-test-far-off", "caution")
    assert "below" in doubt.text
    (doubt,) = own_soak(BULGUR, SoakTried(done_minutes=900, water_c=11)).findings
    assert "above" in doubt.text


def test_without_a_known_time_the_test_is_the_only_one() -> None:
    noodles = shipped_pantry().named("rice noodles")[0]
    own = own_soak(noodles, SoakTried(done_minutes=60, water_c=15))
    assert (own.factor, own.findings) == (None, ())
    assert own_soak_minutes(own, noodles, 15).minutes == 60


@pytest.mark.parametrize(
    ("tried", "code"),
    [
        (SoakTried(done_minutes=0, water_c=10), "soak-test-unusable"),
        (SoakTried(done_minutes=float("nan"), water_c=10), "soak-test-unusable"),
        (SoakTried(done_minutes=30, not_yet_minutes=30, water_c=10), "soak-test-unusable"),
        (SoakTried(done_minutes=30, not_yet_minutes=-1, water_c=10), "soak-test-unusable"),
        (SoakTried(done_minutes=1e6, water_c=10), "soak-test-unusable"),
        (SoakTried(done_minutes=30, water_c=-1), "water-too-cold"),
        (SoakTried(done_minutes=30, water_c=float("nan")), "water-too-cold"),
        (SoakTried(done_minutes=30, water_c=120), "water-too-hot"),
        (SoakTried(done_minutes=30, water_c=20, way="hot-pour"), "pour-too-cold"),
        (SoakTried(done_minutes=30, water_c=20, way="boil"), "way-without-soaking"),
    ],
)
def test_no_test_is_made_of_nonsense(tried: SoakTried, code: str) -> None:
    with pytest.raises(Mistake) as told:
        own_soak(LENTILS, tried)
    assert told.value.code == code
