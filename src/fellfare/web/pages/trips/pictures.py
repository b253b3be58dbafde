"""What is drawn of a trip: heights, the way on the ground, the need of each day.

Only places on the paper are reckoned here; every figure comes from the plan.
"""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, cos, log10, radians
from typing import Final

import numpy as np
from msgspec import Struct

from fellfare.trip.plan import TripPlan, WalkerPlan
from fellfare.walk.track import Place, Track
from fellfare.web.figures import Units, far
from fellfare.web.figures import high as high_in

#: Points of a drawn line, at most.
MOST_DRAWN: Final = 700
#: About the width of a letter on a phone, where the sketch is drawn smaller.
_LETTER: Final = 9.0


class Mark(Struct, frozen=True):
    """A word at a place of a picture."""

    x: float
    y: float
    text: str
    kind: str = ""
    #: The word ends at the place instead of beginning there.
    end: bool = False


class Heights(Struct, frozen=True, kw_only=True):
    """The profile, in a box of ``width`` by ``height``."""

    width: int
    height: int
    line: str
    ground: str
    #: Ends of days on the way: x, 'day 3', camp.
    ends: tuple[tuple[float, str, str], ...]
    levels: tuple[Mark, ...]
    lowest_m: float
    highest_m: float


class Sketch(Struct, frozen=True, kw_only=True):
    """The way as it lies, north up, one line for each day."""

    width: int
    height: int
    days: tuple[tuple[int, str], ...]
    marks: tuple[Mark, ...]
    #: A bar of so many kilometres or miles is so long.
    bar_long: float
    bar: float


class DayBar(Struct, frozen=True, kw_only=True):
    """A day of somebody's need: a band, a line in it, a target."""

    day: int
    x: float
    low: float
    high: float
    need: float
    target: float | None


class NeedPicture(Struct, frozen=True, kw_only=True):
    """A walker's need by day."""

    walker: str
    width: int
    height: int
    step: float
    bars: tuple[DayBar, ...]
    levels: tuple[Mark, ...]
    foot: float


def heights(plan: TripPlan, units: Units, width: int = 900, height: int = 250) -> Heights | None:
    """The smoothed profile of the track; None without one, or without heights."""
    profile = plan.profile
    if profile is None or profile.track.ele_m is None or not len(profile.at_m):
        return None
    at, ele = _thinned(profile.at_m, profile.ele_m)
    of_metre = high_in(1.0, units)
    low, high, step = levels_of(float(ele.min()) * of_metre, float(ele.max()) * of_metre, 4)
    left, foot, top = 70.0, height - 26.0, 14.0

    def x(metres: float) -> float:
        return left + metres / max(profile.length_m, 1.0) * (width - left - 10.0)

    def y(metres: float) -> float:
        return foot - (metres * of_metre - low) / max(high - low, 1.0) * (foot - top)

    points = [f"{x(float(m)):.1f} {y(float(e)):.1f}" for m, e in zip(at, ele, strict=True)]
    line = "M" + "L".join(points)
    ground = f"{line}L{x(float(at[-1])):.1f} {foot:.1f}L{left:.1f} {foot:.1f}Z"
    ends = []
    for day in plan.days:
        stage = day.stage
        if stage.from_m is not None and not stage.rest_day:
            ends.append((round(x(stage.from_m + stage.distance_m), 1), str(stage.day), stage.camp))
    count = round((high - low) / step)
    levels = tuple(
        Mark(
            left,
            round(y((low + n * step) / of_metre), 1),
            f"{low + n * step:,.0f}".replace(",", " "),
        )
        for n in range(count + 1)
    )
    return Heights(
        width=width, height=height, line=line, ground=ground, ends=tuple(ends), levels=levels,
        lowest_m=float(ele.min()), highest_m=float(ele.max()),
    )  # fmt: skip


