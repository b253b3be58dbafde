"""What does the rest of the day take?  Sleep, camp, food's own cost, cold, thin air.

Two independent readings of the literature were made for these terms.  They
disagree, so both stand here; the first is used and their distance goes into
the band (see ``walk.need``).
"""

from __future__ import annotations

from typing import Final

import numpy as np
from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.walk.energy.lcda_graded import BASE
from fellfare.walk.figures import Array, Figure


class Reading(Struct, frozen=True, kw_only=True):
    """One coherent reading of what a day takes besides walking."""

    name: str
    #: Asleep, over resting energy.
    sleep_factor: float
    #: Awake and not walking, over resting energy.
    camp_factor: float
    #: Breaks under way: hours per hour on the move, and their factor.
    pause_share: float
    pause_factor: float
    #: Food's own cost as a share of all that is eaten.
    thermic_share: float
    #: Heights [m] and the share that resting energy rises there; straight between.
    altitude: tuple[tuple[float, float], ...]
    #: The two open points of the walking model, see ``energy.lcda_backpacking``.
    eta_on_grade: bool = False
    base: float = BASE


#: Camp at 1.4 times rest; food costs 8 to 10 % of a mixed intake (from memory),
#: and walking powers were measured mostly unfed, so a day is (walk + rest) / 0.9.
#: Altitude: cautious, after some days of staying there.
FIRST: Final = Reading(
    name="camp 1.4, food's own cost 10 %",
    sleep_factor=0.95,
    camp_factor=1.4,
    pause_share=0.0,
    pause_factor=1.4,
    thermic_share=0.10,
    altitude=((2500.0, 0.0), (4300.0, 0.10)),
)

#: Camp at 1.8 times rest, food's own cost within it; breaks 9 min per hour at 1.5.
#: Altitude: Butterfield 1992 found 17 to 28 % in the first days at 4 300 m
#: (from memory).
SECOND: Final = Reading(
    name="camp 1.8, food's own cost within",
    sleep_factor=0.95,
    camp_factor=1.8,
    pause_share=0.15,
    pause_factor=1.5,
    thermic_share=0.0,
    altitude=((2500.0, 0.0), (3500.0, 0.10), (4300.0, 0.17)),
)


class DayFrame(Struct, frozen=True, kw_only=True):
    """The part of one day that lives on trail food, and its weather.

    A day that begins at noon and ends with the next morning's waking has 18
    hours, 8 of them asleep; a last day that ends at 14:00 has 8 and none.

    Raises
    ------
    Mistake
        ``day-hours``, ``height-out-of-range``, ``air-out-of-range``.
    """

    day: int
    hours: float = 24.0
    sleep_hours: float = 8.0
    #: Height at which most of it is spent [m]; None = not known, taken as low.
    height_m: float | None = None
    #: Mean air temperature over the 24 hours [°C]; None = not known, no addition.
    air_c: float | None = None

    def __post_init__(self) -> None:
        where = f"day {self.day}"
        if not (0 < self.hours <= 24 and 0 <= self.sleep_hours <= self.hours):
            raise Mistake(
                "day-hours",
                what=f"{self.hours:g} hours with {self.sleep_hours:g} of sleep are no day",
                mend="give above 0 to 24 hours, sleep within them",
                where=where,
            )
        if self.height_m is not None and not -500 <= self.height_m <= 9000:
            raise Mistake(
                "height-out-of-range",
                what=f"height {self.height_m:g} m is outside -500 to 9 000 m",
                mend="give metres; one foot is 0.3048 m",
                where=where,
            )
        if self.air_c is not None and not -60 <= self.air_c <= 55:
            raise Mistake(
                "air-out-of-range",
                what=f"air of {self.air_c:g} °C is outside -60 to 55 °C",
                mend="give degrees Celsius; 50 °F is 10 °C",
                where=where,
            )


def altitude_share(reading: Reading, height_m: Figure) -> Array:
    """Share by which resting energy rises at a height [m]; soft knowledge.

    Flat beyond the last height.  Appetite falls up there: that is another knob.
    """
    heights, shares = zip(*reading.altitude, strict=True)
    return np.asarray(np.interp(height_m, heights, shares), dtype=np.float64)


#: Air temperature [°C] and share added to the day: nothing from 0 to 30 °C,
#: 5 to 10 % in cold, 2.5 to 10 % from 30 to 40 °C (AR 40-25, 2001, in a public
#: digest).  The steps are smoothed away and 0 and -20 °C are our reading of
#: 'cold'.  Claims of +25 to 50 % count the snow and the heavy clothes, which the
#: walking model has already; shivering is an emergency, not a plan.
_WEATHER: Final = ((-20.0, 0.10), (0.0, 0.0), (30.0, 0.0), (40.0, 0.10))


def weather_share(air_c: Figure) -> Array:
    """Share that cold or heat adds to the day's energy, 0 to 0.10."""
    temperatures, shares = zip(*_WEATHER, strict=True)
    return np.asarray(np.interp(air_c, temperatures, shares), dtype=np.float64)


def camp_hours(reading: Reading, hours: Figure, sleep_hours: Figure, moving_hours: Figure) -> Array:
    """Hours awake, neither walking nor on a break; never below zero."""
    return np.maximum(hours - sleep_hours - (1.0 + reading.pause_share) * moving_hours, 0.0)


def rest_kcal(
    reading: Reading,
    resting_kcal_per_day: Figure,
    hours: Figure,
    sleep_hours: Figure,
    moving_hours: Figure,
) -> Array:
    """Energy of sleep, breaks and camp [kcal]; resting energy per day [kcal/day]."""
    in_camp = camp_hours(reading, hours, sleep_hours, moving_hours)
    paused = reading.pause_share * np.asarray(moving_hours)
    weighed = (
        reading.sleep_factor * np.asarray(sleep_hours)
        + reading.pause_factor * paused
        + reading.camp_factor * in_camp
    )
    return np.asarray(resting_kcal_per_day) / 24.0 * weighed


def with_thermic(reading: Reading, kcal: Figure) -> Figure:
    """The day with food's own cost: kcal / (1 - share).

    The cost is a share of what is eaten, and what is eaten is the whole; the
    closed form needs no rounds.
    """
    return kcal / (1.0 - reading.thermic_share)
