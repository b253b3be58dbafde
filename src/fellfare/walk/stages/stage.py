"""One day of the walk."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeAlias

import numpy as np
from msgspec import Struct

from fellfare.mistake import Finding, Mistake
from fellfare.walk.figures import Array
from fellfare.walk.legs import Legs
from fellfare.walk.profile import Slopes
from fellfare.walk.stages.eating import Eaten

#: (distances [m], grades) of slopes → hours of walking on each.
Pace: TypeAlias = Callable[[Array, Array], Array]


class Stop(Struct, frozen=True, kw_only=True):
    """A named place that the day comes past."""

    name: str
    #: See :class:`fellfare.walk.track.Place`.
    kind: str
    #: Distance from the start of the day [m].
    at_m: float
    #: Distance from the way, as the crow flies [m]; None = not known.
    off_m: float | None = None


class Stage(Struct, frozen=True, kw_only=True, eq=False):
    """One day: from where one wakes to where one sleeps.

    Over a stage of a track without a break, ascent minus descent is end minus
    start elevation and the sum of the slopes' rises, to rounding.
    """

    #: 1 for the first day.
    day: int
    name: str
    #: On the map [m]; 0 on a rest day.
    distance_m: float
    ascent_m: float
    descent_m: float
    slopes: Slopes
    #: Elevation at the start and at the end [m]; None = not known.
    start_m: float | None
    end_m: float | None
    #: Name of the camp at the end; '' on the last day.
    camp: str = ""
    #: Elevation of that camp [m]; None = not known, or no camp.
    camp_m: float | None = None
    #: Word for the ground underfoot; the energy models know what it costs.
    terrain: str = "path"
    #: Hours of walking, pauses not counted; None = not known.
    hours: float | None = None
    #: Air temperature by day and by night [°C]; None = not known.
    day_c: float | None = None
    night_c: float | None = None
    #: In walking order.
    stops: tuple[Stop, ...] = ()
    #: Is fire forbidden anywhere on this day?  None = nothing is known.
    fire_ban: bool | None = None
    eaten: tuple[Eaten, ...] = ()
    #: Distance from the start of the track to the start of the day [m]; None for a table.
    from_m: float | None = None

    @property
    def water(self) -> tuple[Stop, ...]:
        """The stops with water, in walking order."""
        return tuple(stop for stop in self.stops if stop.kind == "water")

    @property
    def rest_day(self) -> bool:
        return self.distance_m == 0


class Stages(Struct, frozen=True, kw_only=True, eq=False):
    """All days of a walk, and what there is to say about them."""

    stages: tuple[Stage, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def distance_m(self) -> float:
        return sum(stage.distance_m for stage in self.stages)

    @property
    def ascent_m(self) -> float:
        return sum(stage.ascent_m for stage in self.stages)

    @property
    def descent_m(self) -> float:
        return sum(stage.descent_m for stage in self.stages)

    def times(self, name: str) -> int | None:
        """How often an eating time comes on the whole walk; None = not known."""
        counts = [e.count for stage in self.stages for e in stage.eaten if e.name == name]
        known = [count for count in counts if count is not None]
        return sum(known) if len(known) == len(counts) else None


def hours_of(slopes: Slopes, pace: Pace | None) -> Array | None:
    """Hours on each slope, or None without a pace.

    Raises ``pace-unusable`` when the pace does not give one number above zero
    for each slope.
    """
    if pace is None:
        return None
    if not len(slopes):
        return np.zeros(0)
    hours = np.asarray(pace(slopes.distance_m, slopes.grade), float)
    if hours.shape != slopes.distance_m.shape or not ((hours > 0) & np.isfinite(hours)).all():
        raise Mistake(
            "pace-unusable",
            what="the pace does not give hours above zero for every slope of the walk",
            mend="give a pace that answers every grade from -0.45 to 0.45",
        )
    return hours


def legs_of_stages(stages: Sequence[Stage], eta_of: Callable[[str], float]) -> Legs | None:
    """The slopes of many days as legs for the energy models; None when nobody walks.

    ``eta_of`` gives the terrain factor of a stage's word for the ground.  Grades
    beyond 45 % are held to it.
    """
    walked = [stage for stage in stages if len(stage.slopes)]
    if not walked:
        return None
    return Legs(
        distance_m=np.concatenate([stage.slopes.distance_m for stage in walked]),
        grade=np.concatenate([stage.slopes.grade for stage in walked]),
        eta=np.concatenate([np.full(len(s.slopes), eta_of(s.terrain)) for s in walked]),
        day=np.concatenate([np.full(len(s.slopes), s.day, np.int64) for s in walked]),
    )
