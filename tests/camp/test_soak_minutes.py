"""Soak minutes of a food at a water temperature."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.camp.soaking.food import soak_food
from fellfare.camp.soaking.minutes import RAW, Activation, soak_minutes
from fellfare.camp.water import boil_at
from fellfare.mistake import Mistake
from fellfare.pantry.food import Food, Soak, Source
from fellfare.pantry.nutrients import Nutrients

RICE = Soak(way="cold-soak", minutes=45, most_minutes=60, at_c=20, water_ml_per_g=1.8)
POUR = Soak(way="hot-pour", minutes=6)
NAN = float("nan")


def food(**more: Any) -> Food:
    return Food(
        id="test-grain",
        name="test grain",
        group="grain",
        form=more.pop("form", "instant"),
        source=Source(kind="unknown", ref="invented"),
        per_100g=Nutrients(),
        **more,
    )


def test_colder_water_by_hand() -> None:
    # Ea 25 kJ/mol from 20 to 5 C: x1.74, 45 -> 78 min; at 10 C x1.44.
    assert soak_minutes(RICE, 5).minutes == pytest.approx(78.3, abs=0.2)
    assert soak_minutes(RICE, 10).factor == pytest.approx(1.44, abs=0.005)
    # Raw food, 40 kJ/mol from 20 to 10 C by hand: exp(4811 x 1.2047e-4) = 1.785.
    assert soak_minutes(RICE, 10, raw=True).factor == pytest.approx(1.785, abs=0.003)


def test_the_published_chickpea_slope() -> None:
    # Cimini 2021: 36 kJ/mol; from 20 to 10 C x1.68 by hand.
    chickpea = Activation(usual=36, low=30, high=42, source="Cimini 2021")
    assert soak_minutes(RICE, 10, activation=chickpea).factor == pytest.approx(1.68, abs=0.005)


def test_at_its_own_temperature_nothing_changes() -> None:
    told = soak_minutes(RICE, 20)
    assert (told.minutes, told.low_minutes, told.high_minutes) == (45, 45, 60)
    assert told.trust == told.temperature_trust == "common-practice"
    assert not told.extrapolated
    assert not told.spread_assumed


def test_the_result_says_what_is_kinetics_and_what_is_practice() -> None:
    measured = Soak(way="cold-soak", minutes=30, at_c=18, trust="measured", source="own jar")
    told = soak_minutes(measured, 8)
    assert (told.minutes_trust, told.minutes_source) == ("measured", "own jar")
    assert told.temperature_trust == "common-practice"
    assert "Arrhenius" in told.temperature_source
    assert told.trust == "common-practice"
    assert told.spread_assumed
    assert told.extrapolated  # 8 C is below the published 10 C
    same = soak_minutes(measured, 18)
    assert same.trust == "measured"
    assert same.high_minutes == pytest.approx(45)


@given(st.floats(0, 97), st.floats(0, 2), st.booleans())
def test_colder_water_never_soaks_faster(t_c: float, warmer: float, raw: bool) -> None:
    cold, warm = (soak_minutes(RICE, t, raw=raw) for t in (t_c, t_c + warmer))
    for one, other in (
        (cold.minutes, warm.minutes),
        (cold.low_minutes, warm.low_minutes),
        (cold.high_minutes, warm.high_minutes),
    ):
        assert one is not None
        assert other is not None
        assert one >= other - 1e-9


@given(st.floats(0, 99), st.booleans())
def test_the_band_holds_the_usual_time(t_c: float, raw: bool) -> None:
    told = soak_minutes(RICE, t_c, raw=raw)
    assert told.low_minutes is not None
    assert told.minutes is not None
    assert told.high_minutes is not None
    assert told.low_minutes <= told.minutes <= told.high_minutes


def test_a_pour_at_altitude_takes_longer() -> None:
    boils = boil_at(3000).boils_c
    there = soak_minutes(POUR, boils, boils_c=boils)
    # By hand: exp(25/0.0083145 x (1/363.13 - 1/373.12)) = 1.248.
    assert there.factor == pytest.approx(1.248, abs=0.003)
    assert soak_minutes(POUR, 99.974).minutes == 6


def test_a_food_is_asked_by_its_way() -> None:
    grain = food(soaks=(POUR, RICE))
    assert soak_food(grain, 20).minutes == 45
    assert soak_food(grain, 20).water_ml_per_g == 1.8
    assert soak_food(grain, 95, way="hot-pour").way == "hot-pour"
    raw = soak_food(food(form="raw-dry", soaks=(RICE,)), 10)
    assert raw.minutes == soak_minutes(RICE, 10, raw=True).minutes
    assert RAW.source in raw.temperature_source


def test_an_unknown_soak_stays_unknown() -> None:
    told = soak_food(food(), 20)
    assert told.minutes is None
    assert told.high_minutes is None
    assert told.trust == "unknown"


def test_nonsense_is_refused() -> None:
    no_temperature = Soak(way="cold-soak", minutes=10)
    calls: tuple[tuple[Callable[[], object], str], ...] = (
        (lambda: soak_minutes(RICE, -0.1), "water-too-cold"),
        (lambda: soak_minutes(RICE, NAN), "water-too-cold"),
        (lambda: soak_minutes(RICE, 101), "water-too-hot"),
        (lambda: soak_minutes(RICE, 95, boils_c=90), "water-too-hot"),
        (lambda: soak_minutes(RICE, 20, boils_c=212), "boiling-point-out-of-range"),
        (lambda: soak_minutes(RICE, 20, boils_c=NAN), "boiling-point-out-of-range"),
        (lambda: soak_minutes(POUR, 40), "pour-too-cold"),
        (lambda: soak_minutes(Soak(way="boil", minutes=9), 95), "way-without-soaking"),
        (lambda: soak_minutes(no_temperature, 20), "soak-without-temperature"),
        (
            lambda: soak_minutes(Soak(way="hot-pour", minutes=9, most_minutes=8), 95),
            "soak-minutes-nonsense",
        ),
        (lambda: soak_minutes(Soak(way="hot-pour", minutes=NAN), 95), "soak-minutes-nonsense"),
    )
    for call, code in calls:
        with pytest.raises(Mistake) as told:
            call()
        assert told.value.code == code


def test_the_mistake_names_the_food() -> None:
    with pytest.raises(Mistake) as told:
        soak_food(food(soaks=(RICE,)), -5)
    assert told.value.where == "test-grain"
