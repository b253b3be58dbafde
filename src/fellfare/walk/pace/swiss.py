"""The Swiss hiking-time polynomial, as on that country's signposts."""

from __future__ import annotations

from typing import Final

import numpy as np

from fellfare.walk.figures import Figure

#: Minutes per kilometre, powers 0 to 15 of ten times the grade.
_C: Final = (
    14.271, 3.6991, 2.5922, -1.4384, 0.32105, 0.81542, -0.090261, -0.20757,
    0.010192, 0.028588, -0.00057466, -0.0021842, 1.5176e-5, 8.6894e-5,
    -1.3584e-7, -1.4026e-6,
)  # fmt: skip


def swiss_min_per_km(s: Figure) -> Figure:
    """Minutes per km on the map [min/km] at grade ``s`` (fraction); pauses not included.

    Schweizer Wanderwege / SchweizMobil [SWISS-SIGNPOSTS], coefficients alike in more than eight
    public files, among them the federal map viewer.  Valid as a
    polynomial below 40 %; beyond, straight lines: 17 and -9 min/km per tenth of grade.
    Its makers give it +/- 25 %.  Traps: the grade goes in as tenths, not per
    cent; and a widely copied loop leaves out the last leg.
    """
    x = 10.0 * np.asarray(s, dtype=np.float64)
    inside = np.polynomial.polynomial.polyval(np.clip(x, -4.0, 4.0), _C)
    return np.where(x >= 4.0, 17.0 * x, np.where(x <= -4.0, -9.0 * x, inside))


def speed_m_s(grade: Figure) -> Figure:
    """Speed on the map [m/s] at a grade (fraction)."""
    return 1000.0 / (60.0 * swiss_min_per_km(grade))
