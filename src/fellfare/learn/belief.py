"""What is believed of one figure: a mean and a standard deviation, and how news moves it."""

from __future__ import annotations

from math import isfinite, sqrt
from typing import Final

from msgspec import Struct

from fellfare.mistake import Mistake

#: Standard deviations to the ends of an 80 % band of the normal distribution.
BAND_80: Final = 1.2815515655446004


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
    >>> updated(Belief(1.0, 0.12), 1.2, 0.12)
    Belief(mean=1.1, sd=0.08485281374238569)
    """
    if not (isfinite(seen) and 0.0 < sd < float("inf")):
        raise Mistake(
            "observation-out-of-range",
            f"seen {seen:g} with an error of {sd:g}",
            "give a number, and an error above 0",
        )
    weight = prior.sd**2 / (prior.sd**2 + sd**2)
    return Belief(prior.mean + weight * (seen - prior.mean), sqrt(1.0 - weight) * prior.sd)
