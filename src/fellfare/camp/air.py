"""How thick is the air at camp?"""

from __future__ import annotations

from typing import Final

from fellfare.mistake import Mistake

# U.S. Standard Atmosphere 1976 [USSA-1976], the same troposphere as ISO 2533:1975 and
# the ICAO atmosphere.  Equation numbers below are from memory.
_EARTH_RADIUS_M: Final = 6_356_766.0  # r0
_SEA_LEVEL_PA: Final = 101_325.0  # P0
_SEA_LEVEL_K: Final = 288.15  # T0
_LAPSE_K_PER_M: Final = 0.0065  # -L, layer 0
_GRAVITY: Final = 9.80665  # g0', m/s2
_GAS_CONSTANT: Final = 287.05287  # R*/M0, J/(kg K)

#: The Dead Sea shore lies at about -430 m; the highest summit at 8 849 m.
LEAST_ALTITUDE_M: Final = -430.0
MOST_ALTITUDE_M: Final = 9_000.0

#: A deep storm or a very strong high; more is a typing slip.
MOST_WEATHER_HPA: Final = 50.0


def geopotential_height_m(Z: float) -> float:
    """Geopotential height H [m'] of the geometric altitude ``Z`` [m].

    U.S. Standard Atmosphere 1976 [USSA-1976], eq. (18): H = r0 Z / (r0 + Z).
    Valid at every height of the standard (not checked here).
    """
    return _EARTH_RADIUS_M * Z / (_EARTH_RADIUS_M + Z)


def standard_pressure_pa(H: float) -> float:
    """Pressure P [Pa] at geopotential height ``H`` [m'] in the lowest layer.

    U.S. Standard Atmosphere 1976 [USSA-1976], eq. (33a) for layer 0.  Valid to
    H = 11 000 m' (not checked here, see :func:`air_pressure_pa`).  Checked in
    ``tests/camp/test_air_pressure.py`` against two independent libraries and
    the extension tables in ``tests/reference/camp-extension-pressure.csv``.
    """
    ratio = 1.0 - _LAPSE_K_PER_M * H / _SEA_LEVEL_K
    return float(_SEA_LEVEL_PA * ratio ** (_GRAVITY / (_GAS_CONSTANT * _LAPSE_K_PER_M)))


def air_pressure_pa(altitude_m: float, weather_hpa: float = 0.0) -> float:
    """Air pressure that a barometer at camp feels, not reduced to sea level.

    Parameters
    ----------
    altitude_m
        Height on the map; -430 to 9 000. [m]
    weather_hpa
        How far today's pressure stands above (+) or below (-) the standard
        one; -50 to 50. [hPa]

    Returns
    -------
    float
        Pressure. [Pa]  The standard atmosphere is a mean of middle latitudes:
        a cold or warm air column alone moves 3 000 m by about 20 hPa.

    Raises
    ------
    Mistake
        ``altitude-out-of-range``, ``weather-out-of-range``.

    Examples
    --------
    >>> round(air_pressure_pa(3000))
    70121
    """
    if not LEAST_ALTITUDE_M <= altitude_m <= MOST_ALTITUDE_M:  # NaN fails too
        raise Mistake(
            "altitude-out-of-range",
            what=f"altitude {altitude_m:,.0f} m is outside -430 to 9,000 m",
            mend="give the height on the map in metres; 1,000 ft are 305 m",
        )
    if not -MOST_WEATHER_HPA <= weather_hpa <= MOST_WEATHER_HPA:
        raise Mistake(
            "weather-out-of-range",
            what=f"weather offset {weather_hpa:,.0f} hPa is outside -50 to 50 hPa",
            mend="give the difference from the standard pressure of that height, in hPa",
        )
    return standard_pressure_pa(geopotential_height_m(altitude_m)) + 100.0 * weather_hpa
