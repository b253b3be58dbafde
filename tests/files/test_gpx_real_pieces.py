"""Two real walks in pieces, beside gpxpy (tests/authorities/gpx/README.md)."""

from __future__ import annotations

from pathlib import Path

import gpxpy
import numpy as np
import pytest

from fellfare.files.gpx import read_gpx, way_of
from fellfare.walk.profile import profile_of
from fellfare.walk.track import along, steps_m

FOLDER = Path(__file__).parents[1] / "authorities" / "gpx"

#: Name, ends of the pieces, length inside them and joined across the gaps [m] (pyproj Geod).
WALKS = [
    ("cerknicko-jezero", (173, 225, 227, 271, 273, 275, 296), 4576.9, 13_676),
    ("korita-zbevnica", (358, 534, 871), 14_914.3, 27_649),
]


@pytest.mark.parametrize(("name", "ends", "inside_m", "joined_m"), WALKS)
def test_pieces_are_kept_apart_and_each_is_as_long_as_it_is(
    name: str, ends: tuple[int, ...], inside_m: float, joined_m: float
) -> None:
    data = (FOLDER / f"{name}.gpx").read_bytes()
    track, findings = way_of(read_gpx(data))
    assert track.segment_ends == ends
    steps = steps_m(track)
    inside = np.ones(steps.size, bool)
    inside[np.array(ends[:-1]) - 1] = False
    assert float(steps[inside].sum()) == pytest.approx(inside_m, abs=0.05)
    assert float(steps.sum()) == pytest.approx(joined_m, abs=0.5)
    # What is walked: the pieces and short gaps; a long gap is never walked straight across.
    walked = float(along(track).at_m[-1])
    assert inside_m - 0.05 <= walked < inside_m + 100
    assert "tracks-joined" in {finding.rule for finding in findings}


@pytest.mark.parametrize(("name", "ends", "inside_m", "joined_m"), WALKS)
def test_gpxpy_finds_the_same_points_pieces_and_length(
    name: str, ends: tuple[int, ...], inside_m: float, joined_m: float
) -> None:
    path = FOLDER / f"{name}.gpx"
    theirs = gpxpy.parse(path.read_text(encoding="utf-8"))
    track, _ = way_of(read_gpx(path.read_bytes()))
    assert theirs.get_points_no() == track.lat_deg.size == ends[-1]
    pieces = [len(segment.points) for one in theirs.tracks for segment in one.segments]
    assert tuple(np.cumsum([count for count in pieces if count]).tolist()) == ends
    # gpxpy reckons on a sphere of the equator's radius: up to 0.4 % off the ellipsoid.
    assert theirs.length_2d() == pytest.approx(inside_m, rel=0.004)
    points = [p for one in theirs.tracks for segment in one.segments for p in segment.points]
    assert track.ele_m is not None
    # One point that sticks out may have been smoothed over, and is said.
    same = np.isclose(track.ele_m, [p.elevation for p in points], atol=1e-6)
    assert same.mean() > 0.99


@pytest.mark.parametrize(("name", "ends", "inside_m", "joined_m"), WALKS)
def test_a_real_profile_keeps_its_laws(
    name: str, ends: tuple[int, ...], inside_m: float, joined_m: float
) -> None:
    theirs = gpxpy.parse((FOLDER / f"{name}.gpx").read_text(encoding="utf-8"))
    track, _ = way_of(read_gpx((FOLDER / f"{name}.gpx").read_bytes()))
    walk = profile_of(track)
    assert track.ele_m is not None
    # Piece by piece (short gaps joined): what lies between two pieces was not walked here.
    begins = [0, *walk.point_ends[:-1]]
    rises = [
        track.ele_m[end - 1] - track.ele_m[begin]
        for begin, end in zip(begins, walk.point_ends, strict=True)
    ]
    assert walk.ascent_m - walk.descent_m == pytest.approx(float(sum(rises)), abs=1e-3)
    # The smoothed climb is below gpxpy's, which smooths three points only, and both are below
    # the plain sum.
    assert walk.naive_ascent_m is not None
    assert walk.ascent_m < theirs.get_uphill_downhill().uphill < walk.naive_ascent_m
