"""The Harrowmoor Round: an invented nine-day ring walk for the demonstration.

Nothing of it exists: it is laid out in the middle of the North Atlantic, so
that nobody can set out on it.  The way, the heights and the faults of the
receiver are drawn from a random generator that is handed in; the same seed
gives the same file (with one version of numpy; its drawing methods may change
between versions).
"""

from __future__ import annotations

from typing import Final

import numpy as np
from msgspec import Struct
from numpy.random import Generator

from fellfare.files.gpx import write_gpx
from fellfare.walk.figures import Array
from fellfare.walk.track import Place, Track, make_track, steps_m

NAME: Final = "Harrowmoor Round"
ABOUT: Final = (
    "Invented for a demonstration: no such uplands, paths, huts or springs exist. "
    "Do not walk by this file."
)

#: Middle of the ring, in open sea.
MIDDLE_LAT: Final = 47.0
MIDDLE_LON: Final = -32.0
#: 1 May 2031, 08:00 UTC, as seconds since 1970: an invented start.
START_S: Final = 1_935_388_800.0
#: Points of the record; about one every 7.5 m.
POINTS: Final = 20_000

#: Each day: length [km], camp at its end, and its heights [m] at even distances after the start.
_DAYS: Final = (
    (14.2, "Sallow Tarn", (990, 870, 1180)),
    (16.8, "Thornlaw Beck", (1560, 1290, 1480, 1420)),
    (18.4, "Cold Edge Hut", (1890, 1510, 1850, 1760)),
    (15.2, "Upper Skarn", (1640, 2220, 2060, 2350)),
    (13.6, "High Kist", (2710, 2560, 3010, 2900)),
    (19.8, "Dunmarrow Pan", (3090, 2300, 2660, 1980)),
    (21.4, "Ellerstead", (2260, 1520, 1810, 1050)),
    (17.3, "Wether Fold", (1690, 1340, 1880, 1390)),
    (12.3, "", (1790, 1410, 1570, 640)),
)
_START_ELE_M: Final = 640.0
#: Water: day, share of the day's way, name.
_WATER: Final = (
    (1, 0.30, "Gate Spring"), (1, 0.66, "Low Beck"), (1, 0.99, "Sallow Tarn outflow"),
    (2, 0.45, "Slape Spring"), (2, 0.98, "Thornlaw Force"),
    (3, 0.50, "Hollin Gill"), (3, 0.995, "Cold Edge tap"),
    (4, 0.25, "Skarn Foot"), (4, 0.97, "Upper Skarn snowmelt"),
    (5, 0.50, "Kist Saddle spring"), (5, 0.985, "High Kist pool"),
    (6, 0.52, "Grey Sike"), (6, 0.99, "Dunmarrow Pan stream"),
    (7, 0.40, "Rushy Well"), (7, 0.70, "Eller Water"), (7, 0.995, "Ellerstead fountain"),
    (8, 0.48, "Fold Gill"), (8, 0.98, "Wether Fold spring"),
    (9, 0.55, "Harrow Beck"),
)  # fmt: skip
#: Sideways distance of a place from the path, to and fro [m].
_ASIDE_M: Final = 35.0


class DemoWalk(Struct, frozen=True, kw_only=True, eq=False):
    """The invented walk as a receiver recorded it, and the truth behind it."""

    track: Track
    places: tuple[Place, ...]
    #: Length of each day on the way that was laid out, before the receiver's faults [m].
    day_m: tuple[float, ...]
    #: Ascent and descent of each day on the heights that were laid out [m].
    day_ascent_m: tuple[float, ...]
    day_descent_m: tuple[float, ...]


def demo_walk(rng: Generator, *, points: int = POINTS) -> DemoWalk:
    """The Harrowmoor Round as a track with a receiver's faults, and its named places."""
    days_m = np.array([km * 1000 for km, _, _ in _DAYS])
    ends = np.cumsum(days_m)
    at = np.linspace(0.0, float(ends[-1]), points)
    lat, lon = _ring(rng, at)
    ele = _heights(rng, at, days_m)
    seconds = START_S + _clock(at, ele, ends)
    seen_lat, seen_lon = _moved(
        lat, lon, _wandering(rng, at, 3.0, 200.0), _wandering(rng, at, 3.0, 200.0)
    )
    seen_ele = ele + _wandering(rng, at, 4.0, 250.0) + rng.normal(0.0, 0.4, points)
    track, _ = make_track(
        np.round(seen_lat, 7),
        np.round(seen_lon, 7),
        ele_m=np.round(seen_ele, 2),
        time_s=np.round(seconds),
        name=NAME,
    )
    starts = np.concatenate([[0.0], ends[:-1]])
    days = [(at >= a - 1e-6) & (at <= b + 1e-6) for a, b in zip(starts, ends, strict=True)]
    rises = [np.diff(ele[day]) for day in days]
    return DemoWalk(
        track=track,
        places=_places(at, lat, lon, ele, days_m),
        day_m=tuple(days_m.tolist()),
        day_ascent_m=tuple(float(rise[rise > 0].sum()) for rise in rises),
        day_descent_m=tuple(float(-rise[rise < 0].sum()) for rise in rises),
    )


def demo_gpx(rng: Generator, *, points: int = POINTS) -> bytes:
    """The Harrowmoor Round as a GPX 1.1 file that says in its head that it is invented."""
    walk = demo_walk(rng, points=points)
    return write_gpx([walk.track], places=walk.places, name=NAME, about=ABOUT)


