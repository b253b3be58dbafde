"""Latent heat: the release's verification values and a library."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS95

from fellfare.camp.steam import (
    evaporation_heat_kj_per_kg,
    liquid_density,
    steam_density,
    vapour_pressure_pa,
    vapour_pressure_slope,
)
from fellfare.camp.water import boil_at, saturation_temperature_k
from fellfare.mistake import Mistake

TABLE = Path(__file__).parents[1] / "reference" / "camp-iapws-sr1-86.csv"


def rows() -> list[dict[str, float]]:
    with TABLE.open(encoding="utf-8") as file:
        table = csv.DictReader(line for line in file if not line.startswith("#"))
        return [{key: float(value) for key, value in row.items()} for row in table]


@pytest.mark.parametrize("row", rows())
def test_verification_values_of_the_release(row: dict[str, float]) -> None:
    # Half of the last printed figure, and a tenth of it for the arithmetic.
    T = row["temperature_K"]
    assert vapour_pressure_pa(T) == pytest.approx(row["pressure_Pa"], abs=1.1 * row["half_Pa"])
    slope, half = row["slope_Pa_per_K"], row["half_slope"]
    assert vapour_pressure_slope(T) == pytest.approx(slope, abs=1.1 * half)
    density, half = row["liquid_kg_per_m3"], row["half_liquid"]
    assert liquid_density(T) == pytest.approx(density, abs=1.1 * half)
    density, half = row["steam_kg_per_m3"], row["half_steam"]
    assert steam_density(T) == pytest.approx(density, abs=1.1 * half)
    latent = row["steam_kJ_per_kg"] - row["liquid_kJ_per_kg"]
    assert evaporation_heat_kj_per_kg(T - 273.15) == pytest.approx(
        latent, abs=2.2 * row["half_enthalpy"]
    )


@pytest.mark.parametrize("altitude_m", [0, 1000, 2000, 3000, 4000, 8849])
def test_latent_heat_by_altitude_as_in_iapws_95(altitude_m: float) -> None:
    boils_c = boil_at(altitude_m).boils_c
    T = boils_c + 273.15
    latent = IAPWS95(T=T, x=1).h - IAPWS95(T=T, x=0).h
    assert evaporation_heat_kj_per_kg(boils_c) == pytest.approx(latent, abs=0.3)


@given(st.floats(273.16, 380))
def test_boiling_and_pressing_are_inverse(T: float) -> None:
    # Two releases, one backward and one forward equation: they agree to 5 mK.
    assert saturation_temperature_k(vapour_pressure_pa(T) / 1e6) == pytest.approx(T, abs=0.005)


@given(st.floats(1, 199))
def test_hotter_water_needs_less_to_evaporate(c: float) -> None:
    assert evaporation_heat_kj_per_kg(c + 1) < evaporation_heat_kj_per_kg(c)


@pytest.mark.parametrize("c", [0.0, 200.1, float("nan")])
def test_no_steam_there(c: float) -> None:
    with pytest.raises(Mistake) as told:
        evaporation_heat_kj_per_kg(c)
    assert told.value.code == "steam-out-of-range"
