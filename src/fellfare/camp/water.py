"""How hot does water get?"""

from __future__ import annotations

from math import sqrt
from typing import Final

from msgspec import Struct

from fellfare.camp.air import air_pressure_pa
from fellfare.mistake import Mistake
from fellfare.pantry.food import Trust

#: Below any camp of the map door in any weather, and above the lowest shore in
#: a strong high; a barometer reading in hPa falls far outside.
LEAST_PA: Final = 20_000.0
MOST_PA: Final = 115_000.0

#: Usual swing of the weather to either side [common practice, no source].
WEATHER_BAND_HPA: Final = 30.0


def boiling_point_c(pressure_pa: float) -> float:
    """Temperature at which water boils under a given air pressure.

    Parameters
    ----------
    pressure_pa
        Pressure of the air as a barometer at camp feels it, not reduced to sea
        level; 20 000 to 115 000. [Pa]

    Returns
    -------
    float
        Boiling point. [°C]  Weather moves it by about 1 °C per 30 hPa and the
        equation itself by far less, so print whole degrees.  10 g of salt in a
        litre would lift it by 0.2 °C.

    Raises
    ------
    Mistake
        ``pressure-out-of-range``: no camp has such air.

    Examples
    --------
    >>> round(boiling_point_c(101_325), 2)
    99.97
    """
    if not LEAST_PA <= pressure_pa <= MOST_PA:  # written so that NaN fails too
        raise Mistake(
            "pressure-out-of-range",
            what=f"air pressure {pressure_pa:,.0f} Pa is outside 20,000 to 115,000 Pa",
            mend="give pascal; a reading in hPa or mbar needs two more zeros",
        )
    return saturation_temperature_k(pressure_pa / 1e6) - 273.15


# IAPWS R7-97(2012), Table 34: n1 to n10, dimensionless.
_N: Final = (
    0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2,
    0.12020824702470e5, -0.32325550322333e7, 0.14915108613530e2,
    -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849,
    0.65017534844798e3,
)  # fmt: skip


def saturation_temperature_k(p: float) -> float:
    """Saturation temperature of water [K] at pressure ``p`` [MPa].

    IAPWS R7-97(2012), "Revised Release on the IAPWS Industrial Formulation 1997
    for the Thermodynamic Properties of Water and Steam" [IAPWS-R7-97], section
    8.2, eq. (31); letters and units are the release's own.
    Section, table and equation numbers are from memory.
    Valid 0.000 611 213 to 22.064 MPa (not checked here; see the callers).
    Checked against Table 36 in ``tests/reference/camp-iapws-r7-97-table-36.csv``.
    """
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = _N
    beta = p**0.25
    e = beta**2 + n3 * beta + n6
    f = n1 * beta**2 + n4 * beta + n7
    g = n2 * beta**2 + n5 * beta + n8
    d = 2 * g / (-f - sqrt(f**2 - 4 * e * g))
    return float((n10 + d - sqrt((n10 + d) ** 2 - 4 * (n9 + n10 * d))) / 2)


class Boiling(Struct, frozen=True, kw_only=True):
    """Where water boils at one camp."""

    altitude_m: float
    pressure_hpa: float
    #: Boiling point in the weather that was asked for [°C].
    boils_c: float
    #: The same when the pressure stands ``band_hpa`` lower or higher [°C].
    low_c: float
    high_c: float
    band_hpa: float
    trust: Trust = "derived"
    source: str = "[USSA-1976] for the pressure, [IAPWS-R7-97] eq. (31) for the boiling point"


def boil_at(
    altitude_m: float, weather_hpa: float = 0.0, band_hpa: float = WEATHER_BAND_HPA
) -> Boiling:
    """Answer 'at how many degrees does water boil up there?'.

    Parameters
    ----------
    altitude_m
        Height on the map; -430 to 9 000. [m]
    weather_hpa
        Today's difference from the standard pressure, when known. [hPa]
    band_hpa
        Weather to allow for on either side; 0 to 50. [hPa]

    Raises
    ------
    Mistake
        ``altitude-out-of-range``, ``weather-out-of-range``.

    Examples
    --------
    >>> there = boil_at(3000)
    >>> round(there.boils_c), round(there.low_c), round(there.high_c)
    (90, 89, 91)
    """
    if not 0.0 <= band_hpa <= 50.0:
        raise Mistake(
            "weather-out-of-range",
            what=f"a weather band of {band_hpa:,.0f} hPa is outside 0 to 50 hPa",
            mend="give half the usual swing of the pressure, for instance 30",
        )
    pressure_pa = air_pressure_pa(altitude_m, weather_hpa)
    boils_c = boiling_point_c(pressure_pa)
    return Boiling(
        altitude_m=altitude_m,
        pressure_hpa=pressure_pa / 100.0,
        boils_c=boils_c,
        # Rounding may turn a band of nearly nothing about; the answer stays inside it.
        low_c=min(boils_c, boiling_point_c(pressure_pa - 100.0 * band_hpa)),
        high_c=max(boils_c, boiling_point_c(pressure_pa + 100.0 * band_hpa)),
        band_hpa=band_hpa,
    )
