"""How much water does camp need, and how much snow is that?"""

from __future__ import annotations

from typing import Final, Literal

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.pantry.food import Trust

WaterUse = Literal[
    "breakfast", "dinner", "hot-drink", "cold-soak-dinner", "washing", "walking-hour", "dry-camp"
]


class WaterNeed(Struct, frozen=True, kw_only=True):
    """Water for one use and one person [mL]."""

    use: str
    low_ml: float
    high_ml: float
    trust: Trust = "common-practice"
    source: str = "common practice, no source"


#: For one adult.  A recipe that states its own water goes before this table.
WATER_NEEDS: Final[dict[WaterUse, WaterNeed]] = {
    "breakfast": WaterNeed(use="breakfast", low_ml=250.0, high_ml=350.0),
    "dinner": WaterNeed(use="dinner", low_ml=350.0, high_ml=500.0),
    "hot-drink": WaterNeed(use="hot drink", low_ml=250.0, high_ml=250.0),
    "cold-soak-dinner": WaterNeed(use="cold soak dinner", low_ml=200.0, high_ml=400.0),
    "washing": WaterNeed(use="washing up", low_ml=100.0, high_ml=200.0),
    "walking-hour": WaterNeed(use="drinking, an hour of walking", low_ml=500.0, high_ml=1000.0),
    "dry-camp": WaterNeed(
        use="dry camp, evening to morning, with cooking", low_ml=4000.0, high_ml=5000.0
    ),
}


def water_for(uses: dict[WaterUse, float], people: int = 1) -> WaterNeed:
    """Water for several uses together.

    Parameters
    ----------
    uses
        How many of each: ``{"breakfast": 1, "hot-drink": 2, "dinner": 1}``.
    people
        Number of eaters; 1 or more.

    Raises
    ------
    Mistake
        ``unknown-water-use``, ``water-count-out-of-range``.

    Examples
    --------
    >>> need = water_for({"breakfast": 1, "dinner": 1, "hot-drink": 2, "washing": 1})
    >>> need.low_ml, need.high_ml
    (1200.0, 1550.0)
    """
    unknown = [use for use in uses if use not in WATER_NEEDS]
    if unknown:
        raise Mistake(
            "unknown-water-use",
            what=f"no use of water is called {unknown[0]!r}",
            mend=f"one of: {', '.join(WATER_NEEDS)}",
        )
    if not 1 <= people <= 10_000 or not all(0.0 <= n <= 1000.0 for n in uses.values()):
        raise Mistake(
            "water-count-out-of-range",
            what="the number of people or of uses is out of range",
            mend="give at least one person, and 0 or more of each use",
        )
    return WaterNeed(
        use=", ".join(f"{n:g} x {WATER_NEEDS[use].use}" for use, n in uses.items()),
        low_ml=people * sum(n * WATER_NEEDS[use].low_ml for use, n in uses.items()),
        high_ml=people * sum(n * WATER_NEEDS[use].high_ml for use, n in uses.items()),
    )


#: Density of snow [kg/m3], low and high.  'new': 72 % of daily new falls lay between
#: 50 and 100 (Judson and Doesken 2000, Bull Amer Meteor Soc 81:1577, abstract seen);
#: the others common values, from memory.
SNOW_KG_PER_M3: Final[dict[str, tuple[float, float]]] = {
    "new": (50.0, 100.0),
    "settled": (200.0, 300.0),
    "wind-packed": (300.0, 400.0),
}


class SnowVolume(Struct, frozen=True, kw_only=True):
    """How much snow to fetch for so much water."""

    kind: str
    #: Mass stays: 1 L of water is 1 kg of snow.
    snow_g: float
    low_l: float
    high_l: float
    trust: Trust
    source: str


def snow_for(water_ml: float, kind: str = "new") -> SnowVolume:
    """Snow that melts to that much water.

    Parameters
    ----------
    water_ml
        Water wanted; 0 or more. [mL]
    kind
        'new', 'settled' or 'wind-packed'.

    Raises
    ------
    Mistake
        ``unknown-snow``, ``water-count-out-of-range``.

    Examples
    --------
    >>> snow_for(1000).low_l, snow_for(1000).high_l
    (10.0, 20.0)
    """
    if kind not in SNOW_KG_PER_M3:
        raise Mistake(
            "unknown-snow",
            what=f"no snow is called {kind!r}",
            mend=f"one of: {', '.join(SNOW_KG_PER_M3)}",
        )
    if not 0.0 <= water_ml <= 1e6:
        raise Mistake(
            "water-count-out-of-range",
            what=f"{water_ml:g} mL of water is outside 0 to 1,000,000 mL",
            mend="give the water in millilitres",
        )
    light, heavy = SNOW_KG_PER_M3[kind]
    return SnowVolume(
        kind=kind,
        snow_g=water_ml,
        low_l=water_ml / heavy,
        high_l=water_ml / light,
        trust="tabulated" if kind == "new" else "memory",
        source="Judson and Doesken 2000 (abstract)" if kind == "new" else "common values",
    )
