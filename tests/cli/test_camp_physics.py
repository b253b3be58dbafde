"""``fellfare camp`` boil, fuel, gas, calibrate: sums by hand, handbooks, other libraries."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI
from fluids.atmosphere import ATMOSPHERE_1976
from iapws.iapws97 import _TSat_P
from tests.cli.asking_camp import Asked

CAN_80_20 = "isobutane 80, propane 20"


@pytest.mark.parametrize("altitude", ["4200", "4200m", "4 200 m", "4.2 km", "13779.53 ft"])
def test_water_boils_at_4200_m_as_if97_says(ask: Asked, altitude: str) -> None:
    told = ask.data("boil", altitude)
    # US Standard Atmosphere 1976 and IAPWS-IF97 as two independent libraries have them.
    pa = float(ATMOSPHERE_1976(4200).P)
    assert told["pressure_hpa"] == pytest.approx(pa / 100, abs=0.01)
    assert told["boils_c"] == pytest.approx(float(_TSat_P(pa / 1e6)) - 273.15, abs=0.001)
    assert told["boils_c"] == pytest.approx(85.96, abs=0.005)
    assert told["boils_f"] == pytest.approx(186.72, abs=0.02)


def test_ten_minutes_of_rice_by_hand(ask: Asked) -> None:
    told = ask.data("boil", "4200")["cooking"]
    # 10^((99.974 - 85.957)/33) = 2.66 (rice, Suzuki 1976) and /52 = 1.86 (Colorado extension).
    assert told["factor"] == pytest.approx(2.66, abs=0.005)
    assert told["minutes"] == pytest.approx(26.6, abs=0.05)
    assert told["low_min"] == pytest.approx(18.6, abs=0.05)


@pytest.mark.parametrize(
    ("altitude", "fahrenheit"), [("0", 212), ("5000 ft", 203), ("7500ft", 198)]
)
def test_what_extension_services_print(ask: Asked, altitude: str, fahrenheit: float) -> None:
    # Colorado State University Extension, High Altitude Food Preparation: whole degrees F.
    assert ask.data("boil", altitude)["boils_f"] == pytest.approx(fahrenheit, abs=1.0)


@pytest.mark.parametrize(("altitude", "minutes"), [("1523", 1), ("1524", 3), ("5100 ft", 3)])
def test_water_is_treated_longer_from_1524_m(ask: Asked, altitude: str, minutes: float) -> None:
    # Emerging Infectious Diseases 31(8) 2025, table of agencies: EPA 3 min above 1524 m.
    told = ask.data("boil", altitude)
    assert told["treat_water_boil_min"] == minutes
    (note,) = [one for one in told["findings"] if one["rule"] == "water-by-boiling"]
    assert f"boil for {minutes} min here" in note["text"]


def test_a_storm_lowers_and_the_dead_sea_lifts_the_boiling_point(ask: Asked) -> None:
    usual = ask.data("boil", "2000")
    storm = ask.data("boil", "2000", "--weather", "-30 hPa")
    assert storm["boils_c"] == pytest.approx(usual["low_c"], abs=0.001)
    assert ask.data("boil", "-430")["boils_c"] > 101


def test_raw_beans_are_named_only_where_no_time_is_published(ask: Asked) -> None:
    rules = [
        {one["rule"] for one in ask.data("boil", altitude)["findings"]}
        for altitude in ("3000", "3001")
    ]
    assert "raw-lectin-pulse" not in rules[0]
    assert "raw-lectin-pulse" in rules[1]


HAND = ("--water", "500ml", "--from", "8", "--altitude", "2000", "--fuel", "isobutane")
POT = ("--pot", "aluminium 120g")


def test_a_day_with_two_boils_by_hand(ask: Asked) -> None:
    told = ask.data("fuel", *HAND, *POT, "--efficiency", "50%", "--boils", "2")
    # 2 x 0.5 L from 8 C at 2 000 m, 120 g Al: water 357.1 + pot 18.4 = 375.5 kJ;
    # / (0.5 x 45.23 kJ/g) = 16.6 g.  Wind classes x0.7 and x0.4.
    assert 2 * told["heat"]["water_kj"] == pytest.approx(357.1, abs=0.2)
    assert 2 * told["heat"]["pot_kj"] == pytest.approx(18.4, abs=0.05)
    assert 2 * told["heat"]["total_kj"] == pytest.approx(375.5, abs=0.2)
    wind = told["wind"]
    assert wind["calm"]["day_g"] == pytest.approx(16.6, abs=0.05)
    assert wind["breeze"]["day_g"] == pytest.approx(16.6 / 0.7, abs=0.07)
    assert wind["strong"]["day_g"] == pytest.approx(16.6 / 0.4, abs=0.13)
    # Floor: water alone over the higher heating value, 178.6/49.4 (handbooks) a boil.
    assert told["floor_g"] == pytest.approx(178.6 / 49.4, abs=0.02)


def test_the_same_sum_in_american_measures(ask: Asked) -> None:
    ours = ask.data("fuel", *HAND, *POT)
    theirs = ask.data(
        "fuel", "--water", "0.5 l", "--from", "46.4F", "--altitude", "6561.68ft",
        "--fuel", "isobutane", "--pot", "4.2329 oz aluminum",
    )  # fmt: skip
    assert theirs["wind"]["calm"]["boil_g"] == pytest.approx(ours["wind"]["calm"]["boil_g"], 1e-3)


def test_five_days_want_one_full_canister(ask: Asked) -> None:
    told = ask.data(
        "fuel", *HAND, *POT, "--efficiency", "0.5", "--boils", "2", "--days", "5"
    )  # fmt: skip
    calm = told["wind"]["calm"]
    # 5 x 16.6 = 83.0 g, with 15 % 95.5 g: one fill of 100 g, or two of them for 239 g in a gale.
    assert calm["with_reserve_g"] == pytest.approx(95.5, abs=0.3)
    assert {one["net_g"]: one["count"] for one in calm["canisters"]}[100] == 1
    assert {one["net_g"]: one["count"] for one in told["wind"]["strong"]["canisters"]}[230] == 2


def test_snow_doubles_the_fuel(ask: Asked) -> None:
    told = ask.data(
        "fuel", "--water", "1l", "--from", "5", "--altitude", "3000", "--snow", "100%",
        "--snow-temp", "-10", "--efficiency", "50%",
    )  # fmt: skip
    # By hand: (333.55 + 21 + 4.186 x 89.98)/(4.186 x 84.98) = 2.06.
    snow = told["snow"]
    assert snow["boil_all_snow_g"] / snow["boil_all_water_g"] == pytest.approx(2.06, abs=0.01)
    assert told["heat"]["melt_kj"] == pytest.approx(354.55, abs=0.01)


def test_a_simmer_of_ten_minutes_takes_sixty_kilojoule(ask: Asked) -> None:
    # 100 W for 600 s, all of it steam.
    told = ask.data("fuel", *HAND, "--simmer", "10 min")
    assert told["heat"]["evaporation_kj"] == pytest.approx(60.0, abs=0.001)


@pytest.mark.parametrize(
    ("have", "rule"), [("6 g", "fuel-below-floor"), ("15g", "fuel-too-little")]
)
def test_too_little_fuel_in_hand_is_an_error(ask: Asked, have: str, rule: str) -> None:
    # '4 to 8 g of gas a day for two hot meals' circulates; 1 L from 10 C cannot be had for 6 g.
    words = ("--water", "500ml", "--from", "10", "--altitude", "0", "--boils", "2", "--have", have)
    told = ask.data("fuel", *words, status=1)
    assert rule in {one["rule"] for one in told["findings"] if one["severity"] == "error"}


def test_enough_fuel_in_hand_says_how_many_boils(ask: Asked) -> None:
    told = ask.data("fuel", *HAND, *POT, "--efficiency", "50%", "--have", "100g")
    assert told["have_boils"]["calm"] == pytest.approx(100 / 8.3, abs=0.05)
    assert all(one["severity"] == "note" for one in told["findings"])


@pytest.mark.parametrize("share", ["100.1%", "120%", "9.9"])
def test_no_figure_stands_beside_an_impossible_efficiency(ask: Asked, share: str) -> None:
    status, out, err = ask("fuel", *HAND, "--efficiency", share)
    assert (status, out) == (2, "")
    assert "[efficiency-impossible]" in err or "[share-unclear]" in err


def test_without_a_height_the_sea_level_is_reckoned_and_said(ask: Asked) -> None:
    words = ("fuel", "--water", "2L", "--from", "3")
    told = ask.data(*words)
    assert (told["altitude_m"], told["altitude_assumed"]) == (0, True)
    sea, high = (ask.data(*words, "--altitude", height) for height in ("0", "3000"))
    assert not sea["altitude_assumed"]
    assert told["wind"] == sea["wind"]
    assert told["boil_up_high_g"] == high["wind"]["calm"]["boil_g"]
    # Up high it takes less: 89.977 - 3 over 99.974 - 3 [IAPWS-R7-97] = 0.897, by hand.
    assert told["boil_up_high_g"] / told["wind"]["calm"]["boil_g"] == pytest.approx(0.897, abs=1e-3)
    _, out, _ = ask(*words)
    assert "No height was given" in out
    assert "No height was given" not in ask(*words, "--altitude", "0")[1]


def test_spirit_is_told_by_volume_and_wood_without_canisters(ask: Asked) -> None:
    words = ("fuel", "--water", "1 l", "--from", "10", "--altitude", "0", "--fuel")
    spirit = ask.data(*words, "spirit 95%")["wind"]["calm"]
    # 376.6 kJ / (0.45 x 24.6) = 34.0 g; 95 % vol weighs 0.811 g/mL (OIML R 22): 41.9 mL.
    assert spirit["boil_g"] == pytest.approx(34.0, abs=0.1)
    assert spirit["boil_ml"] == pytest.approx(41.9, abs=0.2)
    assert spirit["canisters"] == []
    assert ask.data(*words, "wood 20%")["stove"] == "wood-stove"


@pytest.mark.parametrize("altitude", [0, 2900])
def test_the_last_grams_of_isobutane_stop_where_it_boils(ask: Asked, altitude: int) -> None:
    told = ask.data("gas", "--fuel", CAN_80_20, "--altitude", str(altitude))
    # Buecker and Wagner 2006 through CoolProp, at the pressure of the 1976 atmosphere.
    boils = PropsSI("T", "P", float(ATMOSPHERE_1976(altitude).P), "Q", 0, "IsoButane") - 273.15
    assert told["last_grams_c"] == pytest.approx(boils, abs=0.5)
    assert told["full_c"] < told["last_third_c"] < told["last_grams_c"]
    assert told["mix_mass_share"] == {"isobutane": 0.8, "propane": 0.2}


@pytest.mark.parametrize(
    ("fuel", "coldest", "altitude", "status", "severity", "glance"),
    [
        (CAN_80_20, "-8", "2900", 0, None, "gas to the last grams."),
        # n-Butane boils at -0.5 C, isobutane at -11.7 C (handbooks), at sea level.
        ("gas-butane", "20F", "0", 0, "caution", "it fails before 67 % of it is used"),
        ("butane", "-3", "0", 1, "error", "not even from a full canister"),
        ("isobutane", "-9", "0", 0, "caution", "weak towards the end"),
        ("80% isobutane / 20% propane", "-14 °C", "0", 0, "caution", "it fails before"),
    ],
)
def test_gas_in_the_cold(
    ask: Asked, fuel: str, coldest: str, altitude: str, status: int, severity: str, glance: str
) -> None:
    words = ("gas", "--fuel", fuel, "--coldest", coldest, "--altitude", altitude)
    told = ask.data(*words, status=status)
    said = [one["severity"] for one in told["findings"] if one["rule"] == "gas-too-cold"]
    assert said == ([severity] if severity else [])
    code, out, err = ask(*words)
    assert code == status
    assert glance in " ".join(out.split())
    assert ("gas-too-cold" in err) == (severity is not None)


def test_calibration_by_hand(ask: Asked) -> None:
    words = ("calibrate", "--fuel", "isobutane", "--water", "500g", "--from", "15", "--to", "99")
    used = ask.data(*words, "--used", "7.5g")
    # 0.5 kg x 4.186 x 84 K = 175.8 kJ; / (7.5 g x 45.2 kJ/g) = 0.52; a 1 g scale: 8.5 and 6.5 g.
    assert used["efficiency"] == pytest.approx(0.52, abs=0.005)
    assert used["efficiency_low"] == pytest.approx(0.52 * 7.5 / 8.5, abs=0.005)
    assert used["efficiency_high"] == pytest.approx(0.52 * 7.5 / 6.5, abs=0.005)
    weighed = ask.data(*words, "--before", "342g", "--after", "334.5g")
    assert weighed["efficiency"] == used["efficiency"]
    # 175.8 kJ out of 3 g that hold 135.7 kJ: no figures beside it.
    status, out, err = ask(*words, "--used", "3g")
    assert (status, out) == (2, "")
    assert "[efficiency-impossible]" in err


def test_a_calibration_carries_over_to_the_fuel(ask: Asked) -> None:
    own = ask.data(
        "calibrate", "--water", "500g", "--from", "10", "--used", "8g", "--altitude", "1500"
    )  # fmt: skip
    need = ask.data(
        "fuel", "--water", "500ml", "--from", "10", "--altitude", "1500",
        "--efficiency", str(own["efficiency"]),
    )  # fmt: skip
    assert need["wind"]["calm"]["boil_g"] == pytest.approx(8.0, abs=0.01)


@pytest.mark.parametrize(("fuel", "told"), [("alcohol", True), ("methanol", True), ("gas", False)])
def test_poisonous_fuel_is_named(ask: Asked, fuel: str, told: bool) -> None:
    found = ask.data("fuel", *HAND[:-1], fuel)["findings"]
    assert ("fuel-poisonous" in {one["rule"] for one in found}) == told
