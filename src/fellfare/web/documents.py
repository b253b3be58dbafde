"""From the text of a document to its value, and back.

The readers of the ``files`` room take a file; the book keeps text.  So a text is shown to them as
a file that lies in memory and bears the document's name: nothing of it goes to the disk.
"""

from __future__ import annotations

import sys
import tomllib
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from fellfare.files.own_food import read_own_food
from fellfare.files.recipe_toml import read_recipe
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
    return read_recipe(_as_file(text, name)).recipe


def food_of(text: str, name: str = "food") -> tuple[Food, tuple[Finding, ...]]:
    """The own food that a TOML document holds, and what is odd about its label.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.own_food.read_own_food`; ``where`` opens with ``name``.
    """
    return read_own_food(_as_file(text, name))


@lru_cache(MOST_KEPT)
def trip_of(text: str, name: str = "trip") -> Trip:
    """The trip that a TOML document holds; its track is not looked at.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.trip_toml.read_trip`; ``where`` opens with ``name``.
    """
    from fellfare.files.trip_toml import read_trip

    return read_trip(_as_file(text, name)).trip


@lru_cache(MOST_KEPT)
def menu_of(text: str, name: str = "menu") -> WrittenMenu:
    """The menu that a TOML document holds.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.menu_toml.read_menu`; ``where`` opens with ``name``.
    """
    from fellfare.files.menu_toml import read_menu

    return read_menu(_as_file(text, name))


def log_of(text: str, name: str = "log") -> LogFile:
    """The log that a TOML document holds; it is not held against its trip.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.log_toml.read_log`; ``where`` opens with ``name``.
    """
    from fellfare.files.log_toml import read_log

    return read_log(_as_file(text, name))


def composition_of(text: str, name: str = "composition") -> CompositionFile:
    """What a TOML document asks of the composer.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.composition_toml.read_composition`.
    """
    from fellfare.files.composition_toml import read_composition

    return read_composition(_as_file(text, name))


def season_of(text: str, name: str = "season") -> SeasonFile:
    """The season that a TOML document holds; its trips are not looked for.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.season_toml.read_season`; ``where`` opens with ``name``.
    """
    from fellfare.files.season_toml import read_season

    return read_season(_as_file(text, name))


def own_of(text: str, pantry: Pantry, name: str = "provision") -> Own:
    """What somebody has, buys and packs for a trip, by a TOML document.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.provision_toml.read_own`.
    """
    from fellfare.files.provision_toml import read_own

    return read_own(_as_file(text, name), pantry)


class _TextAsFile(Path):
    """A file that lies in memory under the name of a document: it can be opened, no more."""

    if sys.version_info < (3, 12):  # there Path itself cannot be built upon
        _flavour = type(Path())._flavour  # type: ignore[attr-defined]  # private, and gone since

    data: bytes

    def open(self, mode: str = "r", *_: Any, **__: Any) -> BytesIO:  # type: ignore[override]
        """Its bytes, to be read (the readers of ``files`` ask for nothing else)."""
        if mode != "rb":
            raise ValueError(f"a text in memory is not opened as {mode!r}")
        return BytesIO(self.data)


def _as_file(text: str, name: str) -> Path:
    file = _TextAsFile(name.replace("/", "-") or "document")
    file.data = text.encode("utf-8", "surrogatepass")
    return file


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
