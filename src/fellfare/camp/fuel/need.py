"""How much fuel does that heat take?"""

from __future__ import annotations

from msgspec import Struct

from fellfare.camp.fuel.efficiency import Efficiency, check_efficiency
from fellfare.camp.fuel.fuels import Fuel
from fellfare.camp.heat import Heat, Pot, heat_needed
from fellfare.camp.water import boil_at
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.food import Trust


def fuel_mass_g(heat_kj: float, fuel: Fuel, eta: float) -> float:
    """Fuel that brings a heat into the pot: m = Q / (eta LHV).

    Parameters
    ----------
    heat_kj
        Heat for water, pot and all; 0 or more. [kJ]
    fuel
        Which fuel.
    eta
        Share of the lower heating value that reaches the pot; above 0.  Values
        over 1 are reckoned and flagged by :func:`check_fuel`, not refused.

    Returns
    -------
    float
        Fuel. [g]

    Raises
    ------
    Mistake
        ``efficiency-out-of-range``, ``heat-input-out-of-range``.
    """
    if not 0.0 < eta <= 10.0:
        raise Mistake(
            "efficiency-out-of-range",
            what=f"an efficiency of {eta:g} is not between 0 and 1",
            mend="give a share: 0.5 for one half; per cent must be divided by 100",
        )
    if not 0.0 <= heat_kj <= 1e9:
        raise Mistake(
            "heat-input-out-of-range",
            what=f"a heat of {heat_kj:g} kJ cannot be bought with fuel",
            mend="give the heat in kJ, 0 or more",
        )
    return heat_kj / (eta * fuel.lhv_kj_per_g)


def fuel_floor_g(water_heat_kj: float, fuel: Fuel) -> float:
    """Fuel below which the water cannot be that hot, whatever the stove. [g]

    Even if every gram burnt as gas and all its steam condensed on the pot: Q / HHV.
    """
    return water_heat_kj / fuel.hhv_kj_per_g


def check_fuel(fuel_g: float, water_heat_kj: float, fuel: Fuel) -> tuple[Finding, ...]:
    """Is that fuel enough for that heat by physics alone?

    Parameters
    ----------
    fuel_g
        Fuel that somebody plans or claims. [g]
    water_heat_kj
        Heat of the water (and snow) alone, without the pot. [kJ]

    Returns
    -------
    tuple of Finding
        ``fuel-below-floor`` (error): under Q/HHV, impossible.
        ``fuel-needs-condensing`` (caution): under Q/LHV, would need a pot on
        which the steam of the flame condenses, without any loss.
    """
    floor = fuel_floor_g(water_heat_kj, fuel)
    dry_floor = water_heat_kj / fuel.lhv_kj_per_g
    about = (f"{fuel_g:.1f} g of {fuel.name}", f"{water_heat_kj:.0f} kJ into the water")
    if not fuel_g >= floor:  # an unknown (NaN) amount is not enough either
        return (
            Finding(
                severity="error",
                rule="fuel-below-floor",
                text=f"{fuel_g:.1f} g of {fuel.name} cannot heat this water: even a stove "
                f"without any loss needs {floor:.1f} g.",
                source="higher heating value; conservation of energy",
                about=about,
            ),
        )
    if fuel_g < dry_floor:
        return (
            Finding(
                severity="caution",
                rule="fuel-needs-condensing",
                text=f"{fuel_g:.1f} g of {fuel.name} would do only without any loss and with the "
                f"steam of the flame condensing on the pot; an open stove needs more than "
                f"{dry_floor:.1f} g.",
                source="lower heating value; conservation of energy",
                about=about,
            ),
        )
    return ()


class FuelNeed(Struct, frozen=True, kw_only=True):
    """Fuel for one heating, and how we came to it."""

    fuel_id: str
    heat: Heat
    heat_kj: float
    boils_c: float | None
    eta: float
    fuel_g: float
    fuel_ml: float | None
    #: With the efficiency (and heating value) at their kind and unkind ends [g].
    low_g: float
    high_g: float
    #: Less is impossible (Q/HHV of the water alone) [g].
    floor_g: float
    trust: Trust
    source: str
    findings: tuple[Finding, ...] = ()


