"""How far may one trip move the next?

A log is short and a slip of the pen is likelier than a new body or a new stove.  So what is
*believed* moves as far as the news carries it, but what is *written* into the next trip keeps
to a step; what lies beyond belief is asked about and not learnt from.  All steps are
judgements, no source.
"""

from __future__ import annotations

from math import sqrt
from typing import Final

from fellfare.learn.belief import Belief

#: Planned food of any walker at any eating time, as a share.
FOOD_STEP: Final = 0.15
#: Walking factor, as a share of what it was.
ENERGY_STEP: Final = 0.15
#: Pace factor: a timed day says more than a bag that came home.
PACE_STEP: Final = 0.25
#: Efficiency of a stove, as a share of what it was.
STOVE_STEP: Final = 0.15
#: Soak minutes over the pantry's: at most so many times as long, at least one part of so many.
SOAK_STEP: Final = 1.5

#: What every screen says under what was learnt.
STATEMENT: Final = (
    "A small appetite is no small need, and one trip is one trip. At once, by it: what is "
    f"planned for a walker at an eating time moves by {100 * FOOD_STEP:.0f} % at most (at the "
    "pace that was learnt: a longer or shorter last day beside); the walking energy by "
    f"{100 * ENERGY_STEP:.0f} % of what it was, the pace by {100 * PACE_STEP:.0f} %, a stove's "
    f"efficiency by {100 * STOVE_STEP:.0f} %, soak minutes to {SOAK_STEP:g} times as long or "
    "that part of it. Nothing is cut for somebody who was hungry on any day or lost 2.5 % of "
    "body mass. Losing weight fast, swelling, fainting or never being hungry is for a doctor, "
    "not for a plan."
)


def stepped(before: float, after: float, step: float) -> float:
    """``after``, but no further from ``before`` than a share ``step`` of it.

    Examples
    --------
    >>> stepped(0.5, 0.05, 0.15), stepped(1.0, 1.05, 0.15)
    (0.425, 1.05)
    """
    return min(max(after, before * (1.0 - step)), before * (1.0 + step))


def stepped_belief(before: float, after: Belief, step: float, *, floor: bool = False) -> Belief:
    """A belief held to its step; where it is held its doubt grows by the way not gone.

    With ``floor`` the mean does not fall below ``before``.
    """
    mean = stepped(before, after.mean, step)
    if floor:
        mean = max(mean, before)
    return Belief(mean, sqrt(after.sd**2 + (after.mean - mean) ** 2))