def sketch(
    plan: TripPlan,
    places: tuple[Place, ...],
    units: Units,
    width: int = 520,
    most: int = 520,
) -> Sketch | None:
    """The way without a map: days, camps and named places; None without a track."""
    profile = plan.profile
    if profile is None:
        return None
    track = profile.track
    east, north = _flat(track)
    span = max(float(np.ptp(east)), float(np.ptp(north)) * width / most, 1.0)
    pad = 34.0
    scale = (width - 2 * pad) / span
    height = round(float(np.ptp(north)) * scale + 2 * pad + 14)
    left = pad + (width - 2 * pad - float(np.ptp(east)) * scale) / 2

    def spot(e: float, n: float) -> tuple[float, float]:
        return left + (e - float(east.min())) * scale, pad + (float(north.max()) - n) * scale

    days = []
    for day in plan.days:
        stage = day.stage
        if stage.from_m is None or stage.rest_day:
            continue
        inside = (profile.point_m >= stage.from_m - 1) & (
            profile.point_m <= stage.from_m + stage.distance_m + 1
        )
        e, n = _thinned(east[inside], north[inside], max(MOST_DRAWN // len(plan.days), 40))
        points = [spot(float(a), float(b)) for a, b in zip(e, n, strict=True)]
        if points:
            days.append((stage.day, "M" + "L".join(f"{a:.1f} {b:.1f}" for a, b in points)))
    marks = _marks(track, places, spot, width)
    of_metre = far(1.0, units)
    bar_long = _round_below(span * of_metre / 4.0)
    return Sketch(
        width=width, height=max(height, 120), days=tuple(days), marks=marks, bar_long=bar_long,
        bar=round(bar_long / of_metre * scale, 1),
    )  # fmt: skip


Box = tuple[float, float, float, float]


def _marks(
    track: Track,
    places: tuple[Place, ...],
    spot: Callable[[float, float], tuple[float, float]],
    width: int,
) -> tuple[Mark, ...]:
    """Camps, huts, shops and boxes by name, as far as the words do not cover each other."""
    shown: list[Mark] = []
    taken: list[Box] = []
    order = {"camp": 0, "hut": 1, "shop": 1, "box": 1}
    for place in sorted(places, key=lambda one: order.get(one.kind, 9)):
        if place.kind not in order:
            continue
        x, y = spot(*_flat_point(track, place))
        if not (0 <= x <= width):
            continue
        long = _LETTER * len(place.name)
        text, end = "", False
        for to_left in (x > width / 2, x <= width / 2):
            left = x - 8 - long if to_left else x + 8
            box = (left, left + long, y - 9, y + 9)
            if left >= 0 and left + long <= width and not any(_cover(box, one) for one in taken):
                text, end = place.name, to_left
                taken.append(box)
                break
        shown.append(Mark(round(x, 1), round(y, 1), text, place.kind, end))
    return tuple(shown)


def _cover(one: Box, other: Box) -> bool:
    return one[0] < other[1] and other[0] < one[1] and one[2] < other[3] and other[2] < one[3]


def need_picture(
    one: WalkerPlan, most_kcal: float, width: int = 560, height: int = 270
) -> NeedPicture:
    """Band, need and target of each day, all walkers to one measure."""
    low, high, step = levels_of(0.0, most_kcal, 5)
    left, foot, top = 62.0, height - 24.0, 18.0
    wide = (width - left - 6.0) / max(len(one.need.days), 1)

    def y(kcal: float) -> float:
        return round(foot - (kcal - low) / max(high - low, 1.0) * (foot - top), 1)

    bars = tuple(
        DayBar(
            day=day.day, x=round(left + n * wide, 1), low=y(day.low_kcal), high=y(day.high_kcal),
            need=y(day.kcal), target=y(target) if target > 0 else None,
        )
        for n, (day, target) in enumerate(zip(one.need.days, one.target_kcal, strict=True))
    )  # fmt: skip
    levels = tuple(
        Mark(left, y(n * step), f"{n * step:,.0f}".replace(",", " "))
        for n in range(round(high / step) + 1)
    )
    return NeedPicture(
        walker=one.walker, width=width, height=height, step=round(wide, 1), bars=bars,
        levels=levels, foot=foot,
    )  # fmt: skip


def levels_of(low: float, high: float, about: int) -> tuple[float, float, float]:
    """Round ends and a round step for an axis."""
    raw = max(high - low, 1.0) / about
    base = 10.0 ** np.floor(log10(raw))
    step = float(next(base * n for n in (1.0, 2.0, 2.5, 5.0, 10.0) if base * n >= raw))
    return float(np.floor(low / step) * step), float(ceil(high / step) * step), step


def _round_below(value: float) -> float:
    base = float(10.0 ** np.floor(log10(max(value, 0.001))))
    return max(n * base for n in (1.0, 2.0, 5.0) if n * base <= max(value, base))


def _thinned(x: np.ndarray, y: np.ndarray, most: int = MOST_DRAWN) -> tuple[np.ndarray, np.ndarray]:
    """Every so manieth point, the last one with them."""
    if len(x) <= most:
        return x, y
    pick = np.unique(np.linspace(0, len(x) - 1, most).round().astype(int))
    return x[pick], y[pick]


def _flat(track: Track) -> tuple[np.ndarray, np.ndarray]:
    """Metres east and north, on a plane at the middle of the way: near enough for a sketch."""
    middle = radians(float(track.lat_deg.mean()))
    lon = np.unwrap(np.radians(track.lon_deg)) * 6_371_000.0 * cos(middle)
    return lon, np.radians(track.lat_deg) * 6_371_000.0


def _flat_point(track: Track, place: Place) -> tuple[float, float]:
    middle = radians(float(track.lat_deg.mean()))
    first = float(track.lon_deg[0])
    lon = first + (place.lon_deg - first + 180.0) % 360.0 - 180.0
    return radians(lon) * 6_371_000.0 * cos(middle), radians(place.lat_deg) * 6_371_000.0
