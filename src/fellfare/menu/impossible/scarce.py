"""Are there too few dishes for a rule on repeats? Counted, not searched.

Within the days of a rule each dish may come so many times; an eater with fewer
dishes than that leaves room for cannot be fed by it, whatever else gives.
"""

from __future__ import annotations

from fellfare.menu.impossible.words import days_in_words, meals_in_words
from fellfare.menu.model.board import Board
from fellfare.menu.pool import Question, Repeat


def too_few(question: Question, board: Board, repeat: Repeat) -> str:
    """'Ana may have 2 dishes for 6 at snack on days 2 and 3'; '' = there are enough.

    Of several eaters and days those who are shortest of them. ``board`` is laid from
    ``question``.
    """
    worst = (0, "")
    for number, walker in enumerate(board.walker_ids):
        cells = _cells_of(board, number, repeat)
        of_time: dict[str, list[tuple[int, int]]] = {}
        for day, cell in cells:
            of_time.setdefault(meals_in_words((board.cell_time[cell],)), []).append((day, cell))
        for some in (cells, *of_time.values()):
            for first in sorted({day for day, _ in some}):
                inside = [cell for day, cell in some if first <= day < first + repeat.within_days]
                words = _words(question, board, repeat, inside)
                needed = sum(int(board.cell_least[cell]) for cell in inside)
                if words is not None and needed - len(words) * repeat.most > worst[0]:
                    told = f"{walker} has {_many(len(words), repeat.key)} for {needed}"
                    worst = needed - len(words) * repeat.most, told + _where(board, inside)
    return worst[1]


def _words(question: Question, board: Board, repeat: Repeat, cells: list[int]) -> set[str] | None:
    """What the rule counts, of all dishes that may stand there; None: something is free of it."""
    words: set[str] = set()
    for cell in cells:
        for at in board.allowed(cell).nonzero()[0].tolist():
            dish = question.dishes[at]
            word = dish.id if repeat.key == "dish" else getattr(dish, repeat.key)
            if not word:
                return None
            words.add(word)
    return words


def _many(number: int, key: str) -> str:
    several = {"dish": "dishes", "base": "bases", "family": "families"}[key]
    return f"{number} {key if number == 1 else several}"


def _where(board: Board, cells: list[int]) -> str:
    days = days_in_words(sorted({int(board.cell_day[cell]) for cell in cells}))
    times = tuple(dict.fromkeys(board.cell_time[cell] for cell in cells))
    return f" at {meals_in_words(times)}, {days}"


def _cells_of(board: Board, walker: int, repeat: Repeat) -> list[tuple[int, int]]:
    """(day, cell) from which a walker eats at the times of the rule."""
    mine = board.plate_cell[board.plate_walker == walker].tolist()
    return [
        (int(board.cell_day[cell]), int(cell))
        for cell in dict.fromkeys(mine)
        if not repeat.times or board.cell_time[cell] in repeat.times
    ]
