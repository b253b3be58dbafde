"""What does it cost to boil water away?

Three short equations of one release; together they give the latent heat from
the Clapeyron relation, so no separate fit is needed.
"""

from __future__ import annotations

from math import exp
from typing import Final

from fellfare.mistake import Mistake

# IAPWS SR1-86(1992), "Revised Supplementary Release on Saturation Properties
# of Ordinary Water Substance" [IAPWS-SR1-86]; the same as Wagner and Pruss 1993
# (J Phys Chem Ref Data 22:783); coefficients and equation numbers from memory, checked
# against the release's verification values.
_TC: Final = 647.096  # K
_PC: Final = 22.064e6  # Pa
_RHOC: Final = 322.0  # kg/m3
_A: Final = (-7.85951783, 1.84408259, -11.7866497, 22.6807411, -15.9618719, 1.80122502)
_A_EXP: Final = (1.0, 1.5, 3.0, 3.5, 4.0, 7.5)
_B: Final = (1.99274064, 1.09965342, -0.510839303, -1.75493479, -45.5170352, -6.74694450e5)
_B_EXP: Final = (1 / 3, 2 / 3, 5 / 3, 16 / 3, 43 / 3, 110 / 3)
_C: Final = (-2.03150240, -2.68302940, -5.38626492, -17.2991605, -44.7586581, -63.9201063)
_C_EXP: Final = (2 / 6, 4 / 6, 8 / 6, 18 / 6, 37 / 6, 71 / 6)


def _series(factors: tuple[float, ...], powers: tuple[float, ...], tau: float) -> float:
    return float(sum(a * tau**k for a, k in zip(factors, powers, strict=True)))


def vapour_pressure_pa(T: float) -> float:
    """Vapour pressure p [Pa] of water at ``T`` [K]; eq. (1).

    IAPWS SR1-86(1992) [IAPWS-SR1-86].  Valid 273.16 to 647.096 K (not checked here).
    """
    return _PC * exp(_TC / T * _series(_A, _A_EXP, 1.0 - T / _TC))


def vapour_pressure_slope(T: float) -> float:
    """dp/dT [Pa/K] along saturation at ``T`` [K]; eq. (2).

    IAPWS SR1-86(1992) [IAPWS-SR1-86].  Valid 273.16 to 647.096 K (not checked here).
    """
    tau = 1.0 - T / _TC
    exponent = _TC / T * _series(_A, _A_EXP, tau)
    slope = sum(k * a * tau ** (k - 1.0) for a, k in zip(_A, _A_EXP, strict=True))
    return float(-vapour_pressure_pa(T) / T * (exponent + slope))


def liquid_density(T: float) -> float:
    """Density of the boiling liquid, rho' [kg/m3], at ``T`` [K]; eq. (4).

    IAPWS SR1-86(1992) [IAPWS-SR1-86].  Valid 273.16 to 647.096 K (not checked here).
    """
    return _RHOC * (1.0 + _series(_B, _B_EXP, 1.0 - T / _TC))


def steam_density(T: float) -> float:
    """Density of the saturated steam, rho'' [kg/m3], at ``T`` [K]; eq. (5).

    IAPWS SR1-86(1992) [IAPWS-SR1-86].  Valid 273.16 to 647.096 K (not checked here).
    """
    return _RHOC * exp(_series(_C, _C_EXP, 1.0 - T / _TC))


def evaporation_heat_kj_per_kg(boils_c: float) -> float:
    """Heat that turns boiling water into steam.

    Clapeyron: h_fg = T (1/rho'' - 1/rho') dp/dT, every part from the release
    above.  Checked in ``tests/camp/test_steam.py`` against the release's own
    verification values and an independent library.

    Parameters
    ----------
    boils_c
        Temperature of the boiling water; 0.01 to 200. [°C]

    Returns
    -------
    float
        Latent heat. [kJ/kg]

    Raises
    ------
    Mistake
        ``steam-out-of-range``.

    Examples
    --------
    >>> round(evaporation_heat_kj_per_kg(100.0))
    2257
    """
    if not 0.01 <= boils_c <= 200.0:
        raise Mistake(
            "steam-out-of-range",
            what=f"water of {boils_c:g} °C is outside 0.01 to 200 °C",
            mend="give the temperature of the boiling water in °C",
        )
    T = boils_c + 273.15
    volume = 1.0 / steam_density(T) - 1.0 / liquid_density(T)
    return T * volume * vapour_pressure_slope(T) / 1000.0
