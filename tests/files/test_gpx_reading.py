"""What a GPX file says arrives in the arrays; what had to be mended is said."""

from __future__ import annotations

import numpy as np
import pytest

from fellfare.files.gpx import Gpx, read_gpx, way_of
from fellfare.files.gpx.kinds import kind_of
from fellfare.mistake import Mistake

HEAD = '<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">'


def gpx(body: str, head: str = HEAD) -> Gpx:
    return read_gpx(f'<?xml version="1.0" encoding="UTF-8"?>\n{head}{body}</gpx>'.encode())


def trk(*points: str, name: str = "") -> str:
    return f"<trk><name>{name}</name><trkseg>{''.join(points)}</trkseg></trk>"


def pt(lat: float, lon: float, inner: str = "") -> str:
    return f'<trkpt lat="{lat}" lon="{lon}">{inner}</trkpt>'


TWO = (pt(46, 13, "<ele>500</ele>"), pt(46.001, 13, "<ele>510</ele>"))


def rules(read: Gpx) -> list[str]:
    return [finding.rule for finding in read.findings]


def test_points_elevations_and_times() -> None:
    read = gpx(
        trk(
            pt(46, 13, "<ele>500.5</ele><time>2024-05-01T06:00:00Z</time>"),
            pt(46.001, 13.5, "<ele> 510 </ele><time>2024-05-01T08:00:10.500+02:00</time>"),
            name="Ridge",
        )
    )
    (track,) = read.tracks
    assert (track.name, track.segment_ends, read.version, read.findings) == (
        "Ridge",
        (2,),
        "1.1",
        (),
    )
    assert track.lat_deg.tolist() == [46, 46.001]
    assert track.lon_deg.tolist() == [13, 13.5]
    assert track.ele_m is not None
    assert track.ele_m.tolist() == [500.5, 510]
    assert track.time_s is not None
    # 2024-05-01T06:00:00Z is 1 714 543 200 s after 1970 (date -u -d ... +%s).
    assert track.time_s.tolist() == [1_714_543_200, 1_714_543_210.5]


def test_gpx_1_0_with_its_own_places_for_name_and_time() -> None:
    head = '<gpx version="1.0" creator="x" xmlns="http://www.topografix.com/GPX/1/0">'
    read = gpx(
        "<name>Old</name><desc>of 2003</desc><time>2003-01-01T00:00:00Z</time>" + trk(*TWO), head
    )
    assert (read.version, read.name, read.about, len(read.tracks)) == ("1.0", "Old", "of 2003", 1)


def test_metadata_of_1_1() -> None:
    read = gpx("<metadata><name>N</name><desc>D</desc><author><name>A</name></author></metadata>")
    assert (read.name, read.about) == ("N", "D")


def test_a_file_with_a_prefixed_name_space() -> None:
    read = read_gpx(
        b'<g:gpx version="1.1" xmlns:g="http://www.topografix.com/GPX/1/1"><g:trk><g:trkseg>'
        b'<g:trkpt lat="1" lon="2"><g:ele>3</g:ele><o:ele xmlns:o="o">9</o:ele></g:trkpt>'
        b'<g:trkpt lat="1" lon="3"><g:ele>4</g:ele></g:trkpt></g:trkseg></g:trk></g:gpx>'
    )
    assert read.tracks[0].ele_m is not None
    assert read.tracks[0].ele_m.tolist() == [3, 4]


def test_extensions_are_passed_over() -> None:
    inner = "<ele>5</ele><extensions><ele>9999</ele><time>x</time><name>n</name></extensions>"
    read = gpx(trk(pt(46, 13, inner), pt(46.001, 13, inner)))
    assert read.tracks[0].ele_m is not None
    assert read.tracks[0].ele_m.tolist() == [5, 5]
    assert rules(read) == []


