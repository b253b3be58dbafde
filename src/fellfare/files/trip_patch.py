"""A changed trip put into the document that it was read from: comments and all else stay."""

from __future__ import annotations

import tomllib
from typing import Any, Final

from fellfare.files.trip_toml import trip_text
from fellfare.trip.trip import Trip

#: Tables of the document that learning touches, and the trip's own word for each.
_TABLES: Final = {"walker": "walkers", "kitchen": "kitchens", "eating": "eating"}


def patched(text: str, before: Trip, after: Trip) -> str:
    """The document ``text`` of ``before`` with the walkers, kitchens and eating times of ``after``.

    Only keys whose value differs are written; the same text where nothing does.  A table that
    the document leaves to its usual rows (the eating times) is written whole when one differs.
    """
    import tomlkit  # only writing needs it, and it is slow to import

    was, now = tomllib.loads(trip_text(before)), tomllib.loads(trip_text(after))
    if all(getattr(before, rows) == getattr(after, rows) for rows in _TABLES.values()):
        return text
    document: Any = tomlkit.parse(text)
    for table, word in _TABLES.items():
        told_before, told_after = getattr(before, word), getattr(after, word)
        if told_before == told_after:
            continue
        rows, old_rows = now.get(table, []), was.get(table, [])
        if table not in document or len(document[table]) != len(rows):
            document[table] = tomlkit.item(rows)
            continue
        for at, (row, old) in enumerate(zip(rows, old_rows, strict=True)):
            for key, value in row.items():
                # a usual value may stand in one text and not in the other: it is the same
                if old.get(key) != value and _of(told_before[at], key) != _of(told_after[at], key):
                    document[table][at][key] = value
            for key in old.keys() - row.keys():  # left out is the usual value
                if key in document[table][at]:
                    document[table][at].remove(key)
    made: str = tomlkit.dumps(document)
    return made


def _of(told: object, key: str) -> object:
    return getattr(told, key, None)
