"""The trip document with what was learnt put in; comments and everything else stay."""

from __future__ import annotations

import tomllib
from typing import Any, Final

import tomlkit

from fellfare.files.trip_toml import trip_text
from fellfare.learn.applied import with_lessons
from fellfare.learn.lessons import Lessons
from fellfare.trip.trip import Trip

#: Tables of the document that learning touches.
_TABLES: Final = ("walker", "kitchen", "eating")


def corrected(text: str, trip: Trip, lessons: Lessons) -> str:
    """The document of a trip, corrected; the same text where nothing is learnt."""
    return _patched(text, trip, with_lessons(trip, lessons))


def begun_from(text: str, trip: Trip, lessons: Lessons, title: str, track: str) -> str:
    """A new trip like it, corrected: without a date, on the same track (``track``, or none)."""
    document: Any = tomlkit.parse(corrected(text, trip, lessons))
    document["title"] = title
    if "start_date" in document:
        document.remove("start_date")
    if track and trip.way.gpx:
        document["walk"]["gpx"] = f"{track}.gpx"
    made: str = tomlkit.dumps(document)
    return made


def _patched(text: str, before: Trip, after: Trip) -> str:
    was, now = tomllib.loads(trip_text(before)), tomllib.loads(trip_text(after))
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
