"""Trips: who walks where, and what each day asks."""

from __future__ import annotations

from typing import Any, Final

from fellfare.web.pages.trips.edit import EDITING
from fellfare.web.pages.trips.read import READING

#: Every page of trips.
TRIPS: Final[list[Any]] = [*READING, *EDITING]
