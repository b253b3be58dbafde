"""Walking power by 'minimum mechanics': Ludlow and Weyand 2017.  For the spread."""

from __future__ import annotations

from typing import Final

import numpy as np

from fellfare.walk.energy.door import check_walking
from fellfare.walk.energy.ranges import Range
from fellfare.walk.figures import Figure

#: Energy of a litre of oxygen [J/mL], mixed fuel.
J_PER_ML: Final = 20.1

RANGE = Range(
    model="Ludlow & Weyand 2017",
    speed_m_s=(0.4, 1.6),
    grade=(0.0, 0.09),
    source="Ludlow & Weyand 2017, J Appl Physiol 123:1288-1302; limits from memory",
)


def walking_power_w(
    *,
    body_kg: Figure,
    load_kg: Figure,
    speed_m_s: Figure,
    grade: Figure = 0.0,
    eta: Figure = 1.0,
    rest_w: Figure,
) -> Figure:
    """Gross power [W]; a kilogram of load costs as much as one of body.

    There is no terrain term: ``eta`` is not used.  Downhill knows no
    steepness.  Arguments and refusals as in
    :func:`~fellfare.walk.energy.door.check_walking`.
    """
    check_walking(
        body_kg=body_kg, load_kg=load_kg, speed_m_s=speed_m_s, grade=grade, eta=eta, rest_w=rest_w
    )
    net = ludlow_weyand_ml_per_kg_min(speed_m_s, 100.0 * np.asarray(grade))
    return rest_w + (body_kg + load_kg) * net * J_PER_ML / 60.0


def ludlow_weyand_ml_per_kg_min(V: Figure, G: Figure) -> Figure:
    """Oxygen above rest [mL per kg of body and load per min]; V m/s, G per cent.

    Ludlow & Weyand 2017, J Appl Physiol 123(5):1288-1302,
    doi 10.1152/japplphysiol.00504.2017 [LUDLOW-2017]: C1 0.32, C2 0.19, C3 2.66, 3.28, and
    0.73 times the level cost downhill.  The additive form ``C1 G + 3.28`` is
    that of three public scripts; one other multiplies, 3.28 (1 + C1 G), which
    gives 27.6 mL/kg/min above rest at 1.34 m/s and 10 % where ACSM has 22.5 and
    this 20.3: held for a misprint.
    """
    up = 0.32 * G + 3.28 + (1.0 + 0.19 * G) * 2.66 * V**2
    down = 0.73 * (3.28 + 2.66 * V**2)
    return np.where(np.asarray(G) >= 0, up, down)
