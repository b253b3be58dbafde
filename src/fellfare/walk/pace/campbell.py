"""Pace of the median hiker, Campbell 2022.  The house's own choice."""

from __future__ import annotations

import numpy as np

from fellfare.walk.figures import Figure


def campbell_m_s(deg: Figure) -> Figure:
    """Median speed [m/s] on a slope of ``deg`` degrees.

    Campbell et al. 2022, Computers, Environment and Urban Systems
    [CAMPBELL-2022] (crowd-sourced GPS of hikers), Lorentz form
    c / (pi b (1 + ((deg - a) / b)^2)) + d + e deg, coefficients of the median
    seen in one public transcription.  The earlier paper of 2019 holds runners:
    its median jogs at 2.55 m/s on the level; do not mix them up.
    Valid for trails to about 30 degrees up and down (not checked here).
    """
    a, b, c, d, e = -1.4579, 22.0787, 76.3271, 0.0525, -3.2002e-4
    return c / (np.pi * b * (1.0 + ((deg - a) / b) ** 2)) + d + e * deg


def speed_m_s(grade: Figure) -> Figure:
    """Speed [m/s] at a grade (fraction)."""
    return campbell_m_s(np.degrees(np.arctan(grade)))
