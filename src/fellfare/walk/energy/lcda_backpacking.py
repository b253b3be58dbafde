"""Walking power with a backpack: LCDA backpacking, Looney 2022.  The house's own choice.

One formula holds load, speed, grade (up and down) and terrain; it is smooth
at zero grade and never goes negative.

**Open points**, not settled because the paper itself was not read:

* *eta*: two public transcriptions put the terrain factor on the speed term
  only, two on speed and grade ("equation 4").  Speed only is used: lifting a
  kilogram costs no more on soft ground.  On a hilly day with eta 1.1 to 1.2
  the other reading gives 2.6 to 4.9 % more.
* *base* of the inner power: 1.1 in all transcriptions of this paper, 1.11 in
  one report on the paper of 2019.

Both are carried as a spread in the band of the day's need (``walk.need``).
The data are 30 young adults, 27 of them men, with packs up to 66 % of body
mass, 6 to 21 minutes at a time: no children, no old walkers, no long days.
"""

from __future__ import annotations

from typing import Final

from fellfare.walk.energy.door import check_walking
from fellfare.walk.energy.lcda_graded import BASE
from fellfare.walk.energy.ranges import Range
from fellfare.walk.figures import Figure

#: Error of one person and walk, one standard deviation [W per kg body mass].
#: Looney 2022, external data sets: bias -0.08, SD 0.59 (secondary summary).
ERROR_W_PER_KG: Final = 0.59

RANGE = Range(
    model="LCDA backpacking 2022",
    speed_m_s=(0.45, 1.97),
    grade=(-0.40, 0.45),
    load_share=(0.0, 0.66),
    source="Looney et al. 2022, Med Sci Sports Exerc 54(4), PMC8919998 (abstract);"
    " grades from the graded paper of 2019",
)


def walking_power_w(
    *,
    body_kg: Figure,
    load_kg: Figure,
    speed_m_s: Figure,
    grade: Figure = 0.0,
    eta: Figure = 1.0,
    rest_w: Figure,
    eta_on_grade: bool = False,
    base: float = BASE,
) -> Figure:
    """Gross power of a walker with a backpack [W], any grade.

    Parameters
    ----------
    body_kg, load_kg
        Body, and everything carried and worn [kg].
    speed_m_s
        Speed [m/s].
    grade
        Rise over run as a fraction.
    eta
        Terrain factor, 1 = hard and smooth.
    rest_w
        Resting power of this body [W]: resting energy per day [kcal] x 4184 / 86400.
    eta_on_grade, base
        The two open points; leave them alone except to show the spread.

    Raises
    ------
    Mistake
        As :func:`~fellfare.walk.energy.door.check_walking`.

    Examples
    --------
    A body of 75 kg with 12 kg, 3 km/h up ten per cent:

    >>> round(float(walking_power_w(body_kg=75, load_kg=12, speed_m_s=3 / 3.6,
    ...     grade=0.10, rest_w=1667.5 * 4184 / 86400)))
    477
    """
    check_walking(
        body_kg=body_kg, load_kg=load_kg, speed_m_s=speed_m_s, grade=grade, eta=eta, rest_w=rest_w
    )
    return body_kg * lcda_backpacking_w_per_kg(
        speed_m_s, grade, load_kg / body_kg, eta, rest_w / body_kg, eta_on_grade, base
    )


def lcda_backpacking_w_per_kg(
    S: Figure,
    i: Figure,
    x: Figure,
    eta: Figure,
    M_rest: Figure,
    eta_on_grade: bool = False,
    b: float = BASE,
) -> Figure:
    """Metabolic rate M [W per kg body mass].

    ``S`` speed [m/s], ``i`` grade as a fraction, ``x`` load over body mass,
    ``M_rest`` resting rate [W/kg].  Looney, Lavoie, Vangala et al. 2022, "Modeling the
    Metabolic Costs of Heavy Military Backpacking", Med Sci Sports Exerc 54(4),
    PMC8919998 [LOONEY-2022]: level (eq. 2), grade (eq. 3), both with terrain (eq. 4), equation
    numbers after a public transcription.  All coefficients agree in four public
    transcriptions; open points in the head of this file.
    Valid 0.45 to 1.97 m/s, x to 0.66 (not checked here).
    """
    speed = speed_term(S)
    slope = grade_term(S, i, b)
    ground = eta * (speed + slope) if eta_on_grade else eta * speed + slope
    return M_rest + (0.19 + ground) * load_factor(x)


def speed_term(S: Figure) -> Figure:
    """1.78 S^0.58 + 0.27 S^4 [W/kg]; [LOONEY-2022], eq. 2."""
    return 1.78 * S**0.58 + 0.27 * S**4


def grade_term(S: Figure, i: Figure, b: float = BASE) -> Figure:
    """M_grade [W/kg] at speed S [m/s], grade i as a fraction; [LOONEY-2022], eq. 3.

    The same as 0.34 S G (...) with G in per cent of the paper of 2019.
    """
    return 34.0 * S * i * (1.0 - 1.05 ** (1.0 - b ** (100.0 * i + 32.0)))


def load_factor(x: Figure) -> Figure:
    """1 + 1.96 x^1.36, x [-] = load over body mass; [LOONEY-2022], eq. 2."""
    return 1.0 + 1.96 * x**1.36
