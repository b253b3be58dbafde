"""From a trip of the book and its track to the plan, reckoned once per pair of texts."""

from __future__ import annotations

from collections import OrderedDict
from hashlib import blake2b
from pathlib import Path, PurePosixPath
from threading import Lock
from typing import Final
from weakref import WeakKeyDictionary

from msgspec import Struct

from fellfare.book import Book, Document, Shelf
from fellfare.files.trip_toml import TripFile, ground_of_track
from fellfare.mistake import Finding, Mistake
from fellfare.safety.trip.planned import findings_of_plan
from fellfare.trip.ground import NO_GROUND, Ground
from fellfare.trip.plan import TripPlan, plan_trip
from fellfare.trip.trip import Trip
from fellfare.web.documents import trip_of

#: So many plans are kept at hand.
MOST_KEPT: Final = 24


class Planned(Struct, frozen=True, kw_only=True, eq=False):
    """A trip, its ground, and everything that follows from both."""

    name: str
    trip: Trip
    ground: Ground
    plan: TripPlan
    #: Of plan and rules, each once, gravest first.
    findings: tuple[Finding, ...]
    #: The same for the same texts of trip and track.
    key: bytes


_kept: OrderedDict[bytes, Planned] = OrderedDict()
#: The same, without a look at the tracks: club, name and text of the trip, stamp of all tracks.
_seen: WeakKeyDictionary[Shelf, OrderedDict[tuple[int, str, str, int], Planned]] = (
    WeakKeyDictionary()
)
_lock = Lock()


def planned(book: Book, document: Document) -> Planned:
    """The plan of a trip document of the book.

    Raises
    ------
    Mistake
        As :func:`fellfare.web.documents.trip_of`, :func:`fellfare.trip.plan.plan_trip` and
        :func:`fellfare.files.trip_toml.ground_of_track`; ``track-not-kept`` when the book does
        not hold the track that the trip names.
    """
    trip = trip_of(document.text, document.name)
    # A track is long: as long as none of the book has changed it is not even read.
    at = (book.club_id, document.name, document.text, book.stamp("track"))
    with _lock:
        seen = _seen.setdefault(book.shelf, OrderedDict())
        if at in seen:
            seen.move_to_end(at)
            return seen[at]
    track = track_of(book, trip, document.name)
    made = plan_of(document.name, document.text, trip, "" if track is None else track.text)
    with _lock:
        seen[at] = made
        while len(seen) > MOST_KEPT:
            seen.popitem(last=False)
    return made


def plan_of(name: str, text: str, trip: Trip, track_text: str) -> Planned:
    """The same for texts that need not be in the book."""
    key = _key(name, text, track_text)
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return _kept[key]
    ground = ground_of(name, text, trip, track_text)
    try:
        plan = plan_trip(trip, ground)
    except Mistake as mistake:
        raise _placed(mistake, name, text, trip) from None
    made = Planned(
        name=name, trip=trip, ground=ground, plan=plan, findings=findings_of_plan(plan), key=key
    )
    with _lock:
        _kept[key] = made
        while len(_kept) > MOST_KEPT:
            _kept.popitem(last=False)
    return made


def track_of(book: Book, trip: Trip, name: str) -> Document | None:
    """The track that the trip names, or that bears the trip's own name; None = a table.

    A name in the document is only ever looked for in the book, never on the disk.
    """
    if not trip.way.gpx:
        return None
    named = PurePosixPath(trip.way.gpx.replace("\\", "/")).name.removesuffix(".gpx")
    for one in dict.fromkeys((named, name)):
        try:
            return book.get("track", one)
        except Mistake:
            continue
    raise Mistake(
        "track-not-kept",
        f"the book holds no track {named!r}",
        "send the file up, or take the line out and give a table of stages",
        f"{name} > walk.gpx",
    )


def ground_of(name: str, text: str, trip: Trip, track_text: str) -> Ground:
    """The track and its places, read from its text."""
    if not trip.way.gpx:
        return NO_GROUND
    data = track_text.encode("utf-8", "surrogatepass")
    return ground_of_track(TripFile(Path(name), text, trip), data, Path("track"))


def _placed(mistake: Mistake, name: str, text: str, trip: Trip) -> Mistake:
    return TripFile(Path(name), text, trip).placed(mistake)


def _key(*texts: str) -> bytes:
    made = blake2b(digest_size=20)
    for text in texts:
        data = text.encode("utf-8", "surrogatepass")
        made.update(len(data).to_bytes(8, "little") + data)
    return made.digest()
