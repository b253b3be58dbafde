"""Good prices for the rules: the linear relaxation, solved by letting columns in as they pay.

The relaxation is kept small on purpose. A column is a dish in a group of cells
with each eater's portion at one end of its range (any portion between is a mix
of such columns, so no row is needed to tie portion to choice). Only columns
whose price pays are let in, only repeat rows that are overstepped are made.
Every row may be missed at a high cost, so there is always an answer; what is
proven is reckoned by ``pricing`` from the prices alone.
"""

from __future__ import annotations

import msgspec
import numpy as np

from fellfare.menu.model.board import Board, Floats, spans, weighed
from fellfare.menu.model.grouping import Grouped, grouped
from fellfare.menu.model.pricing import (
    Priced,
    Prices,
    no_prices,
    plate_prices,
    priced,
    right_signs,
    values,
)
from fellfare.menu.solver import Effort, Growing
from fellfare.menu.solver.problem import Problem

INFINITE = float("inf")
#: What missing a row by its own size costs [g], and missing one dish.
MISS_G = 50_000.0
MISS_DISH_G = 20_000.0
ROUNDS = 40


class Relaxed(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """The best bound found, the prices that prove it, and what the relaxation ate."""

    bound: float
    prices: Prices
    priced: Priced
    value: float
    missed: float
    eaten: dict[int, dict[int, float]]  # cell -> dish -> share
    seconds: float
    solves: int


class _Master:
    """The growing linear model over groups of cells."""

    def __init__(self, board: Board, group: Grouped, costs: bool, effort: Effort) -> None:
        self.board, self.group, self.costs = board, group, costs
        self.known: set[tuple[int, int, bytes]] = set()
        self.column_group: list[int] = []
        self.column_dish: list[int] = []
        self.column_at: list[int] = []
        self.members: dict[int, list[int]] = {}  # group -> columns (positions in the lists)
        self.made: dict[tuple[int, int], int] = {}  # (family group, key) -> row
        self.families_of: list[list[tuple[int, float]]] = [[] for _ in range(group.groups)]
        for f, family in enumerate(group.families):
            for g, weight in zip(family.groups.tolist(), family.weight.tolist(), strict=True):
                self.families_of[g].append((f, weight))
        self.model, self.columns, self.row_count = self._empty(effort)
        self.seconds = 0.0
        self.solves = 0

    def _empty(self, effort: Effort) -> tuple[Growing, int, int]:
        """Slack columns and plain extras only."""
        board, group = self.board, self.group
        extras = board.extras
        plain = [e for e in range(extras.count) if extras.dish[e] < 0]
        self.extra_at = {e: at for at, e in enumerate(plain)}
        cost = [extras.cost[e] if self.costs else 0.0 for e in plain]
        high = [extras.high[e] for e in plain]
        entries: list[tuple[int, int, float]] = []
        for row, e, value in zip(
            board.rows.extra_row.tolist(),
            board.rows.extra_column.tolist(),
            board.rows.extra_value.tolist(),
            strict=True,
        ):
            if e in self.extra_at:
                entries.append((group.groups + int(group.row_of[row]), self.extra_at[e], value))

        def slack(row: int, sign: float, price: float) -> None:
            entries.append((row, len(cost), sign))
            cost.append(price)
            high.append(INFINITE)

        first = board.cell_least[group.first_cell] * group.size
        last = board.cell_most[group.first_cell] * group.size
        for g in range(group.groups):
            if first[g] > 0:
                slack(g, 1.0, MISS_DISH_G)
        for r in range(group.rows):
            if np.isfinite(group.row_low[r]):
                slack(group.groups + r, 1.0, MISS_G / group.row_scale[r])
            if np.isfinite(group.row_high[r]):
                slack(group.groups + r, -1.0, MISS_G / group.row_scale[r])
        self.slack_first, self.slack_last = len(plain), len(cost)
        entries.sort()
        rows = group.groups + group.rows
        starts = np.searchsorted(np.array([e[0] for e in entries]), np.arange(rows + 1))
        problem = Problem(
            cost=np.array(cost, dtype=np.float64),
            low=np.zeros(len(cost)),
            high=np.array(high, dtype=np.float64),
            whole=np.zeros(len(cost), dtype=np.bool_),
            row_low=np.concatenate([first.astype(np.float64), group.row_low]),
            row_high=np.concatenate([last.astype(np.float64), group.row_high]),
            start=starts.astype(np.int32),
            index=np.array([e[1] for e in entries], dtype=np.int32),
            value=np.array([e[2] for e in entries], dtype=np.float64),
        )
        return Growing(problem, effort), len(cost), rows

    def add(self, new: list[tuple[int, int, Floats]]) -> int:
        """Let in columns (group, dish, servings per eater); how many were new."""
        fresh = []
        for g, dish, servings in new:
            mark = (g, dish, servings.tobytes())
            if mark not in self.known:
                self.known.add(mark)
                fresh.append((g, dish, servings))
        if not fresh:
            return 0
        board, group = self.board, self.group
        for g, dish, _ in fresh:
            for f, _weight in self.families_of[g]:
                family = group.families[f]
                if family.extra is not None and family.key[dish] >= 0:
                    self._make_row(f, int(family.key[dish]))
        g_of = np.array([each[0] for each in fresh], dtype=np.int64)
        dish_of = np.array([each[1] for each in fresh], dtype=np.int64)
        counts = group.plate_start[g_of + 1] - group.plate_start[g_of]
        column = np.repeat(np.arange(len(fresh)), counts)
        plate = spans(group.plate_start[g_of], counts)
        portion = np.concatenate([each[2] for each in fresh])
        dish_on = dish_of[column]
        per_plate = np.einsum("ij,ij->i", group.plate_cost[plate], board.figures[dish_on])
        cost = weighed(column, per_plate * portion, len(fresh))
        if self.costs:
            cost += board.dish_bonus[dish_of] * counts
            for cell, liked, extra in board.cell_bonus:
                here = (g_of == group.group_of_cell[cell]) & (dish_of == liked)
                cost[here] += extra / group.size[g_of[here]]
        else:
            cost[:] = 0.0
        terms = group.term_start[plate + 1] - group.term_start[plate]
        entry = np.repeat(np.arange(plate.shape[0]), terms)
        term = spans(group.term_start[plate], terms)
        value = (
            group.term_value[term]
            * portion[entry]
            * board.figures[dish_on[entry], group.term_figure[term]]
        )
        entry_mark = column[entry] * np.int64(group.rows) + group.term_row[term]
        marks, back = np.unique(entry_mark, return_inverse=True)
        value = weighed(back, value, marks.shape[0])
        columns = [marks // max(1, group.rows), np.arange(len(fresh))]
        rows = [group.groups + marks % max(1, group.rows), g_of]
        numbers = [value, np.ones(len(fresh))]
        extra_entries = [
            (at, self.made[f, int(group.families[f].key[r])], weight)
            for at, (g, r, _) in enumerate(fresh)
            for f, weight in self.families_of[g]
            if (f, int(group.families[f].key[r])) in self.made
        ]
        if extra_entries:
            columns.append(np.array([e[0] for e in extra_entries], dtype=np.int64))
            rows.append(np.array([e[1] for e in extra_entries], dtype=np.int64))
            numbers.append(np.array([e[2] for e in extra_entries], dtype=np.float64))
        all_columns, all_rows = np.concatenate(columns), np.concatenate(rows)
        all_values = np.concatenate(numbers)
        order = np.lexsort((all_rows, all_columns))
        start = np.searchsorted(all_columns[order], np.arange(len(fresh)))
        high = (board.cell_twice[group.first_cell[g_of]] * group.size[g_of]).astype(np.float64)
        self.model.add_columns(
            cost,
            np.zeros(len(fresh)),
            high,
            start.astype(np.int32),
            all_rows[order].astype(np.int32),
            all_values[order],
        )
        for g, r, _ in fresh:
            self.members.setdefault(g, []).append(len(self.column_dish))
            self.column_group.append(g)
            self.column_dish.append(r)
            self.column_at.append(self.columns)
            self.columns += 1
        return len(fresh)

    def _make_row(self, f: int, k: int) -> None:
        """Make the row of one family and key, with a way to miss it."""
        if (f, k) in self.made:
            return
        family = self.group.families[f]
        index: list[int] = []
        value: list[float] = []
        for g, weight in zip(family.groups.tolist(), family.weight.tolist(), strict=True):
            for at in self.members.get(g, ()):
                if family.key[self.column_dish[at]] == k:
                    index.append(self.column_at[at])
                    value.append(weight)
        row = self.row_count
        self.model.add_rows(
            np.array([family.low]),
            np.array([family.high]),
            np.array([0], dtype=np.int32),
            np.array(index, dtype=np.int32),
            np.array(value, dtype=np.float64),
        )
        self.made[f, k] = row
        self.row_count += 1
        if family.extra is not None:
            e = int(family.extra[k])
            where = self.board.rows
            entries = [(row, -1.0)]
            entries += [
                (self.group.groups + int(self.group.row_of[r]), float(v))
                for r, c, v in zip(
                    where.extra_row, where.extra_column, where.extra_value, strict=True
                )
                if c == e
            ]
            self.model.add_columns(
                np.array([self.board.extras.cost[e] if self.costs else 0.0]),
                np.zeros(1),
                np.array([self.board.extras.high[e]]),
                np.array([0], dtype=np.int32),
                np.array([x[0] for x in entries], dtype=np.int32),
                np.array([x[1] for x in entries], dtype=np.float64),
            )
            self.columns += 1
            return
        for finite, sign in ((family.low, 1.0), (family.high, -1.0)):
            if np.isfinite(finite):
                self.model.add_columns(
                    np.array([MISS_DISH_G]),
                    np.zeros(1),
                    np.array([INFINITE]),
                    np.array([0], dtype=np.int32),
                    np.array([row], dtype=np.int32),
                    np.array([sign]),
                )
                self.slack_more.append(self.columns)
                self.columns += 1

    slack_more: list[int]

    def run(self) -> tuple[float, Floats, Floats]:
        out = self.model.run()
        self.solves += 1
        self.seconds += out.seconds
        if out.x is None or out.duals is None or out.value is None:
            raise StoppedError
        return out.value, out.x, out.duals

    def eaten(self, x: Floats) -> dict[tuple[int, int], float]:
        """(group, dish) -> how much of it."""
        found: dict[tuple[int, int], float] = {}
        picked = x[np.array(self.column_at, dtype=np.int64)]
        for at in np.nonzero(picked > 1e-9)[0].tolist():
            mark = (self.column_group[at], self.column_dish[at])
            found[mark] = found.get(mark, 0.0) + float(picked[at])
        return found

    def overstepped(self, eaten: dict[tuple[int, int], float]) -> int:
        """Make the repeat rows that this answer oversteps; how many."""
        use: dict[tuple[int, int], float] = {}
        for (g, dish), amount in eaten.items():
            for f, weight in self.families_of[g]:
                k = int(self.group.families[f].key[dish])
                if k >= 0 and (f, k) not in self.made:
                    use[f, k] = use.get((f, k), 0.0) + weight * amount
        new = 0
        for (f, k), amount in sorted(use.items()):
            if amount > self.group.families[f].high + 1e-7:
                self._make_row(f, k)
                new += 1
        return new

    def floors(self) -> None:
        """Make every row that asks for at least something."""
        for f, family in enumerate(self.group.families):
            if family.extra is None and np.isfinite(family.low):
                for k in range(family.keys):
                    self._make_row(f, k)

    def prices(self, duals: Floats) -> Prices:
        """Prices of the board's rows and families from the duals of this model."""
        group = self.group
        rows = duals[group.groups + group.row_of]
        family: list[int] = []
        key: list[int] = []
        price: list[float] = []
        for (f, k), row in self.made.items():
            if row < duals.shape[0] and duals[row] != 0.0:
                for member in group.families[f].members:
                    family.append(member)
                    key.append(k)
                    price.append(float(duals[row]))
        self._uncounted(rows, family, key, price)
        return Prices(
            rows=rows,
            family=np.array(family, dtype=np.int64),
            key=np.array(key, dtype=np.int64),
            price=np.array(price, dtype=np.float64),
        )

    def _uncounted(
        self, rows: Floats, family: list[int], key: list[int], price: list[float]
    ) -> None:
        """Dishes not let in yet earn what a further different dish is worth."""
        board = self.board
        for f, group_family in enumerate(self.group.families):
            if group_family.extra is None:
                continue
            worth = np.zeros(board.extras.count)
            np.add.at(
                worth,
                board.rows.extra_column,
                rows[board.rows.extra_row] * board.rows.extra_value,
            )
            for k in range(group_family.keys):
                reward = float(worth[group_family.extra[k]])
                if (f, k) not in self.made and reward > 0:
                    family.append(group_family.members[0])
                    key.append(k)
                    price.append(reward)


class StoppedError(Exception):
    """The linear model was not solved in the time given."""


def _pattern(board: Board, per_plate: Floats, cell: int, dish: int) -> Floats:
    a, b = board.plate_start[cell], board.plate_start[cell + 1]
    worth = per_plate[a:b] @ board.figures[dish]
    return np.asarray(np.where(worth > 0, board.least[dish], board.most[dish]), dtype=np.float64)


def _first_prices(board: Board) -> Floats:
    """A guess to begin with: energy at the mass that the leanest quarter of dishes needs for it."""
    energy = board.figures[:, 2]
    per_kcal = board.figures[:, 0] / np.maximum(energy, 1.0)
    guess = float(np.quantile(per_kcal[energy > 1.0], 0.25)) if (energy > 1.0).any() else 0.0
    kcal = np.array([unit == "kcal" for unit in board.rows.unit], dtype=np.bool_)
    return np.where(kcal & np.isfinite(board.rows.low), guess, 0.0)


def relax(
    board: Board,
    block: list[int],
    effort: Effort,
    near: float = 2e-4,
    costs: bool = True,
    per_round: int = 3,
    warm: Prices | None = None,
) -> Relaxed:
    """Find prices; stop when the bound is within ``near`` of the relaxation's own value."""
    group = grouped(board, block)
    master = _Master(board, group, costs, effort)
    master.slack_more = []
    master.floors()
    start = warm or no_prices(board)
    if warm is None:
        start = Prices(
            rows=_first_prices(board), family=start.family, key=start.key, price=start.price
        )
    start = right_signs(board, start)
    _let_in(master, start, None, 8, costs)
    best: tuple[float, Prices, Priced] | None = None
    value, x = 0.0, np.zeros(0)
    for _ in range(ROUNDS):
        value, x, duals = master.run()
        new_rows = master.overstepped(master.eaten(x))
        prices = right_signs(board, master.prices(duals))
        found = priced(board, prices, costs=costs)
        if best is None or found.bound > best[0]:
            best = (found.bound, prices, found)
        total = value + (board.offset if costs else 0.0)
        close = best[0] >= total - near * max(abs(total), 1.0)
        if not new_rows and close:
            break
        new_columns = _let_in(master, prices, duals, per_round, costs)
        if not new_rows and not new_columns:
            break
    assert best is not None
    slack = list(range(master.slack_first, master.slack_last)) + master.slack_more
    missed = float(x[np.array(slack, dtype=np.int64)].sum()) if slack else 0.0
    eaten: dict[int, dict[int, float]] = {}
    for (g, dish), amount in master.eaten(x).items():
        for cell in np.nonzero(group.group_of_cell == g)[0].tolist():
            eaten.setdefault(cell, {})[dish] = amount / float(group.size[g])
    return Relaxed(
        bound=best[0],
        prices=best[1],
        priced=best[2],
        value=value + (board.offset if costs else 0.0),
        missed=missed,
        eaten=eaten,
        seconds=master.seconds,
        solves=master.solves,
    )


def _let_in(master: _Master, prices: Prices, duals: Floats | None, many: int, costs: bool) -> int:
    """The best-paying dishes of every group at these prices become columns."""
    board, group = master.board, master.group
    per_plate = plate_prices(board, prices.rows, costs)
    new: list[tuple[int, int, Floats]] = []
    step = max(1, 4_000_000 // max(1, board.dishes))
    firsts = group.first_cell
    order = np.argsort(firsts, kind="stable")
    for first in range(0, board.cells, step):
        last = min(board.cells, first + step)
        inside = order[(firsts[order] >= first) & (firsts[order] < last)]
        if inside.shape[0] == 0:
            continue
        table = values(board, per_plate, prices, first, last, costs)
        for g in inside.tolist():
            cell = int(firsts[g])
            line = table[cell - first]
            if group.size[g] > 1:
                others = np.nonzero(group.group_of_cell[first:last] == g)[0]
                line = table[others].mean(axis=0)
            keep = min(many, line.shape[0])
            chosen = np.argpartition(line, keep - 1)[:keep]
            chosen = chosen[np.argsort(line[chosen], kind="stable")]
            for dish in chosen.tolist():
                if not np.isfinite(line[dish]):
                    continue
                if duals is not None and line[dish] >= duals[g] - 1e-6:
                    continue
                new.append((g, dish, _pattern(board, per_plate, cell, dish)))
                if duals is None:
                    ones = np.ones(int(board.plate_start[cell + 1] - board.plate_start[cell]))
                    new.append((g, dish, ones * board.least[dish]))
                    new.append((g, dish, ones * board.most[dish]))
    return master.add(new)
