"""Which eating times does a day of the walk hold?"""

from __future__ import annotations

from math import floor
from typing import Final

from msgspec import Struct

from fellfare.mistake import Mistake


class EatingTime(Struct, frozen=True, kw_only=True):
    """One eating time of the day: by the clock, or again and again while walking.

    Raises ``eating-time`` unless exactly one of ``hour`` (0 to 24) and
    ``every_walking_hours`` (above 0) is given.
    """

    name: str
    #: Hour of the clock: 12.5 is half past twelve.
    hour: float | None = None
    #: Once for every so many hours of walking.
    every_walking_hours: float | None = None

    def __post_init__(self) -> None:
        by_clock = self.hour is not None and 0 <= self.hour <= 24
        by_foot = self.every_walking_hours is not None and 0.1 <= self.every_walking_hours <= 24
        given = (self.hour is not None) + (self.every_walking_hours is not None)
        if given != 1 or not (by_clock or by_foot):
            raise Mistake(
                "eating-time",
                what=f"'{self.name}' needs an hour (0 to 24) or an interval of 0.1 to 24 hours",
                mend="write hour = 12.5, or every_walking_hours = 2",
                where=f"eating time '{self.name}'",
            )


#: Common practice, no source.
USUAL_TIMES: Final = (
    EatingTime(name="breakfast", hour=7.0),
    EatingTime(name="snack", every_walking_hours=2.0),
    EatingTime(name="lunch", hour=12.5),
    EatingTime(name="dinner", hour=18.5),
)


class Clock(Struct, frozen=True, kw_only=True):
    """The hours of the walk: when it starts, when it ends, when one eats.

    Raises ``clock-hour`` for an hour outside 0 to 24.
    """

    eating: tuple[EatingTime, ...] = USUAL_TIMES
    #: On the first day one sets out at this hour; what is eaten earlier is eaten at home.
    start_hour: float = 8.0
    #: On the last day one arrives at this hour; None = reckoned from the hours of walking,
    #: and the whole day counts when these are unknown.
    end_hour: float | None = None
    #: Every other day the walking starts at this hour.
    walk_from_hour: float = 8.0

    def __post_init__(self) -> None:
        for name in ("start_hour", "end_hour", "walk_from_hour"):
            hour = getattr(self, name)
            if hour is not None and not 0 <= hour <= 24:
                raise Mistake(
                    "clock-hour",
                    what=f"{name} {hour:g} is no hour of the day",
                    mend="give 0 to 24; half past eight is 8.5",
                )


class Eaten(Struct, frozen=True, kw_only=True):
    """An eating time on one day, and how often."""

    name: str
    #: Hour of the clock; None for what is eaten while walking.
    hour: float | None
    #: None = not known, because the hours of walking are not.
    count: int | None


def eaten_on(day: int, days: int, clock: Clock, hours: float | None) -> tuple[Eaten, ...]:
    """What is eaten on ``day`` (1 for the first) of ``days``, of the food that is carried.

    ``hours`` are the hours of walking on that day.  On the first day only what
    comes at or after the start counts, on the last only what comes at or before
    the end.
    """
    first, last = day == 1, day == days
    start = clock.start_hour if first else 0.0
    end = 24.0
    if last and clock.end_hour is not None:
        end = clock.end_hour
    elif last and hours is not None:
        end = (clock.start_hour if first else clock.walk_from_hour) + hours
    out = []
    for time in clock.eating:
        if time.hour is None:
            assert time.every_walking_hours is not None  # EatingTime has seen to it
            # A hair above, so that 6 h at 2 h each are three in spite of rounding.
            count = None if hours is None else floor(hours / time.every_walking_hours + 1e-9)
            if count != 0:
                out.append(Eaten(name=time.name, hour=None, count=count))
        elif start <= time.hour <= end:
            out.append(Eaten(name=time.name, hour=time.hour, count=1))
    return tuple(out)
