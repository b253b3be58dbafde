"""How long does water need to the middle of a grain or pea?"""

from __future__ import annotations

from math import exp, pi, sqrt

from fellfare.mistake import Mistake


def sphere_fraction(Fo: float) -> float:
    """Fraction [-] of the final uptake of a sphere, ``Fo`` = D t / r^2.

    Crank 1975, The Mathematics of Diffusion [CRANK-1975], eq. (6.20) (numbers from memory):
    1 - (6/pi^2) sum exp(-n^2 pi^2 Fo)/n^2; below Fo = 0.02 its short-time twin,
    eq. (6.21) without the error-function terms (under 1e-15 there):
    6 sqrt(Fo/pi) - 3 Fo.  Valid for Fo from zero on (not checked here): surface at
    equilibrium from the start, D constant, no swelling.
    """
    if Fo < 0.02:
        return 6.0 * sqrt(Fo / pi) - 3.0 * Fo
    total = sum(exp(-(n**2) * pi**2 * Fo) / n**2 for n in range(1, 20))
    return 1.0 - 6.0 / pi**2 * total


def sphere_soak_minutes(radius_mm: float, diffusivity_m2_per_s: float, share: float = 0.9) -> float:
    """Time until a round seed has taken up a share of its water.

    Parameters
    ----------
    radius_mm
        Of the dry seed; above 0 to 20. [mm]
    diffusivity_m2_per_s
        Published for that seed and temperature; 1e-13 to 1e-7. [m2/s]
    share
        Share of the final uptake; 0 to 0.999.

    Returns
    -------
    float
        Minutes; solved by halving to 1e-10 of Fo.

    Raises
    ------
    Mistake
        ``sphere-out-of-range``.

    Examples
    --------
    >>> round(sphere_soak_minutes(2.0, 3.53e-10))
    35
    """
    if not (
        0.0 < radius_mm <= 20.0 and 1e-13 <= diffusivity_m2_per_s <= 1e-7 and 0.0 <= share <= 0.999
    ):
        raise Mistake(
            "sphere-out-of-range",
            what=f"radius {radius_mm:g} mm, diffusivity {diffusivity_m2_per_s:g} m2/s and share "
            f"{share:g} do not describe a soaking seed",
            mend="give the radius in mm, the diffusivity in m2/s (about 1e-10), a share below 1",
        )
    low, high = 0.0, 1.0
    while high - low > 1e-10:
        middle = (low + high) / 2
        if sphere_fraction(middle) < share:
            low = middle
        else:
            high = middle
    return (low + high) / 2 * (radius_mm / 1000.0) ** 2 / diffusivity_m2_per_s / 60.0
