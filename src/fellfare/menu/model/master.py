"""The growing linear model over groups of cells: columns let in as they pay, rows as needed."""

from __future__ import annotations

import numpy as np

from fellfare.menu.model.board import Board, Floats, spans, weighed
from fellfare.menu.model.grouping import Grouped
from fellfare.menu.model.pricing import Prices
from fellfare.menu.solver import Effort, Growing, branched
from fellfare.menu.solver.problem import Problem

INFINITE = float("inf")
#: What missing a row by its own size costs [g], and missing one dish.
MISS_G = 50_000.0
MISS_DISH_G = 20_000.0


class StoppedError(Exception):
    """The linear model was not solved in the time given."""


class Master:
    """The growing linear model over groups of cells."""

    def __init__(self, board: Board, group: Grouped, costs: bool, effort: Effort) -> None:
        self.board, self.group, self.costs = board, group, costs
        self.known: set[tuple[int, int, bytes]] = set()
        self.column_group: list[int] = []
        self.column_dish: list[int] = []
        self.column_at: list[int] = []
        self.column_servings: list[Floats] = []
        self.members: dict[int, list[int]] = {}  # group -> columns (positions in the lists)
        self.made: dict[tuple[int, int], int] = {}  # (family group, key) -> row
        self.twice: dict[tuple[int, int], int] = {}  # (group, dish) -> row
        self.families_of: list[list[tuple[int, float]]] = [[] for _ in range(group.groups)]
        for f, family in enumerate(group.families):
            for g, weight in zip(family.groups.tolist(), family.weight.tolist(), strict=True):
                self.families_of[g].append((f, weight))
        self.slack_more: list[int] = []
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
        extra_entries += [
            (at, self.twice[g, r], 1.0)
            for at, (g, r, _) in enumerate(fresh)
            if (g, r) in self.twice
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
        for g, r, servings in fresh:
            self.members.setdefault(g, []).append(len(self.column_dish))
            self.column_servings.append(servings)
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

    def _not_more_often(self, g: int, dish: int, most: float) -> None:
        """The portions of one dish are several columns: all of them, no more often than it."""
        mine = [self.column_at[at] for at in self.members[g] if self.column_dish[at] == dish]
        self.model.add_rows(
            np.array([-INFINITE]),
            np.array([most]),
            np.array([0], dtype=np.int32),
            np.array(mine, dtype=np.int32),
            np.ones(len(mine)),
        )
        self.twice[g, dish] = self.row_count
        self.row_count += 1

    def run(self) -> tuple[float, Floats, Floats]:
        """Solve it: value, columns, duals."""
        out = self.model.run()
        self.solves += 1
        self.seconds += out.seconds
        if out.x is None or out.duals is None or out.value is None:
            raise StoppedError
        return out.value, out.x, out.duals

    def eaten(self, x: Floats) -> dict[tuple[int, int], float]:
        """(group, dish) -> how much of it."""
        found: dict[tuple[int, int], float] = {}
        picked = self._picked(x)
        for at in np.nonzero(picked > 1e-9)[0].tolist():
            mark = (self.column_group[at], self.column_dish[at])
            found[mark] = found.get(mark, 0.0) + float(picked[at])
        return found

    def servings(self, x: Floats) -> dict[tuple[int, int], Floats]:
        """(group, dish) -> servings of it for every eater, the group's cells together."""
        found: dict[tuple[int, int], Floats] = {}
        picked = self._picked(x)
        for at in np.nonzero(picked > 1e-9)[0].tolist():
            mark = (self.column_group[at], self.column_dish[at])
            more = float(picked[at]) * self.column_servings[at]
            found[mark] = found[mark] + more if mark in found else more
        return found

    def _picked(self, x: Floats) -> Floats:
        """How much of every column; 0 of those let in after this answer was found."""
        told = np.concatenate([x, np.zeros(max(0, self.columns - x.shape[0]))])
        return np.asarray(told[np.array(self.column_at, dtype=np.int64)], dtype=np.float64)

    @property
    def sold(self) -> list[int]:
        """The extra columns that count packs."""
        return [e for e in self.extra_at if self.board.extras.food[e]]

    def whole_packs(self, gap: float, nodes: int, seconds: float) -> Floats | None:
        """Packs of each food, as whole numbers, with the dishes still in parts; None: not found."""
        sold = self.sold
        low, high = np.zeros(self.columns), np.full(self.columns, INFINITE)
        columns = np.array([self.extra_at[e] for e in sold], dtype=np.int64)
        high[columns] = self.board.extras.high[sold]
        linear = self.model.linear(low, high)
        out = branched(linear, Effort(seconds=seconds, gap=gap), nodes, columns)
        linear.move({})
        self.solves += 1
        self.seconds += linear.seconds
        if out is None or out.x is None:
            return None
        packs = self.board.extras.high.copy()
        for e in sold:
            packs[e] = round(float(out.x[self.extra_at[e]]))
        return packs

    def fix_packs(self, packs: Floats) -> None:
        """From now on there are exactly so many packs."""
        for e in self.sold:
            self.model.bound(self.extra_at[e], float(packs[e]), float(packs[e]))

    def missed(self, x: Floats) -> float:
        """How much of all rows this answer misses."""
        slack = [*range(self.slack_first, self.slack_last), *self.slack_more]
        slack = [at for at in slack if at < x.shape[0]]  # rows made since have not been tried
        return float(x[np.array(slack, dtype=np.int64)].sum()) if slack else 0.0

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
        for (g, dish), amount in sorted(eaten.items()):
            first = self.group.first_cell[g]
            most = float(self.board.cell_twice[first] * self.group.size[g])
            if amount > most + 1e-7 and (g, dish) not in self.twice:
                self._not_more_often(g, dish, most)
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
            worth = -board.extras.cost if self.costs else np.zeros(board.extras.count)
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
