"""What comes back: the menu, its proof, or why there is none."""

from __future__ import annotations

from typing import Literal, TypeAlias

import msgspec

Verdict: TypeAlias = Literal["optimal", "good-enough", "stopped", "impossible"]


class Portion(msgspec.Struct, frozen=True, kw_only=True):
    """One walker's part of a dish, in whole steps of the dish, and its mass as carried."""

    walker: str
    steps: int
    mass_g: float
    energy_kcal: float


class Plate(msgspec.Struct, frozen=True, kw_only=True):
    """A dish at an eating time, ``times`` of it, with every eater's portion."""

    day: int
    time: str
    dish: str
    shared: bool
    times: int
    portions: tuple[Portion, ...]


class Progress(msgspec.Struct, frozen=True, kw_only=True):
    """How far the search has come; figures in grams as weighed by the wishes."""

    stage: str
    best_g: float | None
    bound_g: float
    gap: float


class Give(msgspec.Struct, frozen=True, kw_only=True):
    """One wish that gives way, by how much, in the person's own unit."""

    wish: str
    gives: str
    amount: float
    unit: str


class Menu(msgspec.Struct, frozen=True, kw_only=True):
    """The answer.

    ``weighed_g`` is what was made least (mass, with liking and cost in grams as
    the weights say); ``bound_g`` is proven: no menu that keeps all wishes weighs
    less. ``gap`` is their relative distance. ``mass_g`` is food, packaging and
    fuel; ``bound_mass_g`` a proven floor of that mass alone. 'stopped' without
    plates says nothing about whether a menu exists; 'impossible' is proven.
    """

    verdict: Verdict
    plates: tuple[Plate, ...] = ()
    mass_g: float | None = None
    bound_mass_g: float = 0.0
    weighed_g: float | None = None
    bound_g: float = float("-inf")
    gap: float = float("inf")
    cost: float | None = None
    packs: tuple[tuple[str, int], ...] = ()
    unknown: tuple[tuple[str, str], ...] = ()
    gives: tuple[Give, ...] = ()
    solver: str = ""
    seconds: float = 0.0
    solves: int = 0
