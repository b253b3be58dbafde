"""How much heat must go into the pot?

Q = m_w c_w dT + m_pot c_pot dT + m_food c_food dT + snow + evaporation + loss.
An efficiency from a weighed boil already holds the losses of that boil; give
``loss_w`` only for what comes on top.
"""

from __future__ import annotations

from typing import Final, Literal

from msgspec import Struct

from fellfare.camp.steam import evaporation_heat_kj_per_kg
from fellfare.mistake import Mistake

#: Liquid water [kJ/(kg K)]: mean of 5 to 100 °C, within 0.1 % of the enthalpies
#: of IAPWS-95 for any start of 5 to 20 °C and any camp up to 4 000 m.
WATER_KJ_PER_KG_K: Final = 4.186
#: Ice near its melting point, mean of -20 to 0 °C [kJ/(kg K)] and its heat of
#: fusion at 0 °C [kJ/kg]; CRC Handbook, from memory; fusion as in IAPWS-06.
ICE_KJ_PER_KG_K: Final = 2.1
FUSION_KJ_PER_KG: Final = 333.55
#: Dry starchy food [kJ/(kg K)]: carbohydrate 1.549 + 0.0019625 t - 5.94e-6 t2
#: (Choi and Okos 1986, seen in a public transcription) at 50 °C, with 10 % water.
DRY_FOOD_KJ_PER_KG_K: Final = 1.88

PotMaterial = Literal["aluminium", "titanium", "steel"]
#: Specific heats near 25 °C [kJ/(kg K)]; CRC Handbook, from memory.
POT_KJ_PER_KG_K: Final[dict[PotMaterial, float]] = {
    "aluminium": 0.897,
    "titanium": 0.523,
    "steel": 0.50,
}


class Pot(Struct, frozen=True, kw_only=True):
    """The pot with its lid."""

    material: PotMaterial
    mass_g: float


class Heat(Struct, frozen=True, kw_only=True):
    """Where the heat goes, item by item [kJ]."""

    water_kj: float = 0.0
    pot_kj: float = 0.0
    food_kj: float = 0.0
    #: Warming snow to 0 °C and melting it; the rest of its way is in ``water_kj``.
    melt_kj: float = 0.0
    evaporation_kj: float = 0.0
    loss_kj: float = 0.0

    @property
    def total_kj(self) -> float:
        """All of it."""
        return (
            self.water_kj
            + self.pot_kj
            + self.food_kj
            + self.melt_kj
            + self.evaporation_kj
            + self.loss_kj
        )

    @property
    def water_only_kj(self) -> float:
        """What the water itself must take up, whatever stove, pot and wind."""
        return self.water_kj + self.melt_kj

    def __add__(self, other: Heat) -> Heat:
        return Heat(
            water_kj=self.water_kj + other.water_kj,
            pot_kj=self.pot_kj + other.pot_kj,
            food_kj=self.food_kj + other.food_kj,
            melt_kj=self.melt_kj + other.melt_kj,
            evaporation_kj=self.evaporation_kj + other.evaporation_kj,
            loss_kj=self.loss_kj + other.loss_kj,
        )


def _at_least_zero(name: str, value: float, most: float, unit: str) -> None:
    if not 0.0 <= value <= most:
        raise Mistake(
            "heat-input-out-of-range",
            what=f"{name} {value:g} {unit} is outside 0 to {most:,.0f} {unit}",
            mend=f"give {name} in {unit}",
        )


