"""What is believed of one figure: a mean and a standard deviation, and how news moves it."""

from __future__ import annotations

from math import isfinite, sqrt
from typing import Final

from msgspec import Struct

from fellfare.mistake import Mistake

#: Standard deviations to the ends of an 80 % band of the normal distribution.
BAND_80: Final = 1.2815515655446004
#: Beyond so many standard deviations news is doubted (a judgement; 1 in 80 of good news is).
WARY: Final = 2.5


class Belief(Struct, frozen=True):
    """A normal belief."""

    mean: float
    sd: float

    @property
    def low(self) -> float:
        """Lower end of the 80 % band."""
        return self.mean - BAND_80 * self.sd

    @property
    def high(self) -> float:
        """Upper end of the 80 % band."""
        return self.mean + BAND_80 * self.sd


def updated(prior: Belief, seen: float, sd: float) -> Belief:
    """The belief after one observation of the figure itself (normal prior, normal error).

    Parameters
    ----------
    prior
        What was believed before.
    seen, sd
        The observation and its standard error, in the unit of the figure; the error above 0.

    Raises
    ------
    Mistake
        ``observation-out-of-range``.

    Examples
    --------
    >>> learnt = updated(Belief(1.0, 0.12), 1.2, 0.12)
    >>> round(learnt.mean, 6), round(learnt.sd, 6)
    (1.1, 0.084853)
    """
    if not (isfinite(seen) and 0.0 < sd < float("inf")):
        raise Mistake(
            "observation-out-of-range",
            f"seen {seen:g} with an error of {sd:g}",
            "give a number, and an error above 0",
        )
    weight = prior.sd**2 / (prior.sd**2 + sd**2)
    return Belief(prior.mean + weight * (seen - prior.mean), sqrt(1.0 - weight) * prior.sd)


def updated_warily(prior: Belief, seen: float, sd: float) -> Belief:
    """As :func:`updated`, but an observation far beyond what was to be expected counts less.

    Beyond :data:`WARY` standard deviations of what was to be expected its error is taken as so
    large that it lies just there: the further off, the less it moves (a slip, a gale, another
    food is likelier than that).  News within it is taken as it is.

    Raises
    ------
    Mistake
        ``observation-out-of-range``.

    Examples
    --------
    >>> near, far = (updated_warily(Belief(0.5, 0.08), seen, 0.04).mean for seen in (0.6, 0.05))
    >>> round(near, 2), round(far, 2)
    (0.58, 0.41)
    """
    made = updated(prior, seen, sd)
    off = abs(seen - prior.mean)
    if off <= WARY * sqrt(prior.sd**2 + sd**2):
        return made
    return updated(prior, seen, sqrt((off / WARY) ** 2 - prior.sd**2))