def fuel_need(
    heat: Heat, fuel: Fuel, efficiency: Efficiency | float, boils_c: float | None = None
) -> FuelNeed:
    """Fuel for an itemised heat.

    ``efficiency`` is a bare share (trust unknown) or an
    :class:`~fellfare.camp.fuel.efficiency.Efficiency` with its band.

    Raises
    ------
    Mistake
        ``efficiency-out-of-range``, ``heat-input-out-of-range``.
    """
    if not isinstance(efficiency, Efficiency):
        efficiency = Efficiency(
            eta=efficiency,
            low=efficiency,
            high=efficiency,
            trust="unknown",
            source="efficiency as given",
        )
    fuel_g = fuel_mass_g(heat.total_kj, fuel, efficiency.eta)
    least_lhv, most_lhv = fuel.lhv_band_kj_per_g or (fuel.lhv_kj_per_g, fuel.lhv_kj_per_g)
    return FuelNeed(
        fuel_id=fuel.id,
        heat=heat,
        heat_kj=heat.total_kj,
        boils_c=boils_c,
        eta=efficiency.eta,
        fuel_g=fuel_g,
        fuel_ml=fuel_g / fuel.density_g_per_ml if fuel.density_g_per_ml else None,
        low_g=fuel_mass_g(heat.total_kj, fuel, efficiency.high) * fuel.lhv_kj_per_g / most_lhv,
        high_g=fuel_mass_g(heat.total_kj, fuel, efficiency.low) * fuel.lhv_kj_per_g / least_lhv,
        floor_g=fuel_floor_g(heat.water_only_kj, fuel),
        trust=efficiency.trust,
        source=f"efficiency: {efficiency.source}; fuel: {fuel.source}",
        findings=check_efficiency(efficiency.eta) + check_fuel(fuel_g, heat.water_only_kj, fuel),
    )


def fuel_to_boil(
    volume_l: float,
    start_c: float,
    altitude_m: float,
    fuel: Fuel,
    efficiency: Efficiency | float,
    pot: Pot | None = None,
    *,
    snow_share: float = 0.0,
    snow_c: float = -5.0,
    weather_hpa: float = 0.0,
) -> FuelNeed:
    """Answer 'how much fuel to boil that much water up there?'.

    Parameters
    ----------
    volume_l
        Water wanted; 1 L is taken as 1 kg. [L]
    start_c, altitude_m
        Water temperature at the start, height of camp. [°C], [m]
    fuel, efficiency, pot
        What burns, how well, under which pot.
    snow_share, snow_c
        Share of the water that comes as snow or ice, and its temperature.

    Raises
    ------
    Mistake
        ``heat-input-out-of-range``, ``altitude-out-of-range``,
        ``temperatures-reversed``, ``efficiency-out-of-range``.

    Examples
    --------
    >>> from fellfare.camp.fuel.fuels import find_fuel
    >>> pot = Pot(material="aluminium", mass_g=120)
    >>> round(fuel_to_boil(0.5, 8, 2000, find_fuel("isobutane"), 0.5, pot).fuel_g, 1)
    8.3
    """
    if not 0.0 <= snow_share <= 1.0:
        raise Mistake(
            "heat-input-out-of-range",
            what=f"a snow share of {snow_share:g} is outside 0 to 1",
            mend="give a share: 1 for all water from snow",
        )
    boils_c = boil_at(altitude_m, weather_hpa).boils_c
    heat = heat_needed(
        1000.0 * volume_l * (1.0 - snow_share),
        start_c,
        boils_c,
        pot=pot,
        snow_g=1000.0 * volume_l * snow_share,
        snow_c=snow_c,
    )
    return fuel_need(heat, fuel, efficiency, boils_c)
