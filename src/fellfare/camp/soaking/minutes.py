"""How long must this food soak in this water?

The minutes at one temperature are mostly common practice: no soak constants
have been published for couscous, noodles, oats or instant rice in cold water.
Only the step to another temperature is kinetics, with activation energies
published for other foods.  The result says which is which.
"""

from __future__ import annotations

from math import exp
from typing import Final

from msgspec import Struct

from fellfare.camp.cooking import SEA_LEVEL_BOIL_C
from fellfare.mistake import Mistake
from fellfare.pantry.food import Soak, Trust, Way

_R: Final = 8.314462618e-3  # molar gas constant, kJ/(mol K), SI 2019 exact


class Activation(Struct, frozen=True, kw_only=True):
    """How strongly soaking slows down in the cold [kJ/mol]."""

    usual: float
    low: float
    high: float
    source: str


#: Precooked, dehydrated, instant food.  Published: dehusked lentil 11, dried
#: mushroom 19, teff 25, chickpea 36 kJ/mol.
PRECOOKED: Final = Activation(
    usual=25.0,
    low=12.0,
    high=36.0,
    source="Ea 25 (12 to 36) kJ/mol, from other foods: red lentil 11 (Kumar 2018), dried boletus "
    "19.2 (Garcia-Pascual 2005), teff 24.6 (CIGR J), chickpea 36 (Cimini 2021); abstracts seen",
)
#: Raw, whole and hard; pulses among them must still be boiled.  Published:
#: chickpea 29 to 50, lentil 40, beans 34 to 51, soya bean 60 kJ/mol.
RAW: Final = Activation(
    usual=40.0,
    low=29.0,
    high=60.0,
    source="Ea 40 (29 to 60) kJ/mol: chickpea 28.7 (Yildirim 2011), lentil 39.7 and beans 33.6 to "
    "50.8 (Turk J Agric For 25, 2001), soya bean 60 (Cimini 2021); abstracts seen",
)

#: The published activation energies were measured between these [°C].
PUBLISHED_C: Final = (10.0, 70.0)
#: When nobody has said how long it may take at most.
ASSUMED_SPREAD: Final = 1.5
#: A hot pour is no hot pour any more below this [°C] [common practice, no source].
LEAST_POUR_C: Final = 70.0


def arrhenius_time_factor(Ea: float, T: float, T_ref: float) -> float:
    """Time at ``T`` over time at ``T_ref`` [-]; Ea [kJ/mol], temperatures [K].

    t(T)/t(T_ref) = exp[Ea/R (1/T - 1/T_ref)], Arrhenius 1889 [ARRHENIUS-1889] (from
    memory).  Valid near the temperatures at which Ea was fitted (not checked here).
    """
    return exp(Ea / _R * (1.0 / T - 1.0 / T_ref))


class SoakTime(Struct, frozen=True, kw_only=True):
    """How long one food soaks in water of one temperature."""

    way: Way
    water_c: float
    #: Usual time until fit to eat, and the ends to plan with [min]; None = unknown.
    minutes: float | None
    low_minutes: float | None
    high_minutes: float | None
    #: Factor on the known time, for the change of temperature.
    factor: float = 1.0
    #: Water that it takes up or is made with [mL per g dry]; None = unknown.
    water_ml_per_g: float | None = None
    #: The weaker of the two trusts below.
    trust: Trust = "unknown"
    #: Of the minutes at the known temperature.
    minutes_trust: Trust = "unknown"
    minutes_source: str = ""
    #: Of the step to this temperature.
    temperature_trust: Trust = "unknown"
    temperature_source: str = ""
    #: The upper end was not known and is taken as half as long again.
    spread_assumed: bool = False
    #: The water is outside the published 10 to 70 °C, or far from the known one.
    extrapolated: bool = False


