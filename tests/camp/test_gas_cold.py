"""Vapour pressures of canister gas against reference equations of state."""

from __future__ import annotations

from math import log

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from fellfare.camp.air import air_pressure_pa
from fellfare.camp.fuel.fuels import find_fuel, gas_mix
from fellfare.camp.fuel.vapour import (
    gas_in_cold,
    gas_pressure_kpa,
    lowest_temperature_c,
    mix_after_use,
    mix_pressure_kpa,
)
from fellfare.mistake import Mistake

COOLPROP = {"propane": "Propane", "isobutane": "IsoButane", "butane": "n-Butane"}
MIXES = [gas_mix({"propane": 20, "isobutane": 80}), gas_mix({"propane": 30, "butane": 70})]
NAN = float("nan")


@pytest.mark.parametrize("gas", sorted(COOLPROP))
@pytest.mark.parametrize("t_c", [-40, -30, -20, -15, -10, -5, 0, 10, 20, 40, 50])
def test_reference_equations_of_state(gas: str, t_c: float) -> None:
    # Lemmon 2009, Buecker and Wagner 2006 through CoolProp: 1.8 % is about half a kelvin.
    reference = PropsSI("P", "T", t_c + 273.15, "Q", 0, COOLPROP[gas]) / 1000
    assert gas_pressure_kpa(gas, t_c) == pytest.approx(reference, rel=0.018)


@pytest.mark.parametrize("gas", sorted(COOLPROP))
@pytest.mark.parametrize("altitude_m", [0, 2000, 3000, 5000])
def test_pure_gas_stops_at_its_boiling_point(gas: str, altitude_m: float) -> None:
    pa = air_pressure_pa(altitude_m)
    boils = PropsSI("T", "P", pa, "Q", 0, COOLPROP[gas]) - 273.15
    assert lowest_temperature_c(((gas, 1.0),), pa) == pytest.approx(boils, abs=0.5)


@pytest.mark.parametrize(("number", "kpa"), [(0, 236), (1, 237)])
def test_raoult_by_hand_at_freezing(number: int, kpa: float) -> None:
    # 20/80 propane/isobutane: x = 0.2479, 0.2479 x 474.5 + 0.7521 x 157.0 = 235.7 kPa;
    # 30/70 propane/n-butane: x = 0.3610, 237.2; pressures of the reference equations, 1 %.
    assert mix_pressure_kpa(MIXES[number].mix, 0) == pytest.approx(kpa, rel=0.012)


@given(st.sampled_from(sorted(COOLPROP)), st.floats(-75, 49))
def test_warmer_gas_presses_harder(gas: str, t_c: float) -> None:
    # One kelvin, so that the join of two published fits does not matter.
    assert gas_pressure_kpa(gas, t_c + 1) > gas_pressure_kpa(gas, t_c)


@given(st.floats(0, 1), st.floats(-40, 40))
def test_a_mix_presses_between_its_gases(share: float, t_c: float) -> None:
    mix = gas_mix({"propane": share, "butane": 1 - share}).mix
    low, high = gas_pressure_kpa("butane", t_c), gas_pressure_kpa("propane", t_c)
    assert low - 1e-9 <= mix_pressure_kpa(mix, t_c) <= high + 1e-9


@given(st.floats(0, 0.98), st.floats(0.001, 0.01), st.sampled_from([0, 1]), st.floats(-10, 30))
def test_the_light_gas_leaves_first(used: float, more: float, number: int, t_c: float) -> None:
    before = dict(mix_after_use(MIXES[number].mix, used, t_c))
    after = dict(mix_after_use(MIXES[number].mix, used + more, t_c))
    assert sum(after.values()) == pytest.approx(1)
    assert after["propane"] < before["propane"]


def test_drawing_vapour_step_by_step_gives_the_same_rest() -> None:
    """Rayleigh's closed law against a plain sum of many small sips."""
    masses = {"propane": 0.3, "butane": 0.7}
    molar = {"propane": 44.097, "butane": 58.124}
    pressure = {gas: gas_pressure_kpa(gas, 5) for gas in masses}
    left, steps = dict(masses), 20_000
    for _ in range(steps // 2):
        partial = {gas: left[gas] / molar[gas] * pressure[gas] for gas in left}
        vapour = {gas: partial[gas] * molar[gas] for gas in left}
        whole = sum(vapour.values())
        left = {gas: left[gas] - vapour[gas] / whole / steps for gas in left}
    summed = left["propane"] / sum(left.values())
    closed = dict(mix_after_use(tuple(masses.items()), 0.5, 5))["propane"]
    assert closed == pytest.approx(summed, abs=2e-4)
    # And the law itself: ln n1/n10 : ln n2/n20 = p1 : p2.
    ratio = log(0.5 * closed / 0.3) / log(0.5 * (1 - closed) / 0.7)
    assert ratio == pytest.approx(pressure["propane"] / pressure["butane"], rel=1e-6)


def test_altitude_helps_the_canister() -> None:
    low, high = (gas_in_cold(find_fuel("gas"), altitude) for altitude in (0, 4000))
    assert high.fresh_c < low.fresh_c
    assert high.empty_c < low.empty_c
    # Isobutane boils at -11.7 C at sea level (handbooks); 5 K margin.
    assert low.empty_c == pytest.approx(-11.7, abs=0.3)
    assert low.caution_below_c == pytest.approx(-6.7, abs=0.3)
    assert low.fresh_c < low.last_third_c < low.empty_c


@pytest.mark.parametrize(
    ("coldest", "severities"),
    [(None, []), (0, []), (-6, []), (-8, ["caution"]), (-20, ["caution"]), (-40, ["error"]),
     (NAN, ["error"])],
)  # fmt: skip
def test_when_the_cold_is_told(coldest: float | None, severities: list[str]) -> None:
    told = gas_in_cold(find_fuel("gas"), 0, coldest).findings
    assert [finding.severity for finding in told] == severities


def test_nonsense_is_refused() -> None:
    mix = MIXES[0].mix
    for call, code in (
        (lambda: gas_pressure_kpa("neon", 0), "unknown-gas"),
        (lambda: gas_pressure_kpa("butane", 51), "gas-temperature-out-of-range"),
        (lambda: gas_pressure_kpa("butane", NAN), "gas-temperature-out-of-range"),
        (lambda: lowest_temperature_c(mix, 1013.25), "pressure-out-of-range"),
        (lambda: lowest_temperature_c(mix, NAN), "pressure-out-of-range"),
        (lambda: lowest_temperature_c((), 1e5), "gas-mix-unclear"),
        (lambda: mix_pressure_kpa((("butane", NAN),), 0), "gas-mix-unclear"),
        (lambda: mix_pressure_kpa((("butane", 0.0),), 0), "gas-mix-unclear"),
        (lambda: mix_after_use(mix, 1.0, 0), "share-used-out-of-range"),
        (lambda: mix_after_use(mix, NAN, 0), "share-used-out-of-range"),
        (lambda: gas_in_cold(find_fuel("ethanol"), 0), "gas-mix-unclear"),
    ):
        with pytest.raises(Mistake) as told:
            call()
        assert told.value.code == code
