"""How long must water boil until it is fit to drink?  The agencies do not agree."""

from __future__ import annotations

from typing import Final, Literal, get_args

from msgspec import Struct

from fellfare.mistake import Mistake

#: Whose advice counts; 'strictest' takes the longest of them all.
Agency = Literal[
    "strictest", "cdc-advisory", "cdc-yellow-book", "epa", "health-canada", "who"
]  # fmt: skip
AGENCIES: Final[tuple[Agency, ...]] = get_args(Agency)

#: What can be done with water: a rolling boil, a filter, tablets or drops, ultraviolet light.
Treatment = Literal["boil", "filter", "chemical", "uv"]
TREATMENTS: Final[tuple[Treatment, ...]] = get_args(Treatment)

#: Camps and shores [m].
LEAST_ALTITUDE_M: Final = -430.0
MOST_ALTITUDE_M: Final = 9000.0


class BoilAdvice(Struct, frozen=True, kw_only=True):
    """What one agency says about a rolling boil."""

    agency: Agency
    name: str
    #: Minutes at a rolling boil; 0 = it is enough that it boils.
    minutes: float
    #: From this height [m] on the longer time; None = no rule about height.
    above_m: float | None = None
    high_minutes: float | None = None


#: The table of agencies in Emerging Infectious Diseases 31(8), 2025, article 25-0208
#: [CDC-EID-2025].  'Three minutes above 2000 m', often read, mixes two of them.
ADVICE: Final[tuple[BoilAdvice, ...]] = (
    BoilAdvice(
        agency="cdc-advisory",
        name="US CDC, drinking water advisory",
        minutes=1.0,
        above_m=1981.0,  # 6500 ft
        high_minutes=3.0,
    ),
    BoilAdvice(agency="cdc-yellow-book", name="US CDC, Yellow Book", minutes=1.0),
    BoilAdvice(
        agency="epa",
        name="US EPA",
        minutes=1.0,
        above_m=1524.0,  # 5000 ft
        high_minutes=3.0,
    ),
    BoilAdvice(
        agency="health-canada",
        name="Health Canada",
        minutes=1.0,
        above_m=2000.0,
        high_minutes=2.0,
    ),
    BoilAdvice(agency="who", name="WHO", minutes=0.0),
)


def boil_minutes(altitude_m: float | None, agency: Agency = "strictest") -> float:
    """Minutes at a rolling boil that an agency asks for.

    A boil kills germs; it takes out no chemicals, and cloudy water is filtered first.

    Parameters
    ----------
    altitude_m
        Height of camp [m], -430 to 9 000; None = not known: the longest time of that agency.
        Where the table says 'above', the longer time counts from the limit itself on.
    agency
        One of :data:`AGENCIES`.

    Returns
    -------
    float
        Minutes from the first rolling boil; 0 = reaching it is enough.

    Raises
    ------
    Mistake
        ``unknown-agency``, ``altitude-out-of-range``.

    Examples
    --------
    >>> boil_minutes(1600), boil_minutes(1600, "cdc-advisory"), boil_minutes(2100, "who")
    (3.0, 1.0, 0.0)
    """
    if agency not in AGENCIES:
        raise Mistake(
            "unknown-agency",
            what=f"no agency is called {agency!r}",
            mend="choose from " + ", ".join(AGENCIES),
        )
    if altitude_m is not None and not LEAST_ALTITUDE_M <= altitude_m <= MOST_ALTITUDE_M:
        raise Mistake(
            "altitude-out-of-range",
            what=f"an altitude of {altitude_m:g} m is outside -430 to 9000",
            mend="give it in m, or leave it out when it is not known",
        )
    chosen = [one for one in ADVICE if agency in ("strictest", one.agency)]
    return max(_minutes(one, altitude_m) for one in chosen)


def _minutes(advice: BoilAdvice, altitude_m: float | None) -> float:
    if advice.above_m is None or advice.high_minutes is None:
        return advice.minutes
    high = altitude_m is None or altitude_m >= advice.above_m
    return advice.high_minutes if high else advice.minutes


def agency_name(agency: Agency) -> str:
    """The agency's name for a printed line."""
    return next((one.name for one in ADVICE if one.agency == agency), "the strictest agency")
