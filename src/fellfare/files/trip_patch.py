"""A changed trip put into the document that it was read from: comments and all else stay."""

from __future__ import annotations

import tomllib
from typing import Any, Final

from fellfare.files.trip_toml import trip_text
from fellfare.trip.trip import Trip

#: Tables of the document that learning touches.
_TABLES: Final = ("walker", "kitchen", "eating")


def patched(text: str, before: Trip, after: Trip) -> str:
    """The document ``text`` of ``before`` with the walkers, kitchens and eating times of ``after``.

    Only keys whose value differs are written; the same text where nothing does.  A table that
    the document leaves to its usual rows (the eating times) is written whole when one differs.
    """
    import tomlkit  # only writing needs it, and it is slow to import

    was, now = tomllib.loads(trip_text(before)), tomllib.loads(trip_text(after))
    if all(was.get(table) == now.get(table) for table in _TABLES):
        return text
    document: Any = tomlkit.parse(text)
    for table in _TABLES:
        if was.get(table) == now.get(table):
            continue
        rows, old_rows = now.get(table, []), was.get(table, [])
        if table not in document or len(document[table]) != len(rows):
            document[table] = tomlkit.item(rows)
            continue
        for at, (row, old) in enumerate(zip(rows, old_rows, strict=True)):
            for key, value in row.items():
                if old.get(key) != value:
                    document[table][at][key] = value
    made: str = tomlkit.dumps(document)
    return made
