"""Fuel for a heat: hand calculations, physical floors, calibration."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.camp.fuel.efficiency import (
    STOVES,
    WIND_FACTOR,
    calibrate_efficiency,
    check_efficiency,
    efficiency,
)
from fellfare.camp.fuel.fuels import FUELS, Fuel, find_fuel
from fellfare.camp.fuel.need import (
    check_fuel,
    fuel_floor_g,
    fuel_mass_g,
    fuel_need,
    fuel_to_boil,
)
from fellfare.camp.heat import WATER_KJ_PER_KG_K, Pot, heat_needed
from fellfare.mistake import Mistake

ALUMINIUM_120 = Pot(material="aluminium", mass_g=120)
NAN = float("nan")
fuels = st.sampled_from(sorted(FUELS)).map(find_fuel)


@pytest.mark.parametrize(
    ("fuel", "eta", "grams"),
    # 1 kg 10 -> 100 C with 120 g aluminium (386 kJ) over LHV, by hand from handbook
    # heats: LHV 45.2, 26.8, 19.9, 44.6, 28.1, 30.5 kJ/g; to 1 %.
    [
        ("isobutane", 1.0, 8.55), ("isobutane", 0.5, 17.1), ("ethanol", 0.6, 24.0),
        ("methanol", 0.4, 48.5), ("white-gas", 0.5, 17.3), ("hexamine", 0.3, 45.9),
        ("2-propanol", 0.7, 18.1),
    ],
)  # fmt: skip
def test_grams_for_one_litre_by_hand(fuel: str, eta: float, grams: float) -> None:
    heat = heat_needed(1000, 10, 100, pot=ALUMINIUM_120)
    assert fuel_mass_g(heat.total_kj, find_fuel(fuel), eta) == pytest.approx(grams, rel=0.01)


def test_a_day_with_two_boils_by_hand() -> None:
    # 2 x 0.5 L from 8 C at 2 000 m, 120 g Al, eta 0.5: water 357.1 + pot 18.4 = 375.5 kJ;
    # / (0.5 x 45.23) = 16.6 g.
    boil = fuel_to_boil(0.5, 8, 2000, find_fuel("isobutane"), 0.5, ALUMINIUM_120)
    assert 2 * boil.heat.water_kj == pytest.approx(357.1, abs=0.2)
    assert 2 * boil.heat.pot_kj == pytest.approx(18.4, abs=0.05)
    assert 2 * boil.fuel_g == pytest.approx(16.6, abs=0.05)


def test_grams_per_litre_that_walkers_weigh() -> None:
    # Common practice: gas 10 to 15 g per litre with lid and screen, spirit 40 to 50 g.
    gas = fuel_to_boil(1, 10, 0, find_fuel("gas"), efficiency("gas-screened"))
    alcohol = fuel_to_boil(1, 10, 0, find_fuel("spirit-95"), efficiency("spirit"))
    assert gas.low_g < 15 < gas.high_g
    assert 30 < alcohol.fuel_g < 50
    assert gas.trust == alcohol.trust == "common-practice"


def test_winter_snow_about_doubles_the_fuel() -> None:
    gas = find_fuel("gas")
    water = fuel_to_boil(1, 5, 3000, gas, 0.5)
    snow = fuel_to_boil(1, 5, 3000, gas, 0.5, snow_share=1, snow_c=-10)
    assert snow.fuel_g / water.fuel_g == pytest.approx(2.06, abs=0.01)


@pytest.mark.parametrize(
    ("fuel", "impossible", "condensing"),
    # Grams per litre and kelvin, by hand from handbook heats of combustion: 4.186/HHV, 4.186/LHV.
    [("propane", 0.083, 0.091), ("isobutane", 0.085, 0.093), ("ethanol", 0.137, 0.156),
     ("methanol", 0.175, 0.210)],
)  # fmt: skip
def test_floors_by_hand(fuel: str, impossible: float, condensing: float) -> None:
    one = find_fuel(fuel)
    assert fuel_floor_g(4.186, one) == pytest.approx(impossible, abs=0.0006)
    assert 4.186 / one.lhv_kj_per_g == pytest.approx(condensing, abs=0.0006)


def test_a_circulating_rule_is_impossible() -> None:
    # '4 to 8 g of gas a day for two hot meals' (1 L from 10 C): circulates, below the floor.
    heat = heat_needed(1000, 10, 99.974)
    told = check_fuel(6, heat.water_only_kj, find_fuel("gas"))
    assert [finding.rule for finding in told] == ["fuel-below-floor"]
    assert told[0].severity == "error"


@given(fuels, st.floats(10, 1e5), st.floats(0.01, 3))
def test_floors_fire_where_they_should(fuel: Fuel, heat_kj: float, of_floor: float) -> None:
    grams = of_floor * fuel_floor_g(heat_kj, fuel)
    rules = [(f.rule, f.severity) for f in check_fuel(grams, heat_kj, fuel)]
    if of_floor < 0.999:
        assert rules == [("fuel-below-floor", "error")]
    elif of_floor > 1.001:
        needs_condensing = grams < heat_kj / fuel.lhv_kj_per_g
        assert rules == ([("fuel-needs-condensing", "caution")] if needs_condensing else [])


def test_an_unknown_amount_of_fuel_is_not_enough() -> None:
    assert check_fuel(NAN, 100, find_fuel("gas"))[0].severity == "error"


@given(st.floats(0.05, 0.95), st.floats(0.001, 0.04), st.floats(0.1, 5), st.floats(0, 30))
def test_better_stoves_burn_less_and_never_below_the_floor(
    eta: float, better: float, litres: float, start_c: float
) -> None:
    gas = find_fuel("gas")
    one = fuel_to_boil(litres, start_c, 1500, gas, eta, ALUMINIUM_120)
    other = fuel_to_boil(litres, start_c, 1500, gas, eta + better, ALUMINIUM_120)
    assert other.fuel_g < one.fuel_g
    assert other.fuel_g > other.floor_g
    assert not [f for f in other.findings if f.rule.startswith("fuel")]


def test_more_than_perfect_is_an_error() -> None:
    need = fuel_to_boil(1, 10, 0, find_fuel("gas"), 1.2)
    assert {f.rule for f in need.findings if f.severity == "error"} >= {"efficiency-over-one"}
    assert [f.severity for f in check_efficiency(0.9)] == ["caution"]
    assert check_efficiency(0.65) == ()


def test_calibration_by_hand() -> None:
    # 0.5 L, 15 -> 99 C, 7.5 g isobutane: 175.8/(7.5 x 45.2) = 0.52.
    own = calibrate_efficiency(find_fuel("isobutane"), 7.5, 500, 15, 99)
    assert own.eta == pytest.approx(0.52, abs=0.005)
    assert own.low < own.eta < own.high
    assert own.trust == "measured"


@given(fuels, st.floats(0.2, 0.79), st.floats(200, 3000), st.floats(0, 40))
def test_calibration_finds_a_known_efficiency_again(
    fuel: Fuel, eta: float, water_g: float, start_c: float
) -> None:
    heat = heat_needed(water_g, start_c, 95, pot=ALUMINIUM_120)
    burnt = fuel_mass_g(heat.total_kj, fuel, eta)
    own = calibrate_efficiency(fuel, burnt, water_g, start_c, 95, ALUMINIUM_120, scale_step_g=0.1)
    assert own.eta == pytest.approx(eta, rel=1e-9)
    assert own.findings == ()


def test_a_weighed_boil_too_good_to_be_true() -> None:
    own = calibrate_efficiency(find_fuel("isobutane"), 3.0, 500, 15, 99)
    assert [f.rule for f in own.findings] == ["efficiency-over-one"]


@pytest.mark.parametrize("stove", sorted(STOVES))
@pytest.mark.parametrize("wind", sorted(WIND_FACTOR))
def test_wind_never_helps_and_classes_are_plausible(stove: str, wind: str) -> None:
    at = efficiency(stove, wind)  # type: ignore[arg-type]
    assert 0 < at.low <= at.eta <= at.high <= 0.75
    assert at.eta <= efficiency(stove).eta
    assert "common practice" in at.source


def test_unknown_make_up_widens_the_band() -> None:
    heat = heat_needed(500, 10, 99)
    known = fuel_need(heat, find_fuel("spirit-95"), 0.45)
    unknown = fuel_need(heat, find_fuel("denatured-spirit"), 0.45)
    assert known.low_g == pytest.approx(known.high_g)
    assert unknown.low_g < unknown.fuel_g < unknown.high_g


def test_heat_of_water_is_one_number() -> None:
    assert heat_needed(1000, 0, 1).total_kj == WATER_KJ_PER_KG_K


def test_nonsense_is_refused() -> None:
    gas = find_fuel("gas")
    for call, code in (
        (lambda: fuel_mass_g(100, gas, 0), "efficiency-out-of-range"),
        (lambda: fuel_mass_g(100, gas, 50), "efficiency-out-of-range"),
        (lambda: fuel_mass_g(100, gas, NAN), "efficiency-out-of-range"),
        (lambda: fuel_mass_g(NAN, gas, 0.5), "heat-input-out-of-range"),
        (lambda: fuel_to_boil(1, 10, 0, gas, 0.5, snow_share=2), "heat-input-out-of-range"),
        (lambda: fuel_to_boil(NAN, 10, 0, gas, 0.5), "heat-input-out-of-range"),
        (lambda: calibrate_efficiency(gas, 0, 500, 15, 99), "fuel-mass-out-of-range"),
        (lambda: calibrate_efficiency(gas, NAN, 500, 15, 99), "fuel-mass-out-of-range"),
        (lambda: calibrate_efficiency(gas, 5, 500, 15, 99, None, 5), "scale-too-coarse"),
        (lambda: efficiency("campfire"), "unknown-stove"),
        (lambda: efficiency("spirit", "gale"), "unknown-wind"),  # type: ignore[arg-type]
    ):
        with pytest.raises(Mistake) as told:
            call()
        assert told.value.code == code
