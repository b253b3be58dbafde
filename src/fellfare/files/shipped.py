"""The tables that come with the package, and where they lie."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Final

import msgspec

from fellfare.pantry.food import Food
from fellfare.pantry.pantry import Pantry

TABLES: Final = Path(__file__).parent / "tables"


@cache
def shipped_pantry() -> Pantry:
    """The foods that come with Fellfare (read once per process)."""
    return Pantry(msgspec.json.Decoder(Food).decode_lines((TABLES / "foods.jsonl").read_bytes()))
