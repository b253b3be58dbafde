"""Walking power by Pandolf, Givoni and Goldman 1977: level and uphill, with a load."""

from __future__ import annotations

import numpy as np

from fellfare.mistake import Mistake
from fellfare.walk.energy.door import check_walking
from fellfare.walk.energy.ranges import Range
from fellfare.walk.figures import Figure

#: Published range.  Limits from memory; one public explainer gives 1.97 m/s.
RANGE = Range(
    model="Pandolf 1977",
    speed_m_s=(0.0, 2.2),
    grade=(0.0, 0.25),
    load_kg=(0.0, 70.0),
    source="Pandolf, Givoni & Goldman 1977, J Appl Physiol 43:577-581; limits from memory",
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
    """Gross power of a walker with a load [W], level or uphill.

    Parameters
    ----------
    body_kg, load_kg
        Body, and everything carried and worn [kg].
    speed_m_s
        Speed [m/s].
    grade
        Rise over run as a fraction, not below zero.
    eta
        Terrain factor, 1 = hard and smooth.
    rest_w
        Not used: the paper's own standing term 1.5 W per kg stands for rest.

    Raises
    ------
    Mistake
        ``pandolf-downhill``: below zero grade the formula turns negative from
        about -9 %; and those of :func:`~fellfare.walk.energy.door.check_walking`.
    """
    check_walking(
        body_kg=body_kg, load_kg=load_kg, speed_m_s=speed_m_s, grade=grade, eta=eta, rest_w=rest_w
    )
    if np.any(np.asarray(grade) < 0):
        raise Mistake(
            "pandolf-downhill",
            what="the 1977 formula does not hold downhill: it would say that walking gives energy",
            mend="use santee.walking_power_w, which corrects it, or another model",
        )
    return pandolf_w(body_kg, load_kg, speed_m_s, 100.0 * grade, eta)


def pandolf_w(W: Figure, L: Figure, V: Figure, G: Figure, eta: Figure) -> Figure:
    """Metabolic rate M [W]; W, L in kg, V in m/s, G in per cent.

    Pandolf, Givoni & Goldman 1977, "Predicting energy expenditure with loads
    while standing or walking very slowly", J Appl Physiol 43(4):577-581,
    doi 10.1152/jappl.1977.43.4.577 [PANDOLF-1977].  Seen in five public transcriptions that
    agree, not in the paper.  Too low for light packs walked slowly and for
    modern loads (Vine 2020, Looney 2022); so it serves for the spread only.
    Checked in ``tests/reference/walk-energy-vectors.csv``.
    """
    return 1.5 * W + 2.0 * (W + L) * (L / W) ** 2 + eta * (W + L) * (1.5 * V**2 + 0.35 * V * G)