def test_elements_where_they_do_not_belong_do_no_harm() -> None:
    body = f"<ele>1</ele><trk><name>A</name><time>x</time><ele>7</ele><trkseg>{TWO[0]}<ele>9</ele>"
    read = gpx(body + f"<time>y</time>{TWO[1]}</trkseg><trkpt lat='1' lon='1'/></trk><trkseg/>")
    (track,) = read.tracks
    assert track.name == "A"
    assert track.ele_m is not None
    assert track.ele_m.tolist() == [500, 510]
    assert gpx(f"<trkseg>{''.join(TWO)}</trkseg><rte/>").tracks == ()


def test_several_tracks_segments_and_empty_ones() -> None:
    body = (
        f"<trk><name>A</name><trkseg/><trkseg>{''.join(TWO)}</trkseg><trkseg></trkseg>"
        f"<trkseg>{pt(46.01, 13, '<ele>1</ele>')}</trkseg></trk>"
        f"{trk(*TWO, name='B')}<trk><name>empty</name></trk>{trk(pt(1, 1), name='lonely')}"
    )
    read = gpx(body)
    assert [(t.name, t.segment_ends) for t in read.tracks] == [("A", (2, 3)), ("B", (2,))]
    assert rules(read) == ["single-point"]
    track, findings = way_of(read)
    assert track.segment_ends == (2, 3, 5)
    assert "tracks-joined" in [finding.rule for finding in findings]
    assert way_of(read, "B")[0].segment_ends == (2,)


def test_an_unknown_track_name_names_the_known_ones() -> None:
    with pytest.raises(Mistake, match="'B'") as caught:
        way_of(gpx(trk(*TWO, name="B")), "C")
    assert caught.value.code == "gpx-no-track"


def test_places_only_are_no_way() -> None:
    with pytest.raises(Mistake, match="gpx-no-track"):
        way_of(gpx('<wpt lat="1" lon="2"><name>A</name></wpt>'))


def test_a_route_serves_when_there_is_no_track() -> None:
    body = (
        '<rte><name>R</name><rtept lat="46" lon="13"><ele>1</ele><name>p</name></rtept>'
        '<rtept lat="46.001" lon="13"><ele>2</ele></rtept></rte>'
    )
    read = gpx(body)
    assert (len(read.tracks), read.routes[0].name) == (0, "R")
    track, findings = way_of(read)
    assert track.lat_deg.size == 2
    assert [finding.rule for finding in findings] == ["route-not-track"]
    assert way_of(gpx(body + trk(*TWO, name="T")))[0].name == "T"


def test_places_with_all_their_fields() -> None:
    read = gpx(
        '<wpt lat="46" lon="13"><ele>1200</ele><time>1970-01-02T00:00:00Z</time><name> Tarn </name>'
        "<cmt>flat</cmt><desc>d</desc><sym>Drinking  Water</sym><type>Campsite</type></wpt>"
        '<wpt lat="-46.5" lon="-13"><sym>Drinking Water</sym><desc>only in spring</desc></wpt>'
    )
    one, other = read.places
    assert (one.name, one.ele_m, one.time_s, one.kind, one.note) == (
        "Tarn",
        1200,
        86_400,
        "camp",
        "flat",
    )
    assert (other.name, other.ele_m, other.kind, other.note) == (
        "",
        None,
        "water",
        "only in spring",
    )


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        (("camp",), "camp"),
        (("", "CAMPGROUND"), "camp"),
        (("viewpoint", "water"), "water"),
        ((), ""),
    ],
)
def test_kinds_of_places(words: tuple[str, ...], kind: str) -> None:
    assert kind_of(*words) == kind


def test_no_elevation_at_all_is_none() -> None:
    read = gpx(trk(pt(46, 13), pt(46.001, 13)))
    assert read.tracks[0].ele_m is None
    assert read.tracks[0].time_s is None
    assert rules(read) == []


