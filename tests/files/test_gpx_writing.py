"""What we write is valid GPX 1.1 and reads back as it was; gpxpy agrees about both directions."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import gpxpy
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.files.gpx import read_gpx, way_of, write_gpx
from fellfare.mistake import Mistake
from fellfare.walk.profile import profile_of
from fellfare.walk.track import Place, along, make_track, steps_m

MOJSTROVKA = Path(__file__).parents[1] / "authorities" / "gpx" / "Mojstrovka.gpx"
NS = "{http://www.topografix.com/GPX/1/1}"

#: Order of the elements that we write, from the GPX 1.1 schema (gpxType, metadataType, wptType,
#: trkType; www.topografix.com/GPX/1/1/gpx.xsd), typed from memory.
ORDER = {
    "gpx": ["metadata", "wpt", "rte", "trk", "extensions"],
    "metadata": ["name", "desc", "author", "copyright", "link", "time", "keywords", "bounds"],
    "wpt": ["ele", "time", "magvar", "geoidheight", "name", "cmt", "desc", "src", "link", "sym",
            "type", "fix", "sat", "hdop", "vdop", "pdop", "ageofdgpsdata", "dgpsid", "extensions"],
    "trk": ["name", "cmt", "desc", "src", "link", "number", "type", "extensions", "trkseg"],
    "trkseg": ["trkpt", "extensions"],
}  # fmt: skip
ORDER["trkpt"] = ORDER["wpt"]

#: Names as people write them; XML cannot hold control letters, and edges are trimmed in reading.
names = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Cn", "Zl", "Zp", "Zs"]),
    max_size=30,
)


@st.composite
def walks(draw: st.DrawFn) -> bytes:
    n = draw(st.integers(2, 8))
    rows = st.lists(st.floats(-80, 80), min_size=n, max_size=n)
    track, _ = make_track(
        draw(rows),
        draw(rows),
        ele_m=draw(st.none() | rows),
        time_s=draw(st.none() | st.just([1e9 + 60.5 * i for i in range(n)])),
        segment_ends=sorted({draw(st.integers(1, n)), n}),
        name=draw(names),
    )
    place = Place(
        name=draw(names),
        lat_deg=draw(st.floats(-90, 90)),
        lon_deg=draw(st.floats(-180, 180)),
        ele_m=draw(st.none() | st.floats(-400, 8000)),
        time_s=draw(st.none() | st.integers(0, 10**9)),
        kind=draw(st.sampled_from(["", "camp", "water", "fire-ban-start"])),
        note=draw(names),
    )
    return write_gpx([track], places=[place], name=draw(names), about=draw(names))


@given(walks())
def test_reading_and_writing_again_gives_the_same_bytes(data: bytes) -> None:
    read = read_gpx(data)
    assert write_gpx(read.tracks, places=read.places, name=read.name, about=read.about) == data


@given(walks())
def test_elements_stand_in_the_order_of_the_schema(data: bytes) -> None:
    root = ElementTree.fromstring(data)
    assert root.tag == f"{NS}gpx"
    assert set(root.attrib) >= {"version", "creator"}
    for element in root.iter():
        children = [child.tag.removeprefix(NS) for child in element]
        if children:
            order = ORDER[element.tag.removeprefix(NS)]
            assert children == sorted(children, key=order.index)


@given(walks())
def test_gpxpy_reads_the_same(data: bytes) -> None:
    theirs, ours = gpxpy.parse(data.decode()), read_gpx(data)
    assert theirs.get_points_no() == ours.tracks[0].lat_deg.size
    points = [p for segment in theirs.tracks[0].segments for p in segment.points]
    assert [p.latitude for p in points] == ours.tracks[0].lat_deg.tolist()
    assert [p.longitude for p in points] == ours.tracks[0].lon_deg.tolist()
    assert (points[0].elevation is None) == (ours.tracks[0].ele_m is None)
    assert [len(s.points) for s in theirs.tracks[0].segments] == np.diff(
        [0, *ours.tracks[0].segment_ends]
    ).tolist()
    (wpt,), (place,) = theirs.waypoints, ours.places
    assert (wpt.latitude, wpt.longitude, wpt.elevation) == (
        place.lat_deg,
        place.lon_deg,
        place.ele_m,
    )
    assert (wpt.name or "").strip() == place.name
    assert (wpt.type or "") == place.kind
    if points[0].time is not None and ours.tracks[0].time_s is not None:
        assert [p.time.timestamp() for p in points] == ours.tracks[0].time_s.tolist()


def test_letters_that_xml_cannot_hold_become_blanks() -> None:
    track, _ = make_track([1, 2], [1, 2], name="a\x00b\ud800c\uffff\n<&>")
    assert read_gpx(write_gpx([track])).tracks[0].name == "a b c  <&>"


def test_a_time_outside_the_calendar_is_refused() -> None:
    track, _ = make_track([1, 2], [1, 2], time_s=[1e9, 1e15])
    with pytest.raises(Mistake, match="gpx-time"):
        write_gpx([track])


# --- a real hike (tests/authorities/gpx/README.md) -----------------------------------------


def test_a_real_hike_has_its_known_figures() -> None:
    track, findings = way_of(read_gpx(MOJSTROVKA.read_bytes()))
    assert (track.lat_deg.size, track.segment_ends, track.time_s) == (184, (184,), None)
    # pyproj Geod on WGS 84: 2 700.9 m, printed to 0.1 m.
    assert along(track).at_m[-1] == pytest.approx(2700.9, abs=0.05)
    profile = profile_of(track)
    # Plain sum 482.6 m, printed to 0.1 m.
    assert profile.naive_ascent_m == pytest.approx(482.6, abs=0.05)
    # gpxpy's own smoothing says 446.5 up and 417.7 down; another method, so 10 %.
    assert profile.ascent_m == pytest.approx(446.5, rel=0.10)
    assert profile.descent_m == pytest.approx(417.7, rel=0.10)
    # Last less first elevation of the file: 1643.512 - 1614.678.
    assert profile.ascent_m - profile.descent_m == pytest.approx(28.834, abs=0.001)
    assert [finding.rule for finding in findings] == ["elevation-jump"]


def test_the_times_of_1901_are_dropped_and_said() -> None:
    assert [f.rule for f in read_gpx(MOJSTROVKA.read_bytes()).findings] == ["times-dropped"]


def test_length_agrees_with_gpxpy() -> None:
    theirs = gpxpy.parse(MOJSTROVKA.read_text(encoding="utf-8"))
    track, _ = way_of(read_gpx(MOJSTROVKA.read_bytes()))
    # gpxpy reckons on a sphere of the equator's radius: up to 0.4 % off the ellipsoid.
    assert float(steps_m(track).sum()) == pytest.approx(theirs.length_2d(), rel=0.004)
    assert theirs.get_points_no() == track.lat_deg.size