def heat_needed(
    water_g: float,
    start_c: float,
    to_c: float,
    *,
    pot: Pot | None = None,
    food_g: float = 0.0,
    snow_g: float = 0.0,
    snow_c: float = 0.0,
    boiled_off_g: float = 0.0,
    loss_w: float = 0.0,
    minutes: float = 0.0,
) -> Heat:
    """Heat to bring water, pot, food and snow to a temperature.

    Parameters
    ----------
    water_g
        Liquid water at the start; 1 mL is taken as 1 g. [g]
    start_c, to_c
        Temperatures of water, pot and food before and after; 0 to 104, the
        second not below the first.  Snow starts from its own. [°C]
    pot, food_g
        Pot with lid, and dry food heated along with the water. [g]
    snow_g, snow_c
        Snow or ice on top of the water, and its temperature; -60 to 0. [g], [°C]
    boiled_off_g
        Water that leaves as steam, at ``to_c``. [g]
    loss_w, minutes
        Heat lost to the air beyond the stove's efficiency, and for how long.
        [W], [min]

    Raises
    ------
    Mistake
        ``heat-input-out-of-range``, ``temperatures-reversed``,
        ``more-boiled-off-than-there-is``.

    Examples
    --------
    >>> round(heat_needed(1000, 10, 99.974).water_kj, 1)
    376.6
    """
    _at_least_zero("water", water_g, 1e6, "g")
    _at_least_zero("food", food_g, 1e6, "g")
    _at_least_zero("snow", snow_g, 1e6, "g")
    _at_least_zero("boiled off", boiled_off_g, 1e6, "g")
    _at_least_zero("loss", loss_w, 1e5, "W")
    _at_least_zero("time", minutes, 1e5, "min")
    if pot is not None:
        _at_least_zero("pot", pot.mass_g, 1e5, "g")
    if not (0.0 <= start_c <= 104.0 and 0.0 <= to_c <= 104.0):
        raise Mistake(
            "heat-input-out-of-range",
            what=f"water from {start_c:g} to {to_c:g} °C leaves 0 to 104 °C",
            mend="give °C; snow and ice have a temperature of their own (snow_c)",
        )
    if to_c < start_c:
        raise Mistake(
            "temperatures-reversed",
            what=f"the water would cool from {start_c:g} to {to_c:g} °C",
            mend="give the start before the end; no heat is needed to cool",
        )
    if not -60.0 <= snow_c <= 0.0:
        raise Mistake(
            "heat-input-out-of-range",
            what=f"snow of {snow_c:g} °C is outside -60 to 0 °C",
            mend="give the snow's temperature in °C",
        )
    if boiled_off_g > water_g + snow_g:
        raise Mistake(
            "more-boiled-off-than-there-is",
            what=f"{boiled_off_g:g} g of steam from {water_g + snow_g:g} g of water",
            mend="add water, or let less boil away",
        )
    rise = to_c - start_c
    return Heat(
        water_kj=WATER_KJ_PER_KG_K * (water_g * rise + snow_g * to_c) / 1000.0,
        pot_kj=POT_KJ_PER_KG_K[pot.material] * pot.mass_g * rise / 1000.0 if pot else 0.0,
        food_kj=DRY_FOOD_KJ_PER_KG_K * food_g * rise / 1000.0,
        melt_kj=snow_g * (FUSION_KJ_PER_KG - ICE_KJ_PER_KG_K * snow_c) / 1000.0,
        evaporation_kj=(
            boiled_off_g * evaporation_heat_kj_per_kg(to_c) / 1000.0 if boiled_off_g else 0.0
        ),
        loss_kj=loss_w * minutes * 60.0 / 1000.0,
    )


def boiled_off_g(net_w: float, minutes: float, boils_c: float) -> float:
    """Water that a simmer drives off when all its heat makes steam.

    Parameters
    ----------
    net_w
        Heat that reaches the pot. [W]
    minutes
        How long it simmers. [min]
    boils_c
        Boiling point at camp. [°C]

    Returns
    -------
    float
        Water boiled away. [g]  A lid returns some of it.

    Raises
    ------
    Mistake
        ``heat-input-out-of-range``, ``steam-out-of-range``.

    Examples
    --------
    >>> round(boiled_off_g(100, 10, 99.974), 1)
    26.6
    """
    _at_least_zero("power", net_w, 1e5, "W")
    _at_least_zero("time", minutes, 1e5, "min")
    return net_w * minutes * 60.0 / evaporation_heat_kj_per_kg(boils_c)
