"""What does a plan cost? Asked of hundreds of plans that differ in a few eating times."""

from __future__ import annotations

from fellfare.menu.model.board import Board
from fellfare.menu.model.fitting import legs_of
from fellfare.menu.model.plan import Pick, Plan
from fellfare.menu.pool import Question
from fellfare.menu.telling import money_of


class Purse:
    """The same figure as ``telling.money_of``, each filling of a cell added up only once.

    Where foods are bought in whole packs nothing can be added up cell by cell, and
    ``money_of`` is asked.
    """

    def __init__(self, question: Question, board: Board) -> None:
        self.question, self.board = question, board
        self.by_cell = not any(board.extras.food)
        self.fees = sum(leg.fee for leg in legs_of(question))
        self.price = [
            None if dish.cost is None else dish.cost / dish.steps_per_serving
            for dish in question.dishes
        ]
        self.known: dict[tuple[Pick, ...], float | None] = {}

    def money(self, plan: Plan) -> float | None:
        """Dishes, packs and fees; None when a price is not known."""
        if not self.by_cell:
            return money_of(self.question, self.board, plan)
        total = self.fees
        for picks in plan.picks.values():
            key = tuple(picks)
            if key not in self.known:
                self.known[key] = self._filling(key)
            part = self.known[key]
            if part is None:
                return None
            total += part
        return total

    def _filling(self, picks: tuple[Pick, ...]) -> float | None:
        total = 0.0
        for r, _, steps in picks:
            price = self.price[r]
            if price is None:
                return None
            total += price * sum(steps)
        return total
