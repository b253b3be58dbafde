"""Is there an eating time at which nothing, or not enough, may be eaten? For which reasons?"""

from __future__ import annotations

from fellfare.menu.answer import Give
from fellfare.menu.model.board import Board
from fellfare.menu.model.fitting import why_not
from fellfare.menu.pool import Question, Slot

EVERY_TIME = "a dish at every eating time"
#: So many reasons are told, the most frequent first.
REASONS = 4


def empty_cells(question: Question, board: Board) -> tuple[Give, ...]:
    """Eating times at which no dish, or not enough dishes, may stand at all, and why."""
    gives = []
    for cell in range(board.cells):
        fits = int(board.allowed(cell).sum())
        least = int(board.cell_least[cell])
        missing = least - fits * int(board.cell_twice[cell])
        if missing <= 0:
            continue
        slot = question.slots[int(board.cell_slot[cell])]
        who = int(board.cell_walker[cell])
        walker = None if who < 0 else board.walker_ids[who]
        gives.append(
            Give(
                wish=EVERY_TIME,
                gives=f"{_which(slot, walker, fits)}; {reasons(question, slot, walker)}",
                amount=float(missing),
                unit="dishes",
            )
        )
    return tuple(gives)


def _which(slot: Slot, walker: str | None, fits: int) -> str:
    eater = f" that {walker} may eat" if walker is not None else ""
    if walker is None:
        eater = f" that {' and '.join(slot.walkers)} may share"
        if len(slot.walkers) > 3:
            eater = f" that all {len(slot.walkers)} may share"
    count = "no dish" if fits == 0 else f"only {fits} of {slot.least} dishes"
    return f"{count} for {slot.time} on day {slot.day}{eater}"


def reasons(question: Question, slot: Slot, walker: str | None) -> str:
    """How many dishes of that kind of meal fall out, and why: '12: it contains nuts (Ben)'."""
    counts: dict[str, int] = {}
    others = 0
    for dish in question.dishes:
        if slot.meal not in dish.meals:
            others += 1
            continue
        reason = why_not(question, slot, walker, dish)
        if reason is not None:
            counts[reason] = counts.get(reason, 0) + 1
    ranked = sorted(counts.items(), key=lambda each: (-each[1], each[0]))
    told = [f"{many}: {reason}" for reason, many in ranked[:REASONS]]
    rest = sum(many for _, many in ranked[REASONS:])
    if rest:
        told.append(f"{rest}: other reasons")
    kind = len(question.dishes) - others
    if not told:
        return f"there are {kind} dishes of that kind" if kind else "there is no dish of that kind"
    many = "dish falls" if sum(counts.values()) == 1 else "dishes fall"
    return f"{sum(counts.values())} of {kind} {many} out ({'; '.join(told)})"
