"""How does a walk become a GPX file?"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from html import escape

from fellfare.mistake import Mistake
from fellfare.walk.track import Place, Track

_HEAD = """<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="Fellfare" xmlns="http://www.topografix.com/GPX/1/1"
  xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"
  xsi:schemaLocation="http://www.topografix.com/GPX/1/1 http://www.topografix.com/GPX/1/1/gpx.xsd">
"""
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def write_gpx(
    tracks: Sequence[Track], *, places: Sequence[Place] = (), name: str = "", about: str = ""
) -> bytes:
    """Tracks and named points as GPX 1.1; the same values give the same bytes.

    Degrees keep 7 decimals (1 cm), elevations 2 (1 cm), times whole milliseconds.
    A place's kind is written as 'type', its note as 'cmt'.  Elements stand in
    the order that the schema asks for.

    Raises
    ------
    Mistake
        ``gpx-time`` for a time outside the years 1 to 9999.
    """
    parts = [_HEAD, " <metadata>\n"]
    parts += _text("  ", "name", name) + _text("  ", "desc", about)
    parts.append(" </metadata>\n")
    for place in places:
        parts.append(f' <wpt lat="{_degrees(place.lat_deg)}" lon="{_degrees(place.lon_deg)}">\n')
        if place.ele_m is not None:
            parts.append(f"  <ele>{_metres(place.ele_m)}</ele>\n")
        if place.time_s is not None:
            parts.append(f"  <time>{_time(place.time_s)}</time>\n")
        parts += _text("  ", "name", place.name) + _text("  ", "cmt", place.note)
        parts += _text("  ", "type", place.kind)
        parts.append(" </wpt>\n")
    for track in tracks:
        parts.append(" <trk>\n")
        parts += _text("  ", "name", track.name)
        start = 0
        for end in track.segment_ends:
            parts.append("  <trkseg>\n")
            parts += [_point(track, i) for i in range(start, end)]
            parts.append("  </trkseg>\n")
            start = end
        parts.append(" </trk>\n")
    parts.append("</gpx>\n")
    return "".join(parts).encode()


def _point(track: Track, i: int) -> str:
    lat, lon = _degrees(float(track.lat_deg[i])), _degrees(float(track.lon_deg[i]))
    ele = "" if track.ele_m is None else f"<ele>{_metres(float(track.ele_m[i]))}</ele>"
    time = "" if track.time_s is None else f"<time>{_time(float(track.time_s[i]))}</time>"
    return f'   <trkpt lat="{lat}" lon="{lon}">{ele}{time}</trkpt>\n'


def _degrees(value: float) -> str:
    return f"{round(value, 7) + 0.0:.7f}"  # + 0.0: no minus before a zero


def _metres(value: float) -> str:
    return f"{round(value, 2) + 0.0:.2f}"


def _time(seconds: float) -> str:
    try:
        time = _EPOCH + timedelta(milliseconds=round(seconds * 1000))
    except (OverflowError, ValueError) as error:
        raise Mistake(
            "gpx-time",
            what=f"{seconds:g} s since 1970 is no date of the calendar",
            mend="give a time between the years 1 and 9999",
        ) from error
    return time.isoformat(timespec="milliseconds" if time.microsecond else "seconds").replace(
        "+00:00", "Z"
    )


def _text(indent: str, name: str, text: str) -> list[str]:
    """One element, or nothing for an empty text; what XML 1.0 cannot hold becomes a blank."""
    if not text:
        return []
    clean = "".join(c if _allowed(c) else " " for c in text)
    return [f"{indent}<{name}>{escape(clean, quote=False)}</{name}>\n"]


def _allowed(c: str) -> bool:
    """XML 1.0 (5th edition), production 2 'Char'; line ends are left to blanks too."""
    return c == "\t" or " " <= c <= "\ud7ff" or "\ue000" <= c <= "\ufffd" or c >= "\U00010000"