def _ring(rng: Generator, at: Array) -> tuple[Array, Array]:
    """A wavy closed curve on the earth, passed at even distances ``at`` from its start."""
    turn = np.linspace(0.0, 2 * np.pi, 40_001)
    radius = np.ones_like(turn)
    # Bays and spurs of some km, and the bends of a path of some hundred metres.
    for waves, depth in ((2, 0.10), (3, 0.08), (5, 0.05), (11, 0.020), (29, 0.008), (97, 0.0025)):
        radius += depth * np.cos(waves * turn + rng.uniform(0, 2 * np.pi))
    size_m = 20_000.0
    for _ in range(3):  # scale until the length on the ellipsoid is right
        lat, lon = _moved(
            np.full_like(turn, MIDDLE_LAT),
            np.full_like(turn, MIDDLE_LON),
            size_m * radius * np.sin(turn),
            size_m * radius * np.cos(turn),
        )
        track, _ = make_track(lat, lon)
        length = np.concatenate([[0.0], np.cumsum(steps_m(track))])
        size_m *= float(at[-1] / length[-1])
    share, whole = at / at[-1], length / length[-1]
    return np.interp(share, whole, lat), np.interp(share, whole, lon)


def _moved(lat: Array, lon: Array, east_m: Array, north_m: Array) -> tuple[Array, Array]:
    """Degrees after a move of some metres or kilometres (on a sphere: good enough to invent)."""
    degree_m = 111_320.0
    return lat + north_m / degree_m, lon + east_m / (degree_m * np.cos(np.radians(lat)))


def _heights(rng: Generator, at: Array, days_m: Array) -> Array:
    """Smooth ramps through the heights of the days, and knolls of a few metres on them."""
    knots, heights = [0.0], [_START_ELE_M]
    for day_m, (_, _, day) in zip(days_m.tolist(), _DAYS, strict=True):
        start = knots[-1]
        knots += [start + day_m * (i + 1) / len(day) for i in range(len(day))]
        heights += [float(h) for h in day]
    x, h = np.array(knots), np.array(heights)
    k = np.clip(np.searchsorted(x, at, side="right") - 1, 0, x.size - 2)
    share = (at - x[k]) / (x[k + 1] - x[k])
    ele: Array = h[k] + (h[k + 1] - h[k]) * (1 - np.cos(np.pi * share)) / 2
    for length_m, swing_m in ((1_700.0, 6.0), (730.0, 3.0)):
        # Flat at the camps, so that their heights are as laid out.
        calm = np.min(np.abs(at[:, None] - np.concatenate([[0.0], np.cumsum(days_m)])), axis=1)
        wave = np.sin(2 * np.pi * at / length_m + rng.uniform(0, 2 * np.pi))
        ele += swing_m * np.minimum(calm / 1000.0, 1.0) * wave
    return ele


def _clock(at: Array, ele: Array, ends: Array) -> Array:
    """Seconds since the start: 4 km/h on the level, 400 m up or 800 m down an hour on top,
    and a night between two days, so that each day starts at eight."""
    rise = np.diff(ele)
    step_h = np.diff(at) / 4000 + np.maximum(rise, 0) / 400 + np.maximum(-rise, 0) / 800
    hours = np.concatenate([[0.0], np.cumsum(step_h)])
    day = np.searchsorted(ends, at, side="left")
    day[-1] = len(ends) - 1
    first = np.searchsorted(day, np.arange(len(ends)))
    out: Array = 3600 * (24.0 * day + hours - hours[first][day])
    return out


def _wandering(rng: Generator, at: Array, sd_m: float, over_m: float) -> Array:
    """A fault of standard deviation ``sd_m`` that is forgotten over ``over_m`` of way."""
    keep = float(np.exp(-(at[1] - at[0]) / over_m))
    push = rng.normal(0.0, sd_m * np.sqrt(1 - keep**2), at.size).tolist()
    here = float(rng.normal(0.0, sd_m))
    out = []
    for step in push:
        here = keep * here + step
        out.append(here)
    return np.array(out)


def _places(at: Array, lat: Array, lon: Array, ele: Array, days_m: Array) -> tuple[Place, ...]:
    ends = np.concatenate([[0.0], np.cumsum(days_m)])

    def place(at_m: float, name: str, kind: str, aside: float = 0.0, note: str = "") -> Place:
        north = np.array([aside * _ASIDE_M])
        here = (np.interp([at_m], at, lat), np.interp([at_m], at, lon))
        there = _moved(*here, np.zeros(1), north)
        return Place(
            name=name,
            lat_deg=round(float(there[0][0]), 7),
            lon_deg=round(float(there[1][0]), 7),
            ele_m=round(float(np.interp(at_m, at, ele))),
            kind=kind,
            note=note,
        )

    out = [place(0.0, "Harrowmoor Gate", "", note="start and end of the ring")]
    for day, (_, camp, _) in enumerate(_DAYS, 1):
        if camp:
            out.append(place(float(ends[day]), camp, "camp", 1.0, f"night {day}"))
    out.append(place(float(ends[3]), "Cold Edge Hut shop", "shop", 1.2, "bread, cheese, sweets"))
    out.append(place(float(ends[7]), "Ellerstead box", "box", -1.0, "keeps a posted box"))
    out.append(place(float(ends[4]) + 600, "Skarn fire gate", "fire-ban-start"))
    out.append(place(float(ends[6]) - 400, "Dunmarrow fire gate", "fire-ban-end"))
    for i, (day, share, name) in enumerate(_WATER):
        at_m = float(ends[day - 1] + share * days_m[day - 1])
        out.append(place(at_m, name, "water", -0.8 if i % 2 else 0.8))
    return tuple(out)
