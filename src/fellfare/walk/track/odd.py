"""Which stretches of a record were not walked?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from fellfare.mistake import Finding
from fellfare.walk.figures import Array
from fellfare.walk.track.geodesic import distances_m
from fellfare.walk.track.points import CONVENTION, Track, sealed, steps_m

#: Faster than this for longer than that is not walking (our convention).
TRANSPORT_M_S: Final = 3.0
TRANSPORT_S: Final = 30.0

_WORDS: Final = {
    "transport": "{count} stretch(es), {km:.1f} km, are too fast for walking; they still count.",
    "position-jump": "{count} point(s) jump off the way and back, {km:.1f} km; they still count.",
    "elevation-jump": "The elevation jumps at {count} place(s); the ascent may be too high there.",
}


class Odd(Struct, frozen=True, kw_only=True):
    """A stretch that does not look walked, from point ``first`` to ``last`` (both included)."""

    kind: Literal["transport", "position-jump", "elevation-jump"]
    first: int
    last: int
    #: Distance from the start of the track to ``first`` [m], and length of the stretch [m].
    at_m: float
    length_m: float
    text: str


def odd_stretches(track: Track) -> tuple[Odd, ...]:
    """What does not look walked, in order of the track.

    * ``transport``: faster than 3 m/s for longer than 30 s (needs times);
    * ``position-jump``: one point over 200 m off the line of its neighbours, there and back;
    * ``elevation-jump``: over 30 m up or down at more than 150 %.

    Nothing is removed here; see :func:`without`.
    """
    steps = steps_m(track)
    inside = np.ones(steps.size, bool)
    inside[np.array(track.segment_ends[:-1], np.intp) - 1] = False
    at = np.concatenate([[0.0], np.cumsum(np.where(inside, steps, 0.0))])
    odds = _transport(track, steps, inside, at)
    lat, lon, nearer = track.lat_deg, track.lon_deg, np.minimum(steps[:-1], steps[1:])
    past = distances_m(lat[:-2], lon[:-2], lat[2:], lon[2:])
    out = inside[:-1] & inside[1:] & (nearer > 200) & (past < 0.2 * nearer)
    for i in np.flatnonzero(out).tolist():
        text = f"point {i + 2} lies {nearer[i]:.0f} m off its neighbours"
        odds.append(_odd("position-jump", i, i + 2, at, float(steps[i] + steps[i + 1]), text))
    if track.ele_m is not None:
        rise = np.abs(np.diff(track.ele_m))
        for i in np.flatnonzero(inside & (rise > 30) & (rise > 1.5 * steps)).tolist():
            text = f"{rise[i]:.0f} m of elevation within {steps[i]:.0f} m"
            odds.append(_odd("elevation-jump", i, i + 1, at, float(steps[i]), text))
    return tuple(sorted(odds, key=lambda odd: (odd.first, odd.kind)))


def _transport(track: Track, steps: Array, inside: NDArray[np.bool_], at: Array) -> list[Odd]:
    if track.time_s is None:
        return []
    dt = np.diff(track.time_s)
    fast = inside & (steps > TRANSPORT_M_S * dt) & (steps > 0)
    edge = np.diff(np.concatenate([[0], fast.astype(np.int8), [0]]))
    odds = []
    firsts, lasts = np.flatnonzero(edge == 1).tolist(), np.flatnonzero(edge == -1).tolist()
    for a, b in zip(firsts, lasts, strict=True):
        seconds = float(track.time_s[b] - track.time_s[a])
        if seconds > TRANSPORT_S:
            length = float(at[b] - at[a])
            text = f"{length:.0f} m in {seconds:.0f} s ({3.6 * length / seconds:.0f} km/h)"
            odds.append(_odd("transport", a, b, at, length, text))
    return odds


def _odd(
    kind: Literal["transport", "position-jump", "elevation-jump"],
    first: int,
    last: int,
    at: Array,
    length_m: float,
    text: str,
) -> Odd:
    return Odd(
        kind=kind, first=first, last=last, at_m=float(at[first]), length_m=length_m, text=text
    )


def odd_findings(odds: Sequence[Odd]) -> tuple[Finding, ...]:
    """One caution for each kind of odd stretch, with the first few named."""
    findings = []
    for kind, words in _WORDS.items():
        of_kind = [odd for odd in odds if odd.kind == kind]
        if of_kind:
            km = sum(odd.length_m for odd in of_kind) / 1000
            findings.append(
                Finding(
                    severity="caution",
                    rule=kind,
                    text=words.format(count=len(of_kind), km=km),
                    source=CONVENTION,
                    about=tuple(f"km {odd.at_m / 1000:.1f}: {odd.text}" for odd in of_kind[:5]),
                )
            )
    return tuple(findings)


def without(track: Track, odds: Sequence[Odd]) -> Track:
    """The track without its transport stretches and jumping points.

    A transport stretch becomes a gap between two segments (so :func:`along` does
    not count it when it is longer than the bridge); a point that jumped is left
    out.  Elevation jumps stay, as nobody knows which side is right.
    """
    n = track.lat_deg.size
    keep, cut = np.ones(n, bool), np.zeros(n, bool)  # cut[i]: a segment starts at point i
    cut[list(track.segment_ends[:-1])] = True
    for odd in odds:
        if odd.kind == "transport":
            keep[odd.first + 1 : odd.last] = False
            cut[odd.last] = True
        elif odd.kind == "position-jump":
            keep[odd.first + 1] = False
    count = np.concatenate([[0], np.cumsum(keep)])
    ends = sorted({int(count[i]) for i in np.flatnonzero(cut)} - {0, int(count[-1])})
    return Track(
        name=track.name,
        lat_deg=sealed(track.lat_deg[keep]),
        lon_deg=sealed(track.lon_deg[keep]),
        segment_ends=(*ends, int(count[-1])),
        ele_m=None if track.ele_m is None else sealed(track.ele_m[keep]),
        time_s=None if track.time_s is None else sealed(track.time_s[keep]),
    )
