"""Heating values against a library, a handbook and hand calculations."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from chemicals import Hfg, Hfl, Hfs
from chemicals.combustion import combustion_data
from hypothesis import given
from hypothesis import strategies as st

from fellfare.camp.fuel.fuels import FUELS, ethanol, find_fuel, gas_mix, spirit, wood
from fellfare.camp.fuel.heating_value import (
    EVAPORATION_25C_KJ_PER_G,
    heat_of_combustion_kj_per_mol,
    molar_mass_g_per_mol,
)
from fellfare.camp.fuel.spirit import ethanol_water_density, mass_fraction_of_spirit
from fellfare.mistake import Mistake

REFERENCE = Path(__file__).parents[1] / "reference"

#: id, CAS number, atoms.
PURE = [
    ("propane", "74-98-6", {"C": 3, "H": 8}),
    ("isobutane", "75-28-5", {"C": 4, "H": 10}),
    ("butane", "106-97-8", {"C": 4, "H": 10}),
    ("methanol", "67-56-1", {"C": 1, "H": 4, "O": 1}),
    ("ethanol", "64-17-5", {"C": 2, "H": 6, "O": 1}),
    ("2-propanol", "67-63-0", {"C": 3, "H": 8, "O": 1}),
    ("white-gas", "142-82-5", {"C": 7, "H": 16}),
    ("hexamine", "100-97-0", {"C": 6, "H": 12, "N": 4}),
]


def rows(name: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@pytest.mark.parametrize(("id_", "cas", "atoms"), PURE)
def test_a_library_of_chemicals_finds_the_same_heat(id_: str, cas: str, atoms: Any) -> None:
    # 'chemicals' balances the flame itself and takes its own heats of CO2 and water,
    # which differ from CODATA by some 0.01 %.
    carried = combustion_data(formula=atoms, Hf=Hfl(cas) or Hfs(cas))
    gas = combustion_data(formula=atoms, Hf=Hfg(cas))
    fuel = find_fuel(id_)
    assert fuel.lhv_kj_per_g == pytest.approx(-carried.LHV / carried.MW / 1000, rel=1e-3)
    assert fuel.hhv_kj_per_g == pytest.approx(-gas.HHV / gas.MW / 1000, rel=1e-3)


@pytest.mark.parametrize("row", rows("camp-heat-of-combustion.csv"))
def test_heats_of_combustion_of_a_handbook(row: dict[str, str]) -> None:
    # Handbook and ATcT differ by up to 0.6 kJ/mol: 0.1 %.
    fuel = find_fuel(row["fuel"])
    c, h, o, n = (int(row[key]) for key in "chon")
    mass = molar_mass_g_per_mol(c, h, o, n)
    gas_kj = fuel.hhv_kj_per_g * mass
    if row["state"] == "g":
        assert gas_kj == pytest.approx(float(row["kj_per_mol"]), rel=1e-3)
    else:  # liquid, water condensed: the lower value and the water's evaporation
        liquid_kj = fuel.lhv_kj_per_g * mass + h / 2 * 44.004
        assert liquid_kj == pytest.approx(float(row["kj_per_mol"]), rel=1e-3)


def test_carbon_and_hydrogen_burn_as_in_codata() -> None:
    # Heat of combustion of the elements is the formation of CO2 and water.
    assert heat_of_combustion_kj_per_mol(0, 1, 0, condensed=True) == pytest.approx(393.51)
    assert heat_of_combustion_kj_per_mol(0, 0, 2, condensed=True) == pytest.approx(285.83)
    # 2.442 kJ/g: steam tables at 25 C (IAPWS-95 gives 2441.7 kJ/kg).
    assert pytest.approx(2.442, abs=0.001) == EVAPORATION_25C_KJ_PER_G


def test_diluted_ethanol_by_hand() -> None:
    # 0.95 x 26.82 - 0.05 x 2.44 = 25.35; 0.90: 23.89.
    assert ethanol(95).lhv_kj_per_g == pytest.approx(25.35, abs=0.02)
    assert ethanol(90).lhv_kj_per_g == pytest.approx(23.89, abs=0.02)
    assert ethanol(100).lhv_kj_per_g == find_fuel("ethanol").lhv_kj_per_g


def test_wet_wood_by_hand() -> None:
    # 18.5 (1 - M) - 2.44 M: 16.4 and 14.3; IPCC 2006: 15.6 for air-dry wood.
    assert wood(0.10).lhv_kj_per_g == pytest.approx(16.4, abs=0.05)
    assert wood(0.20).lhv_kj_per_g == pytest.approx(14.3, abs=0.05)
    assert wood(0.20).lhv_kj_per_g < 15.6 < wood(0.10).lhv_kj_per_g


def test_lpg_near_the_ipcc_default() -> None:
    # IPCC 2006 vol. 2, table 1.2: LPG 47.3, motor gasoline 44.3 kJ/g (from memory);
    # inventory figures for real mixes, 5 %.
    assert find_fuel("gas").lhv_kj_per_g == pytest.approx(47.3, rel=0.05)
    assert find_fuel("white-gas").lhv_kj_per_g == pytest.approx(44.3, rel=0.02)


@pytest.mark.parametrize("row", rows("camp-spirit-density.csv"))
def test_density_of_spirit_in_the_old_tables(row: dict[str, str]) -> None:
    # 1913 and 1973 measurements agree to 1e-4 g/mL.
    ours = ethanol_water_density(float(row["mass_percent"]) / 100) / 1000
    assert ours == pytest.approx(float(row["density_g_per_ml"]), abs=1e-4)


def test_pure_ends_of_the_alcohol_tables() -> None:
    # OIML R 22: water 998.20, ethanol 789.24 kg/m3 at 20 C.
    assert ethanol_water_density(0.0) == pytest.approx(998.20, abs=0.005)
    assert ethanol_water_density(1.0) == pytest.approx(789.24, abs=0.005)
    # OIML R 22, table IV: 95 % vol is 92.41 % by mass, 40 % vol 33.30 % (from memory).
    assert mass_fraction_of_spirit(95) == pytest.approx(0.9241, abs=2e-4)
    assert mass_fraction_of_spirit(40) == pytest.approx(0.3330, abs=2e-4)


@given(st.floats(0, 100))
def test_strength_goes_there_and_back(volume_percent: float) -> None:
    x = mass_fraction_of_spirit(volume_percent)
    back = 100 * x * ethanol_water_density(x) / ethanol_water_density(1.0)
    assert back == pytest.approx(volume_percent, abs=1e-8)


@given(st.floats(0, 99), st.floats(0.1, 1))
def test_stronger_spirit_is_hotter(percent: float, more: float) -> None:
    assert mass_fraction_of_spirit(percent + more) > mass_fraction_of_spirit(percent)
    if percent >= 60:
        assert spirit(percent + more).lhv_kj_per_g > spirit(percent).lhv_kj_per_g


@given(st.floats(0, 1))
def test_a_mix_lies_between_its_gases(share: float) -> None:
    made = gas_mix({"propane": share, "butane": 1 - share})
    ends = [find_fuel(gas).lhv_kj_per_g for gas in ("propane", "butane")]
    assert min(ends) - 1e-9 <= made.lhv_kj_per_g <= max(ends) + 1e-9
    assert sum(x for _, x in made.mix) == pytest.approx(1)


@pytest.mark.parametrize("id_", sorted(FUELS))
def test_every_fuel_says_who_says_so(id_: str) -> None:
    fuel = FUELS[id_]
    assert fuel.id == id_
    assert fuel.source
    assert 0 < fuel.lhv_kj_per_g < fuel.hhv_kj_per_g
    if fuel.lhv_band_kj_per_g:
        low, high = fuel.lhv_band_kj_per_g
        assert low <= fuel.lhv_kj_per_g <= high


@pytest.mark.parametrize(
    "shares",
    [
        {},
        {"propane": 0.5},
        {"propane": 0.5, "ethanol": 0.5},
        {"neon": 1.0},
        {"propane": 1.2, "butane": -0.2},
        {"propane": float("nan"), "butane": 0.5},
    ],
)
def test_a_mix_of_nonsense_is_refused(shares: dict[str, float]) -> None:
    with pytest.raises(Mistake) as told:
        gas_mix(shares)
    assert told.value.code == "gas-mix-unclear"


def test_other_nonsense_is_refused() -> None:
    calls: tuple[tuple[Callable[[], object], str], ...] = (
        (lambda: find_fuel("coal"), "unknown-fuel"),
        (lambda: ethanol(0.95), "spirit-out-of-range"),
        (lambda: spirit(101), "spirit-out-of-range"),
        (lambda: spirit(float("nan")), "spirit-out-of-range"),
        (lambda: wood(20), "wood-moisture-out-of-range"),
        (lambda: wood(float("nan")), "wood-moisture-out-of-range"),
    )
    for call, code in calls:
        with pytest.raises(Mistake) as told:
            call()
        assert told.value.code == code
