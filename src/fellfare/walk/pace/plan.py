"""How fast will this walker go here, with this pack?"""

from __future__ import annotations

from typing import Final

import numpy as np

from fellfare.mistake import Mistake
from fellfare.walk.energy.door import check_walking
from fellfare.walk.energy.lcda_backpacking import lcda_backpacking_w_per_kg
from fellfare.walk.figures import Array, Figure
from fellfare.walk.pace import campbell

#: Loss of speed per unit of load over body mass.  A fit from memory to field
#: studies quoted second hand (Knapik 1996, Quesada 2000, Vine 2022): 5 to 10 %
#: at 20 to 30 % of body mass, 15 to 20 % at 40 to 50 %.
LOAD_SLOWING: Final = 0.3
#: No load slows to less than half.
LEAST_LOAD_PACE: Final = 0.5

#: Energy of a millilitre of oxygen [J].
J_PER_ML: Final = 20.1
#: Share of the aerobic capacity that is kept up all day (judgement, 45 to 50 %).
ALL_DAY_SHARE: Final = 0.50
#: Taken when a walker's capacity is not known (judgement: a fit adult) [mL/kg/min].
ASSUMED_CAPACITY: Final = 42.0
#: Capacity falls about 1 % per 100 m above 1 500 m (Buskirk, from memory).
CAPACITY_FALLS_FROM_M: Final = 1500.0

_SLOWEST_M_S: Final = 0.05
_HALVINGS: Final = 40


def load_pace(load_share: Figure, slowing: float = LOAD_SLOWING) -> Figure:
    """Speed with a load over speed without; ``load_share`` is load over body mass."""
    return np.maximum(1.0 - slowing * np.asarray(load_share), LEAST_LOAD_PACE)


def terrain_pace(eta: Figure) -> Figure:
    """Speed on this ground over speed on a good path: 1 / sqrt(eta) (judgement)."""
    return 1.0 / np.sqrt(eta)


def planned_speed_m_s(
    *,
    grade: Figure,
    eta: Figure = 1.0,
    load_share: Figure = 0.0,
    pace_factor: Figure = 1.0,
    load_slowing: float = LOAD_SLOWING,
) -> Figure:
    """Speed [m/s] = own factor x median hiker (Campbell 2022) x terrain x load.

    Parameters
    ----------
    grade
        Rise over run as a fraction, -1 to 1.
    eta
        Terrain factor, 1 to 6.
    load_share
        Load over body mass, 0 to 2.
    pace_factor
        The walker's own pace over the median's, 0.3 to 2.
    load_slowing
        Loss of speed per unit of load share, an assumption to change at will.

    Raises
    ------
    Mistake
        ``pace-out-of-range`` (factor or load share) and those of
        :func:`~fellfare.walk.energy.door.check_walking`.
    """
    factor, share = np.asarray(pace_factor), np.asarray(load_share)
    if not (((factor >= 0.3) & (factor <= 2.0)).all() and ((share >= 0) & (share <= 2)).all()):
        raise Mistake(
            "pace-out-of-range",
            what="pace factor or load share is no walker's",
            mend="give a pace factor of 0.3 to 2 and a load of at most twice the body",
        )
    check_walking(body_kg=70.0, load_kg=0.0, speed_m_s=0.0, grade=grade, eta=eta)
    slowed = terrain_pace(eta) * load_pace(load_share, load_slowing)
    return pace_factor * campbell.speed_m_s(grade) * slowed


def planned_hours(
    distance_m: Figure,
    grade: Figure,
    *,
    eta: Figure = 1.0,
    load_share: Figure = 0.0,
    pace_factor: Figure = 1.0,
) -> Array:
    """Hours on the move for a distance on the map [m]; see :func:`planned_speed_m_s`."""
    speed = planned_speed_m_s(grade=grade, eta=eta, load_share=load_share, pace_factor=pace_factor)
    return np.asarray(distance_m / speed / 3600.0, dtype=np.float64)


def power_cap_w_per_kg(
    capacity_ml_per_kg_min: Figure = ASSUMED_CAPACITY,
    *,
    share: float = ALL_DAY_SHARE,
    height_m: Figure = 0.0,
) -> Figure:
    """Power that can be kept up all day [W per kg body mass].

    ``capacity_ml_per_kg_min`` is the greatest oxygen uptake, ``height_m`` the
    height of the ground.  Raises ``capacity-out-of-range`` outside 15 to 90
    mL/kg/min, a share outside 0.2 to 0.9 or a height above 9 000 m.
    """
    capacity, height = np.asarray(capacity_ml_per_kg_min), np.asarray(height_m)
    good = ((capacity >= 15) & (capacity <= 90)).all() and 0.2 <= share <= 0.9
    if not (good and ((height >= -500) & (height <= 9000)).all()):
        raise Mistake(
            "capacity-out-of-range",
            what="aerobic capacity, its share or the height is out of bounds",
            mend="give 15 to 90 mL/kg/min, a share of 0.2 to 0.9, a height up to 9 000 m",
        )
    thin = 1.0 - 0.0001 * np.maximum(height - CAPACITY_FALLS_FROM_M, 0.0)
    return capacity * J_PER_ML / 60.0 * share * thin


def capped_speed_m_s(
    speed_m_s: Figure,
    *,
    grade: Figure,
    eta: Figure,
    load_share: Figure,
    rest_w_per_kg: Figure,
    cap_w_per_kg: Figure,
) -> Array:
    """The given speed, or the fastest at which power stays under the cap [m/s].

    Power is that of LCDA backpacking 2022, which grows with speed wherever it
    nears the cap; found by halving, to a billionth.  Where even creeping costs
    more than the cap, 0.05 m/s is given.  All arguments broadcast.
    """
    speed, i, ground, x, rest, cap = np.broadcast_arrays(
        *(
            np.asarray(a, dtype=np.float64)
            for a in (speed_m_s, grade, eta, load_share, rest_w_per_kg, cap_w_per_kg)
        )
    )
    result = np.array(speed)
    over = np.asarray(lcda_backpacking_w_per_kg(speed, i, x, ground, rest)) > cap
    if not over.any():
        return result
    i, x, ground, rest, cap = i[over], x[over], ground[over], rest[over], cap[over]
    low = np.full_like(i, _SLOWEST_M_S)
    high = speed[over]
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        fast = np.asarray(lcda_backpacking_w_per_kg(middle, i, x, ground, rest)) > cap
        high = np.where(fast, middle, high)
        low = np.where(fast, low, middle)
    result[over] = low
    return result
