"""Air pressure against two libraries and a printed table."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from ambiance import Atmosphere
from fluids import ATMOSPHERE_1976
from hypothesis import given
from hypothesis import strategies as st

from fellfare.camp.air import air_pressure_pa, geopotential_height_m, standard_pressure_pa
from fellfare.mistake import Mistake

TABLE = Path(__file__).parents[1] / "reference" / "camp-extension-pressure.csv"


def printed() -> list[tuple[float, float]]:
    with TABLE.open(encoding="utf-8") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return [(float(r["altitude_ft"]), float(r["pressure_psi"])) for r in rows]


@pytest.mark.parametrize("altitude_m", [-400, 0, 500, 1524, 3000, 4500, 6000, 8849])
def test_two_libraries_agree_on_the_pressure(altitude_m: float) -> None:
    # ambiance (ICAO Doc 7488) and fluids (USSA 1976): R* differs in the 7th
    # figure between the two standards, so 0.2 Pa is as near as they come.
    ours = air_pressure_pa(altitude_m)
    assert ours == pytest.approx(float(Atmosphere(altitude_m).pressure[0]), abs=0.2)
    assert ours == pytest.approx(float(ATMOSPHERE_1976(altitude_m).P), abs=0.2)


@pytest.mark.parametrize(("feet", "psi"), printed())
def test_the_printed_table_of_an_extension_service(feet: float, psi: float) -> None:
    # Printed to 0.1 psi; its two upper rows are rounded up, hence 0.1.
    assert air_pressure_pa(feet * 0.3048) / 6894.757 == pytest.approx(psi, abs=0.1)


def test_geopotential_of_the_standard_s_own_table() -> None:
    # USSA 1976, table I: Z = 5 000 m is H = 4 996 m', Z = 11 000 m is 10 981 m'.
    # From memory; printed to 1 m'.
    assert geopotential_height_m(5_000) == pytest.approx(4_996, abs=0.5)
    assert geopotential_height_m(11_000) == pytest.approx(10_981, abs=0.5)


def test_tropopause_pressure() -> None:
    # USSA 1976: 22 632 Pa at 11 000 m' (226.32 mb), from memory, printed to 1 Pa.
    assert standard_pressure_pa(11_000) == pytest.approx(22_632, abs=0.6)


@given(st.floats(-430, 8_900), st.floats(1, 100))
def test_higher_is_thinner(altitude_m: float, up_m: float) -> None:
    assert air_pressure_pa(altitude_m + up_m) < air_pressure_pa(altitude_m)


@given(st.floats(-430, 9_000), st.floats(-50, 50))
def test_weather_adds_to_it(altitude_m: float, hpa: float) -> None:
    shift = air_pressure_pa(altitude_m, hpa) - air_pressure_pa(altitude_m)
    assert shift == pytest.approx(100 * hpa, abs=1e-6)


@pytest.mark.parametrize("altitude_m", [-431.0, 9_000.5, 29_029.0, float("nan"), float("inf")])
def test_no_walk_goes_there(altitude_m: float) -> None:
    with pytest.raises(Mistake) as told:
        air_pressure_pa(altitude_m)
    assert told.value.code == "altitude-out-of-range"


@pytest.mark.parametrize("hpa", [-50.1, 1013.25, float("nan")])
def test_no_weather_is_like_that(hpa: float) -> None:
    with pytest.raises(Mistake) as told:
        air_pressure_pa(1000, hpa)
    assert told.value.code == "weather-out-of-range"
