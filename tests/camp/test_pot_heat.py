"""Heat into the pot: enthalpies of IAPWS-95, hand calculations, and adding up."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS95, _Ice

from fellfare.camp.heat import (
    DRY_FOOD_KJ_PER_KG_K,
    FUSION_KJ_PER_KG,
    Heat,
    Pot,
    boiled_off_g,
    heat_needed,
)
from fellfare.camp.water import boil_at
from fellfare.mistake import Mistake


@pytest.mark.parametrize("altitude_m", [0, 1000, 2000, 3000, 4000])
@pytest.mark.parametrize("start_c", [5, 10, 20])
def test_one_heat_capacity_is_good_enough(altitude_m: float, start_c: float) -> None:
    # Against the enthalpies of IAPWS-95 at 101 325 Pa / saturation: 0.1 %.
    boils = boil_at(altitude_m).boils_c
    exact = IAPWS95(T=boils + 273.15, x=0).h - IAPWS95(T=start_c + 273.15, P=0.101325).h
    assert heat_needed(1000, start_c, boils).water_kj == pytest.approx(exact, rel=1e-3)


def test_melting_ice_as_in_iapws_06() -> None:
    # IAPWS R10-06: enthalpy of melting at 273.1525 K is 333.4 kJ/kg; CRC 333.55 (from memory).
    ice = _Ice(273.152519, 0.101325)
    water = IAPWS95(T=273.152519, P=0.101325)
    assert pytest.approx(water.h - ice["h"], abs=0.3) == FUSION_KJ_PER_KG


def test_pots_by_hand() -> None:
    # CRC specific heats over 90 K: 120 g Al 9.7, 100 g Ti 4.7, 200 g steel 9.0 kJ.
    for material, mass, kj in (("aluminium", 120, 9.7), ("titanium", 100, 4.7), ("steel", 200, 9)):
        pot = Pot(material=material, mass_g=mass)  # type: ignore[arg-type]
        assert heat_needed(0, 10, 100, pot=pot).total_kj == pytest.approx(kj, abs=0.05)


def test_snow_costs_twice_at_three_thousand_metres() -> None:
    # By hand: 2.1 x 10 + 333.55 = 354.6; + 4.186 x 89.977 = 731.2 kJ/kg; against
    # 5 C water 355.7: 2.06 times.
    boils = boil_at(3000).boils_c
    snow = heat_needed(0, 0, boils, snow_g=1000, snow_c=-10)
    assert snow.melt_kj == pytest.approx(354.55, abs=0.05)
    assert snow.total_kj == pytest.approx(731.2, abs=0.1)
    assert snow.total_kj / heat_needed(1000, 5, boils).total_kj == pytest.approx(2.06, abs=0.005)


def test_a_simmer_of_a_hundred_watts() -> None:
    # By hand: 60 kJ / 2256.5 kJ/kg = 26.6 g in ten minutes; 50 g cost 113 kJ.
    assert boiled_off_g(100, 10, 99.974) == pytest.approx(26.6, abs=0.05)
    gone = heat_needed(500, 99.974, 99.974, boiled_off_g=50)
    assert gone.total_kj == gone.evaporation_kj == pytest.approx(112.8, abs=0.05)


def test_dry_food_like_macaroni() -> None:
    # Handbook: macaroni of 12.5-13.5 % water 1.84 to 1.88 kJ/(kg K)
    # (Ordinanz 1946, table in Geankoplis, seen in a public copy).
    assert 1.84 <= DRY_FOOD_KJ_PER_KG_K <= 1.88
    assert heat_needed(0, 0, 100, food_g=100).food_kj == pytest.approx(18.8)


def test_loss_is_power_times_time() -> None:
    assert heat_needed(0, 10, 10, loss_w=50, minutes=10).loss_kj == pytest.approx(30)


@given(st.floats(0, 5000), st.floats(0, 40), st.floats(0, 1), st.floats(60, 100), st.floats(0, 2e3))
def test_splitting_the_heat_adds_up(
    water_g: float, start_c: float, part: float, to_c: float, food_g: float
) -> None:
    middle = start_c + part * (to_c - start_c)
    pot = Pot(material="titanium", mass_g=100)
    whole = heat_needed(water_g, start_c, to_c, pot=pot, food_g=food_g)
    first = heat_needed(water_g, start_c, middle, pot=pot, food_g=food_g)
    second = heat_needed(water_g, middle, to_c, pot=pot, food_g=food_g)
    assert (first + second).total_kj == pytest.approx(whole.total_kj, abs=1e-6)


@given(st.floats(0, 2000), st.floats(0, 2000), st.floats(-40, 0), st.floats(0, 100))
def test_two_pots_make_one(one_g: float, other_g: float, snow_c: float, to_c: float) -> None:
    both = heat_needed(0, 0, to_c, snow_g=one_g + other_g, snow_c=snow_c)
    one = heat_needed(0, 0, to_c, snow_g=one_g, snow_c=snow_c)
    other = heat_needed(0, 0, to_c, snow_g=other_g, snow_c=snow_c)
    assert both.total_kj == pytest.approx(one.total_kj + other.total_kj, abs=1e-6)


def test_items_make_the_total() -> None:
    heat = Heat(water_kj=1, pot_kj=2, food_kj=4, melt_kj=8, evaporation_kj=16, loss_kj=32)
    assert heat.total_kj == 63
    assert heat.water_only_kj == 9


NAN = float("nan")


@pytest.mark.parametrize(
    ("args", "extra", "code"),
    [
        ((-1, 10, 90), {}, "heat-input-out-of-range"),
        ((NAN, 10, 90), {}, "heat-input-out-of-range"),
        ((1, NAN, 90), {}, "heat-input-out-of-range"),
        ((1, -1, 90), {}, "heat-input-out-of-range"),
        ((1, 10, 212), {}, "heat-input-out-of-range"),
        ((1, 90, 10), {}, "temperatures-reversed"),
        ((1, 10, 90), {"snow_c": 1}, "heat-input-out-of-range"),
        ((1, 10, 90), {"snow_c": NAN}, "heat-input-out-of-range"),
        ((1, 10, 90), {"snow_g": -1}, "heat-input-out-of-range"),
        ((1, 10, 90), {"food_g": NAN}, "heat-input-out-of-range"),
        ((1, 10, 90), {"loss_w": -1}, "heat-input-out-of-range"),
        ((1, 10, 90), {"boiled_off_g": 2}, "more-boiled-off-than-there-is"),
        ((1, 10, 90), {"pot": Pot(material="steel", mass_g=-1)}, "heat-input-out-of-range"),
    ],
)
def test_nonsense_is_refused(args: Any, extra: Any, code: str) -> None:
    with pytest.raises(Mistake) as told:
        heat_needed(*args, **extra)
    assert told.value.code == code
