"""Where does the walk go?  Points in walking order, and the distance along them.

The arrays inside are the one exception to 'collections are tuples': tens of
thousands of points.  They are read-only.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from msgspec import Struct

from fellfare.mistake import Finding, Mistake
from fellfare.walk.figures import Array
from fellfare.walk.track.geodesic import arc_m, cartesian

#: Between two segments, a gap up to this is taken as walked in a straight line [m].
#: Our convention: a receiver that slept in a hut or under trees.
BRIDGE_M: Final = 200.0

CONVENTION: Final = "our convention, no source"


class Place(Struct, frozen=True, kw_only=True):
    """A named point beside or on the way: camp, water, hut, shop, box."""

    name: str
    #: Degrees north and east on WGS 84.
    lat_deg: float
    lon_deg: float
    #: Elevation above the sea as the document gives it [m]; None = not given.
    ele_m: float | None = None
    #: Seconds since 1970-01-01 UTC; None = not given.
    time_s: float | None = None
    #: 'camp', 'hut', 'shop', 'box', 'water', 'fire-ban-start', 'fire-ban-end'; '' = not known.
    kind: str = ""
    note: str = ""


class Track(Struct, frozen=True, kw_only=True, eq=False):
    """Points in walking order, in one or more segments; made by :func:`make_track`."""

    name: str
    #: Degrees north and east on WGS 84, shape (n,), n at least 2.
    lat_deg: Array
    lon_deg: Array
    #: Index one past the last point of each segment; the last one is n.
    segment_ends: tuple[int, ...]
    #: Elevation above the sea [m], shape (n,), all finite; None = not known.
    ele_m: Array | None = None
    #: Seconds since 1970-01-01 UTC, shape (n,), never falling; None = not known.
    time_s: Array | None = None


class Along(Struct, frozen=True, kw_only=True, eq=False):
    """Distance along a track, point by point."""

    #: Distance from the start to each point [m], shape (n,); gaps not walked add nothing.
    at_m: Array
    #: Index one past the last point of each stretch that is walked without a break.
    piece_ends: tuple[int, ...]
    findings: tuple[Finding, ...]


def steps_m(track: Track) -> Array:
    """Distance from each point to the next [m], shape (n - 1,), over gaps between segments too."""
    places = cartesian(track.lat_deg, track.lon_deg)
    return arc_m(places[:, :-1], places[:, 1:])


def along(track: Track, *, bridge_m: float = BRIDGE_M) -> Along:
    """Distance from the start to every point.

    Within a segment every step counts.  From one segment to the next a gap up
    to ``bridge_m`` counts as walked in a straight line; a longer one (a ferry,
    a bus, a receiver switched off) adds nothing and gives a caution.
    """
    steps = steps_m(track)
    inner = np.array(track.segment_ends[:-1], np.intp)
    gaps = steps[inner - 1]
    wide = gaps > bridge_m
    steps[inner[wide] - 1] = 0.0
    at = np.concatenate([[0.0], np.cumsum(steps)])
    findings: tuple[Finding, ...] = ()
    if wide.any():
        text = (
            f"{wide.sum()} gap(s) between segments, {gaps[wide].sum() / 1000:.1f} km as the crow "
            "flies, are not counted as walked."
        )
        findings = (
            Finding(severity="caution", rule="segments-apart", text=text, source=CONVENTION),
        )
    ends = (*inner[wide].tolist(), track.lat_deg.size)
    return Along(at_m=sealed(at), piece_ends=ends, findings=findings)


def joined(tracks: Sequence[Track], name: str = "") -> Track:
    """Several tracks one after the other; each segment stays a segment.

    Elevation survives only when all have it; so do times, when they go on rising.
    """
    if len(tracks) == 1:
        return tracks[0]
    if not tracks:
        raise Mistake("track-too-short", "there is no track to join", "give at least one track")
    before = np.cumsum([0, *(track.lat_deg.size for track in tracks)]).tolist()
    ends = [
        start + end
        for start, track in zip(before, tracks, strict=False)
        for end in track.segment_ends
    ]
    eles = [track.ele_m for track in tracks if track.ele_m is not None]
    times = [track.time_s for track in tracks if track.time_s is not None]
    time = np.concatenate(times) if len(times) == len(tracks) else None
    if time is not None and (np.diff(time) < 0).any():
        time = None
    return Track(
        name=name or tracks[0].name,
        lat_deg=sealed(np.concatenate([track.lat_deg for track in tracks])),
        lon_deg=sealed(np.concatenate([track.lon_deg for track in tracks])),
        segment_ends=tuple(ends),
        ele_m=sealed(np.concatenate(eles)) if len(eles) == len(tracks) else None,
        time_s=None if time is None else sealed(time),
    )


def reversed_track(track: Track) -> Track:
    """The same way walked from its end to its start; times are dropped."""
    n = track.lat_deg.size
    starts = (0, *track.segment_ends[:-1])
    return Track(
        name=track.name,
        lat_deg=sealed(track.lat_deg[::-1].copy()),
        lon_deg=sealed(track.lon_deg[::-1].copy()),
        segment_ends=tuple(n - start for start in reversed(starts)),
        ele_m=None if track.ele_m is None else sealed(track.ele_m[::-1].copy()),
    )


def sealed(array: Array) -> Array:
    """The same array, made read-only, as frozen values hold it."""
    array.flags.writeable = False
    return array
