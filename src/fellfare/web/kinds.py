"""How do pages speak of each kind of document, where do they show it, and who reads its text?"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final
from urllib.parse import quote

from litestar.exceptions import NotFoundException
from msgspec import Struct

from fellfare.web.documents import (
    composition_of,
    food_of,
    log_of,
    menu_of,
    recipe_of,
    season_of,
    trip_of,
)


class KindOf(Struct, frozen=True, kw_only=True):
    """One kind of document, as pages have it."""

    key: str
    one: str
    many: str
    #: Key of the room in which it is shown.
    room: str
    #: Where the list of them is, and the opening of each one's address.
    list_at: str
    each_at: str
    #: Reads (text, name) or raises a Mistake; None = any text is taken.
    read: Callable[[str, str], Any] | None = None
    ending: str = ".toml"

    def address(self, name: str) -> str:
        """Where one of them is shown."""
        return f"{self.each_at}/{quote(name, safe='')}"


#: Every kind that has pages.
KINDS: Final = {
    one.key: one
    for one in (
        KindOf(key="food", one="own food", many="own foods", room="foods",
               list_at="/foods/own", each_at="/foods/own", read=food_of),
        KindOf(key="recipe", one="recipe", many="recipes", room="recipes",
               list_at="/recipes", each_at="/recipes", read=recipe_of),
        KindOf(key="trip", one="trip", many="trips", room="trips",
               list_at="/trips", each_at="/trips", read=trip_of),
        KindOf(key="track", one="track", many="tracks", room="trips",
               list_at="/trips", each_at="/tracks", ending=".gpx"),
        KindOf(key="menu", one="menu", many="menus", room="menus",
               list_at="/menus", each_at="/menus", read=menu_of),
        KindOf(key="log", one="log", many="logs", room="after",
               list_at="/after", each_at="/after", read=log_of),
        KindOf(key="provision", one="cupboard and packs", many="cupboards and packs",
               room="kitchen", list_at="/kitchen", each_at="/cupboards"),
        KindOf(key="composition", one="composition", many="compositions", room="compose",
               list_at="/compose", each_at="/compose", read=composition_of),
        KindOf(key="season", one="season", many="seasons", room="season",
               list_at="/season", each_at="/season", read=season_of),
    )
}  # fmt: skip


def kind_of(key: str) -> KindOf:
    """The kind, or 'there is nothing here'."""
    try:
        return KINDS[key]
    except KeyError:
        raise NotFoundException from None
