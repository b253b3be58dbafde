"""From the text of a document to its value, and back.

The readers of the ``files`` room take a file; the book keeps text.  So a text is laid into a
file of its own for the moment of reading, and the mistake tells the document's name instead.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any, TypeVar

from fellfare.files.own_food import read_own_food
from fellfare.files.recipe_toml import read_recipe
from fellfare.mistake import Finding, Mistake, Mistakes
from fellfare.pantry.food import Food
from fellfare.recipe.document import Recipe

if TYPE_CHECKING:  # both take their time to import
    from fellfare.menu.written import WrittenMenu
    from fellfare.trip.trip import Trip

T = TypeVar("T")


def recipe_of(text: str, name: str = "recipe") -> Recipe:
    """The recipe that a TOML document holds.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.recipe_toml.read_recipe`; ``where`` opens with ``name``.
    """
    return _through_a_file(text, name, lambda path: read_recipe(path).recipe)


def food_of(text: str, name: str = "food") -> tuple[Food, tuple[Finding, ...]]:
    """The own food that a TOML document holds, and what is odd about its label.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.own_food.read_own_food`; ``where`` opens with ``name``.
    """
    return _through_a_file(text, name, read_own_food)


def trip_of(text: str, name: str = "trip") -> Trip:
    """The trip that a TOML document holds; its track is not looked at.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.trip_toml.read_trip`; ``where`` opens with ``name``.
    """
    from fellfare.files.trip_toml import read_trip

    return _through_a_file(text, name, lambda path: read_trip(path).trip)


def menu_of(text: str, name: str = "menu") -> WrittenMenu:
    """The menu that a TOML document holds.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.menu_toml.read_menu`; ``where`` opens with ``name``.
    """
    from fellfare.files.menu_toml import read_menu

    return _through_a_file(text, name, read_menu)


def _through_a_file(text: str, name: str, read: Callable[[Path], T]) -> T:
    with TemporaryDirectory(prefix="fellfare-") as folder:
        path = Path(folder) / "document.toml"
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        try:
            return read(path)
        except Mistake as mistake:
            raise _renamed(mistake, str(path), name) from None


def _renamed(mistake: Mistake, path: str, name: str) -> Mistake:
    if isinstance(mistake, Mistakes):
        return Mistakes(tuple(_renamed(one, path, name) for one in mistake.each))
    where = mistake.where.replace(path, name)
    return Mistake(mistake.code, mistake.what, mistake.mend, where)


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
