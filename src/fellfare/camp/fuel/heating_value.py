"""How much heat is in a gram of a pure fuel?

From tabulated enthalpies of formation at 25 °C.  'Higher' counts the heat that
the steam of the flame would give back if it condensed on the pot; 'lower' does
not, and is the right one for every open stove.
"""

from __future__ import annotations

from typing import Final

# Standard enthalpies of formation at 298.15 K of what comes out of the flame
# [CODATA-1989], Cox, Wagman, Medvedev, kJ/mol; from memory, alike in public tables.
_CO2: Final = -393.51
_WATER_LIQUID: Final = -285.83
_WATER_GAS: Final = -241.826

# IUPAC abridged standard atomic weights (2021), g/mol.
_CARBON: Final = 12.011
_HYDROGEN: Final = 1.008
_OXYGEN: Final = 15.999
_NITROGEN: Final = 14.007

#: Heat of evaporation of water at 25 °C [kJ/g]: 44.004 kJ/mol of the lines above.
EVAPORATION_25C_KJ_PER_G: Final = (_WATER_GAS - _WATER_LIQUID) / (2 * _HYDROGEN + _OXYGEN)


def molar_mass_g_per_mol(c: int, h: int, o: int = 0, n: int = 0) -> float:
    """Molar mass of CcHhOoNn [g/mol]."""
    return c * _CARBON + h * _HYDROGEN + o * _OXYGEN + n * _NITROGEN


def heat_of_combustion_kj_per_mol(dHf: float, c: int, h: int, condensed: bool) -> float:
    """Heat set free by burning CcHhOoNn completely to CO2, H2O and N2 [kJ/mol].

    Hess's law: c dHf(CO2) + h/2 dHf(H2O) - dHf(fuel), with the sign turned;
    ``dHf`` is the fuel's enthalpy of formation at 25 °C [kJ/mol].
    ``condensed`` True gives the higher, False the lower heat.
    """
    water = _WATER_LIQUID if condensed else _WATER_GAS
    return dHf - c * _CO2 - h / 2 * water
