"""Which fuels are there, and what do we know of each?"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal

from msgspec import Struct

from fellfare.camp.fuel.heating_value import (
    EVAPORATION_25C_KJ_PER_G,
    heat_of_combustion_kj_per_mol,
    molar_mass_g_per_mol,
)
from fellfare.camp.fuel.spirit import ethanol_water_density, mass_fraction_of_spirit
from fellfare.mistake import Mistake
from fellfare.pantry.food import Trust

#: ``gas`` from a canister, ``spirit`` alcohols, ``petrol`` white gas, ``solid``
#: tablets, ``wood``.
FuelKind = Literal["gas", "spirit", "petrol", "solid", "wood"]


class Fuel(Struct, frozen=True, kw_only=True):
    """One fuel as it is carried."""

    id: str
    name: str
    kind: FuelKind
    #: Lower heating value as carried (liquid or solid) [kJ/g]; for open stoves.
    lhv_kj_per_g: float
    #: Higher heating value as a gas [kJ/g]: no burning can give more.
    hhv_kj_per_g: float
    #: Honest spread of ``lhv_kj_per_g`` where the make-up is not known [kJ/g].
    lhv_band_kj_per_g: tuple[float, float] | None = None
    density_g_per_ml: float | None = None
    #: For gas: (component id, mass fraction), sums to 1.
    mix: tuple[tuple[str, float], ...] = ()
    trust: Trust = "derived"
    source: str = ""
    note: str = ""


# id, name, kind, atoms of C, H, O, N, two enthalpies, density [g/mL at 20 °C], source.
# Enthalpies of formation at 25 °C [kJ/mol], as gas and as carried.  ATcT:
# Active Thermochemical Tables 1.112; CRC: Handbook of Chemistry and Physics
# 95th ed.; NIST: Chemistry WebBook.  Taken from the tables that the open
# 'chemicals' library ships; the tests compare against that library.
_PureRow = tuple[str, str, FuelKind, int, int, int, int, float, float, float, str]
_PURE: Final[tuple[_PureRow, ...]] = (
    ("propane", "propane", "gas", 3, 8, 0, 0, -104.39, -120.9, 0.500, "gas ATcT, liquid CRC"),
    ("isobutane", "isobutane", "gas", 4, 10, 0, 0, -135.36, -154.2, 0.557, "gas ATcT, liquid CRC"),
    ("butane", "n-butane", "gas", 4, 10, 0, 0, -125.85, -147.3, 0.579, "gas ATcT, liquid CRC"),
    ("methanol", "methanol", "spirit", 1, 4, 1, 0, -200.70, -238.40, 0.791, "ATcT"),
    ("ethanol", "pure ethanol", "spirit", 2, 6, 1, 0, -234.57, -277.03, 0.789, "ATcT"),
    ("2-propanol", "2-propanol (isopropyl alcohol)", "spirit", 3, 8, 1, 0, -272.80, -318.1, 0.785,
     "gas ATcT, liquid CRC; density from memory"),
    ("white-gas", "white gas (naphtha), reckoned as n-heptane", "petrol", 7, 16, 0, 0, -187.34,
     -223.91, 0.684, "ATcT"),
    ("hexamine", "hexamine tablets", "solid", 6, 12, 0, 4, 198.98, 124.08, 1.33,
     "NIST; density from memory"),
)  # fmt: skip


def _pure_fuels() -> dict[str, Fuel]:
    made: dict[str, Fuel] = {}
    for row in _PURE:
        id_, name, kind, c, h, o, n, gas, carried, density, source = row
        mass = molar_mass_g_per_mol(c, h, o, n)
        made[id_] = Fuel(
            id=id_,
            name=name,
            kind=kind,
            lhv_kj_per_g=heat_of_combustion_kj_per_mol(carried, c, h, condensed=False) / mass,
            hhv_kj_per_g=heat_of_combustion_kj_per_mol(gas, c, h, condensed=True) / mass,
            density_g_per_ml=density,
            mix=((id_, 1.0),) if kind == "gas" else (),
            source=f"heats of formation: {source}; [CODATA-1989] for CO2 and water",
        )
    return made


_PURE_FUELS: Final = _pure_fuels()


def gas_mix(shares: Mapping[str, float], id: str = "gas-mix", name: str = "") -> Fuel:  # noqa: A002 - our field
    """Canister gas from its mass shares.

    Parameters
    ----------
    shares
        'propane', 'isobutane', 'butane' with their shares by mass, summing to 1
        (within 0.005) or to 100 (within 0.5).

    Raises
    ------
    Mistake
        ``gas-mix-unclear``.

    Examples
    --------
    >>> round(gas_mix({"propane": 20, "isobutane": 80}).lhv_kj_per_g, 1)
    45.4
    """
    total = sum(shares.values())
    known = all(
        gas in _PURE_FUELS and _PURE_FUELS[gas].kind == "gas" and share >= 0.0
        for gas, share in shares.items()
    )
    if not known or not (abs(total - 1.0) <= 0.005 or abs(total - 100.0) <= 0.5):
        raise Mistake(
            "gas-mix-unclear",
            what=f"cannot read the gas mix {dict(shares)}",
            mend="give mass shares of propane, isobutane and butane that sum to 1 or 100",
        )
    parts = [(_PURE_FUELS[gas], share / total) for gas, share in shares.items() if share]
    return Fuel(
        id=id,
        name=name or " / ".join(f"{100 * x:.0f} % {part.name}" for part, x in parts),
        kind="gas",
        lhv_kj_per_g=sum(x * part.lhv_kj_per_g for part, x in parts),
        hhv_kj_per_g=sum(x * part.hhv_kj_per_g for part, x in parts),
        density_g_per_ml=1.0 / sum(x / (part.density_g_per_ml or 1.0) for part, x in parts),
        mix=tuple((part.id, x) for part, x in parts),
        source="mass mean of its gases; volumes taken to add",
    )


def ethanol(mass_percent: float) -> Fuel:
    """Ethanol with water, by mass; the water must be boiled off by the flame.

    LHV = x LHV(ethanol) - (1 - x) h_fg(25 °C).

    Raises
    ------
    Mistake
        ``spirit-out-of-range``: under 50 % by mass it hardly burns.

    Examples
    --------
    >>> round(ethanol(95).lhv_kj_per_g, 1)
    25.4
    """
    if not 50.0 <= mass_percent <= 100.0:
        raise Mistake(
            "spirit-out-of-range",
            what=f"a fuel of {mass_percent:g} % ethanol by mass is outside 50 to 100 %",
            mend="give per cent by mass; for a label in % vol use spirit(volume_percent)",
        )
    x, pure = mass_percent / 100.0, _PURE_FUELS["ethanol"]
    return Fuel(
        id=f"ethanol-{mass_percent:g}",
        name=f"ethanol, {mass_percent:g} % by mass",
        kind="spirit",
        lhv_kj_per_g=x * pure.lhv_kj_per_g - (1.0 - x) * EVAPORATION_25C_KJ_PER_G,
        hhv_kj_per_g=x * pure.hhv_kj_per_g,
        density_g_per_ml=ethanol_water_density(x) / 1000.0,
        source=f"{pure.source}; density [OIML-R22]",
    )


def spirit(volume_percent: float) -> Fuel:
    """Ethanol fuel from the per cent by volume of its label.

    Raises
    ------
    Mistake
        ``spirit-out-of-range``.

    Examples
    --------
    >>> round(spirit(95).lhv_kj_per_g, 1)
    24.6
    """
    by_mass = ethanol(100.0 * mass_fraction_of_spirit(volume_percent))
    return Fuel(
        id=f"spirit-{volume_percent:g}",
        name=f"spirit, {volume_percent:g} % vol ethanol",
        kind="spirit",
        lhv_kj_per_g=by_mass.lhv_kj_per_g,
        hhv_kj_per_g=by_mass.hhv_kj_per_g,
        density_g_per_ml=by_mass.density_g_per_ml,
        source=by_mass.source,
    )


#: Dry wood [kJ/g], lower and higher; from memory, as in IPCC 2006 vol. 2 (15.6
#: for air-dry wood); the higher adds the steam of 6 % hydrogen.
_WOOD_LHV_DRY: Final = 18.5
_WOOD_HHV_DRY: Final = _WOOD_LHV_DRY + EVAPORATION_25C_KJ_PER_G * 0.06 * 8.937


def wood(moisture: float = 0.20) -> Fuel:
    """Wood by its moisture, mass of water over mass of wet wood.

    LHV = LHV_dry (1 - M) - M h_fg(25 °C).

    Raises
    ------
    Mistake
        ``wood-moisture-out-of-range``: above 0.6 it does not burn on its own.

    Examples
    --------
    >>> round(wood(0.10).lhv_kj_per_g, 1), round(wood(0.20).lhv_kj_per_g, 1)
    (16.4, 14.3)
    """
    if not 0.0 <= moisture <= 0.6:
        raise Mistake(
            "wood-moisture-out-of-range",
            what=f"wood of moisture {moisture:g} is outside 0 to 0.6",
            mend="give water over wet mass, as a share: about 0.15 air-dry, 0.5 green",
        )
    return Fuel(
        id=f"wood-{100 * moisture:.0f}",
        name=f"wood, {100 * moisture:.0f} % moisture",
        kind="wood",
        lhv_kj_per_g=_WOOD_LHV_DRY * (1.0 - moisture) - EVAPORATION_25C_KJ_PER_G * moisture,
        hhv_kj_per_g=_WOOD_HHV_DRY * (1.0 - moisture),
        trust="memory",
        source="dry wood 18.5 kJ/g from memory; moisture by its own evaporation heat",
    )


def _denatured() -> Fuel:
    base = spirit(94.0)
    return Fuel(
        id="denatured-spirit",
        name="denatured spirit of unknown make-up",
        kind="spirit",
        lhv_kj_per_g=base.lhv_kj_per_g,
        hhv_kj_per_g=_PURE_FUELS["ethanol"].hhv_kj_per_g,
        lhv_band_kj_per_g=(
            _PURE_FUELS["methanol"].lhv_kj_per_g,
            _PURE_FUELS["ethanol"].lhv_kj_per_g,
        ),
        density_g_per_ml=base.density_g_per_ml,
        trust="common-practice",
        source="reckoned as 94 % vol ethanol, no source; band: all methanol to all ethanol",
        note="methanol is poisonous to drink and through the skin; read the label",
    )


#: Every ready-made fuel by its id; mixes, strengths and moistures by function.
FUELS: Final[dict[str, Fuel]] = _PURE_FUELS | {
    made.id: made
    for made in (
        gas_mix({"propane": 20, "isobutane": 80}, id="gas", name="canister gas, propane/isobutane"),
        gas_mix(
            {"propane": 30, "butane": 70}, id="gas-butane", name="canister gas, propane/butane"
        ),
        spirit(95.0),
        _denatured(),
        wood(0.20),
    )
}


def find_fuel(id: str) -> Fuel:  # noqa: A002 - our field
    """The ready-made fuel of that id.

    Raises
    ------
    Mistake
        ``unknown-fuel``.
    """
    if id not in FUELS:
        raise Mistake(
            "unknown-fuel",
            what=f"no fuel is called {id!r}",
            mend=f"one of: {', '.join(sorted(FUELS))}",
        )
    return FUELS[id]
