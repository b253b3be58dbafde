"""What does the walk's record lack?  Points as read, made fit to compute with."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal

import numpy as np
from msgspec.structs import replace
from numpy.typing import ArrayLike, NDArray

from fellfare.mistake import Finding, Mistake
from fellfare.walk.figures import Array
from fellfare.walk.track.points import CONVENTION, Track, sealed, steps_m

#: Lowest and highest elevation that we take for land one walks on [m].
LEAST_ELE_M: Final = -500.0
MOST_ELE_M: Final = 9_000.0
#: A gap in the elevation up to this is filled without a caution [m].
SHORT_GAP_M: Final = 500.0
#: With more than this share of the way in longer gaps there is no elevation at all.
MOST_GAP_SHARE: Final = 0.25

#: Seconds from 1970 to 1990: civil satellite receivers are younger than that.
LEAST_TIME_S: Final = 631_152_000.0


def make_track(
    lat_deg: ArrayLike,
    lon_deg: ArrayLike,
    *,
    ele_m: ArrayLike | None = None,
    time_s: ArrayLike | None = None,
    segment_ends: Sequence[int] | None = None,
    name: str = "",
) -> tuple[Track, tuple[Finding, ...]]:
    """Points as read → a track to compute with, and what was mended on the way.

    ``ele_m`` and ``time_s`` may hold NaN for 'not given'.  Short gaps in the
    elevation are filled along the distance and said so; times with a hole,
    before 1990 or running backwards are dropped as a whole.

    Raises
    ------
    Mistake
        ``track-too-short`` (fewer than two points), ``track-coordinate`` (not
        finite or out of range), ``track-shape`` (arrays of unequal length).
    """
    lat, lon = np.array(lat_deg, float), np.array(lon_deg, float)
    ends = tuple(segment_ends) if segment_ends is not None else (lat.size,)
    _check_shape(lat, lon, ele_m, time_s, ends)
    bad = np.flatnonzero(~((np.abs(lat) <= 90) & (np.abs(lon) <= 360)))
    if bad.size:
        i = int(bad[0])
        raise Mistake(
            "track-coordinate",
            what=f"latitude {lat[i]:g}, longitude {lon[i]:g} is no place on earth",
            mend="give degrees: latitude -90 to 90, longitude -180 to 180",
            where=f"point {i + 1}",
        )
    ends = tuple(end for start, end in zip((0, *ends), ends, strict=False) if end > start)
    track = Track(name=name, lat_deg=sealed(lat), lon_deg=sealed(lon), segment_ends=ends)
    ele, ele_findings = _mend_elevation(track, ele_m)
    time, time_findings = _mend_times(time_s)
    return replace(track, ele_m=ele, time_s=time), ele_findings + time_findings


def _check_shape(
    lat: Array,
    lon: Array,
    ele_m: ArrayLike | None,
    time_s: ArrayLike | None,
    ends: tuple[int, ...],
) -> None:
    shapes = {lat.shape, lon.shape} | {np.shape(a) for a in (ele_m, time_s) if a is not None}
    if len(shapes) > 1 or lat.ndim != 1:
        raise Mistake(
            "track-shape",
            what=f"the lists of the track differ in length: {sorted(map(str, shapes))}",
            mend="give latitude, longitude, elevation and time once for each point",
        )
    if lat.size < 2:
        raise Mistake(
            "track-too-short",
            what=f"a track of {lat.size} point(s) leads nowhere",
            mend="give at least two points",
        )
    if (
        not ends
        or ends[-1] != lat.size
        or any(b < a for a, b in zip((0, *ends), ends, strict=False))
    ):
        raise Mistake(
            "track-shape",
            what=f"segment ends {ends} do not divide {lat.size} points",
            mend="give the index one past the last point of each segment, in order",
        )


def _mend_elevation(
    track: Track, ele_m: ArrayLike | None
) -> tuple[Array | None, tuple[Finding, ...]]:
    if ele_m is None:
        return None, ()
    ele = np.array(ele_m, float)
    given = int(np.isfinite(ele).sum())
    ele[~((ele >= LEAST_ELE_M) & (ele <= MOST_ELE_M))] = np.nan
    at = np.concatenate([[0.0], np.cumsum(steps_m(track))])
    findings: list[Finding] = []
    if refused := given - int(np.isfinite(ele).sum()):
        text = f"{refused} elevation(s) below -500 m or above 9 000 m are taken as not given."
        findings.append(_finding("caution", "elevation-out-of-range", text))
    ele, spikes = _without_spikes(ele, at)
    if spikes:
        text = f"{spikes} single point(s) stick out by more than 30 m and are smoothed over."
        findings.append(_finding("note", "elevation-spike", text))
    known = np.isfinite(ele)
    if not known.any():
        return None, tuple(findings)
    if known.all():
        return sealed(ele), tuple(findings)
    gaps = _gaps(known, at)
    long = [(a, b) for a, b in gaps if b - a > SHORT_GAP_M]
    if at[-1] > 0 and sum(b - a for a, b in long) > MOST_GAP_SHARE * at[-1]:
        text = (
            f"{np.sum(~known)} of {known.size} points have no elevation, "
            f"{sum(b - a for a, b in long) / 1000:.1f} km of the way; the rest is left unused."
        )
        return None, (*findings, _finding("caution", "elevation-mostly-missing", text))
    text = f"{np.sum(~known)} points without elevation lie on a straight line between neighbours."
    findings.append(_finding("note", "elevation-filled", text))
    if long:
        where = ", ".join(f"km {a / 1000:.1f} to {b / 1000:.1f}" for a, b in long[:5])
        text = (
            f"No elevation over more than {SHORT_GAP_M:.0f} m: climbs there are unseen ({where})."
        )
        findings.append(_finding("caution", "elevation-gap", text))
    return sealed(np.interp(at, at[known], ele[known])), tuple(findings)


def _without_spikes(ele: Array, at: Array) -> tuple[Array, int]:
    """Single points far off both neighbours (over 30 m and over 150 %) → NaN."""
    rise, step = np.diff(ele), np.diff(at)
    with np.errstate(invalid="ignore"):
        steep = (np.abs(rise) > 30) & (np.abs(rise) > 1.5 * step)
    spike = steep[:-1] & steep[1:] & (rise[:-1] * rise[1:] < 0)
    # Where every other point sticks out, nobody knows which ones are wrong.
    alone = spike.copy()
    alone[1:] &= ~spike[:-1]
    alone[:-1] &= ~spike[1:]
    inner = np.flatnonzero(alone) + 1
    if inner.size:
        ele = ele.copy()
        ele[inner] = np.nan
    return ele, int(inner.size)


def _gaps(known: NDArray[np.bool_], at: Array) -> list[tuple[float, float]]:
    """Stretches without elevation, from the last known point to the next [m]."""
    edge = np.diff(np.concatenate([[0], (~known).astype(np.int8), [0]]))
    first, last = np.flatnonzero(edge == 1), np.flatnonzero(edge == -1) - 1
    n = known.size - 1
    return [
        (float(at[max(a - 1, 0)]), float(at[min(b + 1, n)]))
        for a, b in zip(first.tolist(), last.tolist(), strict=True)
    ]


def _mend_times(time_s: ArrayLike | None) -> tuple[Array | None, tuple[Finding, ...]]:
    if time_s is None:
        return None, ()
    time = np.array(time_s, float)
    finite = np.isfinite(time)
    if not finite.any():
        return None, ()
    if not finite.all():
        why = f"{np.sum(~finite)} of {time.size} points have none that can be read"
    elif time.min() < LEAST_TIME_S:
        why = "some lie before 1990, when no receiver could have written them"
    elif (np.diff(time) < 0).any():
        why = f"they run backwards {np.sum(np.diff(time) < 0)} time(s)"
    else:
        return sealed(time), ()
    return None, (_finding("note", "times-dropped", f"Times are left unused: {why}."),)


def _finding(
    severity: Literal["error", "caution", "note"], rule: str, text: str, about: tuple[str, ...] = ()
) -> Finding:
    return Finding(severity=severity, rule=rule, text=text, source=CONVENTION, about=about)
