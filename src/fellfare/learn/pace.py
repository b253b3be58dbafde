"""How fast against the model?  Every timed day counts, and few are enough.

The logarithm of the pace factor is believed normal with the walker's own standard deviation
(0.20 when nothing is known); one timed day says the factor to 12 % (a judgement, no source).
"""

from __future__ import annotations

from collections.abc import Iterable
from math import exp, log
from typing import Final

from fellfare.learn.belief import Belief, updated_warily
from fellfare.mistake import Mistake

DAY_SD: Final = 0.12


def learn_pace(
    factor: float, sd: float, timed: Iterable[tuple[float, float]]
) -> tuple[float, float]:
    """Pace factor and its standard deviation (log units) after some timed days.

    Parameters
    ----------
    factor, sd
        The walker's, as the plan was made.
    timed
        (planned, taken) hours on the move of each timed day.

    Raises
    ------
    Mistake
        ``hours-out-of-range``.

    Examples
    --------
    >>> [round(learn_pace(1.0, 0.20, [(5.0, 5.0)] * n)[1], 3) for n in (1, 4, 8, 20)]
    [0.103, 0.057, 0.042, 0.027]
    """
    belief = Belief(log(factor), sd)
    if not sd:
        return factor, sd
    for planned, taken in timed:
        if not (0.0 < planned <= 24.0 and 0.0 < taken <= 24.0):
            raise Mistake(
                "hours-out-of-range",
                f"{taken:g} h taken where {planned:g} h were planned",
                "give hours on the move, above 0",
            )
        belief = updated_warily(belief, log(factor * planned / taken), DAY_SD)
    return exp(belief.mean), belief.sd
