"""Broken and hostile files end in one Mistake that says where and how to mend."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.files.gpx import read_gpx, way_of, write_gpx
from fellfare.files.gpx import reading as reading_module
from fellfare.mistake import Mistake
from fellfare.walk.track import Place, make_track

HEAD = b'<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">'
POINT = b'<trkpt lat="46" lon="13"><ele>1</ele></trkpt>'
SEG = HEAD + b"<trk><trkseg>"
END = b"</trkseg></trk></gpx>"
BOMB = (
    b'<?xml version="1.0"?>\n<!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa">'
    + b"".join(b'<!ENTITY %c "%s">' % (98 + i, b"&%c;" % (97 + i) * 10) for i in range(9))
    + b"]>\n<gpx><name>&j;</name></gpx>"
)

HOSTILE = {
    "empty": (b"", "gpx-not-gpx"),
    "blank": (b" \n\n ", "gpx-not-gpx"),
    "nulls": (bytes(1000), "gpx-not-gpx"),
    "entity bomb": (BOMB, "gpx-doctype"),
    "external entity": (
        b'<!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/hostname">]><gpx><name>&x;</name></gpx>',
        "gpx-doctype",
    ),
    "external document type": (
        b'<!DOCTYPE gpx SYSTEM "http://127.0.0.1/x.dtd"><gpx/>',
        "gpx-doctype",
    ),
    "bare document type": (b"<!DOCTYPE gpx><gpx/>", "gpx-doctype"),
    "entity without a declaration": (HEAD + b"<name>&x;</name></gpx>", "gpx-not-xml"),
    "truncated in a tag": ((SEG + POINT * 3)[:-10], "gpx-not-xml"),
    "truncated between tags": (SEG + POINT * 3, "gpx-not-xml"),
    "two roots": (HEAD + b"</gpx><gpx/>", "gpx-not-xml"),
    "crossed tags": (HEAD + b"<trk><trkseg></trk></trkseg></gpx>", "gpx-not-xml"),
    "blank before the declaration": (b' <?xml version="1.0"?><gpx/>', "gpx-not-xml"),
    "not UTF-8": (HEAD + b"<name>\xff\xfe</name></gpx>", "gpx-not-xml"),
    "control letter": (HEAD + b"<name>\x01</name></gpx>", "gpx-not-xml"),
    "another XML": (b'<kml xmlns="http://www.opengis.net/kml/2.2"/>', "gpx-not-gpx"),
    "a page": (b"<!DOCTYPE html><html><body>404</body></html>", "gpx-doctype"),
    "plain text": (b"46.0, 13.0", "gpx-not-xml"),
    "JSON": (b'{"type": "FeatureCollection"}', "gpx-not-gpx"),
    "archive": (b"PK\x03\x04" + bytes(40), "gpx-not-gpx"),
    "binary record": (b"\x0e\x10\x00\x00\x00\x00\x00\x00.FIT" + bytes(40), "gpx-not-gpx"),
    "compressed": (b"\x1f\x8b\x08" + bytes(40), "gpx-not-gpx"),
    "unknown letters": (b'<?xml version="1.0" encoding="klingon"?><gpx/>', "gpx-encoding"),
    "letters that take quadratic time": (
        b'<?xml version="1.0" encoding="punycode"?><gpx/>' + b"a" * 100_000,
        "gpx-encoding",
    ),
    "bytes for letters": (b'<?xml version="1.0" encoding="zip"?><gpx/>', "gpx-encoding"),
    "wrong letters": (
        b'<?xml version="1.0" encoding="shift_jis"?>\n<gpx>\n<name>\x81</name></gpx>',
        "gpx-encoding",
    ),
    "half a wide letter": (b"\xff\xfe<\x00g\x00p", "gpx-not-xml"),
    "UTF-32 mark and nonsense": (b"\xff\xfe\x00\x00abc", "gpx-encoding"),
    "latitude 95": (SEG + b'<trkpt lat="95" lon="13"/>' + END, "gpx-coordinate"),
    "longitude 200": (SEG + b'<trkpt lat="45" lon="200"/>' + END, "gpx-coordinate"),
    "NaN": (SEG + b'<trkpt lat="NaN" lon="13"/>' + END, "gpx-coordinate"),
    "infinite": (SEG + b'<trkpt lat="45" lon="-inf"/>' + END, "gpx-coordinate"),
    "huge": (SEG + b'<trkpt lat="1e999" lon="13"/>' + END, "gpx-coordinate"),
    "comma": (SEG + b'<trkpt lat="45,5" lon="13"/>' + END, "gpx-coordinate"),
    "no longitude": (SEG + b'<trkpt lat="45"/>' + END, "gpx-coordinate"),
    "place nowhere": (HEAD + b'<wpt lat="45"/></gpx>', "gpx-coordinate"),
    "place off the globe": (HEAD + b'<wpt lat="45" lon="1e9"/></gpx>', "gpx-coordinate"),
    "deep": (HEAD + b"<a>" * 5000 + b"</a>" * 5000 + b"</gpx>", "gpx-not-gpx"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_one_mistake_with_a_mend(name: str) -> None:
    data, code = HOSTILE[name]
    with pytest.raises(Mistake) as caught:
        read_gpx(data)
    assert caught.value.code == code
    assert caught.value.mend
    if code in ("gpx-not-xml", "gpx-doctype", "gpx-coordinate"):
        assert caught.value.where.startswith("line ")


def test_the_place_of_the_mistake_is_right() -> None:
    data = (
        b'<?xml version="1.0"?>\n' + SEG + b"\n" + POINT + b'\n  <trkpt lat="95" lon="13"/>' + END
    )
    with pytest.raises(Mistake) as caught:
        read_gpx(data)
    assert caught.value.where == "line 4, column 3"
    assert "'95'" in caught.value.what


def test_a_file_that_breaks_off_is_told_from_one_that_is_wrong() -> None:
    with pytest.raises(Mistake, match="breaks off"):
        read_gpx((SEG + POINT * 30)[:-5])
    with pytest.raises(Mistake, match="not well-formed"):
        read_gpx(SEG + b"</trk></gpx>")


def test_a_single_point_is_no_way() -> None:
    read = read_gpx(SEG + POINT + END)
    assert [finding.rule for finding in read.findings] == ["single-point"]
    with pytest.raises(Mistake, match="gpx-no-track"):
        way_of(read)


def test_size_and_number_are_capped() -> None:
    data = SEG + POINT * 20 + END
    assert read_gpx(data, most_bytes=len(data), most_points=20).tracks[0].lat_deg.size == 20
    with pytest.raises(Mistake, match="gpx-too-large"):
        read_gpx(data, most_bytes=len(data) - 1)
    with pytest.raises(Mistake, match="gpx-too-many"):
        read_gpx(data, most_points=19)


def test_tracks_and_places_are_capped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading_module, "MOST_LINES", 3)
    monkeypatch.setattr(reading_module, "MOST_PLACES", 3)
    line = b"<trk><trkseg>" + POINT * 2 + b"</trkseg></trk>"
    place = b'<wpt lat="1" lon="1"/>'
    assert len(read_gpx(HEAD + place * 3 + line * 3 + b"</gpx>").tracks) == 3
    for more in (line * 4, place * 4):
        with pytest.raises(Mistake, match="gpx-too-many"):
            read_gpx(HEAD + more + b"</gpx>")


def test_long_texts_are_cut() -> None:
    read = read_gpx(HEAD + b'<wpt lat="1" lon="1"><name>' + b"x" * 10**6 + b"</name></wpt></gpx>")
    assert len(read.places[0].name) == reading_module.MOST_TEXT


def whole() -> bytes:
    """A small file with something of everything."""
    track, _ = make_track(
        [46, 46.001, 46.002, 46.1], [13, 13, 13, 13.1], ele_m=[1, 2, 3, 4],
        time_s=[1e9, 1e9 + 60, 1e9 + 120, 1e9 + 999], segment_ends=[2, 4], name="W & <é>",
    )  # fmt: skip
    place = Place(
        name="P", lat_deg=46.0, lon_deg=13.0, ele_m=5.0, time_s=0.0, kind="camp", note="n"
    )
    return write_gpx([track], places=[place], name="A", about="B")


def only_mistakes(data: bytes) -> None:
    with suppress(Mistake):
        way_of(read_gpx(data))


@given(st.binary(max_size=300))
def test_any_bytes(data: bytes) -> None:
    only_mistakes(data)


@given(
    st.binary(max_size=60), st.sampled_from([b"\xff\xfe", b"\xef\xbb\xbf", b"\xfe\xff", SEG, b""])
)
def test_any_bytes_after_a_good_beginning(data: bytes, start: bytes) -> None:
    only_mistakes(start + data)
    only_mistakes(start + data + END)


@given(st.data())
def test_a_good_file_with_a_few_bytes_changed(data: st.DataObject) -> None:
    bad = bytearray(whole())
    for _ in range(data.draw(st.integers(1, 4))):
        bad[data.draw(st.integers(0, len(bad) - 1))] = data.draw(st.integers(0, 255))
    only_mistakes(bytes(bad))


@given(st.integers(0, 2000), st.integers(0, 2000))
def test_a_good_file_with_a_piece_missing(start: int, length: int) -> None:
    good = whole()
    only_mistakes(good[:start] + good[start + length :])


texts = st.text(st.characters(codec="utf-8", exclude_characters="<&"), max_size=20)


@given(texts, texts, st.text("0123456789+-.eE_NaNinf ", max_size=12))
def test_any_text_for_a_time_an_elevation_and_a_latitude(time: str, ele: str, lat: str) -> None:
    point = f"<trkpt lat='{lat}' lon='1'><ele>{ele}</ele><time>{time}</time></trkpt>"
    wpt = f"<wpt lat='1' lon='1'><ele>{ele}</ele><time>{time}</time></wpt>"
    only_mistakes(HEAD + f"{wpt}<trk><trkseg>{point * 2}".encode() + END)


@pytest.mark.parametrize(
    "time",
    ["0001-01-01T00:00:00+23:59", "9999-12-31T23:59:59-23:59", "2024-02-30T00:00:00Z",
     "24:00:00", "2024-05-01T23:59:60Z", "2024", "now", "NaT"],
)  # fmt: skip
def test_odd_times_are_dropped_or_read(time: str) -> None:
    only_mistakes(
        SEG + POINT.replace(b"</trkpt>", f"<time>{time}</time></trkpt>".encode()) * 2 + END
    )


@pytest.mark.parametrize(
    "name", ["iso-8859-1", "cp1252", "utf-7", "idna", "rot13", "mbcs", "a.b", "-"]
)
def test_any_name_of_an_encoding(name: str) -> None:
    only_mistakes(f'<?xml version="1.0" encoding="{name}"?><gpx/>'.encode())
