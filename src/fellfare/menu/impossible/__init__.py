"""Why there is no menu: which wishes clash, and what must give, by how much."""

from fellfare.menu.impossible.empty import EVERY_TIME, empty_cells
from fellfare.menu.impossible.proof import proven_impossible

__all__ = ["EVERY_TIME", "empty_cells", "proven_impossible"]
