"""Water for camp and the snow that gives it."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.camp.camp_water import SNOW_KG_PER_M3, WATER_NEEDS, snow_for, water_for
from fellfare.mistake import Mistake

NAN = float("nan")


def test_a_boiling_day_is_as_walkers_reckon_it() -> None:
    # Common practice: 1.2 to 1.8 L a person and day, boil style.
    day = water_for({"breakfast": 1, "dinner": 1, "hot-drink": 2, "washing": 1})
    assert 1200 <= day.low_ml <= day.high_ml <= 1800
    assert day.trust == "common-practice"


@given(st.integers(1, 30), st.sampled_from(sorted(WATER_NEEDS)), st.floats(0, 20))
def test_twice_the_people_twice_the_water(people: int, use: str, n: float) -> None:
    one = water_for({use: n}, people)  # type: ignore[dict-item]
    two = water_for({use: n}, 2 * people)  # type: ignore[dict-item]
    assert two.low_ml == pytest.approx(2 * one.low_ml)
    assert one.low_ml <= one.high_ml


def test_new_snow_is_mostly_air() -> None:
    # AMS Glossary of Meteorology: fresh snow 0.07 to 0.15 of water (seen in a public copy);
    # the usual ten to one lies inside our band.
    snow = snow_for(1000)
    assert snow.low_l <= 10 <= snow.high_l
    assert snow.snow_g == 1000


@given(st.sampled_from(sorted(SNOW_KG_PER_M3)), st.floats(0, 1e5))
def test_snow_volume_and_mass_agree(kind: str, ml: float) -> None:
    light, heavy = SNOW_KG_PER_M3[kind]
    snow = snow_for(ml, kind)
    assert snow.high_l * light == pytest.approx(ml)
    assert snow.low_l * heavy == pytest.approx(ml)


def test_nonsense_is_refused() -> None:
    calls: tuple[tuple[Callable[[], object], str], ...] = (
        (lambda: water_for({"bath": 1}), "unknown-water-use"),  # type: ignore[dict-item]
        (lambda: water_for({"dinner": -1}), "water-count-out-of-range"),
        (lambda: water_for({"dinner": NAN}), "water-count-out-of-range"),
        (lambda: water_for({"dinner": 1}, 0), "water-count-out-of-range"),
        (lambda: snow_for(-1), "water-count-out-of-range"),
        (lambda: snow_for(NAN), "water-count-out-of-range"),
        (lambda: snow_for(1, "yellow"), "unknown-snow"),
    )
    for call, code in calls:
        with pytest.raises(Mistake) as told:
            call()
        assert told.value.code == code
