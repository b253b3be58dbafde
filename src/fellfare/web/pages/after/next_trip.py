"""The trip document with what was learnt put in; comments and everything else stay."""

from __future__ import annotations

from typing import Any

import tomlkit

from fellfare.files.trip_patch import patched
from fellfare.learn.next_trip import NextTrip


def corrected(text: str, made: NextTrip) -> str:
    """The document of a trip, corrected; the same text where nothing is learnt."""
    return patched(text, made.before, made.trip)


def begun_from(text: str, made: NextTrip, title: str, track: str) -> str:
    """A new trip like it, corrected: without a date, on the same track (``track``, or none)."""
    document: Any = tomlkit.parse(corrected(text, made))
    document["title"] = title
    if "start_date" in document:
        document.remove("start_date")
    if track and made.before.way.gpx:
        document["walk"]["gpx"] = f"{track}.gpx"
    told: str = tomlkit.dumps(document)
    return told
