"""Boiling point: the release, two libraries, field readings, printed tables."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st
from iapws.iapws97 import _TSat_P

from fellfare.camp.water import boil_at, boiling_point_c, saturation_temperature_k
from fellfare.mistake import Mistake

REFERENCE = Path(__file__).parents[1] / "reference"
OUTLIER_F = "204.6"  # Forbes' well-known misreading, 1.4 F off the line of all others
INCH_OF_MERCURY_PA = 3386.389  # at 32 F, NIST SP 811 (2008) B.8


def rows(name: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def fahrenheit(c: float) -> float:
    return c * 1.8 + 32.0


@pytest.mark.parametrize("row", rows("camp-iapws-r7-97-table-36.csv"))
def test_published_values_of_the_release(row: dict[str, str]) -> None:
    # Printed to 9 figures: half of the last one is 5e-7 K.
    kelvin = saturation_temperature_k(float(row["pressure_MPa"]))
    assert kelvin == pytest.approx(float(row["temperature_K"]), abs=5.1e-7)


@pytest.mark.parametrize("pa", [20_000, 31_501, 54_048, 79_501, 101_325, 115_000])
def test_two_libraries_agree_on_the_boiling_point(pa: float) -> None:
    ours = boiling_point_c(pa)
    assert ours == pytest.approx(float(_TSat_P(pa / 1e6)) - 273.15, abs=1e-8)
    # IAPWS-95, another formulation: the two differ by a few mK.
    assert ours == pytest.approx(PropsSI("T", "P", pa, "Q", 0, "Water") - 273.15, abs=0.005)


@pytest.mark.parametrize("observer", ["hooker", "forbes"])
def test_field_readings_of_the_nineteenth_century(observer: str) -> None:
    """Thermometer and barometer on mountains, Forbes 1857: independent of every equation."""
    misses = [
        float(row["boils_f"])
        - fahrenheit(boiling_point_c(float(row["pressure_inhg"]) * INCH_OF_MERCURY_PA))
        for row in rows("camp-hooker-forbes-1857.csv")
        if row["observer"] == observer
        and (row["boils_f"], row["pressure_inhg"]) != ("204.6", "26.57")
    ]
    # Instruments of the day were read to 0.1 F and stood about 0.5 F apart.
    assert len(misses) in (31, 16)
    assert max(abs(miss) for miss in misses) < 0.8
    assert abs(sum(misses) / len(misses)) < 0.2


@pytest.mark.parametrize("row", rows("camp-extension-boiling.csv"))
def test_tables_printed_for_cooks(row: dict[str, str]) -> None:
    ours = boil_at(float(row["altitude_ft"]) * 0.3048).boils_c
    if row["unit"] == "F":  # whole degrees, and two sources differ by 1 F
        assert fahrenheit(ours) == pytest.approx(float(row["boils"]), abs=1.0)
    else:  # tenths, of unknown origin; its 2 000 ft row is off by 0.15
        assert ours == pytest.approx(float(row["boils"]), abs=0.16)


@given(st.floats(0, 6_000))
def test_the_rule_of_three_hundred_metres(altitude_m: float) -> None:
    # Common rule: 1 C less for each 300 m; good to about 0.1 C up to 6 000 m.
    assert boil_at(altitude_m).boils_c == pytest.approx(100 - altitude_m / 300, abs=0.12)


@given(st.floats(20_000, 114_000))
def test_more_pressure_is_hotter(pa: float) -> None:
    assert boiling_point_c(pa + 1_000) > boiling_point_c(pa)


@given(st.floats(-430, 8_990), st.floats(1, 10))
def test_boiling_point_falls_with_altitude(altitude_m: float, up_m: float) -> None:
    assert boil_at(altitude_m + up_m).boils_c < boil_at(altitude_m).boils_c


@given(st.floats(-430, 9_000), st.floats(-50, 50), st.floats(0, 50))
def test_the_band_holds_the_answer(altitude_m: float, hpa: float, band: float) -> None:
    there = boil_at(altitude_m, hpa, band)
    assert there.low_c <= there.boils_c <= there.high_c


def test_thirty_hectopascal_are_about_one_degree() -> None:
    # +-0.83 C at sea level, +-1.1 C at 3 000 m: slope dT/dp of the steam tables.
    sea, high = boil_at(0), boil_at(3000)
    assert (sea.high_c - sea.low_c) / 2 == pytest.approx(0.83, abs=0.02)
    assert (high.high_c - high.low_c) / 2 == pytest.approx(1.1, abs=0.05)


@pytest.mark.parametrize("pa", [0.0, 1013.25, 115_001, float("nan"), float("inf")])
def test_outside_its_range_it_refuses(pa: float) -> None:
    with pytest.raises(Mistake) as told:
        boiling_point_c(pa)
    assert told.value.code == "pressure-out-of-range"


def test_a_band_of_nonsense_is_refused() -> None:
    with pytest.raises(Mistake) as told:
        boil_at(0, 0, float("nan"))
    assert told.value.code == "weather-out-of-range"
