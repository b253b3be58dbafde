"""Is it proven that no menu keeps every wish?"""

from __future__ import annotations

from fellfare.menu.model.board import Board
from fellfare.menu.model.relaxing import StoppedError, relax
from fellfare.menu.solver import Effort
from fellfare.menu.trying import Trying

#: A bound at no costs must be above this to count: far above what sums are rounded by.
ABOVE_ZERO = 1e-3


def proven_impossible(board: Board, blocks: list[int], seconds: float, tries: Trying) -> bool:
    """True when even with all costs left out the rules cannot all be kept (a bound above zero)."""
    try:
        free = relax(
            board,
            blocks,
            Effort(seconds=seconds, threads=tries.threads, seed=tries.seed),
            costs=False,
        )
    except StoppedError:
        return False
    return free.bound > ABOVE_ZERO
