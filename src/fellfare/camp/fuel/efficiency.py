"""What share of the fuel's heat reaches the pot?

No citable law for wind was found, so stove and wind come as classes, and one
weighed boil of one's own beats them all.
"""

from __future__ import annotations

from typing import Final, Literal

from msgspec import Struct

from fellfare.camp.fuel.fuels import Fuel
from fellfare.camp.heat import Pot, heat_needed
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.food import Trust

Wind = Literal["calm", "breeze", "strong"]

#: Factor on the calm efficiency [common practice, no source]; in a strong wind an open
#: stove may not boil at all.
WIND_FACTOR: Final[dict[Wind, float]] = {"calm": 1.0, "breeze": 0.7, "strong": 0.4}

#: No open camp stove with an ordinary or finned pot is reported above this.
MOST_PLAUSIBLE_ETA: Final = 0.80


class Stove(Struct, frozen=True, kw_only=True):
    """One class of stove with its pot, lid and screen."""

    id: str
    name: str
    #: Kinds of fuel that it burns.
    burns: tuple[str, ...]
    #: Share of the lower heating value that reaches water and pot, calm air.
    eta: float
    eta_low: float
    eta_high: float
    #: Heat that reaches the pot at full flame [W].
    net_w: float
    trust: Trust = "common-practice"
    source: str = "common practice, no source"


STOVES: Final[dict[str, Stove]] = {
    stove.id: stove
    for stove in (
        Stove(id="gas-screened", name="gas, lid and windscreen", burns=("gas",),
              eta=0.50, eta_low=0.40, eta_high=0.60, net_w=900.0),
        Stove(id="gas-finned", name="gas, pot with heat exchanger", burns=("gas",),
              eta=0.65, eta_low=0.60, eta_high=0.70, net_w=1100.0),
        Stove(id="gas-open", name="gas without screen", burns=("gas",),
              eta=0.40, eta_low=0.30, eta_high=0.50, net_w=800.0),
        Stove(id="spirit", name="spirit stove, screened", burns=("spirit",),
              eta=0.45, eta_low=0.35, eta_high=0.60, net_w=350.0,
              source="common practice; 0.60 at 2 L and 400 to 1 400 W: 'A preliminary "
              "investigation of alcohol-fuelled stoves', Boiling Point 12"),
        Stove(id="white-gas", name="pressure stove for white gas", burns=("petrol",),
              eta=0.45, eta_low=0.35, eta_high=0.55, net_w=1100.0),
        Stove(id="tablet", name="hexamine tablet stove", burns=("solid",),
              eta=0.35, eta_low=0.25, eta_high=0.45, net_w=180.0),
        Stove(id="wood-stove", name="wood stove", burns=("wood",),
              eta=0.20, eta_low=0.15, eta_high=0.25, net_w=500.0),
        Stove(id="open-fire", name="open wood fire", burns=("wood",),
              eta=0.12, eta_low=0.10, eta_high=0.15, net_w=600.0, trust="memory",
              source="10 to 15 %, from memory; below Tier 2 of ISO/IWA 11:2012"),
    )
}  # fmt: skip


class Efficiency(Struct, frozen=True, kw_only=True):
    """An efficiency and how well it is known."""

    eta: float
    low: float
    high: float
    trust: Trust
    source: str
    findings: tuple[Finding, ...] = ()


def efficiency(stove_id: str, wind: Wind = "calm") -> Efficiency:
    """Efficiency class of a stove in a wind.

    Raises
    ------
    Mistake
        ``unknown-stove``, ``unknown-wind``.

    Examples
    --------
    >>> efficiency("gas-screened", "breeze").eta
    0.35
    """
    if stove_id not in STOVES:
        raise Mistake(
            "unknown-stove",
            what=f"no class of stove is called {stove_id!r}",
            mend=f"one of: {', '.join(STOVES)}",
        )
    if wind not in WIND_FACTOR:
        raise Mistake(
            "unknown-wind",
            what=f"no wind class is called {wind!r}",
            mend=f"one of: {', '.join(WIND_FACTOR)}",
        )
    stove, factor = STOVES[stove_id], WIND_FACTOR[wind]
    return Efficiency(
        eta=stove.eta * factor,
        low=stove.eta_low * factor,
        high=stove.eta_high * factor,
        trust=stove.trust,
        source=f"{stove.source}; wind '{wind}' x{factor:g}: common practice, no source",
    )


def check_efficiency(eta: float) -> tuple[Finding, ...]:
    """What physics says to an efficiency: over 1 is impossible."""
    if eta > 1.0:
        return (
            Finding(
                severity="error",
                rule="efficiency-over-one",
                text=f"An efficiency of {eta:.2f} would take more heat from the fuel than it "
                "holds. Check the weighed fuel, the water and the temperatures.",
                source="conservation of energy; lower heating value",
                about=(f"eta {eta:.2f}",),
            ),
        )
    if eta > MOST_PLAUSIBLE_ETA:
        return (
            Finding(
                severity="caution",
                rule="efficiency-doubtful",
                text=f"An efficiency of {eta:.2f} is higher than any camp stove is reported "
                "to reach (about 0.70 with a heat exchanger). Weigh again.",
                source="common practice, no source",
                about=(f"eta {eta:.2f}",),
            ),
        )
    return ()


def calibrate_efficiency(
    fuel: Fuel,
    fuel_used_g: float,
    water_g: float,
    start_c: float,
    to_c: float,
    pot: Pot | None = None,
    scale_step_g: float = 1.0,
) -> Efficiency:
    """Efficiency from one weighed boil of one's own.

    eta = (m_w c_w + m_pot c_pot) dT / (m_fuel LHV).

    Parameters
    ----------
    fuel, fuel_used_g
        Fuel, and its mass before less its mass after. [g]
    water_g, start_c, to_c, pot
        As in :func:`~fellfare.camp.heat.heat_needed`.
    scale_step_g
        Step of the scale; the difference of two readings is good to one step.
        [g]

    Returns
    -------
    Efficiency
        Measured; ``low`` and ``high`` from the scale alone.  Above 1 it carries
        an error finding.

    Raises
    ------
    Mistake
        ``fuel-mass-out-of-range``, ``scale-too-coarse`` and those of the heat.

    Examples
    --------
    >>> from fellfare.camp.fuel.fuels import find_fuel
    >>> round(calibrate_efficiency(find_fuel("isobutane"), 7.5, 500, 15, 99).eta, 2)
    0.52
    """
    if not 0.0 < fuel_used_g <= 1e5:
        raise Mistake(
            "fuel-mass-out-of-range",
            what=f"{fuel_used_g:g} g of burnt fuel is not above 0 g",
            mend="weigh the fuel before and after the boil and give the difference",
        )
    if not 0.0 <= scale_step_g < fuel_used_g:
        raise Mistake(
            "scale-too-coarse",
            what=f"a scale of {scale_step_g:g} g cannot weigh {fuel_used_g:g} g of fuel",
            mend="boil more water, or use a finer scale",
        )
    heat_kj = heat_needed(water_g, start_c, to_c, pot=pot).total_kj
    eta = heat_kj / (fuel_used_g * fuel.lhv_kj_per_g)
    return Efficiency(
        eta=eta,
        low=heat_kj / ((fuel_used_g + scale_step_g) * fuel.lhv_kj_per_g),
        high=heat_kj / ((fuel_used_g - scale_step_g) * fuel.lhv_kj_per_g),
        trust="measured",
        source=f"one weighed boil, {fuel_used_g:g} g of {fuel.name}",
        findings=check_efficiency(eta),
    )
