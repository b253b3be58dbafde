"""What does a GPX file say?  Tracks, routes and named points, straight into arrays.

Written for files from strangers: size, points, tracks and named points are
capped, a document type is refused (GPX needs none, and it is the door for
entity bombs and for reading other files), and whatever is wrong ends in one
:class:`~fellfare.mistake.Mistake` with line and column.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any, Final
from xml.parsers import expat

import numpy as np
from msgspec import Struct

from fellfare.files.gpx.encoding import for_expat
from fellfare.files.gpx.kinds import kind_of
from fellfare.mistake import Finding, Mistake
from fellfare.walk.track import Place, Track, joined, make_track, odd_findings, odd_stretches

#: Largest file that is read [bytes]; one point per second for a week is 50 MB.
MOST_BYTES: Final = 60_000_000
#: Most points of tracks and routes together.
MOST_POINTS: Final = 500_000
MOST_PLACES: Final = 10_000
MOST_LINES: Final = 1_000
#: Deepest nesting; a real file stays below 12.
MOST_DEPTH: Final = 100
#: Names and notes are cut here [characters].
MOST_TEXT: Final = 500

_VERSIONS: Final = ("1.0", "1.1")
_CRS_MEND: Final = "give degrees: lat from -90 to 90, lon from -180 to 180"
#: Single texts that are kept, by parent and name.
_KEPT: Final = frozenset(
    {("trk", "name"), ("rte", "name"), ("metadata", "name"), ("metadata", "desc")}
    | {("gpx", "name"), ("gpx", "desc")}
    | {("wpt", name) for name in ("ele", "time", "name", "cmt", "desc", "sym", "type")}
)


class Gpx(Struct, frozen=True, kw_only=True, eq=False):
    """A GPX file as read."""

    #: '1.0', '1.1', or what the file says.
    version: str
    creator: str
    name: str
    #: What the file says about itself.
    about: str
    tracks: tuple[Track, ...]
    routes: tuple[Track, ...]
    #: Named points ('wpt'), in the order of the file.
    places: tuple[Place, ...]
    findings: tuple[Finding, ...]


def read_gpx(data: bytes, *, most_bytes: int = MOST_BYTES, most_points: int = MOST_POINTS) -> Gpx:
    """GPX 1.0 or 1.1 → tracks, routes and named points, with what had to be mended.

    Elements of other name spaces and all extensions are passed over.  Points
    without elevation or time are welcome; see :func:`fellfare.walk.track.make_track`
    for how holes are treated.

    Raises
    ------
    Mistake
        ``gpx-too-large``, ``gpx-too-many``, ``gpx-not-xml`` (with line and
        column), ``gpx-doctype``, ``gpx-encoding``, ``gpx-not-gpx``,
        ``gpx-coordinate``.  Nothing else, whatever the bytes.
    """
    if len(data) > most_bytes:
        raise Mistake(
            "gpx-too-large",
            what=f"the file has {len(data) / 1e6:.0f} MB; {most_bytes / 1e6:g} MB are read at most",
            mend="cut the track, or record a point every few metres instead of every second",
        )
    _refuse_other_formats(data)
    ready, encoding = for_expat(data)
    reader = _Reader(most_points)
    reader.parse(ready, encoding)
    return reader.result()


def way_of(gpx: Gpx, name: str | None = None) -> tuple[Track, tuple[Finding, ...]]:
    """The one way to walk in a file: its tracks joined in order, else its routes.

    With ``name``, only the track or route so called.  Stretches that do not look
    walked give a caution and stay in; :func:`fellfare.walk.track.without` takes
    them out.

    Raises
    ------
    Mistake
        ``gpx-no-track``.
    """
    lines = gpx.tracks or gpx.routes
    if name is not None:
        lines = tuple(line for line in (*gpx.tracks, *gpx.routes) if line.name == name)
    if not lines:
        names = ", ".join(f"'{line.name}'" for line in (*gpx.tracks, *gpx.routes)[:5])
        raise Mistake(
            "gpx-no-track",
            what="the file holds no track or route" + (f" called '{name}'" if name else ""),
            mend=f"name one of {names}" if names else "export the way as a track, not as places",
        )
    findings = []
    if len(lines) > 1:
        text = f"{len(lines)} tracks are joined in the order of the file."
        findings.append(_finding("note", "tracks-joined", text))
    if lines[0] in gpx.routes:
        text = "This is a route: straight lines between its points, so distance is at least this."
        findings.append(_finding("caution", "route-not-track", text))
    flat = [line.name for line in lines if line.ele_m is None]
    if flat and len(flat) < len(lines):
        text = f"{len(flat)} of {len(lines)} tracks have no elevation; that of the rest is unused."
        findings.append(_finding("caution", "elevation-mostly-missing", text))
    track = joined(lines)
    return track, (*findings, *odd_findings(odd_stretches(track)))


class _Line:
    """A track or route while it is being read."""

    def __init__(self, kind: str) -> None:
        self.kind = kind
        self.name = ""
        self.lat: list[float] = []
        self.lon: list[float] = []
        self.ele: list[str] = []
        self.time: list[str] = []
        self.ends: list[int] = []

    def end_segment(self) -> None:
        if len(self.lat) > (self.ends[-1] if self.ends else 0):
            self.ends.append(len(self.lat))


class _Reader:
    """Hears the parser and writes down what it needs."""

    def __init__(self, most_points: int) -> None:
        self.most_points = most_points
        self.points = 0
        self.stack: list[str] = []
        self.text: list[str] = []
        self.kept: dict[tuple[str, str], str] = {}
        self.line: _Line = _Line("")
        self.lines: list[_Line] = []
        self.place: dict[str, str] = {}
        self.places: list[Place] = []
        self.version = self.creator = ""

    def parse(self, data: bytes, encoding: str | None) -> None:
        self.parser = parser = expat.ParserCreate(encoding)
        parser.buffer_text = True
        parser.StartElementHandler = self.root
        parser.StartDoctypeDeclHandler = self.doctype
        try:
            parser.Parse(data, True)
        except expat.ExpatError as error:
            raise _broken(error, len(data)) from error
        except (ValueError, LookupError) as error:  # from the parser's own decoding
            if isinstance(error, Mistake):
                raise
            raise Mistake(
                "gpx-encoding",
                what="the file is written in letters that we do not read",
                mend="save it as UTF-8",
                where=self.where(),
            ) from error
        finally:
            del self.parser  # it holds us and we hold it

    def listen(self, prefix: str) -> None:
        """Set the two call backs that hear every element: closures, as this is the hot path."""
        parser, stack, text = self.parser, self.stack, self.text
        push, pop, hear = stack.append, stack.pop, text.append

        def start(name: str, attributes: dict[str, str]) -> None:
            parent = stack[-1]
            push(name)
            if parent == "trkpt" or parent == "rtept":
                if name == "ele" or name == "time":
                    parser.CharacterDataHandler = hear
            elif (parent == "trkseg" and name == "trkpt") or (parent == "rte" and name == "rtept"):
                self.point(name, attributes)
            else:
                self.start(parent, name, attributes)

        def end(name: str) -> None:
            pop()
            if (name == "ele" or name == "time") and stack[-1] in ("trkpt", "rtept"):
                parser.CharacterDataHandler = None
                if self.line.lat:
                    (self.line.ele if name == "ele" else self.line.time)[-1] = "".join(text)
                text.clear()
            elif name != "trkpt":
                self.end(name)

        if prefix:
            parser.StartElementHandler = lambda name, a: start(name.removeprefix(prefix), a)
            parser.EndElementHandler = lambda name: end(name.removeprefix(prefix))
        else:
            parser.StartElementHandler = start
            parser.EndElementHandler = end

    def where(self) -> str:
        return f"line {self.parser.CurrentLineNumber}, column {self.parser.CurrentColumnNumber + 1}"

    def doctype(self, *_: object) -> None:
        raise Mistake(
            "gpx-doctype",
            what="the file declares a document type (DOCTYPE); GPX has none",
            mend="delete the line that begins with <!DOCTYPE, if you trust where the file is from",
            where=self.where(),
        )

    def start(self, parent: str, name: str, attributes: dict[str, str]) -> None:
        if (parent, name) in _KEPT:
            self.text.clear()
            self.parser.CharacterDataHandler = self.text.append
        elif parent == "gpx" and len(self.stack) == 2:
            self.child(name, attributes)
        elif len(self.stack) > MOST_DEPTH:
            raise Mistake(
                "gpx-not-gpx",
                what=f"elements stand more than {MOST_DEPTH} deep in each other",
                mend="export the file again; this is not what a receiver writes",
                where=self.where(),
            )

    def root(self, name: str, attributes: dict[str, str]) -> None:
        prefix, _, local = name.rpartition(":")
        if local != "gpx":
            raise Mistake(
                "gpx-not-gpx",
                what=f"the file is XML, but it begins with <{name[:40]}>, not with <gpx>",
                mend="export the way as GPX",
                where=self.where(),
            )
        self.version = attributes.get("version", "")[:MOST_TEXT]
        self.creator = attributes.get("creator", "")[:MOST_TEXT]
        self.stack.append("gpx")
        self.listen(f"{prefix}:" if prefix else "")

    def child(self, name: str, attributes: dict[str, str]) -> None:
        if name in ("trk", "rte"):
            self.line = _Line(name)
        elif name == "wpt":
            if len(self.places) >= MOST_PLACES:
                raise self.too_many(f"{MOST_PLACES} named points")
            self.place = {}
            self.coordinates(attributes)

    def point(self, name: str, attributes: dict[str, str]) -> None:
        line = self.line
        if line.kind != ("trk" if name == "trkpt" else "rte"):
            return  # a trkseg that stands in no track
        if self.points >= self.most_points:
            raise self.too_many(f"{self.most_points} points")
        self.points += 1
        try:
            lat, lon = float(attributes["lat"]), float(attributes["lon"])
        except (KeyError, ValueError):
            lat, lon = self.coordinates(attributes)
        if not (-90.0 <= lat <= 90.0 and -180.0 <= lon <= 180.0):
            self.coordinates(attributes)
        line.lat.append(lat)
        line.lon.append(lon)
        line.ele.append("")
        line.time.append("")

    def coordinates(self, attributes: dict[str, str]) -> tuple[float, float]:
        """Latitude and longitude, or the mistake that says what is wrong with them."""
        found = []
        for key, most in (("lat", 90.0), ("lon", 180.0)):
            raw = attributes.get(key)
            if raw is None:
                raise Mistake("gpx-coordinate", f"a point has no {key}", _CRS_MEND, self.where())
            try:
                value = float(raw)
            except ValueError:
                value = float("nan")
            if not abs(value) <= most:
                what = f"{key} is '{raw[:40]}', which is no place on earth"
                raise Mistake("gpx-coordinate", what, _CRS_MEND, self.where())
            found.append(value)
        if self.stack[-1] == "wpt":
            self.place["lat"], self.place["lon"] = map(repr, found)
        return found[0], found[1]

    def too_many(self, what: str) -> Mistake:
        return Mistake(
            "gpx-too-many",
            what=f"the file holds more than {what}",
            mend="leave out what the walk does not need, or thin the track",
            where=self.where(),
        )

    def end(self, name: str) -> None:
        parent = self.stack[-1] if self.stack else ""
        if (parent, name) in _KEPT:
            self.parser.CharacterDataHandler = None
            self.keep(parent, name, "".join(self.text))
            self.text.clear()
        elif name == "trkseg" and parent == "trk":
            self.line.end_segment()
        elif parent == "gpx" and len(self.stack) == 1:
            self.end_child(name)

    def end_child(self, name: str) -> None:
        if name == "wpt":
            self.places.append(_place(self.place))
        elif name in ("trk", "rte"):
            self.line.end_segment()
            if self.line.lat:
                if len(self.lines) >= MOST_LINES:
                    raise self.too_many(f"{MOST_LINES} tracks and routes")
                self.lines.append(self.line)
            self.line = _Line("")

    def keep(self, parent: str, name: str, text: str) -> None:
        if parent == "wpt":
            self.place[name] = text.strip()[:MOST_TEXT]
        elif parent in ("trk", "rte"):
            self.line.name = text.strip()[:MOST_TEXT]
        else:
            self.kept[parent, name] = text.strip()[:MOST_TEXT]

    def result(self) -> Gpx:
        findings: list[Finding] = []
        if self.version not in _VERSIONS:
            text = f"The file says version '{self.version[:20]}'; it is read as GPX 1.1."
            findings.append(_finding("note", "gpx-version", text))
        tracks: list[Track] = []
        routes: list[Track] = []
        for line in self.lines:
            if len(line.lat) < 2:
                text = f"'{line.name[:40]}' has a single point and is left out."
                findings.append(_finding("note", "single-point", text))
                continue
            track, mended = _track(line)
            (tracks if line.kind == "trk" else routes).append(track)
            findings += mended
        kept = self.kept
        return Gpx(
            version=self.version,
            creator=self.creator,
            name=kept.get(("metadata", "name"), kept.get(("gpx", "name"), "")),
            about=kept.get(("metadata", "desc"), kept.get(("gpx", "desc"), "")),
            tracks=tuple(tracks),
            routes=tuple(routes),
            places=tuple(self.places),
            findings=tuple(findings),
        )


def _track(line: _Line) -> tuple[Track, tuple[Finding, ...]]:
    ele, unread = _numbers(line.ele)
    track, mended = make_track(
        line.lat,
        line.lon,
        ele_m=ele,
        time_s=_times(line.time),
        segment_ends=line.ends,
        name=line.name,
    )
    if unread:
        text = f"{unread} elevation(s) are no number and are taken as not given."
        mended = (_finding("caution", "elevation-unreadable", text), *mended)
    return track, mended


def _numbers(texts: list[str]) -> tuple[Any, int]:
    """Numbers with NaN for 'not given', and how many were given but cannot be read."""
    try:
        return np.array(texts, dtype=np.float64), 0
    except ValueError:
        pass
    values = [_number(text) for text in texts]
    unread = sum(v is None for v in values)
    return np.array([float("nan") if v is None else v for v in values]), unread


def _number(text: str) -> float | None:
    """NaN when nothing is given, None when it is not a number."""
    if not text.strip():
        return float("nan")
    try:
        return float(text)
    except ValueError:
        return None


def _times(texts: list[str]) -> Any:
    """Seconds since 1970 with NaN where there is no time, or none that can be read."""
    return np.array([_seconds(text) for text in texts])


def _seconds(text: str) -> float:
    try:
        time = datetime.fromisoformat(text)
    except ValueError:
        try:
            time = datetime.fromisoformat(text.strip())
        except ValueError:
            return float("nan")
    if time.tzinfo is None:
        time = time.replace(tzinfo=UTC)  # GPX: times are UTC
    return time.timestamp()


def _place(fields: dict[str, str]) -> Place:
    ele = _number(fields.get("ele", ""))
    time = _seconds(fields.get("time", ""))
    return Place(
        name=fields.get("name", ""),
        lat_deg=float(fields["lat"]),
        lon_deg=float(fields["lon"]),
        ele_m=None if ele is None or not -500 <= ele <= 9_000 else ele,
        time_s=time if time == time else None,
        kind=kind_of(fields.get("type", ""), fields.get("sym", "")),
        note=fields.get("cmt", "") or fields.get("desc", ""),
    )


def _refuse_other_formats(data: bytes) -> None:
    kind = None
    if not data.strip(b" \t\r\n\0"):
        kind, mend = "empty", "copy it again from the receiver"
    elif data.startswith(b"PK\x03\x04"):
        kind, mend = "a packed archive", "unpack it and give the GPX file inside"
    elif data[8:12] == b".FIT":
        kind, mend = "a receiver's binary file", "export the way as GPX"
    elif data.startswith(b"\x1f\x8b"):
        kind, mend = "compressed", "unpack it first"
    elif data.lstrip()[:1] in (b"{", b"["):
        kind, mend = "JSON", "export the way as GPX"
    if kind:
        raise Mistake("gpx-not-gpx", f"the file is {kind}, not GPX", mend)


def _broken(error: expat.ExpatError, size: int) -> Mistake:
    where = f"line {error.lineno}, column {error.offset + 1}"
    reason = expat.ErrorString(error.code) or str(error)
    codes = expat.errors.codes
    if error.code in (
        codes[expat.errors.XML_ERROR_NO_ELEMENTS],
        codes[expat.errors.XML_ERROR_UNCLOSED_TOKEN],
        codes[expat.errors.XML_ERROR_PARTIAL_CHAR],
    ):
        what = f"the file breaks off before its end ({size} bytes)"
        mend = "copy it again; a receiver that lost power leaves such files"
    else:
        what = f"the file is not well-formed XML: {reason}"
        mend = "export it again, or mend this line in a text editor"
    return Mistake("gpx-not-xml", what, mend, where)


def _finding(severity: Any, rule: str, text: str) -> Finding:
    return Finding(severity=severity, rule=rule, text=text, source="[GPX-1.1] and our convention")
