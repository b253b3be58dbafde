"""From the text of a document to its value, and back, by the readers of the ``files`` room."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from fellfare.files.own_food import own_food_of_text
from fellfare.files.recipe_toml import recipe_of_text
from fellfare.mistake import Finding
from fellfare.pantry.food import Food
from fellfare.recipe.document import Recipe

if TYPE_CHECKING:  # both take their time to import
    from fellfare.files.composition_toml import CompositionFile
    from fellfare.files.log_toml import LogFile
    from fellfare.files.season_toml import SeasonFile
    from fellfare.menu.written import WrittenMenu
    from fellfare.pantry.pantry import Pantry
    from fellfare.provision.trip.own import Own
    from fellfare.trip.trip import Trip

#: So many trips, and menus, are kept at hand once they are read: their pages ask again and again.
MOST_KEPT: Final = 48


def recipe_of(text: str, name: str = "recipe") -> Recipe:
    """The recipe that a TOML document holds.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.recipe_toml.read_recipe`; ``where`` opens with ``name``.
    """
    return recipe_of_text(text, _named(name)).recipe


def food_of(text: str, name: str = "food") -> tuple[Food, tuple[Finding, ...]]:
    """The own food that a TOML document holds, and what is odd about its label.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.own_food.read_own_food`; ``where`` opens with ``name``.
    """
    return own_food_of_text(text, _named(name))


@lru_cache(MOST_KEPT)
def trip_of(text: str, name: str = "trip") -> Trip:
    """The trip that a TOML document holds; its track is not looked at.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.trip_toml.read_trip`; ``where`` opens with ``name``.
    """
    from fellfare.files.trip_toml import trip_of_text

    return trip_of_text(text, _named(name)).trip


@lru_cache(MOST_KEPT)
def menu_of(text: str, name: str = "menu") -> WrittenMenu:
    """The menu that a TOML document holds.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.menu_toml.read_menu`; ``where`` opens with ``name``.
    """
    from fellfare.files.menu_toml import menu_of_text

    return menu_of_text(text, _named(name))


def log_of(text: str, name: str = "log") -> LogFile:
    """The log that a TOML document holds; it is not held against its trip.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.log_toml.read_log`; ``where`` opens with ``name``.
    """
    from fellfare.files.log_toml import log_of_text

    return log_of_text(text, _named(name))


def composition_of(text: str, name: str = "composition") -> CompositionFile:
    """What a TOML document asks of the composer.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.composition_toml.read_composition`.
    """
    from fellfare.files.composition_toml import composition_of_text

    return composition_of_text(text, _named(name))


def season_of(text: str, name: str = "season") -> SeasonFile:
    """The season that a TOML document holds; its trips are not looked for.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.season_toml.read_season`; ``where`` opens with ``name``.
    """
    from fellfare.files.season_toml import season_of_text

    return season_of_text(text, _named(name))


def own_of(text: str, pantry: Pantry, name: str = "provision") -> Own:
    """What somebody has, buys and packs for a trip, by a TOML document.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.provision_toml.read_own`.
    """
    from fellfare.files.provision_toml import own_of_text

    return own_of_text(text, _named(name), pantry)


def _named(name: str) -> Path:
    """The name by which mistakes call the document; nothing is opened."""
    return Path(name.replace("/", "-") or "document")


def food_keys(text: str) -> dict[str, Any]:
    """The keys of an own food's document, as far as it is TOML (else none)."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return {}


def food_text(keys: dict[str, Any]) -> str:
    """An own food's document with these keys, tables last."""
    import tomlkit  # only writing needs it, and it is slow to import

    plain = {key: value for key, value in keys.items() if not _is_table(value)}
    return tomlkit.dumps(plain | {key: one for key, one in keys.items() if _is_table(one)})


def _is_table(value: Any) -> bool:
    listed = isinstance(value, list) and bool(value) and isinstance(value[0], dict)
    return isinstance(value, dict) or listed
