"""A bound and its prices, where no search is to go by them: whole, or span by span if large."""

from __future__ import annotations

from typing import Final

from fellfare.menu.model.board import Board
from fellfare.menu.model.pricing import Prices
from fellfare.menu.model.relaxing import Relaxed, relax
from fellfare.menu.model.spanning import relax_by_spans, span_of_days
from fellfare.menu.solver import Effort

#: Above so many cells a walk of several spans is taken span by span.
MOST_CELLS: Final = 200


def relax_for_bound(
    board: Board, effort: Effort, near: float = 2e-4, warm: Prices | None = None
) -> Relaxed:
    """Prices and the bound that they prove; ``warm`` prices help.

    Raises ``StoppedError`` when not even a first answer came in time.
    """
    if board.cells > MOST_CELLS and max(span_of_days(board)) > 0:
        return relax_by_spans(board, effort, near, warm=warm)
    days = list(range(board.days))
    return relax(board, days, effort, near=near, warm=warm, whole_packs=False)
