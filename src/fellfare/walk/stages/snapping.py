"""Where does the way come past a place?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from msgspec import Struct

from fellfare.walk.figures import Array
from fellfare.walk.profile import Profile
from fellfare.walk.track import Place
from fellfare.walk.track.geodesic import MEAN_RADIUS_M

#: A place counts as on the way up to here [m] (our convention).
ON_WAY_M: Final = 300.0
#: Passes of equal rank: nearer than this, noise decides which is nearest [m].
SAME_M: Final = 50.0
MOST_PASSES: Final = 50


class Pass(Struct, frozen=True, kw_only=True):
    """The way comes past a place."""

    #: Distance from the start of the track [m].
    at_m: float
    #: Distance of the place from the way [m].
    off_m: float


def passes_of(profile: Profile, place: Place, within_m: float = ON_WAY_M) -> tuple[Pass, ...]:
    """Every time the way comes within ``within_m`` of a place, in walking order.

    A way out and back comes past twice.  When it never comes so near, the one
    nearest point of the way is given: look at ``off_m``.
    """
    at, off = _nearest_on_steps(profile, place)
    near = np.flatnonzero(off <= within_m)
    if not near.size:
        i = int(np.argmin(off))
        return (Pass(at_m=float(at[i]), off_m=float(off[i])),)
    # One pass lasts until the way has been gone for a good while.
    groups = np.split(near, np.flatnonzero(np.diff(at[near]) > 4 * within_m) + 1)
    best = [int(group[np.argmin(off[group])]) for group in groups[:MOST_PASSES]]
    return tuple(Pass(at_m=float(at[i]), off_m=float(off[i])) for i in best)


def _nearest_on_steps(profile: Profile, place: Place) -> tuple[Array, Array]:
    """For each step of the track: where it is nearest to the place [m], and how near [m].

    On a plane touching the earth at the place: good to 0.1 % within some 50 km.
    """
    track = profile.track
    turn = np.radians((track.lon_deg - place.lon_deg + 180.0) % 360.0 - 180.0)
    x = MEAN_RADIUS_M * np.cos(np.radians(place.lat_deg)) * turn
    y = MEAN_RADIUS_M * np.radians(track.lat_deg - place.lat_deg)
    dx, dy = np.diff(x), np.diff(y)
    square = dx * dx + dy * dy
    share = np.divide(-(x[:-1] * dx + y[:-1] * dy), square, out=np.zeros_like(dx), where=square > 0)
    share = np.clip(share, 0.0, 1.0)
    # Over a break nobody walks; only its near end counts.
    share[np.array(profile.point_ends[:-1], np.intp) - 1] = 0.0
    off: Array = np.hypot(x[:-1] + share * dx, y[:-1] + share * dy)
    at: Array = profile.point_m[:-1] + share * np.diff(profile.point_m)
    return at, off


def in_walking_order(
    names: Sequence[str], passes: Sequence[Sequence[Pass]]
) -> tuple[Pass, ...] | None:
    """One pass for each place so that they follow each other along the way, or None.

    Among several ways to do it the nearest passes win, and among equally near
    ones (within 50 m) the earliest.  Only a place named twice running (a rest
    day) may stand still.
    """
    best: list[tuple[float, float, tuple[Pass, ...]]] = [(0.0, -1.0, ())]
    for i, options in enumerate(passes):
        stays = i > 0 and names[i] == names[i - 1]
        reached = []
        for option in options:
            cost = max(option.off_m - SAME_M, 0.0)
            before = [b for b in best if b[1] < option.at_m or (stays and b[1] == option.at_m)]
            if before:
                past, _, chain = min(before, key=lambda b: (b[0], b[1]))
                reached.append((past + cost, option.at_m, (*chain, option)))
        best = reached
    if not best:
        return None
    return min(best, key=lambda b: (b[0], b[1]))[2]
