"""Which pace rule shall the hours be planned with?

Four published rules give a walker's speed at every grade, so a walk can be gone through leg by
leg with any of them.  Langmuir's stays beside: at the foot of its jump, just under 12 degrees
down, it runs at 3.4 m/s.  DIN 33466 and the Alpine-club variant time a whole stage only.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final, Literal, get_args

from fellfare.walk.figures import Figure
from fellfare.walk.pace import campbell, naismith, swiss, tobler

PaceRule = Literal["campbell", "tobler", "naismith", "swiss"]
PACE_RULES: Final[tuple[PaceRule, ...]] = get_args(PaceRule)

#: The house's own choice: the median of recorded hikers (Campbell 2022).
USUAL_RULE: Final[PaceRule] = "campbell"

#: Rule → its name with the year, as in the spread.
RULE_NAMES: Final[Mapping[PaceRule, str]] = MappingProxyType(
    {
        "campbell": "Campbell 2022",
        "tobler": "Tobler 1993",
        "naismith": "Naismith 1892",
        "swiss": "Swiss polynomial",
    }
)

_SPEEDS: Final[Mapping[PaceRule, Callable[[Figure], Figure]]] = MappingProxyType(
    {
        "campbell": campbell.speed_m_s,
        "tobler": tobler.speed_m_s,
        "naismith": naismith.speed_m_s,
        "swiss": swiss.speed_m_s,
    }
)


def rule_speed_m_s(rule: PaceRule, grade: Figure) -> Figure:
    """Speed on the map [m/s] of one rule at a grade (fraction), on a good path, unloaded."""
    return _SPEEDS[rule](grade)
