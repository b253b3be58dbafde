"""One stand-in for one food."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from fellfare.pantry.food import Food, Trust
from fellfare.pantry.swaps.difference import Difference

#: By what the stand-in equals the food.
Basis = Literal["dry matter", "flavour", "heat", "no flame"]


class Swap(Struct, frozen=True, kw_only=True):
    """So much of one food for so much of another."""

    food: Food
    stand_in: Food
    basis: Basis
    #: Mass that is replaced [g].
    mass_g: float
    #: Mass of the stand-in, edible part: the ends of what is published, equal when
    #: reckoned; None = nobody tells how much [g].
    low_g: float | None
    high_g: float | None
    #: Water to add with the stand-in; below zero: to leave out [mL].  None = unknown.
    water_ml: float | None
    #: What must be bought with peel and stones [g]; None = refuse unknown.
    buy_g: float | None
    difference: Difference
    #: What the cook should know.
    notes: tuple[str, ...]
    trust: Trust
    source: str

    @property
    def stand_in_g(self) -> float | None:
        """Middle of the spread [g]."""
        if self.low_g is None or self.high_g is None:
            return None
        return (self.low_g + self.high_g) / 2

    @property
    def saves_g(self) -> float | None:
        """How much lighter the bag gets; below zero: heavier [g]."""
        return None if self.stand_in_g is None else self.mass_g - self.stand_in_g
