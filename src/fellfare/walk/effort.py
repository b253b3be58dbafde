"""What does a stretch of the way cost at a given load?  Summed once, asked often.

LCDA backpacking 2022 at a speed that the load slows by one common factor g
falls apart into four sums over the legs of a stretch that do not hold the load:

    power   M = M_rest + (0.19 + eta 1.78 S^0.58 + eta 0.27 S^4 + c(i) S) f(x)
    speed   S = v g(x),  time  t = d / (v g)
    T = sum d/v,  P = sum d/v eta v^0.58,  Q = sum d/v eta v^4,  C = sum d/v c(i) v
    E/W = M_rest T/g + (0.19 T/g + 1.78 P g^-0.42 + 0.27 Q g^3 + C) f(x)

with v the speed without load, c(i) S the grade term and f(x) = 1 + 1.96 x^1.36.
So the legs are gone through once, and one more round of need, for any number of
walkers, costs a handful of operations per stretch, with nothing rounded off: a
histogram over grade and terrain would cost more and be an approximation.

Speed is speed on the map.  On slopes the speed along the ground is greater, by
0.5 % at a grade of 0.10 and 2 % at 0.20; the models were measured along the belt
of a treadmill.  The difference is left out, as signposts and rules do.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from fellfare.walk.energy.lcda_backpacking import grade_term, load_factor
from fellfare.walk.figures import Array, Figure
from fellfare.walk.load import Stretches
from fellfare.walk.pace.plan import LOAD_SLOWING, load_pace

#: Joule per kilocalorie.
J_PER_KCAL = 4184.0


class Effort(Struct, frozen=True, kw_only=True, eq=False):
    """The four sums of each stretch, for each walker (W, S)."""

    #: Time without load [s].
    seconds: Array
    #: sum t eta v^0.58 and sum t eta v^4.
    speed_58: Array
    speed_4: Array
    #: Grade term times time [J per kg], load factor apart.
    slope: Array


def effort_of(
    stretches: Stretches, unloaded_m_s: Array, *, eta_on_grade: bool, base: float
) -> Effort:
    """Sum the pieces of legs into their stretches.

    ``unloaded_m_s`` is each walker's speed without load on each piece (W, P),
    above zero.  ``eta_on_grade`` and ``base`` are the open points of the model.
    """
    many = len(stretches.day)
    t = stretches.piece_m / unloaded_m_s
    eta = stretches.piece_eta
    slope = np.asarray(grade_term(unloaded_m_s, stretches.piece_grade, base))

    def summed(values: Array) -> Array:
        rows = [np.bincount(stretches.piece_stretch, row, minlength=many) for row in values]
        return np.array(rows, dtype=np.float64).reshape(len(values), many)

    return Effort(
        seconds=summed(t),
        speed_58=summed(t * eta * unloaded_m_s**0.58),
        speed_4=summed(t * eta * unloaded_m_s**4),
        slope=summed(t * slope * (eta if eta_on_grade else 1.0)),
    )


def stretch_hours(effort: Effort, load_share: Figure, slowing: float = LOAD_SLOWING) -> Array:
    """Moving time of each stretch [h]; load over body mass broadcasts over (W, S)."""
    return np.asarray(effort.seconds / load_pace(load_share, slowing) / 3600.0, dtype=np.float64)


def stretch_kcal(
    effort: Effort,
    body_kg: Figure,
    load_share: Figure,
    rest_w_per_kg: Figure,
    slowing: float = LOAD_SLOWING,
) -> Array:
    """Gross walking energy of each stretch [kcal]; arguments broadcast over (W, S)."""
    g = load_pace(load_share, slowing)
    walking = (
        0.19 * effort.seconds / g
        + 1.78 * effort.speed_58 * g**-0.42
        + 0.27 * effort.speed_4 * g**3
        + effort.slope
    )
    per_kg = rest_w_per_kg * effort.seconds / g + walking * load_factor(load_share)
    return np.asarray(body_kg * per_kg / J_PER_KCAL, dtype=np.float64)
