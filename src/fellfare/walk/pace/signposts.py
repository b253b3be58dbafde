"""DIN 33466 and the Alpine-club variant: time of a **whole stage**, never of a leg.

The larger of two times plus half the smaller: that does not add up over legs
(up to a third too much), so these two have no speed at a grade.
"""

from __future__ import annotations

import numpy as np

from fellfare.walk.figures import Figure


def din_33466_hours(km: Figure, up_m: Figure, down_m: Figure) -> Figure:
    """Hours [h] by DIN 33466: 4 km/h, 300 m/h up, 500 m/h down; whole stages.

    [DIN-33466], seen in public transcriptions.  Valid for a whole stage: it does not
    add up over legs (up to a third too much).  Checked against the
    worked examples of a German trail concept (2009).
    """
    return _blend(km / 4.0, up_m / 300.0 + down_m / 500.0)


def sac_hours(km: Figure, up_m: Figure, down_m: Figure) -> Figure:
    """Hours [h] by the variant of the Swiss Alpine club: 4 km/h, 400 m/h up, 800 m/h down.

    The blend of [DIN-33466] with other speeds.  Valid for a whole stage, as that.
    """
    return _blend(km / 4.0, up_m / 400.0 + down_m / 800.0)


def _blend(flat: Figure, steep: Figure) -> Figure:
    return np.maximum(flat, steep) + np.minimum(flat, steep) / 2.0