@pytest.mark.parametrize("wrong", ["abc", "1234,5", "12 m"])
def test_an_elevation_that_is_no_number_is_missing_and_said(wrong: str) -> None:
    read = gpx(trk(TWO[0], pt(46.0005, 13, f"<ele>{wrong}</ele>"), TWO[1]))
    assert read.tracks[0].ele_m is not None
    assert read.tracks[0].ele_m[1] == pytest.approx(505, abs=0.01)
    assert rules(read) == ["elevation-unreadable", "elevation-filled"]


def test_one_track_without_elevation_beside_one_with_it_is_said() -> None:
    track, findings = way_of(gpx(trk(*TWO) + trk(pt(46, 13), pt(46.001, 13))))
    assert track.ele_m is None
    assert "elevation-mostly-missing" in [finding.rule for finding in findings]


def test_a_bus_ride_is_said() -> None:
    minutes = [
        pt(46 + 0.01 * i, 13, f"<time>2024-05-01T06:0{i}:00Z</time>") for i in range(5)
    ]  # 1.1 km a minute
    _, findings = way_of(gpx(trk(*minutes)))
    assert [finding.rule for finding in findings] == ["transport"]


@pytest.mark.parametrize("version", ["", "2.0", "1.1 beta"])
def test_an_unknown_version_is_read_and_said(version: str) -> None:
    read = gpx(trk(*TWO), f'<gpx version="{version}">')
    assert rules(read) == ["gpx-version"]
    assert len(read.tracks) == 1


# --- letters -----------------------------------------------------------------------------

NAMED = f'{HEAD}<wpt lat="1" lon="2"><name>Hütte Žabče</name></wpt></gpx>'
GREEK = NAMED.replace("Hütte Žabče", "Καταφύγιο")
JAPAN = NAMED.replace("Hütte Žabče", "山小屋")


@pytest.mark.parametrize(
    ("text", "encoding"),
    [
        (NAMED, "utf-8"), (NAMED, "utf8"), (NAMED, "UTF-16"), (NAMED, "utf-32"),
        (NAMED, "windows-1250"), (NAMED, "iso-8859-2"), (GREEK, "iso-8859-7"),
        (GREEK, "windows-1253"), (JAPAN, "shift_jis"), (JAPAN, "euc-jp"), (JAPAN, "gb18030"),
    ],
)  # fmt: skip
def test_other_character_sets(text: str, encoding: str) -> None:
    data = f'<?xml version="1.0" encoding="{encoding}"?>\n{text}'.encode(encoding)
    assert read_gpx(data).places[0].name in text


@pytest.mark.parametrize("declared", ["", ' encoding="UTF-8"', ' encoding="ISO-8859-1"'])
def test_a_byte_order_mark_wins(declared: str) -> None:
    data = f'\ufeff<?xml version="1.0"{declared}?>{NAMED}'.encode()
    assert read_gpx(data).places[0].name == "Hütte Žabče"


@pytest.mark.parametrize("encoding", ["utf-16", "utf-32"])
def test_wide_letters_without_a_declaration(encoding: str) -> None:
    assert read_gpx(NAMED.encode(encoding)).places[0].name == "Hütte Žabče"


def test_latin_1_and_ascii() -> None:
    latin = NAMED.replace("Žabče", "")
    head = '<?xml version="1.0" encoding="iso-8859-1"?>'
    assert read_gpx((head + latin).encode("iso-8859-1")).places[0].name == "Hütte"
    plain = latin.replace("ü", "ue")
    head = "<?xml version='1.0' encoding='US-ASCII'?>"
    assert read_gpx((head + plain).encode("ascii")).places[0].name == "Huette"


def test_many_points_arrive_in_order() -> None:
    lat = np.round(46 + 1e-5 * np.arange(5000), 6)
    body = trk(*(pt(float(x), 13, f"<ele>{i % 7}</ele>") for i, x in enumerate(lat)))
    track = gpx(body).tracks[0]
    np.testing.assert_array_equal(track.lat_deg, lat)
    assert track.ele_m is not None
    np.testing.assert_array_equal(track.ele_m, np.arange(5000) % 7)
