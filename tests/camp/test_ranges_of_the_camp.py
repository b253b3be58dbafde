"""Ranges as the docstrings and mends state them: the ends are inside, a little more is outside."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from CoolProp.CoolProp import PropsSI

from fellfare.camp.air import air_pressure_pa
from fellfare.camp.camp_water import snow_for, water_for
from fellfare.camp.canister_steps import lightest_set
from fellfare.camp.cooking import cooking_minutes, cooking_time_factor
from fellfare.camp.fuel.canister import CanisterSize, canisters
from fellfare.camp.fuel.efficiency import STOVES, calibrate_efficiency
from fellfare.camp.fuel.fuels import ethanol, find_fuel, gas_mix, wood
from fellfare.camp.fuel.need import check_fuel, fuel_mass_g, fuel_to_boil
from fellfare.camp.fuel.spirit import mass_fraction_of_spirit
from fellfare.camp.fuel.vapour import (
    gas_in_cold,
    gas_pressure_kpa,
    lowest_temperature_c,
    mix_after_use,
    mix_pressure_kpa,
)  # fmt: skip
from fellfare.camp.heat import Pot, heat_needed
from fellfare.camp.kitchen import Dish, kitchen_plan
from fellfare.camp.soaking.minutes import soak_minutes
from fellfare.camp.soaking.peleg import read_soak_test
from fellfare.camp.soaking.published import PUBLISHED
from fellfare.camp.soaking.sphere import sphere_soak_minutes
from fellfare.camp.soaking.tried import SoakTried, own_soak
from fellfare.camp.steam import evaporation_heat_kj_per_kg
from fellfare.camp.stoveless import extra_food_g_per_day
from fellfare.camp.timetable import Span, WaterPoint, wetting_window
from fellfare.camp.water import boil_at, boiling_point_c
from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.pantry.food import Soak

PANTRY = shipped_pantry()
GAS = find_fuel("isobutane")
CUP = Pot(material="aluminium", mass_g=120)
ISOBUTANE = (("isobutane", 1.0),)


def can(net_g: float) -> CanisterSize:
    return CanisterSize(net_g=net_g, tare_low_g=100.0, tare_high_g=150.0)


def soak(**more: Any) -> Soak:
    given: dict[str, Any] = {"way": "cold-soak", "minutes": 45, "most_minutes": 60, "at_c": 20}
    return Soak(**{**given, **more})


def cook(net_w: float = 1000.0, simmer_w: float = 100.0, **more: float) -> object:
    change = more.pop("change_minutes", 1.0)
    dish: dict[str, Any] = {"name": "a", "water_g": 500.0, "simmer_minutes": 5.0, **more}
    return kitchen_plan((Dish(**dish),), start_c=10.0, altitude_m=0.0, fuel=GAS, efficiency=0.5,
                        net_w=net_w, pot=CUP, simmer_w=simmer_w, change_minutes=change)  # fmt: skip


def window(hold: float = 240.0, meal: float = 20.0, late: float = 1110.0) -> object:
    return wetting_window(Span(early=1050, late=late), Span(early=40, late=75), hold,
                          meal_minutes=meal)  # fmt: skip


#: What is asked, a good value at the end of its range, and one outside of it.
ENDS: list[tuple[Callable[[Any], object], Any, Any]] = [
    (lambda x: air_pressure_pa(x), -430.0, -431.0),
    (lambda x: air_pressure_pa(x), 9000.0, 9001.0),
    (lambda x: air_pressure_pa(0, x), -50.0, -50.1),
    (lambda x: air_pressure_pa(0, x), 50.0, 50.1),
    (lambda x: boil_at(0, band_hpa=x), 50.0, 50.1),
    (lambda x: boil_at(0, band_hpa=x), 0.0, -0.1),
    (lambda x: boiling_point_c(x), 20_000.0, 19_999.0),
    (lambda x: boiling_point_c(x), 115_000.0, 115_001.0),
    (lambda x: water_for({"washing": 1}, people=x), 1, 0),
    (lambda x: water_for({"washing": 1}, people=x), 10_000, 10_001),
    (lambda x: water_for({"washing": x}), 0.0, -0.1),
    (lambda x: water_for({"washing": x}), 1000.0, 1000.1),
    (lambda x: snow_for(x), 0.0, -1.0),
    (lambda x: snow_for(x), 1e6, 1e6 + 1),
    (lambda x: lightest_set(110.0, (can(net_g=x),), 0.15), 1.0, 0.9),
    (lambda x: lightest_set(110.0, (can(net_g=x),), 0.15), 20_000.0, 20_001.0),
    (lambda x: lightest_set(10.0, (can(net_g=100.0),) * int(x), 0.15), 8.0, 9.0),
    (lambda x: lightest_set(10.0, (can(net_g=100.0),) * int(x), 0.15), 1.0, 0.0),
    (lambda x: canisters(x, can(net_g=100.0)), 0.0, -0.1),
    (lambda x: canisters(x, can(net_g=20_000.0)), 1e6, 1e6 + 1),
    (lambda x: canisters(10.0, can(net_g=100.0), x), 0.0, -0.1),
    (lambda x: canisters(10.0, can(net_g=100.0), x), 4.0, 4.1),
    (lambda x: canisters(10.0, can(net_g=x)), 1.0, 0.9),
    (lambda x: canisters(10.0, can(net_g=x)), 20_000.0, 20_001.0),
    (lambda x: cooking_time_factor(x), 60.0, 59.9),
    (lambda x: cooking_time_factor(x), 104.0, 104.1),
    (lambda x: cooking_time_factor(90.0, x), 10.0, 9.9),
    (lambda x: cooking_time_factor(90.0, x), 120.0, 120.1),
    (lambda x: cooking_minutes(x, 0), 0.0, -0.1),
    (lambda x: cooking_minutes(x, 0), 1440.0, 1440.1),
    (lambda x: calibrate_efficiency(GAS, x, 500, 15, 99, scale_step_g=0.0), 1e-6, 0.0),
    (lambda x: calibrate_efficiency(GAS, x, 500, 15, 99), 1e5, 1e5 + 1),
    (lambda x: calibrate_efficiency(GAS, 7.5, 500, 15, 99, scale_step_g=x), 0.0, -0.1),
    (lambda x: calibrate_efficiency(GAS, 7.5, 500, 15, 99, scale_step_g=x), 7.4, 7.5),
    (lambda x: ethanol(x), 50.0, 49.9),
    (lambda x: ethanol(x), 100.0, 100.1),
    (lambda x: wood(x), 0.0, -0.01),
    (lambda x: wood(x), 0.6, 0.61),
    (lambda x: fuel_mass_g(100.0, GAS, x), 10.0, 10.1),
    (lambda x: fuel_mass_g(100.0, GAS, x), 0.01, 0.0),
    (lambda x: fuel_mass_g(x, GAS, 0.5), 0.0, -0.1),
    (lambda x: fuel_mass_g(x, GAS, 0.5), 1e9, 1.1e9),
    (lambda x: fuel_to_boil(0.5, 8, 0, GAS, 0.5, CUP, snow_share=x), 0.0, -0.01),
    (lambda x: fuel_to_boil(0.5, 8, 0, GAS, 0.5, CUP, snow_share=x), 1.0, 1.01),
    (lambda x: mass_fraction_of_spirit(x), 0.0, -0.1),
    (lambda x: mass_fraction_of_spirit(x), 100.0, 100.1),
    (lambda x: gas_pressure_kpa("butane", x), -75.0, -75.1),
    (lambda x: gas_pressure_kpa("butane", x), 50.0, 50.1),
    (lambda x: lowest_temperature_c(ISOBUTANE, x), 15_000.0, 14_999.0),
    (lambda x: lowest_temperature_c(ISOBUTANE, x), 115_000.0, 115_001.0),
    (lambda x: mix_after_use(ISOBUTANE, x, 10.0), 0.0, -0.01),
    (lambda x: mix_after_use(ISOBUTANE, x, 10.0), 0.999, 1.0),
    (lambda x: mix_pressure_kpa((("butane", x), ("propane", 1.0)), 0.0), 0.0, -0.1),
    (lambda x: mix_pressure_kpa((("butane", x),), 0.0), 1e-6, 0.0),
    (lambda x: heat_needed(x, 10, 99), 1e6, 1e6 + 1),
    (lambda x: heat_needed(x, 10, 99), 0.0, -1.0),
    (lambda x: heat_needed(500, 10, 99, food_g=x), 1e6, 1e6 + 1),
    (lambda x: heat_needed(500, 10, 99, food_g=x), 0.0, -1.0),
    (lambda x: heat_needed(500, 10, 99, snow_g=x), 1e6, 1e6 + 1),
    (lambda x: heat_needed(500, 10, 99, snow_g=x), 0.0, -1.0),
    (lambda x: heat_needed(500, 10, 99, snow_g=9, snow_c=x), -60.0, -60.1),
    (lambda x: heat_needed(500, 10, 99, snow_g=9, snow_c=x), 0.0, 0.1),
    (lambda x: heat_needed(500, 10, 99, boiled_off_g=x), 500.0, 500.1),
    (lambda x: heat_needed(500, 10, 99, boiled_off_g=x), 0.0, -1.0),
    (lambda x: heat_needed(500, 10, 99, loss_w=x, minutes=1), 1e5, 1e5 + 1),
    (lambda x: heat_needed(500, 10, 99, loss_w=x, minutes=1), 0.0, -1.0),
    (lambda x: heat_needed(500, 10, 99, loss_w=1, minutes=x), 1e5, 1e5 + 1),
    (lambda x: heat_needed(500, 10, 99, loss_w=1, minutes=x), 0.0, -1.0),
    (lambda x: heat_needed(500, 10, 99, pot=Pot(material="steel", mass_g=x)), 1e5, 1e5 + 1),
    (lambda x: heat_needed(500, 10, 99, pot=Pot(material="steel", mass_g=x)), 0.0, -1.0),
    (lambda x: heat_needed(500, x, 104), 0.0, -0.1),
    (lambda x: heat_needed(500, x, 104), 104.0, 104.1),
    (lambda x: heat_needed(500, 10, x), 104.0, 104.1),
    (lambda x: heat_needed(500, 10, x), 10.0, 9.9),
    (lambda x: cook(net_w=x, simmer_w=0.0), 10.0, 9.9),
    (lambda x: cook(net_w=x), 20_000.0, 20_001.0),
    (lambda x: cook(simmer_w=x), 1000.0, 1000.1),
    (lambda x: cook(simmer_w=x), 0.0, -0.1),
    (lambda x: cook(simmer_w=0, simmer_minutes=x), 1440.0, 1440.1),
    (lambda x: cook(simmer_minutes=x), 0.0, -0.1),
    (lambda x: cook(rest_minutes=x), 1440.0, 1440.1),
    (lambda x: cook(rest_minutes=x), 0.0, -0.1),
    (lambda x: cook(change_minutes=x), 1440.0, 1440.1),
    (lambda x: cook(change_minutes=x), 0.0, -0.1),
    (lambda x: soak_minutes(soak(), 5, boils_c=x), 60.0, 59.9),
    (lambda x: soak_minutes(soak(), 5, boils_c=x), 104.0, 104.1),
    (lambda x: soak_minutes(soak(), x), 0.0, -0.1),
    (lambda x: soak_minutes(soak(), x, boils_c=90.0), 90.05, 90.1),
    (lambda x: soak_minutes(soak(minutes=x), 5), 60.0, 60.1),
    (lambda x: soak_minutes(soak(minutes=x), 5), 0.0, -1.0),
    (lambda x: soak_minutes(soak(most_minutes=x), 5), 1e5, 1e5 + 1),
    (lambda x: sphere_soak_minutes(x, 1e-10), 20.0, 20.1),
    (lambda x: sphere_soak_minutes(x, 1e-10), 0.01, 0.0),
    (lambda x: sphere_soak_minutes(2.0, x), 1e-13, 0.9e-13),
    (lambda x: sphere_soak_minutes(2.0, x), 1e-7, 1.1e-7),
    (lambda x: sphere_soak_minutes(2.0, 1e-10, x), 0.0, -0.01),
    (lambda x: sphere_soak_minutes(2.0, 1e-10, x), 0.999, 0.9991),
    (lambda x: own_soak(PANTRY.food("bulgur"), SoakTried(
        done_minutes=60.0, not_yet_minutes=x, water_c=10.0)), 59.9, 60.0),
    (lambda x: own_soak(PANTRY.food("bulgur"), SoakTried(
        done_minutes=60.0, not_yet_minutes=x, water_c=10.0)), 0.0, -1.0),
    (lambda x: read_soak_test(x, [(10, 150), (30, 175)]), 0.01, 0.0),
    (lambda x: read_soak_test(100, [(10, 150), (30, 175)], x), 0.0, -0.01),
    (lambda x: read_soak_test(100, [(10, 150), (30, 175)], x), 0.999, 1.0),
    (lambda x: read_soak_test(100, [(10, 150), (x, 175)]), 1e5, 1e5 + 1),
    (lambda x: read_soak_test(100, [(x, 110), (30, 175)]), 2.0, 0.0),
    (lambda x: read_soak_test(100, [(10, x), (30, 175)]), 150.0, 100.0),
    (lambda x: read_soak_test(100, [(10, 1.3e5), (30, x)]), 1.3e5 + 1, 100 + 1e6 + 1),
    (lambda x: gas_mix({"propane": 20, "butane": x}), 80.5, 80.6),
    (lambda x: gas_mix({"propane": 20, "butane": x}), 79.5, 79.4),
    (lambda x: gas_mix({"propane": 0.2, "butane": x}), 0.8049, 0.806),
    (lambda x: gas_mix({"propane": 0.2, "butane": x}), 0.7951, 0.794),
    (lambda x: gas_mix({"propane": x, "butane": 1.0}), 0.0, -0.001),
    (lambda x: extra_food_g_per_day(x, 4.4, 4.2), 0.0, -1.0),
    (lambda x: extra_food_g_per_day(x, 4.4, 4.2), 20_000.0, 20_001.0),
    (lambda x: extra_food_g_per_day(3000, x, 4.2), 0.1, 0.09),
    (lambda x: extra_food_g_per_day(3000, x, 4.2), 9.1, 9.2),
    (lambda x: extra_food_g_per_day(3000, 4.4, x), 0.1, 0.09),
    (lambda x: extra_food_g_per_day(3000, 4.4, x), 9.1, 9.2),
    (lambda x: evaporation_heat_kj_per_kg(x), 0.01, 0.0),
    (lambda x: evaporation_heat_kj_per_kg(x), 200.0, 200.1),
    (lambda x: window(hold=x), 1.0, 0.0),
    (lambda x: window(meal=x), 0.0, -0.1),
    (lambda x: window(meal=x), 1440.0, 1440.1),
    (lambda x: window(late=x), 1050.0, 1049.0),
]  # fmt: skip


@pytest.mark.parametrize(("ask", "good", "bad"), ENDS, ids=range(len(ENDS)))
def test_the_end_of_a_range_is_inside_and_more_is_not(
    ask: Callable[[Any], object], good: Any, bad: Any
) -> None:
    ask(good)
    with pytest.raises(Mistake):
        ask(bad)
    if isinstance(bad, float) and bad not in (0.0, 9.0):
        with pytest.raises(Mistake):
            ask(float("nan"))


@pytest.mark.parametrize(
    ("fuel", "name"),
    [("propane", "Propane"), ("isobutane", "IsoButane"), ("butane", "n-Butane"),
     ("methanol", "Methanol"), ("ethanol", "Ethanol"), ("white-gas", "n-Heptane")],
)  # fmt: skip
def test_density_of_the_liquid_at_20_degrees(fuel: str, name: str) -> None:
    # Saturated liquid of the reference equations of state in CoolProp, to half a per cent.
    reference = PropsSI("D", "T", 293.15, "Q", 0, name) / 1000
    assert find_fuel(fuel).density_g_per_ml == pytest.approx(reference, rel=5e-3)


def test_fuel_between_the_two_heating_values_needs_the_flames_steam() -> None:
    # Q/HHV is the floor of physics, Q/LHV that of an open stove; at each the amount just does.
    heat = 200.0
    lower, upper = heat / GAS.lhv_kj_per_g, heat / GAS.hhv_kj_per_g
    told = {
        grams: [one.rule for one in check_fuel(grams, heat, GAS)]
        for grams in (0.999 * upper, upper, 0.999 * lower, lower)
    }
    assert list(told.values()) == [
        ["fuel-below-floor"], ["fuel-needs-condensing"], ["fuel-needs-condensing"], [],
    ]  # fmt: skip


def test_only_a_dish_wetted_in_camp_is_told_to_be_wetted_on_arrival() -> None:
    carried = wetting_window(Span(early=1050, late=1110), Span(early=40, late=75), 240,
                             carrying_water=True)  # fmt: skip
    assert carried.outcome == "ready"
    assert carried.text.startswith("Wet it between ")
    assert "on arrival (" not in carried.text
    camp = wetting_window(Span(early=1050, late=1110), Span(early=40, late=75), 240)
    assert camp.outcome == "in-camp"
    assert camp.text.startswith("Wet it on arrival (")


def test_a_trace_of_propane_lifts_the_pressure_of_butane() -> None:
    # Raoult: 0.5 % by mass is x = 0.00658 of propane; both pressures by CoolProp, 2 %.
    x = (0.005 / 44.097) / (0.005 / 44.097 + 0.995 / 58.124)
    kpa = {gas: PropsSI("P", "T", 283.15, "Q", 0, gas) / 1000 for gas in ("Propane", "n-Butane")}
    by_hand = x * kpa["Propane"] + (1 - x) * kpa["n-Butane"]
    mix = (("propane", 0.005), ("butane", 0.995))
    pure = mix_pressure_kpa((("butane", 1.0),), 10.0)
    assert mix_pressure_kpa(mix, 10.0) - pure == pytest.approx(by_hand - kpa["n-Butane"], rel=0.02)


def test_stoves_are_as_they_were_judged() -> None:
    # Common practice (spirit: 'A preliminary investigation of alcohol-fuelled stoves', Boiling
    # Point 12); ours, 2026-11, to notice change: efficiency, its ends, heat into the pot [W].
    told = {s.id: (s.eta, s.eta_low, s.eta_high, s.net_w) for s in STOVES.values()}
    for name, figures in {
        "gas-finned": (0.65, 0.60, 0.70, 1100), "gas-open": (0.40, 0.30, 0.50, 800),
        "spirit": (0.45, 0.35, 0.60, 350), "white-gas": (0.45, 0.35, 0.55, 1100),
        "tablet": (0.35, 0.25, 0.45, 180), "wood-stove": (0.20, 0.15, 0.25, 500),
        "open-fire": (0.12, 0.10, 0.15, 600),
    }.items():  # fmt: skip
        assert told[name] == figures


def test_published_energies_have_their_spread_on_both_sides() -> None:
    for one in PUBLISHED:
        energy = one.activation
        assert energy.usual - energy.low == pytest.approx(energy.high - energy.usual)
        assert energy.low <= energy.usual


def test_a_worn_canister_is_one_of_which_two_thirds_went_at_10_degrees() -> None:
    mix = (("propane", 0.3), ("butane", 0.7))
    fuel = gas_mix({"propane": 30, "butane": 70})
    air = air_pressure_pa(2000.0)
    told = gas_in_cold(fuel, 2000.0, None)
    assert told.fresh_c == lowest_temperature_c(mix, air)
    assert told.last_third_c == lowest_temperature_c(mix_after_use(mix, 2 / 3, 10.0), air)
    assert told.empty_c == lowest_temperature_c((("butane", 1.0),), air)


@pytest.mark.parametrize(("pour_c", "good"), [(70.0, True), (69.9, False)])
def test_a_hot_pour_is_one_from_70_degrees_on(pour_c: float, good: bool) -> None:
    if good:
        soak_minutes(soak(way="hot-pour", at_c=None), pour_c)
    else:
        with pytest.raises(Mistake, match="pour-too-cold"):
            soak_minutes(soak(way="hot-pour", at_c=None), pour_c)


def test_water_that_must_be_carried_on_is_named_in_the_text() -> None:
    spring = WaterPoint(name="spring", passed=Span(early=600, late=620))
    beck = WaterPoint(name="beck", passed=Span(early=700, late=720))
    told = wetting_window(Span(early=1050, late=1110), Span(early=40, late=75), 240,
                          (spring, beck))  # fmt: skip
    assert told.carry_from == ("spring", "beck")
    assert "with water carried from beck" in told.text
    there = WaterPoint(name="tarn", passed=Span(early=900, late=920))
    at_it = wetting_window(Span(early=1050, late=1110), Span(early=40, late=75), 240,
                           (spring, there))  # fmt: skip
    assert at_it.wet_at == ("tarn",)
    assert ", at tarn" in at_it.text
    assert "carried" not in at_it.text
