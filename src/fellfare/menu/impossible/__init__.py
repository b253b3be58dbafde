"""Why there is no menu: which wishes clash, and what must give."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fellfare.menu.answer import Give
from fellfare.menu.model.board import Board
from fellfare.menu.model.fitting import why_not
from fellfare.menu.model.relaxing import StoppedError, relax
from fellfare.menu.pool import Question
from fellfare.menu.solver import Effort

if TYPE_CHECKING:
    from fellfare.menu.planning import Budgeted

EVERY_TIME = "a dish at every eating time"


def empty_cells(question: Question, board: Board) -> tuple[Give, ...]:
    """Eating times at which no dish, or not enough dishes, may stand at all, and why."""
    gives = []
    for cell in range(board.cells):
        fits = int(board.allowed(cell).sum()) * int(board.cell_twice[cell])
        least = int(board.cell_least[cell])
        if fits >= least:
            continue
        slot = question.slots[int(board.cell_slot[cell])]
        who = int(board.cell_walker[cell])
        walker = None if who < 0 else board.walker_ids[who]
        reasons: dict[str, int] = {}
        for dish in question.dishes:
            reason = why_not(question, slot, walker, dish)
            if reason is not None:
                reasons[reason] = reasons.get(reason, 0) + 1
        most = sorted(reasons.items(), key=lambda each: (-each[1], each[0]))[:3]
        told = "; ".join(f"{many}: {reason}" for reason, many in most) or "there are no dishes"
        gives.append(
            Give(
                wish=EVERY_TIME,
                gives=f"day {slot.day}, {slot.time}"
                + (f", {walker}" if walker else "")
                + f": {fits} of {len(question.dishes)} dishes fit ({told})",
                amount=float(least - fits),
                unit="dishes",
            )
        )
    return tuple(gives)


def proven_impossible(board: Board, blocks: list[int], seconds: float, tries: Budgeted) -> bool:
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
    return free.bound > 1e-3
