"""Walking power by the ACSM metabolic equation: level and uphill.  For the spread."""

from __future__ import annotations

from typing import Final

import numpy as np

from fellfare.walk.energy.door import check_walking
from fellfare.walk.energy.ranges import Range
from fellfare.walk.figures import Figure

#: ACSM reckons 5 kcal per litre of oxygen [J/mL].
J_PER_ML: Final = 20.92

RANGE = Range(
    model="ACSM walking",
    speed_m_s=(50 / 60, 100 / 60),
    grade=(0.0, 0.25),
    load_kg=(0.0, 0.0),
    source="ACSM Guidelines for Exercise Testing and Prescription; 50-100 m/min;"
    " upper grade from memory",
)


def walking_power_w(
    *,
    body_kg: Figure,
    load_kg: Figure,
    speed_m_s: Figure,
    grade: Figure = 0.0,
    eta: Figure = 1.0,
    rest_w: Figure = 0.0,
) -> Figure:
    """Gross power [W]; the load shares in the walking terms, not in rest.

    The equation knows no way down: below zero grade the level value is given,
    which is too much.  ``eta`` and ``rest_w`` (its own 3.5 mL/kg/min stands for
    rest) are not used.  Arguments and refusals as in
    :func:`~fellfare.walk.energy.door.check_walking`.
    """
    check_walking(
        body_kg=body_kg, load_kg=load_kg, speed_m_s=speed_m_s, grade=grade, eta=eta, rest_w=rest_w
    )
    v = 60.0 * np.asarray(speed_m_s, dtype=np.float64)
    net = acsm_ml_per_kg_min(v, np.maximum(grade, 0.0)) - 3.5
    return ((body_kg + load_kg) * net + body_kg * 3.5) * J_PER_ML / 60.0


def acsm_ml_per_kg_min(v: Figure, i: Figure) -> Figure:
    """VO2 [mL/kg/min] at v [m/min] and grade i (fraction, not below zero).

    American College of Sports Medicine, Guidelines for Exercise Testing and
    Prescription [ACSM-GUIDELINES], walking equation; two public sources agree.
    """
    return 0.1 * v + 1.8 * v * i + 3.5
