"""Walking power without a load term, level and graded: LCDA, Looney 2019."""

from __future__ import annotations

from typing import Final

from fellfare.walk.energy.door import check_walking
from fellfare.walk.energy.ranges import Range
from fellfare.walk.figures import Figure

#: Base of the inner power of the grade term.  Three independent public
#: transcriptions have 1.1; one trip report printed and used 1.11, and its three
#: worked numbers come out with 1.11 only.  **Open** until read in the paper:
#: 1.11 is 1 % more uphill and 4 % less at -12 %.
BASE: Final = 1.1
#: The other reading of the base, kept for the spread and for its check.
OTHER_BASE: Final = 1.11

RANGE = Range(
    model="LCDA graded 2019",
    speed_m_s=(0.45, 1.97),
    grade=(-0.40, 0.45),
    load_kg=(0.0, 0.0),
    source="Looney et al. 2019, Med Sci Sports Exerc 51(9):1954-1960 (abstract)",
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
    """Gross power [W], any grade, the load reckoned as if it were body mass.

    The model has no load and no terrain term: ``eta`` and ``rest_w`` are not
    used, and body and load are simply added, an approximation of ours.
    Arguments and refusals as in
    :func:`~fellfare.walk.energy.door.check_walking`.
    """
    check_walking(
        body_kg=body_kg, load_kg=load_kg, speed_m_s=speed_m_s, grade=grade, eta=eta, rest_w=rest_w
    )
    return (body_kg + load_kg) * lcda_graded_w_per_kg(speed_m_s, 100.0 * grade, BASE)


def lcda_graded_w_per_kg(S: Figure, G: Figure, b: float) -> Figure:
    """Energy expenditure [W/kg] at speed S [m/s] and grade G [per cent].

    Looney et al. 2019 (the load carriage decision aid), Med Sci Sports Exerc
    51(9):1954-1960, doi 10.1249/mss.0000000000002002 [LOONEY-2019].  95 people of eleven
    studies; standard error 0.20 W/kg on the level, 0.42 on grades (abstract).
    ``b`` is the open base, see :data:`BASE`.
    Checked in ``tests/reference/walk-energy-vectors.csv``.
    """
    return (
        1.44 + 1.94 * S**0.43 + 0.24 * S**4 + 0.34 * S * G * (1.0 - 1.05 ** (1.0 - b ** (G + 32.0)))
    )