def soak_minutes(
    soak: Soak,
    water_c: float,
    *,
    raw: bool = False,
    activation: Activation | None = None,
    boils_c: float = SEA_LEVEL_BOIL_C,
) -> SoakTime:
    """How long one way of soaking takes in water of that temperature.

    Parameters
    ----------
    soak
        The known minutes and the water temperature to which they belong.
    water_c
        Temperature of the water while it soaks (of the pour, for a hot pour);
        0 to the boiling point. [°C]
    raw
        True for raw, hard food (Ea 40), False for precooked or dried (Ea 25).
    activation
        Another activation energy with its band, instead of the two defaults.
    boils_c
        Boiling point at camp. [°C]

    Returns
    -------
    SoakTime
        Minutes with a band: the food's own range, widened by the spread of the
        published activation energies.

    Raises
    ------
    Mistake
        ``water-too-cold``, ``water-too-hot``, ``way-without-soaking``,
        ``pour-too-cold``, ``soak-without-temperature``, ``soak-minutes-nonsense``.

    Examples
    --------
    >>> rice = Soak(way="cold-soak", minutes=45, most_minutes=60, at_c=20)
    >>> round(soak_minutes(rice, 5).minutes)
    78
    """
    if not 60.0 <= boils_c <= 104.0:
        raise Mistake(
            "boiling-point-out-of-range",
            what=f"water does not boil at {boils_c:g} °C on any walk (60 to 104 °C)",
            mend="give °C; boil_at(altitude_m).boils_c knows it",
        )
    if not water_c >= 0.0:
        raise Mistake(
            "water-too-cold",
            what=f"water of {water_c:g} °C is ice, or its temperature is unknown",
            mend="give 0 °C or more; a freezing jar does not soak",
        )
    if water_c > boils_c + 0.05:
        raise Mistake(
            "water-too-hot",
            what=f"water of {water_c:g} °C is above its boiling point of {boils_c:.1f} °C here",
            mend="give at most the boiling point of the camp",
        )
    if soak.way not in ("cold-soak", "hot-pour"):
        raise Mistake(
            "way-without-soaking",
            what=f"the way {soak.way!r} is no soaking",
            mend="soak with 'cold-soak' or 'hot-pour'; for 'boil' ask cooking_minutes",
        )
    if soak.way == "hot-pour" and water_c < LEAST_POUR_C:
        raise Mistake(
            "pour-too-cold",
            what=f"water of {water_c:g} °C is no hot pour",
            mend="choose the food's cold soak, if it has one, or hotter water",
        )
    if soak.way == "cold-soak" and soak.at_c is None:
        raise Mistake(
            "soak-without-temperature",
            what="this cold soak does not say at which water temperature its minutes hold",
            mend="add at_c to the food's soak",
        )
    least = soak.minutes
    most = soak.most_minutes if soak.most_minutes is not None else ASSUMED_SPREAD * least
    if not 0.0 <= least <= most <= 1e5:
        raise Mistake(
            "soak-minutes-nonsense",
            what=f"a soak of {least:g} to {most:g} minutes makes no sense",
            mend="give minutes of 0 or more, the most not below the usual",
        )
    known_c = soak.at_c if soak.at_c is not None else SEA_LEVEL_BOIL_C
    energies = activation or (RAW if raw else PRECOOKED)
    usual, one, other = (
        arrhenius_time_factor(Ea, water_c + 273.15, known_c + 273.15)
        for Ea in (energies.usual, energies.low, energies.high)
    )
    same = abs(water_c - known_c) < 0.05
    outside = soak.way == "cold-soak" and not PUBLISHED_C[0] <= water_c <= PUBLISHED_C[1]
    return SoakTime(
        way=soak.way,
        water_c=water_c,
        minutes=least * usual,
        low_minutes=least * min(one, other),
        high_minutes=most * max(one, other),
        factor=usual,
        water_ml_per_g=soak.water_ml_per_g,
        trust=soak.trust if same else _weaker(soak.trust, "common-practice"),
        minutes_trust=soak.trust,
        minutes_source=soak.source,
        temperature_trust=soak.trust if same else "common-practice",
        temperature_source=(
            "same temperature, no step" if same else f"Arrhenius; {energies.source}"
        ),
        spread_assumed=soak.most_minutes is None,
        extrapolated=not same and (outside or abs(water_c - known_c) > 40.0),
    )


#: From best to worst, as in the pantry.
_TRUSTS: Final[tuple[Trust, ...]] = (
    "measured",
    "tabulated",
    "derived",
    "label",
    "common-practice",
    "memory",
    "unknown",
)


def _weaker(one: Trust, other: Trust) -> Trust:
    return max(one, other, key=_TRUSTS.index)
