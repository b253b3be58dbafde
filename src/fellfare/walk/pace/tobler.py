"""Tobler's hiking function of 1993."""

from __future__ import annotations

from typing import Final

import numpy as np

from fellfare.walk.figures import Figure

#: Off paths, the speed is multiplied by this (Tobler 1993).
OFF_PATH: Final = 0.6


def tobler_km_h(s: Figure) -> Figure:
    """Speed [km/h] at grade ``s`` (fraction): 6 exp(-3.5 |s + 0.05|).

    W. Tobler 1993, "Three presentations on geographical analysis and
    modeling", NCGIA report 93-1 [TOBLER-1993]; fastest, 6 km/h, at -5 %.  Multiply by
    :data:`OFF_PATH` away from paths.
    """
    return 6.0 * np.exp(-3.5 * np.abs(s + 0.05))


def speed_m_s(grade: Figure) -> Figure:
    """Speed on the map [m/s] at a grade (fraction), on paths."""
    return tobler_km_h(grade) / 3.6
