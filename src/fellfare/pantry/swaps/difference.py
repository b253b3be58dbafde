"""What does a stand-in bring that was not there before?"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.pantry.allergens import AGENTS, combine
from fellfare.pantry.food import Allergen, Food, Hazard, Way

#: From the mildest to the gravest answer.
_RANK = {"not declared": 0, "may contain": 1, "unknown": 2, "contains": 3}

#: Ways that need no simmering.
_EASY: Final = frozenset(("dry", "cold-soak", "hot-pour"))


class Difference(Struct, frozen=True, kw_only=True):
    """Allergens and hazards of the stand-in against those of the food."""

    #: Agents whose answer gets graver: 'contains', 'may contain', 'unknown'.
    contains: tuple[Allergen, ...]
    may_contain: tuple[Allergen, ...]
    unknown: tuple[Allergen, ...]
    #: Hazards that come, and those that go.
    hazards_new: tuple[Hazard, ...]
    hazards_gone: tuple[Hazard, ...]
    #: Ways to prepare it that are lost: 'cold-soak', 'dry'.
    ways_lost: tuple[Way, ...]
    #: It wants a flame, or boiling, where the food itself did with less.
    asks_more: bool
    #: Nothing is known of an open mix: every allergen that is not told.
    open_mix: bool

    @property
    def allergens_new(self) -> bool:
        """Whether any allergen answer gets graver."""
        return bool(self.contains or self.may_contain or self.unknown)


def difference(food: Food, stand_in: Food) -> Difference:
    """What changes when ``stand_in`` replaces ``food``.

    'Unknown' ranks above 'may contain': nobody can tell how much it hides.
    """
    before, after = combine((food,)), combine((stand_in,))
    graver: dict[str, list[Allergen]] = {"contains": [], "may contain": [], "unknown": []}
    for agent in AGENTS:
        answer = after.of(agent)
        if _RANK[answer] > _RANK[before.of(agent)]:
            graver[answer].append(agent)
    return Difference(
        contains=tuple(graver["contains"]),
        may_contain=tuple(graver["may contain"]),
        unknown=tuple(graver["unknown"]),
        hazards_new=tuple(h for h in stand_in.hazards if h not in food.hazards),
        hazards_gone=tuple(h for h in food.hazards if h not in stand_in.hazards),
        ways_lost=tuple(way for way in food.ways if way not in stand_in.ways),
        asks_more=bool(_EASY & {*food.ways}) and not _EASY & {*stand_in.ways},
        open_mix=stand_in.allergens.open_mix,
    )
