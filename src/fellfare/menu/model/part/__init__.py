"""A part of the menu chosen anew, all else standing: one small mixed model."""

from fellfare.menu.model.part.building import Part, part_of
from fellfare.menu.model.part.filling import begun_at, filled, solve_part

__all__ = ["Part", "begun_at", "filled", "part_of", "solve_part"]
