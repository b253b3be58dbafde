"""Rows and extra columns while they are put together, and what they are put together from."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import numpy as np

from fellfare.menu.model.board import Extras, Floats, Indices, Rows
from fellfare.menu.model.cells import Cells
from fellfare.menu.model.fitting import legs_of
from fellfare.menu.pool import Question
from fellfare.mistake import Mistake

INFINITE = float("inf")
#: More terms than this are refused before memory is asked for (about 1 GB).
MOST_TERMS = 20_000_000

#: Figure, plates, and what each plate's servings count.
Terms = tuple[int, Indices, Floats]


class Ground:
    """The cells and plates that rows stand on, by day and walker."""

    def __init__(self, question: Question, place: dict[str, int], cells: Cells) -> None:
        self.question, self.place = question, place
        self.legs = legs_of(question)
        self.walker = {walker.id: at for at, walker in enumerate(question.walkers)}
        self.cell_day = np.array(cells.day, dtype=np.int64)
        self.cell_slot = np.array(cells.slot, dtype=np.int64)
        self.cell_walker = np.array(cells.walker, dtype=np.int64)
        self.cell_time = np.array(cells.time)
        counts = np.array([len(each) for each in cells.plates], dtype=np.int64)
        self.plate_start = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
        self.plate_cell = np.repeat(np.arange(counts.shape[0]), counts).astype(np.int64)
        self.plate_walker = np.array([w for p in cells.plates for w in p], dtype=np.int64)
        self.plate_day = self.cell_day[self.plate_cell]
        self.leg_of_day = np.zeros(question.days, dtype=np.int64)
        for at, leg in enumerate(self.legs):
            self.leg_of_day[leg.first_day - 1 : leg.last_day] = at
        self._of: dict[tuple[int, int], list[int]] = {}
        for plate, mark in enumerate(
            zip(self.plate_walker.tolist(), self.plate_day.tolist(), strict=True)
        ):
            self._of.setdefault(mark, []).append(plate)
        shares = np.array([slot.carried_share for slot in question.slots])
        self._own_share = shares[self.cell_slot[self.plate_cell]]

    def eaten(self, walker: int, days: Sequence[int]) -> Indices:
        """The plates of one walker on these days."""
        found = [plate for day in days for plate in self._of.get((walker, day), ())]
        return np.array(sorted(found), dtype=np.int64)

    def eats(self, walker: int) -> Indices:
        """The cells that one walker eats from."""
        return np.unique(self.plate_cell[self.plate_walker == walker])

    def on_days(self, first: int, last: int) -> Indices:
        """All plates of these days."""
        return np.nonzero((self.plate_day >= first) & (self.plate_day <= last))[0]

    def carried(self, walker: int, day: int, whole_day: bool) -> tuple[Indices, Floats]:
        """Plates of which ``walker`` carries a part on ``day``, and the part.

        What a slot's food counts on its own day is the slot's ``carried_share``,
        or all of it (``whole_day``: the load at the start of the day).
        """
        question = self.question
        share = question.walkers[walker].common_share
        if share is None:
            share = 1.0 / len(question.walkers)
        plates = self.on_days(day, self.legs[self.leg_of_day[day - 1]].last_day)
        own = self.cell_walker[self.plate_cell[plates]]
        part = np.where(own == walker, 1.0, np.where(own == -1, share, 0.0))
        if not whole_day:
            today = self.plate_day[plates] == day
            part = np.where(today, part * self._own_share[plates], part)
        some = np.nonzero(part)[0]
        return plates[some], part[some]


class RowDraft:
    """Rows on portions, one after another."""

    def __init__(self) -> None:
        self.wish: list[str] = []
        self.unit: list[str] = []
        self.where: list[str] = []
        self.rule: list[int] = []
        self.day: list[int] = []
        self.low: list[float] = []
        self.high: list[float] = []
        self.scale: list[float] = []
        self.row: list[Indices] = []
        self.plate: list[Indices] = []
        self.figure: list[Indices] = []
        self.value: list[Floats] = []
        self.extra: list[tuple[int, int, float]] = []
        self.terms = 0

    def add(
        self,
        wish: str,
        unit: str,
        where: str,
        terms: Sequence[Terms],
        low: float = -INFINITE,
        high: float = INFINITE,
        day: int = 1,
        rule: int = -1,
        scale: float | None = None,
    ) -> int:
        """One row; its number.

        ``rule``: rows of one rule (0 or more) may be added up when days are
        taken together; they must have the same sides limited. ``scale`` is the
        size that a miss is told against (else the larger limit).
        """
        at = len(self.low)
        self.wish.append(wish)
        self.unit.append(unit)
        self.where.append(where)
        self.rule.append(rule)
        self.day.append(day)
        self.low.append(low)
        self.high.append(high)
        finite = [abs(x) for x in (low, high) if np.isfinite(x) and x != 0]
        self.scale.append(scale or (max(finite) if finite else 1.0))
        for figure, plates, numbers in terms:
            self.row.append(np.full(plates.shape[0], at, dtype=np.int64))
            self.plate.append(plates)
            self.figure.append(np.full(plates.shape[0], figure, dtype=np.int64))
            self.value.append(numbers)
            self.terms += plates.shape[0]
            if self.terms > MOST_TERMS:
                raise Mistake(
                    "menu-too-large",
                    what=f"the rules of this walk take more than {MOST_TERMS:,} terms",
                    mend="split the party or the walk, or give the load in the need itself",
                )
        return at

    def done(self, plates: int) -> Rows:
        """All rows, their terms sorted by plate."""

        def joined(parts: list[Indices]) -> Indices:
            return np.concatenate(parts) if parts else np.zeros(0, dtype=np.int64)

        plate = joined(self.plate)
        order = np.argsort(plate, kind="stable")
        value = np.concatenate(self.value) if self.value else np.zeros(0)
        return Rows(
            wish=tuple(self.wish),
            unit=tuple(self.unit),
            where=tuple(self.where),
            rule=np.array(self.rule, dtype=np.int64),
            day=np.array(self.day, dtype=np.int64),
            low=np.array(self.low, dtype=np.float64),
            high=np.array(self.high, dtype=np.float64),
            scale=np.array(self.scale, dtype=np.float64),
            term_start=np.searchsorted(plate[order], np.arange(plates + 1)).astype(np.int64),
            term_row=joined(self.row)[order],
            term_figure=joined(self.figure)[order],
            term_value=value[order],
            extra_row=np.array([e[0] for e in self.extra], dtype=np.int64),
            extra_column=np.array([e[1] for e in self.extra], dtype=np.int64),
            extra_value=np.array([e[2] for e in self.extra], dtype=np.float64),
        )


class ExtraDraft(msgspec.Struct):
    """Columns of their own, one after another."""

    name: list[str] = []
    cost: list[float] = []
    high: list[float] = []
    dish: list[int] = []
    food: list[str] = []

    def add(self, name: str, cost: float, high: float, dish: int = -1, food: str = "") -> int:
        """One column from 0 to ``high``; its number."""
        self.name.append(name)
        self.cost.append(cost)
        self.high.append(high)
        self.dish.append(dish)
        self.food.append(food)
        return len(self.name) - 1

    def done(self) -> Extras:
        """All columns."""
        return Extras(
            name=tuple(self.name),
            cost=np.array(self.cost, dtype=np.float64),
            low=np.zeros(len(self.name)),
            high=np.array(self.high, dtype=np.float64),
            dish=np.array(self.dish, dtype=np.int64),
            food=tuple(self.food),
        )
