"""Does the canister still give gas in the cold?

An upright canister feeds the stove with vapour only while the gas in it boils
above the pressure of the air outside.  Altitude helps: thinner air.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from msgspec import Struct

from fellfare.camp.air import air_pressure_pa
from fellfare.camp.fuel.fuels import Fuel
from fellfare.camp.fuel.heating_value import molar_mass_g_per_mol
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.food import Trust


class _Antoine(NamedTuple):
    A: float
    B: float
    C: float
    from_k: float
    to_k: float


# log10(p/bar) = A - B/(T + C), T in K; NIST Chemistry WebBook [NIST-WEBBOOK], seen in
# public transcriptions; each set with its own range there, kept in full:
#   propane   Carruth and Kobayashi 1973 (166 to 231 K), used here up to 277.6 K:
#             checked against the reference equation of state, at most 0.9 % high
#             there, while the WebBook's own middle set (230.6 to 320.7 K) is 3 % high;
#             Helgeson and Sage 1967 (277.6 to 360.8 K)
#   isobutane Aston, Kennedy et al. 1940 (188 to 261.5 K); Das, Reed et al. 1973 (to 408 K)
#   n-butane  Aston and Messerly 1940 (195 to 272.7 K); Das, Reed et al. 1973 (to 425 K)
_ANTOINE: Final[dict[str, tuple[_Antoine, _Antoine]]] = {
    "propane": (
        _Antoine(4.01158, 834.26, -22.763, 166.02, 277.6),
        _Antoine(4.53678, 1149.36, 24.906, 277.6, 360.8),
    ),
    "isobutane": (
        _Antoine(3.94417, 912.141, -29.808, 188.06, 261.54),
        _Antoine(4.3281, 1132.108, 0.918, 261.31, 408.12),
    ),
    "butane": (
        _Antoine(3.85002, 909.65, -36.146, 195.11, 272.81),
        _Antoine(4.35576, 1175.581, -2.071, 272.66, 425.0),
    ),
}

_MOLAR_MASS: Final = {
    "propane": molar_mass_g_per_mol(3, 8),
    "isobutane": molar_mass_g_per_mol(4, 10),
    "butane": molar_mass_g_per_mol(4, 10),
}

#: All sets hold there; and never heat a canister above 50 °C (its label).
LEAST_GAS_C: Final = -75.0
MOST_GAS_C: Final = 50.0

#: Distance to the heavy gas's boiling point from which the flame gets weak [K],
#: for the canister cools itself while it gives gas [common practice, no source].
COLD_MARGIN_K: Final = 5.0


def antoine_bar(T: float, A: float, B: float, C: float) -> float:
    """Vapour pressure p [bar] at ``T`` [K]: log10 p = A - B/(T + C).

    Antoine's form with the sets of [NIST-WEBBOOK].  Valid in each set's own range;
    the door takes -75 to 50 °C.
    """
    return float(10.0 ** (A - B / (T + C)))


def gas_pressure_kpa(gas: str, t_c: float) -> float:
    """Absolute vapour pressure of one pure gas.

    Parameters
    ----------
    gas
        'propane', 'isobutane' or 'butane'.
    t_c
        Temperature of the liquid in the canister; -75 to 50. [°C]

    Returns
    -------
    float
        Pressure. [kPa absolute]  Within 1.5 % of the reference equations of
        state from -40 to 50 °C.

    Raises
    ------
    Mistake
        ``unknown-gas``, ``gas-temperature-out-of-range``.

    Examples
    --------
    >>> round(gas_pressure_kpa("isobutane", 20))
    301
    """
    if gas not in _ANTOINE:
        raise Mistake(
            "unknown-gas",
            what=f"no vapour pressure is known for {gas!r}",
            mend=f"one of: {', '.join(_ANTOINE)}",
        )
    if not LEAST_GAS_C <= t_c <= MOST_GAS_C:
        raise Mistake(
            "gas-temperature-out-of-range",
            what=f"a canister of {t_c:g} °C is outside -75 to 50 °C",
            mend="give °C; never heat a canister above 50 °C",
        )
    T = t_c + 273.15
    cold, warm = _ANTOINE[gas]
    chosen = cold if cold.to_k >= T else warm
    return 100.0 * antoine_bar(T, chosen.A, chosen.B, chosen.C)


def _moles(mix: tuple[tuple[str, float], ...]) -> dict[str, float]:
    if not mix or any(gas not in _MOLAR_MASS or not share >= 0.0 for gas, share in mix):
        raise Mistake(
            "gas-mix-unclear",
            what="this fuel is not a mix of propane, isobutane and butane",
            mend="make it with gas_mix({'propane': 20, 'isobutane': 80})",
        )
    moles = {gas: share / _MOLAR_MASS[gas] for gas, share in mix if share > 0.0}
    total = sum(moles.values())
    if not total > 0.0:
        raise Mistake("gas-mix-unclear", "the mix has no gas in it", "give shares above zero")
    return {gas: n / total for gas, n in moles.items()}


def mix_pressure_kpa(mix: tuple[tuple[str, float], ...], t_c: float) -> float:
    """Vapour pressure over a liquid mix by Raoult's law, p = sum x_i p_i.

    Parameters
    ----------
    mix
        (gas, mass share) pairs, as in :attr:`Fuel.mix`.
    t_c
        Temperature of the liquid. [°C]

    Returns
    -------
    float
        Pressure. [kPa absolute]

    Raises
    ------
    Mistake
        ``gas-mix-unclear``, ``gas-temperature-out-of-range``.
    """
    return sum(x * gas_pressure_kpa(gas, t_c) for gas, x in _moles(mix).items())


def lowest_temperature_c(mix: tuple[tuple[str, float], ...], pressure_pa: float) -> float:
    """Temperature at which the mix stops boiling into that air. [°C]

    No gas flows from an upright canister below it.  Solved by halving to 0.001 K.

    Raises
    ------
    Mistake
        ``gas-mix-unclear``, ``pressure-out-of-range``.
    """
    low, high = LEAST_GAS_C, MOST_GAS_C
    if not 15_000.0 <= pressure_pa <= 115_000.0:
        raise Mistake(
            "pressure-out-of-range",
            what=f"air pressure {pressure_pa:,.0f} Pa is outside 15,000 to 115,000 Pa",
            mend="give pascal; a reading in hPa or mbar needs two more zeros",
        )
    while high - low > 0.001:
        middle = (low + high) / 2
        if 1000.0 * mix_pressure_kpa(mix, middle) < pressure_pa:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def mix_after_use(
    mix: tuple[tuple[str, float], ...], used: float, t_c: float
) -> tuple[tuple[str, float], ...]:
    """What is left in the canister after vapour was drawn from it.

    Rayleigh's law of simple distillation with Raoult's vapour:
    n_i = n_i0 s^(p_i/p_h), s the share left of the heaviest gas; solved for s so
    that the mass left is 1 - ``used``.  Isothermal; the light gas goes first.

    Parameters
    ----------
    mix
        (gas, mass share) pairs.
    used
        Share of the fill, by mass, that is gone; 0 to below 1.
    t_c
        Temperature at which it was drawn. [°C]

    Returns
    -------
    tuple of (str, float)
        Mass shares of what is left; they sum to 1.

    Raises
    ------
    Mistake
        ``share-used-out-of-range``, ``gas-mix-unclear``.
    """
    if not 0.0 <= used < 1.0:
        raise Mistake(
            "share-used-out-of-range",
            what=f"{used:g} of the gas used is outside 0 to below 1",
            mend="give a share: 0.67 for two thirds",
        )
    present = tuple(_moles(mix))
    pressures = {gas: gas_pressure_kpa(gas, t_c) for gas in present}
    heaviest = min(pressures.values())
    masses = {gas: share for gas, share in mix if gas in present}
    total = sum(masses.values())

    def left(s: float) -> dict[str, float]:
        return {gas: m / total * s ** (pressures[gas] / heaviest) for gas, m in masses.items()}

    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        if sum(left(middle).values()) < 1.0 - used:
            low = middle
        else:
            high = middle
    rest = left(high)
    whole = sum(rest.values())
    return tuple((gas, m / whole) for gas, m in rest.items())


class GasInCold(Struct, frozen=True, kw_only=True):
    """Down to which cold one gas feeds its stove at one camp."""

    altitude_m: float
    #: Full canister [°C].
    fresh_c: float
    #: With two thirds of it gone, drawn at 10 °C [°C].
    last_third_c: float
    #: The heaviest gas on its own, the limit for the last grams [°C].
    empty_c: float
    #: Caution from here down: the heavy gas's limit and 5 K [°C].
    caution_below_c: float
    trust: Trust = "derived"
    source: str = (
        "vapour pressures [NIST-WEBBOOK], Raoult's and Rayleigh's laws; no flow, no self-cooling; "
        "the 5 K are common practice"
    )
    findings: tuple[Finding, ...] = ()


def gas_in_cold(
    fuel: Fuel, altitude_m: float, coldest_c: float | None = None, weather_hpa: float = 0.0
) -> GasInCold:
    """Answer 'does this gas work up there in that cold?'.

    Parameters
    ----------
    fuel
        A gas with its mix.
    altitude_m
        Height of camp. [m]
    coldest_c
        Lowest temperature of the canister at cooking times, when known. [°C]

    Returns
    -------
    GasInCold
        With a caution ``gas-too-cold`` when ``coldest_c`` is below
        ``caution_below_c``, an error of the same rule when not even the full
        canister boils.

    Raises
    ------
    Mistake
        ``gas-mix-unclear``, ``altitude-out-of-range``.
    """
    air_pa = air_pressure_pa(altitude_m, weather_hpa)
    fresh = lowest_temperature_c(fuel.mix, air_pa)
    worn = lowest_temperature_c(mix_after_use(fuel.mix, 2.0 / 3.0, 10.0), air_pa)
    heavy = max(
        lowest_temperature_c(((gas, 1.0),), air_pa) for gas, share in fuel.mix if share > 0.0
    )
    findings: tuple[Finding, ...] = ()
    if coldest_c is not None and not coldest_c >= heavy + COLD_MARGIN_K:
        dead = not coldest_c > fresh
        text = (
            f"At {coldest_c:.0f} °C not even a full canister boils here (limit {fresh:.0f} °C)."
            if dead
            else f"At {coldest_c:.0f} °C the last of this gas hardly boils (limit {heavy:.0f} °C, "
            "and a canister cools itself while it burns). Keep it warm in the sleeping bag or "
            "jacket; never on or near the flame."
        )
        findings = (
            Finding(
                severity="error" if dead else "caution",
                rule="gas-too-cold",
                text=text,
                source="[NIST-WEBBOOK] vapour pressures; 5 K margin: common practice, no source",
                about=(fuel.name, f"{altitude_m:.0f} m", f"{coldest_c:.0f} °C"),
            ),
        )
    return GasInCold(
        altitude_m=altitude_m,
        fresh_c=fresh,
        last_third_c=worn,
        empty_c=heavy,
        caution_below_c=heavy + COLD_MARGIN_K,
        findings=findings,
    )
