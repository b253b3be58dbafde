"""How fast will this walker go here, with this pack?"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from fellfare.mistake import Mistake
from fellfare.walk.energy.door import check_walking
from fellfare.walk.energy.lcda_backpacking import (
    grade_term,
    lcda_backpacking_w_per_kg,
    load_factor,
    speed_term,
)
from fellfare.walk.figures import Array, Figure
from fellfare.walk.pace.rules import USUAL_RULE, PaceRule, rule_speed_m_s

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
#: The cap is met when power or speed moves by less [W/kg, m/s]; six steps are usual.
_SETTLED: Final = 1e-10
_MOST_STEPS: Final = 100


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
    rule: PaceRule = USUAL_RULE,
) -> Figure:
    """Speed [m/s] = own factor x pace rule (Campbell 2022) x terrain x load.

    Parameters
    ----------
    grade
        Rise over run as a fraction, -1 to 1.
    eta
        Terrain factor, 1 to 6.
    load_share
        Load over body mass, 0 to 2.
    pace_factor
        The walker's own pace over that of the rule, 0.3 to 2.
    load_slowing
        Loss of speed per unit of load share, an assumption to change at will.
    rule
        Whose speed on a good path and without a load is taken.

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
    return pace_factor * rule_speed_m_s(rule, grade) * slowed


def planned_hours(
    distance_m: Figure,
    grade: Figure,
    *,
    eta: Figure = 1.0,
    load_share: Figure = 0.0,
    pace_factor: Figure = 1.0,
    rule: PaceRule = USUAL_RULE,
) -> Array:
    """Hours on the move for a distance on the map [m]; see :func:`planned_speed_m_s`."""
    speed = planned_speed_m_s(
        grade=grade, eta=eta, load_share=load_share, pace_factor=pace_factor, rule=rule
    )
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
    nears the cap; it meets the cap to a billionth of a watt.  Where even creeping
    costs more than the cap, 0.05 m/s is given.  All arguments broadcast.
    """
    speed, i, ground, x, rest, cap = (
        np.asarray(a, dtype=np.float64)
        for a in (speed_m_s, grade, eta, load_share, rest_w_per_kg, cap_w_per_kg)
    )
    # Of the model only the speed term must be raised to powers anew at every speed that is
    # tried: M - cap = still + bent speed_term(S) + straight S.
    loaded = load_factor(x)
    still = rest + lcda_backpacking_w_per_kg(0.0, 0.0, 0.0, 0.0, 0.0) * loaded - cap
    bent = ground * loaded
    straight = grade_term(1.0, i) * loaded
    result, still, bent, straight = map(np.array, np.broadcast_arrays(speed, still, bent, straight))
    over = still + bent * speed_term(result) + straight * result > 0
    if over.any():
        result[over] = _speed_at_cap(result[over], still[over], bent[over], straight[over])
    return result


def _speed_at_cap(too_fast: Array, still: Array, bent: Array, straight: Array) -> Array:
    """Where still + bent speed_term(S) + straight S is zero, below a speed where it is above.

    False position: where the line through both ends of a bracket crosses zero is its next
    end; an end that stays twice running has its value lowered by the rule of Anderson and
    Bjorck 1973 (BIT 13:253, from memory), so that both ends close in.
    """

    def excess(speed: Array, at: NDArray[np.intp]) -> Array:
        return np.asarray(still[at] + bent[at] * speed_term(speed) + straight[at] * speed)

    at = np.arange(len(too_fast))
    high, low = too_fast, np.minimum(_SLOWEST_M_S, too_fast)
    result = low.copy()
    # The last row says which end has moved last: 1 the high one, -1 the low one, 0 none yet.
    bracket = np.array([high, low, excess(high, at), excess(low, at), np.zeros(len(at))])
    going = bracket[3] < 0  # where creeping costs too much already, the slowest it is
    for _ in range(_MOST_STEPS):
        at, bracket = at[going], bracket[:, going]
        if not at.size:
            break
        high, low, high_w, low_w, moved = bracket
        new = high - high_w * (high - low) / (high_w - low_w)
        new_w = excess(new, at)
        above = new_w > 0
        lowered = 1.0 - new_w / np.where(above, high_w, low_w)
        lowered = np.where(lowered > 0, lowered, 0.5)
        bracket = np.array(
            [
                np.where(above, new, high),
                np.where(above, low, new),
                np.where(above, new_w, np.where(moved < 0, high_w * lowered, high_w)),
                np.where(above, np.where(moved > 0, low_w * lowered, low_w), new_w),
                np.where(above, 1.0, -1.0),
            ]
        )
        result[at] = new
        going = (np.abs(new_w) > _SETTLED) & (bracket[0] - bracket[1] > _SETTLED)
    return result
