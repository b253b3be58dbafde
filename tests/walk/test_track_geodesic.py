"""Distance on the ellipsoid, against published geodesics and a second formula."""

from __future__ import annotations

import csv
from math import asin, atan, atan2, cos, pi, radians, sin, sqrt, tan
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.walk.track import distances_m
from fellfare.walk.track.geodesic import WGS84_A_M, WGS84_F

TABLE = Path(__file__).parents[1] / "reference" / "walk-track-geodesics.csv"


def rows() -> list[tuple[str, tuple[float, float, float, float], float, float]]:
    with TABLE.open(encoding="utf-8") as file:
        table = csv.DictReader(line for line in file if not line.startswith("#"))
        return [
            (
                r["name"],
                (float(r["lat1"]), float(r["lon1"]), float(r["lat2"]), float(r["lon2"])),
                float(r["distance_m"]),
                float(r["given_to_m"]),
            )
            for r in table
        ]


def vincenty_m(lat1: float, lon1: float, lat2: float, lon2: float) -> float:
    """Vincenty (1975), Survey Review XXIII (176), inverse formula, Eqs. 13 to 19: an oracle."""
    a, f = WGS84_A_M, WGS84_F
    b = a * (1 - f)
    L = radians((lon2 - lon1 + 180) % 360 - 180)
    U1, U2 = atan((1 - f) * tan(radians(lat1))), atan((1 - f) * tan(radians(lat2)))
    lam = L
    for _ in range(200):
        sin_sigma = sqrt(
            (cos(U2) * sin(lam)) ** 2 + (cos(U1) * sin(U2) - sin(U1) * cos(U2) * cos(lam)) ** 2
        )
        if sin_sigma == 0:
            return 0.0
        cos_sigma = sin(U1) * sin(U2) + cos(U1) * cos(U2) * cos(lam)
        sigma = atan2(sin_sigma, cos_sigma)
        sin_alpha = cos(U1) * cos(U2) * sin(lam) / sin_sigma
        cos2_alpha = 1 - sin_alpha**2
        cos_2sm = cos_sigma - 2 * sin(U1) * sin(U2) / cos2_alpha if cos2_alpha > 1e-12 else 0.0
        C = f / 16 * cos2_alpha * (4 + f * (4 - 3 * cos2_alpha))
        last = lam
        lam = L + (1 - C) * f * sin_alpha * (
            sigma + C * sin_sigma * (cos_2sm + C * cos_sigma * (2 * cos_2sm**2 - 1))
        )
        if abs(lam - last) < 1e-13:
            break
    u2 = cos2_alpha * (a * a - b * b) / (b * b)
    A = 1 + u2 / 16384 * (4096 + u2 * (-768 + u2 * (320 - 175 * u2)))
    B = u2 / 1024 * (256 + u2 * (-128 + u2 * (74 - 47 * u2)))
    ds = (
        B
        * sin_sigma
        * (
            cos_2sm
            + B
            / 4
            * (
                cos_sigma * (2 * cos_2sm**2 - 1)
                - B / 6 * cos_2sm * (4 * sin_sigma**2 - 3) * (4 * cos_2sm**2 - 3)
            )
        )
    )
    return b * A * (sigma - ds)


@pytest.mark.parametrize(("name", "points", "metres", "given_to"), rows())
def test_the_oracle_agrees_with_the_published_geodesics(
    name: str, points: tuple[float, float, float, float], metres: float, given_to: float
) -> None:
    # Vincenty's series itself is good to about 0.1 mm on such lines.
    assert vincenty_m(*points) == pytest.approx(metres, abs=max(given_to / 2, 2e-4)), name


def test_flinders_peak_to_buninyong() -> None:
    _, points, metres, _ = rows()[0]
    # 55 km: the doorstep of the 20 mm class; measured 0.4 mm.
    assert float(distances_m(*points)) == pytest.approx(metres, abs=0.002)


@pytest.mark.parametrize(("name", "points", "metres", "_"), rows()[1:])
def test_a_third_of_the_globe_is_good_to_six_per_mille(
    name: str, points: tuple[float, float, float, float], metres: float, _: float
) -> None:
    assert float(distances_m(*points)) == pytest.approx(metres, rel=0.006), name


#: Longest distance [m] and the error that the docstring allows there [m].
CLASSES = [(1_000.0, 1e-5), (10_000.0, 1e-4), (100_000.0, 0.02)]


@pytest.mark.parametrize(("most_m", "error_m"), CLASSES)
def test_error_classes_of_the_docstring(most_m: float, error_m: float) -> None:
    rng = np.random.default_rng(2)  # fixed: the same 300 lines every time
    for _ in range(300):
        lat = float(rng.uniform(-89.5, 89.5))
        lon = float(rng.uniform(-180, 180))
        way, turn = float(rng.uniform(0.05, 0.95)) * most_m, float(rng.uniform(0, 2 * pi))
        lat2 = min(max(lat + way * cos(turn) / 111_200, -89.9), 89.9)
        lon2 = lon + way * sin(turn) / (111_500 * cos(radians(lat)))
        truth = vincenty_m(lat, lon, lat2, lon2)
        if truth <= most_m:
            assert float(distances_m(lat, lon, lat2, lon2)) == pytest.approx(truth, abs=error_m)


def test_no_bad_spots_at_the_pole_and_the_date_line() -> None:
    # Over the pole: twice the meridian arc of 0.001 degrees, 111.694 m per thousandth
    # (radius of curvature at the pole a/(1-f) = 6 399 593.626 m, from the ellipsoid).
    radius = WGS84_A_M / (1 - WGS84_F)
    assert float(distances_m(89.999, 0, 89.999, 180)) == pytest.approx(
        2 * radius * radians(0.001), abs=1e-4
    )
    across = float(distances_m(10, 179.999, 10, -179.999))
    assert across == pytest.approx(float(distances_m(10, 20, 10, 20.002)), abs=1e-6)


degrees = st.tuples(st.floats(-90, 90), st.floats(-180, 180))


@given(degrees, degrees)
def test_there_and_back_is_the_same_and_half_the_earth_is_the_most(
    one: tuple[float, float], other: tuple[float, float]
) -> None:
    there, back = float(distances_m(*one, *other)), float(distances_m(*other, *one))
    assert there == back
    assert 0 <= there <= 20_040_000


def test_the_chord_and_its_arc() -> None:
    # A quarter of a sphere of the mean radius: chord R*sqrt(2), arc R*pi/2.
    from fellfare.walk.track.geodesic import MEAN_RADIUS_M, arc_m

    one, other = np.array([MEAN_RADIUS_M, 0.0, 0.0]), np.array([0.0, MEAN_RADIUS_M, 0.0])
    assert float(arc_m(one, other)) == pytest.approx(MEAN_RADIUS_M * asin(1.0), rel=1e-12)
