"""Which rooms does the reader walk through, in which order?"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

#: Key, name, address, what is there.
Room = tuple[str, str, str, str]

ROOMS: Final[tuple[Room, ...]] = (
    ("foods", "Foods", "/foods", "what there is to cook with"),
    ("recipes", "Recipes", "/recipes", "dishes, weighed"),
    ("compose", "Compose", "/compose", "every combination of a few parts, scored"),
    ("trips", "Trips", "/trips", "who walks where, and what they need"),
    ("menus", "Menus", "/menus", "what is eaten when"),
    ("kitchen", "Kitchen", "/kitchen", "buy, dry, weigh, bag"),
    ("trail", "Trail", "/trail", "what comes along on paper and phone"),
    ("after", "After", "/after", "what came home"),
    ("season", "Season", "/season", "many parties, one store room"),
)


def rooms_among(addresses: Iterable[str]) -> tuple[Room, ...]:
    """The rooms that an app with these addresses has."""
    there = set(addresses)
    return tuple(room for room in ROOMS if room[2] in there)
