"""Peleg, Weibull and the sphere against published numbers and hand calculations."""

from __future__ import annotations

import csv
from collections.abc import Callable
from math import log
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.camp.soaking.minutes import arrhenius_time_factor
from fellfare.camp.soaking.peleg import peleg_moisture, peleg_time, read_soak_test
from fellfare.camp.soaking.sphere import sphere_fraction, sphere_soak_minutes
from fellfare.camp.soaking.weibull import weibull_fraction, weibull_time
from fellfare.mistake import Mistake

TABLE = Path(__file__).parents[1] / "reference" / "camp-activation-energies.csv"
NAN = float("nan")


def rows() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def test_teff_by_hand() -> None:
    # CIGR J., teff at 20 C: k1 0.714 min/%, k2 0.043 1/%; by hand t90 = 9 x 0.714/0.043 = 149,
    # after an hour 60/(0.714 + 2.58) = 18.2 points.  50 C: 9 x 0.272/0.025 = 98.
    assert peleg_time(0.9, 0.714, 0.043) == pytest.approx(149.4, abs=0.1)
    assert peleg_moisture(60, 0, 0.714, 0.043) == pytest.approx(18.2, abs=0.05)
    assert peleg_time(0.9, 0.272, 0.025) == pytest.approx(97.9, abs=0.1)


def test_chickpea_by_hand() -> None:
    # Yildirim, Oner, Bayram 2010 at 20 C: k1 96.28 s/%db, k2 7.45e-3 1/%db; by hand.
    for hours, gain in ((5, 78), (12, 103), (24, 117)):
        assert peleg_moisture(3600 * hours, 0, 96.28, 7.45e-3) == pytest.approx(gain, abs=0.6)
    assert peleg_time(0.9, 96.28, 7.45e-3) / 3600 == pytest.approx(32.3, abs=0.05)


@pytest.mark.parametrize("row", rows())
def test_activation_energies_from_published_ends(row: dict[str, str]) -> None:
    t1, t2 = (float(row[key]) + 273.15 for key in ("t1_c", "t2_c"))
    k1, k2, ea = (float(row[key]) for key in ("k_1", "k_2", "ea_kj_per_mol"))
    slower = k1 / k2 if row["rate"] == "slowness" else k2 / k1
    # How much the paper's own fitted energy misses the two ends.
    spread = float(row["tolerance"])
    low, high = (arrhenius_time_factor(ea + d, t1, t2) for d in (-spread, spread))
    assert low <= slower <= high


def test_cold_water_penalties_by_hand() -> None:
    # exp[Ea/R (1/T - 1/293.15)] at 10 and 5 C for 20, 25, 36, 50 kJ/mol, to 3 figures.
    table = {20: (1.34, 1.56), 25: (1.44, 1.74), 36: (1.68, 2.22), 50: (2.06, 3.02)}
    for ea, (ten, five) in table.items():
        assert arrhenius_time_factor(ea, 283.15, 293.15) == pytest.approx(ten, abs=0.006)
        assert arrhenius_time_factor(ea, 278.15, 293.15) == pytest.approx(five, abs=0.006)


def test_weibull_by_hand() -> None:
    # a = 15 min: t90 = 15 x 2.3026 = 34.5 for b = 1; 15 x 2.3026^(1/0.7) = 49.4 for 0.7.
    assert weibull_time(0.9, 15, 1) == pytest.approx(34.5, abs=0.05)
    assert weibull_time(0.9, 15, 0.7) == pytest.approx(49.4, abs=0.05)
    assert weibull_fraction(15, 15, 0.7) == pytest.approx(0.632, abs=0.0005)


@given(st.floats(0.01, 0.99), st.floats(1, 500), st.floats(0.3, 2))
def test_weibull_there_and_back(F: float, a: float, b: float) -> None:
    assert weibull_fraction(weibull_time(F, a, b), a, b) == pytest.approx(F, abs=1e-9)


@given(st.floats(0, 0.99), st.floats(0.01, 100), st.floats(0.001, 1))
def test_peleg_there_and_back(F: float, k1: float, k2: float) -> None:
    assert peleg_moisture(peleg_time(F, k1, k2), 0, k1, k2) * k2 == pytest.approx(F, abs=1e-9)


