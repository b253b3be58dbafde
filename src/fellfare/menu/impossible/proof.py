"""Is it proven that no menu keeps every wish?"""

from __future__ import annotations

from collections.abc import Callable

from fellfare.menu.model.board import Board
from fellfare.menu.model.relaxing import StoppedError, relax
from fellfare.menu.solver import Effort
from fellfare.menu.trying import Trying

#: A bound at no costs must be above this to count: far above what sums are rounded by.
ABOVE_ZERO = 1e-3


def proven_impossible(
    board: Board,
    blocks: list[int],
    seconds: float,
    tries: Trying,
    over: Callable[[], bool] | None = None,
) -> bool:
    """True when even with all costs left out the rules cannot all be kept (a bound above zero).

    ``over`` is asked between steps and says when to give up (False comes back then).
    """

    def halt(bound: float) -> bool:
        return bound > ABOVE_ZERO or (over is not None and over())

    try:
        free = relax(
            board,
            blocks,
            Effort(seconds=seconds, threads=tries.threads, seed=tries.seed),
            costs=False,
            halt=halt,
        )
    except StoppedError:
        return False
    return free.bound > ABOVE_ZERO
