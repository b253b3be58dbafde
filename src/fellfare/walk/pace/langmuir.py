"""Langmuir's refinement of Naismith: gentle descents are faster, steep ones slower."""

from __future__ import annotations

from typing import Final

import numpy as np

from fellfare.walk.figures import Figure

#: Descents from 5 to 12 degrees save time, steeper ones cost it.
GENTLE: Final = float(np.tan(np.radians(5.0)))
STEEP: Final = float(np.tan(np.radians(12.0)))


def langmuir_s_per_m(s: Figure) -> Figure:
    """Seconds per metre on the map [s/m] at grade ``s`` (fraction).

    E. Langmuir, Mountaincraft and Leadership (1984) [LANGMUIR-1984]: 5 km/h; up 600 m/h; down
    5 to 12 degrees 10 min less, steeper 10 min more per 300 m.  In the form of
    a public package: 0.72 + 6 s up, 0.72 + 2 s and 0.72 - 2 s down.
    Two jumps: the rule itself has them.
    """
    s = np.asarray(s, dtype=np.float64)
    return np.select(
        [s >= 0, s > -GENTLE, s >= -STEEP], [0.72 + 6.0 * s, 0.72 + 0.0 * s, 0.72 + 2.0 * s],
        0.72 - 2.0 * s,
    )  # fmt: skip


def speed_m_s(grade: Figure) -> Figure:
    """Speed on the map [m/s] at a grade (fraction)."""
    return 1.0 / langmuir_s_per_m(grade)
