"""Which menus belong to a trip?  A menu bears the trip's name, further ones with a number."""

from __future__ import annotations

from collections.abc import Iterable

#: 'harrowmoor-round', 'harrowmoor-round.2', …
_BETWEEN = "."


def menus_of(trip: str, menus: Iterable[str]) -> tuple[str, ...]:
    """Names of the trip's menus, the first one first."""
    opening = trip + _BETWEEN
    mine = [one for one in menus if one == trip or _is_further(one, opening)]
    return tuple(sorted(mine, key=lambda one: (len(one), one)))


def trip_of_menu(menu: str, trips: Iterable[str]) -> str | None:
    """The trip that a menu belongs to; None = there is none of that name."""
    trips = set(trips)
    if menu in trips:
        return menu
    opening, _, number = menu.rpartition(_BETWEEN)
    return opening if opening in trips and number.isdigit() else None


def next_menu(trip: str, menus: Iterable[str]) -> str:
    """A name for one more menu of the trip."""
    taken = {one.casefold() for one in menus}
    if trip.casefold() not in taken:
        return trip
    number = 2
    while f"{trip}{_BETWEEN}{number}".casefold() in taken:
        number += 1
    return f"{trip}{_BETWEEN}{number}"


def _is_further(menu: str, opening: str) -> bool:
    return menu.startswith(opening) and menu[len(opening) :].isdigit()
