"""Where does the water of a mixed bag settle?  Sorption isotherms and mixing.

No isotherm of a food ships with this file: published sets are to be given by
the caller with their source.  Without them the rules use the hard bound that
mixing can never make a bag wetter than its wettest part.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from fellfare.mistake import Mistake

#: GAB fits are published for about 0.05 to 0.90 (van den Berg & Bruin 1981, from
#: memory); the search for an equilibrium stays inside this, wider, band.
LEAST_AW: Final = 0.0
MOST_AW: Final = 0.99


class Isotherm(Struct, frozen=True, kw_only=True):
    """GAB parameters of one food at one temperature."""

    #: Monolayer moisture [g/g dry].
    monolayer: float
    #: Guggenheim constant C [-].
    c: float
    #: Multilayer constant K [-]; 1 = the BET isotherm.
    k: float
    #: Paper, table and temperature.
    source: str


class Portion(Struct, frozen=True, kw_only=True):
    """One food of a mixed bag."""

    #: Dry solids [g].
    solids_g: float
    #: Moisture before mixing [g water per g dry solids].
    moisture: float
    isotherm: Isotherm


def gab(aw: float, M_m: float, C: float, K: float) -> float:
    """Equilibrium moisture M [g/g dry] at water activity ``aw``, GAB equation.

    M = M_m C K aw / [(1 - K aw)(1 - K aw + C K aw)]; van den Berg & Bruin 1981,
    in Rockland & Stewart (eds.), Water Activity, p. 1 [VANDENBERG-BRUIN-1981]
    (from memory).  Valid 0.05 <= aw <= 0.9, K aw < 1 (not checked here).
    """
    x = K * aw
    return M_m * C * x / ((1.0 - x) * (1.0 - x + C * x))


def bet(aw: float, M_m: float, C: float) -> float:
    """Equilibrium moisture [g/g dry] at water activity ``aw``, BET equation: GAB with K = 1.

    Brunauer, Emmett & Teller 1938 [BET-1938] (from memory).  Valid 0.05 <= aw <= 0.45
    (not checked here).
    """
    return gab(aw, M_m, C, 1.0)


def dry_basis(moisture_percent: float) -> float:
    """Moisture on dry basis [g/g] of a food with so many per cent of water: w/(1 - w).

    Raises
    ------
    Mistake
        ``moisture-out-of-range``: outside 0 to under 100.
    """
    if not 0.0 <= moisture_percent < 100.0:
        raise Mistake(
            "moisture-out-of-range",
            what=f"a moisture of {moisture_percent:g} % is outside 0 to 100",
            mend="give grams of water per 100 g of the food as it is",
        )
    w = moisture_percent / 100.0
    return w / (1.0 - w)


def salwin_slawson(portions: Sequence[tuple[float, float, float]]) -> float:
    """Water activity [-] on which sealed foods settle, linear form.

    aw = sum(s b aw) / sum(s b) over (dry solids s [g], isotherm slope b, start
    aw) of each food; Salwin & Slawson 1959, Food Technology 13:715
    [SALWIN-SLAWSON-1959] (from memory).
    Valid while sealed, at one temperature, with constant slopes (not checked here).
    """
    weight = sum(s * b for s, b, _ in portions)
    return sum(s * b * aw for s, b, aw in portions) / weight


def water_activity(moisture: float, isotherm: Isotherm) -> float:
    """Water activity at which a food holds ``moisture`` [g/g dry]; the isotherm read backwards.

    Raises
    ------
    Mistake
        ``moisture-out-of-range``: below zero, or above what the isotherm reaches.
    """
    portion = Portion(solids_g=1.0, moisture=moisture, isotherm=isotherm)
    return settled_aw((portion,))


def settled_aw(portions: Sequence[Portion]) -> float:
    """Water activity on which the foods of one sealed bag settle.

    The root of sum(s M(aw)) = sum(s M_0): all water is kept, every food ends on
    its own isotherm, same temperature throughout.  Found by halving; the sum
    rises with aw, so there is one root.

    Raises
    ------
    Mistake
        ``moisture-out-of-range``: a moisture or mass below zero, or more water
        than the isotherms reach at aw 0.99; ``isotherm-out-of-range``: K above
        1.0, or a parameter not above zero.
    """
    for portion in portions:
        of = portion.isotherm
        if not (of.monolayer > 0 and of.c > 0 and 0 < of.k <= 1.0):
            raise Mistake(
                "isotherm-out-of-range",
                what=f"M_m {of.monolayer:g}, C {of.c:g}, K {of.k:g} is no usable isotherm",
                mend="all above zero, K at most 1, M_m in grams per gram dry",
            )
        if not (portion.moisture >= 0 and portion.solids_g > 0):
            raise _too_wet(portion.moisture)
    water = sum(portion.solids_g * portion.moisture for portion in portions)
    low, high = LEAST_AW, MOST_AW
    if not (portions and water <= _held(portions, high)):
        raise _too_wet(water)
    for _ in range(60):  # 60 halvings: far below any aw meter's 0.003
        middle = (low + high) / 2
        if _held(portions, middle) < water:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _held(portions: Sequence[Portion], aw: float) -> float:
    return sum(
        p.solids_g * gab(aw, p.isotherm.monolayer, p.isotherm.c, p.isotherm.k) for p in portions
    )


def _too_wet(water: float) -> Mistake:
    return Mistake(
        "moisture-out-of-range",
        what=f"a moisture of {water:g} does not lie on the isotherms given",
        mend="give grams of water per gram of dry solids, and solids above zero",
    )
