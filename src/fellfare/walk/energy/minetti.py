"""Walking power from the cost of gradient: Minetti 2002, and a refit of it.  For the spread."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np

from fellfare.walk.energy.door import check_walking
from fellfare.walk.energy.ranges import Range
from fellfare.walk.figures import Figure

#: Steepest grade of the treadmill, up and down; steeper ground is reckoned as this.
STEEPEST_I: Final = 0.45

RANGE = Range(
    model="Minetti 2002",
    grade=(-0.45, 0.45),
    load_kg=(0.0, 0.0),
    source="Minetti et al. 2002, J Appl Physiol 93:1039-1046: ten elite mountain runners",
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
    """Gross power [W] by the polynomial of 2002; 52 % high on the level.

    No speed, load or terrain term: body and load are added, ``eta`` is not
    used, grades beyond 0.45 are reckoned as 0.45.  Arguments and refusals as in
    :func:`~fellfare.walk.energy.door.check_walking`.
    """
    check_walking(
        body_kg=body_kg, load_kg=load_kg, speed_m_s=speed_m_s, grade=grade, eta=eta, rest_w=rest_w
    )
    return _power_w(minetti_j_per_kg_m, body_kg + load_kg, speed_m_s, grade, rest_w)


def walking_power_refit_w(
    *,
    body_kg: Figure,
    load_kg: Figure,
    speed_m_s: Figure,
    grade: Figure = 0.0,
    eta: Figure = 1.0,
    rest_w: Figure,
) -> Figure:
    """As :func:`walking_power_w`, by Herzog's refit, which meets the measured level cost."""
    check_walking(
        body_kg=body_kg, load_kg=load_kg, speed_m_s=speed_m_s, grade=grade, eta=eta, rest_w=rest_w
    )
    return _power_w(herzog_j_per_kg_m, body_kg + load_kg, speed_m_s, grade, rest_w)


def minetti_j_per_kg_m(i: Figure) -> Figure:
    """Cost of walking Cw [J per kg and metre along the slope], net of rest; i a fraction.

    Minetti, Moia, Roi, Susta & Ferretti 2002, J Appl Physiol 93:1039-1046
    [MINETTI-2002], the walking polynomial (the running one, 155.4 i^5 ... + 3.6, is another).
    Measured values of the abstract: 3.46 at -0.45, 0.81 at -0.10, 1.64 at 0,
    17.33 at +0.45.  Valid to 0.45 up and down (not checked here).
    """
    return 280.5 * i**5 - 58.7 * i**4 - 76.8 * i**3 + 51.9 * i**2 + 19.6 * i + 2.5


def herzog_j_per_kg_m(i: Figure) -> Figure:
    """Refit of the same data to sixth degree [J/kg/m], i a fraction.

    After I. Herzog's papers on least-cost paths (2013-14) [HERZOG-2013], coefficients
    seen in a public R package; 1.64 at zero, as measured.  Valid where the measurements
    are, to 0.45 up and down (not checked here).
    """
    return (
        1337.8 * i**6
        + 278.19 * i**5
        - 517.39 * i**4
        - 78.199 * i**3
        + 93.419 * i**2
        + 19.825 * i
        + 1.64
    )


def _power_w(
    cost: Callable[[Figure], Figure],
    mass_kg: Figure,
    speed_m_s: Figure,
    grade: Figure,
    rest_w: Figure,
) -> Figure:
    i = np.clip(grade, -STEEPEST_I, STEEPEST_I)
    along_slope = speed_m_s * np.sqrt(1.0 + i**2)
    return rest_w + mass_kg * cost(i) * along_slope
