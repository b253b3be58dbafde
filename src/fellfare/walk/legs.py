"""What is walked?  Legs: short pieces of way with one grade and one surface.

A leg is 50 to 100 m of a smoothed track, or one line of a table of stages.
Energy and time are reckoned leg by leg and summed: cost is convex in the
grade, so a mean grade taken first gives too little (by about a fifth on a day
that climbs 1 000 m and comes down 800 m again).
"""

from __future__ import annotations

from typing import Final

import numpy as np
from msgspec import Struct
from msgspec.structs import force_setattr
from numpy.typing import ArrayLike, NDArray

from fellfare.mistake import Mistake
from fellfare.walk.figures import Array

#: Rise over run beyond which it is climbing, not walking (45 degrees).
STEEPEST_GRADE: Final = 1.0
#: Terrain factor: 1 is a hard, smooth surface by definition; deep soft snow is near 4.
LEAST_ETA: Final = 1.0
MOST_ETA: Final = 6.0


class Legs(Struct, frozen=True, kw_only=True, eq=False):
    """Legs of a walk in the order in which they are walked.

    All four fields are arrays of one length; anything that numpy reads as
    numbers is accepted and stored as a read-only array.

    Raises
    ------
    Mistake
        ``legs-uneven``, ``legs-empty``, ``leg-distance``, ``leg-grade``,
        ``leg-terrain``, ``leg-day``.
    """

    #: Distance on the map, along the horizontal [m]; above zero.
    distance_m: Array
    #: Rise over run as a fraction: 0.10 is ten per cent up, -0.10 down.
    grade: Array
    #: Terrain factor eta of the energy models, 1 = hard and smooth.
    eta: Array
    #: Day of the walk, 1 for the first; never falls from leg to leg.
    day: NDArray[np.int64]

    def __post_init__(self) -> None:
        distance = _row(self.distance_m, "distance_m")
        grade = _row(self.grade, "grade")
        eta = _row(self.eta, "eta")
        given_day = _row(self.day, "day")
        if not distance.size == grade.size == eta.size == given_day.size:
            raise Mistake(
                "legs-uneven",
                what=f"{distance.size} distances, {grade.size} grades, {eta.size} terrain factors"
                f" and {given_day.size} days do not make legs",
                mend="give one of each per leg",
            )
        if distance.size == 0:
            raise Mistake(
                "legs-empty",
                what="the walk has no leg",
                mend="give at least one leg, or a zero day",
            )
        _refuse(~((distance > 0) & (distance < 1e6)), distance, "leg-distance",
                "distance {:g} m", "give metres above zero and below 1 000 km")  # fmt: skip
        _refuse(~(np.abs(grade) <= STEEPEST_GRADE), grade, "leg-grade",
                "grade {:g}", "give rise over run: 0.10 for ten per cent, at most 1")  # fmt: skip
        _refuse(~((eta >= LEAST_ETA) & (eta <= MOST_ETA)), eta, "leg-terrain",
                "terrain factor {:g}", "give a factor from 1 (road) to 6")  # fmt: skip
        steps = np.diff(given_day, prepend=1.0)
        _refuse(~((given_day >= 1) & (given_day == np.floor(given_day)) & (steps >= 0)),
                given_day, "leg-day", "day {:g}",
                "number the days 1, 2, 3 ... in the order walked")  # fmt: skip
        force_setattr(self, "distance_m", distance)
        force_setattr(self, "grade", grade)
        force_setattr(self, "eta", eta)
        day = given_day.astype(np.int64)
        day.flags.writeable = False
        force_setattr(self, "day", day)

    def __len__(self) -> int:
        return int(self.distance_m.size)

    @property
    def rise_m(self) -> Array:
        """Height gained (above zero) or lost (below zero) on each leg [m]."""
        return self.distance_m * self.grade

    @property
    def ascent_m(self) -> float:
        """Sum of all climbs [m]."""
        return float(np.clip(self.rise_m, 0.0, None).sum())

    @property
    def descent_m(self) -> float:
        """Sum of all drops, as a number above zero [m]."""
        return float(np.clip(-self.rise_m, 0.0, None).sum())

    @property
    def length_m(self) -> float:
        """Whole distance on the map [m]."""
        return float(self.distance_m.sum())

    def on_day(self, day: int) -> Legs | None:
        """The legs of one day, or None when nothing is walked on it."""
        chosen = self.day == day
        if not chosen.any():
            return None
        return Legs(
            distance_m=self.distance_m[chosen],
            grade=self.grade[chosen],
            eta=self.eta[chosen],
            day=self.day[chosen],
        )


def legs_of(
    distance_m: ArrayLike, grade: ArrayLike, eta: ArrayLike = 1.0, day: ArrayLike = 1
) -> Legs:
    """Legs from anything that broadcasts: one terrain factor or day serves all.

    >>> legs_of([10_000, 2_000, 8_000], [0.10, 0.0, -0.10], eta=1.1).ascent_m
    1000.0
    """
    try:
        many = np.broadcast_arrays(
            *(np.atleast_1d(np.asarray(a, dtype=np.float64)) for a in (distance_m, grade, eta, day))
        )
    except ValueError as error:
        raise Mistake(
            "legs-uneven",
            what="distances, grades, terrain factors and days differ in number",
            mend="give one of each per leg, or a single one for all",
        ) from error
    return Legs(distance_m=many[0], grade=many[1], eta=many[2], day=np.asarray(many[3]))


def _row(given: ArrayLike, name: str) -> Array:
    row = np.array(given, dtype=np.float64)  # a copy of our own
    if row.ndim != 1:
        raise Mistake(
            "legs-uneven", what=f"{name} has {row.ndim} dimensions", mend="give one row of numbers"
        )
    row.flags.writeable = False
    return row


def _refuse(bad: NDArray[np.bool_], values: Array, code: str, what: str, mend: str) -> None:
    if bad.any():
        first = int(np.argmax(bad))
        raise Mistake(
            code,
            what=what.format(float(values[first])) + " cannot be walked",
            mend=mend,
            where=f"leg {first + 1}",
        )
