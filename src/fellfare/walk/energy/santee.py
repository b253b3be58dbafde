"""Walking power by Pandolf 1977 with the downhill correction of Santee 2001."""

from __future__ import annotations

from typing import Final

import numpy as np

from fellfare.walk.energy.door import check_walking
from fellfare.walk.energy.pandolf import pandolf_w
from fellfare.walk.energy.ranges import Range
from fellfare.walk.figures import Figure

#: Steepest descent of the data [per cent]; steeper ground is reckoned as this,
#: because the square term explodes (1 463 W at -40 % where others say 266 W).
STEEPEST_G: Final = -12.0

RANGE = Range(
    model="Pandolf 1977 with Santee 2001",
    speed_m_s=(0.9, 1.8),
    grade=(-0.12, 0.12),
    load_kg=(0.0, 27.2),
    source="Santee et al. 2001, J Hum-Environ Syst 6(2):69 (abstract): 0, 13.6, 27.2 kg,"
    " grades to 12 % up and down, 1.34 m/s; speed range widened by judgement",
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
    """Gross power of a walker with a load [W], any grade.

    Uphill and level it is Pandolf 1977; downhill the correction is taken off
    the (then meaningless) uphill formula.  Grades below -12 % are reckoned as
    -12 %.  At zero grade the two halves do not meet: about +5 %.  ``rest_w``
    is not used.  Arguments and refusals as in
    :func:`~fellfare.walk.energy.door.check_walking`.
    """
    check_walking(
        body_kg=body_kg, load_kg=load_kg, speed_m_s=speed_m_s, grade=grade, eta=eta, rest_w=rest_w
    )
    G = np.maximum(100.0 * np.asarray(grade), STEEPEST_G)
    M = pandolf_w(body_kg, load_kg, speed_m_s, G, eta)
    return np.where(G < 0, M - downhill_w(body_kg, load_kg, speed_m_s, G, eta), M)


def downhill_w(W: Figure, L: Figure, V: Figure, G: Figure, eta: Figure) -> Figure:
    """Correction CF [W] to be taken off Pandolf's M, for G (per cent) below zero.

    Santee, Allison, Blanchard & Small 2001, Aviat Space Environ Med 72:562-566,
    [SANTEE-2001], in the form of Yokota, Berglund, Santee, Buller & Hoyt 2004, USARIEM
    T04-09.      The terms were seen in one public transcription; **open**: whether eta
    multiplies the whole bracket (used here, from memory) or its first term
    only.  With eta 1 the two are one.  Valid to -12 % (not checked here).
    """
    return eta * (G * (W + L) * V / 3.5 - (W + L) * (G + 6.0) ** 2 / W + (25.0 - V**2))
