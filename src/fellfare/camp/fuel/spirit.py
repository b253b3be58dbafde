"""How much alcohol is in a spirit of so many per cent by volume?"""

from __future__ import annotations

from typing import Final

from fellfare.mistake import Mistake

# OIML R 22 (1973), "International alcoholometric tables" [OIML-R22], also the annex
# of Council Directive 76/766/EEC: coefficients A1 to A12 of the general formula;
# at 20 °C all its other terms vanish.  First five read in the Directive's
# annex, the rest in public transcriptions.  kg/m3.
_A: Final = (
    998.20123, -192.9769495, 389.1238958, -1668.103923, 13522.15441, -88292.78388,
    306287.4042, -613838.1234, 747017.2998, -547846.1354, 223446.0334, -39032.85426,
)  # fmt: skip


def ethanol_water_density(p: float) -> float:
    """Density [kg/m3] at 20 °C of ethanol and water, ``p`` the mass fraction of ethanol.

    OIML R 22 [OIML-R22], general formula with t = 20.  Valid 0 <= p <= 1, 20 °C alone
    (not checked here).
    """
    rho = 0.0
    for a in reversed(_A):
        rho = rho * p + a
    return rho


def mass_fraction_of_spirit(volume_percent: float) -> float:
    """Mass fraction of ethanol in a spirit labelled in per cent by volume.

    Parameters
    ----------
    volume_percent
        Strength on the label, at 20 °C; 0 to 100. [% vol]

    Returns
    -------
    float
        Mass fraction, 0 to 1.  Solved by halving to 1e-12.

    Raises
    ------
    Mistake
        ``spirit-out-of-range``.

    Examples
    --------
    >>> round(mass_fraction_of_spirit(95), 3)
    0.924
    """
    if not 0.0 <= volume_percent <= 100.0:
        raise Mistake(
            "spirit-out-of-range",
            what=f"a spirit of {volume_percent:g} % is outside 0 to 100 %",
            mend="give the strength of the label in per cent by volume",
        )
    pure = ethanol_water_density(1.0)
    low, high = 0.0, 1.0
    while high - low > 1e-12:
        middle = (low + high) / 2
        if 100.0 * middle * ethanol_water_density(middle) / pure < volume_percent:
            low = middle
        else:
            high = middle
    return (low + high) / 2