@pytest.mark.parametrize(
    ("fo", "fraction"), [(0.03055, 0.5), (0.1135, 0.8), (0.1830, 0.9), (0.2531, 0.95)]
)
def test_sphere_by_crank(fo: float, fraction: float) -> None:
    # Crank 1975, eq. (6.20), inverted with a root finder of another library to 4 figures.
    assert sphere_fraction(fo) == pytest.approx(fraction, abs=1e-4)


def test_both_series_of_the_sphere_meet() -> None:
    below, above = sphere_fraction(0.02 - 1e-12), sphere_fraction(0.02 + 1e-12)
    assert below == pytest.approx(above, abs=1e-10)


def test_lentils_and_chickpeas_by_hand() -> None:
    # Turk J Agric For 25(5) 2001: lentil 3.53e-10 and 13.3e-10, chickpea 0.97e-10 and
    # 5.98e-10 m2/s at 15 and 40 C; Fo(90 %) = 0.1830.
    assert sphere_soak_minutes(2, 3.53e-10) == pytest.approx(35, abs=0.5)
    assert sphere_soak_minutes(2, 13.3e-10) == pytest.approx(9, abs=0.5)
    assert sphere_soak_minutes(4, 0.97e-10) / 60 == pytest.approx(8.4, abs=0.05)
    assert sphere_soak_minutes(4, 5.98e-10) / 60 == pytest.approx(1.4, abs=0.05)


@given(st.floats(0.001, 0.9))
def test_a_longer_soak_takes_up_more(fo: float) -> None:
    assert sphere_fraction(fo + 0.001) > sphere_fraction(fo)


@given(st.floats(0.01, 2), st.floats(0.002, 0.05), st.sampled_from([0.5, 0.8, 0.9]))
def test_a_soak_test_finds_known_constants_again(k1: float, k2: float, share: float) -> None:
    times = (5.0, 15.0, 40.0, 90.0)
    weighed = [(t, peleg_moisture(t, 80, k1, k2)) for t in times]
    told = read_soak_test(80, weighed, share)
    assert told.k1_min_per_g == pytest.approx(k1, rel=1e-6)
    assert told.k2_per_g == pytest.approx(k2, rel=1e-6)
    assert told.minutes == pytest.approx(peleg_time(share, k1, k2), rel=1e-6)
    assert told.uptake_g == pytest.approx(1 / k2, rel=1e-6)
    assert told.worst_miss_g == pytest.approx(0, abs=1e-6)


def test_arrhenius_is_one_at_its_own_temperature() -> None:
    assert arrhenius_time_factor(25, 293.15, 293.15) == 1
    assert log(arrhenius_time_factor(25, 283.15, 293.15)) > 0


def test_nonsense_is_refused() -> None:
    calls: tuple[tuple[Callable[[], object], str], ...] = (
        (lambda: sphere_soak_minutes(0, 1e-10), "sphere-out-of-range"),
        (lambda: sphere_soak_minutes(2, 1), "sphere-out-of-range"),
        (lambda: sphere_soak_minutes(2, 1e-10, 1.0), "sphere-out-of-range"),
        (lambda: sphere_soak_minutes(NAN, 1e-10), "sphere-out-of-range"),
        (lambda: read_soak_test(80, []), "soak-test-unusable"),
        (lambda: read_soak_test(80, [(10, 120)]), "soak-test-unusable"),
        (lambda: read_soak_test(80, [(10, 120), (10, 121)]), "soak-test-unusable"),
        (lambda: read_soak_test(80, [(10, 90), (20, 110)]), "soak-test-unusable"),  # no levelling
        (lambda: read_soak_test(80, [(10, 70), (20, 75)]), "soak-test-unusable"),
        (lambda: read_soak_test(NAN, [(10, 120), (20, 130)]), "soak-test-unusable"),
        (lambda: read_soak_test(80, [(10, 120), (20, NAN)]), "soak-test-unusable"),
    )
    for call, code in calls:
        with pytest.raises(Mistake) as told:
            call()
        assert told.value.code == code
