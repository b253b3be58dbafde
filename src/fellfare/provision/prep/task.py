"""One thing to do at home, and the calendar it stands in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import Final, Literal

from msgspec import Struct

from fellfare.mistake import Finding
from fellfare.pantry.food import Food
from fellfare.provision.keep_by import Filling, kept
from fellfare.provision.prep.drying import Drying

Kind = Literal["buy", "dry", "condition", "cook", "toast", "mix", "dice", "weigh", "bag", "clean"]

#: Days between the kitchen and the packing: toasted and cooked food must be cold and dry.
LEAD: Final[dict[Kind, int]] = {
    "buy": 2, "cook": 1, "dry": 2, "condition": 1, "dice": 1, "toast": 1, "mix": 0, "weigh": 0,
    "bag": 0, "clean": 0,
}  # fmt: skip


class Task(Struct, frozen=True, kw_only=True):
    """One thing to do at home."""

    kind: Kind
    #: '1.2 kg carrots to 150 g dried: 4 trays, 8 to 32 h at 54 to 63 °C'.
    text: str
    dish: str
    #: '' = for the start; else the box it goes into.
    stop: str
    foods: tuple[str, ...]
    #: Mass that goes in and comes out [g]; None = not known.
    in_g: float | None
    out_g: float | None
    #: Days before it must be ready for packing; 0 = that day.
    days_before: int
    #: Latest day; None when no date is known.
    latest: date | None
    #: Not before: the food would be past its quality when eaten; None = not known.
    earliest: date | None
    minutes: float | None = None
    drying: Drying | None = None
    bags: tuple[int, ...] = ()
    findings: tuple[Finding, ...] = ()


class Clock(Struct, frozen=True, kw_only=True):
    """Which day is how many days before packing?"""

    when: dict[str, date]
    first_day: date | None
    storage_c: float | None
    #: How the bags of a place lie, where it is not the start's.
    fillings: Mapping[str, Filling] = {}

    def latest(self, stop: str, days_before: int) -> date | None:
        ready = self.when.get(stop, self.when.get(""))
        return None if ready is None else ready - timedelta(days=days_before)

    def earliest(self, foods: Iterable[Food], eaten_on_day: int, stop: str = "") -> date | None:
        """The last eating day less the shortest keeping time, as the label reckons it."""
        told = kept(foods, self.fillings.get(stop, Filling(storage_c=self.storage_c)))
        if self.first_day is None or told.days is None:
            return None
        return self.first_day + timedelta(days=eaten_on_day - 1 - told.days)
