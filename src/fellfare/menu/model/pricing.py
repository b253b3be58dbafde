"""How light can any menu be at most? The bound that needs no solver's word.

Give every rule a price (a multiplier). Then any menu that keeps the rules costs
at least what the best free choice at those prices costs, each cell on its own
(Lagrangian relaxation; weak duality). The best free choice is closed: portions
at one end or the other, then the cheapest dishes. So whatever prices come in,
good or bad, the number that comes out is a true lower bound; no solver's
tolerance enters, only the rounding of the sums themselves.
"""

from __future__ import annotations

import msgspec
import numpy as np

from fellfare.menu.model.board import Board, Floats, Indices, weighed

#: Cells x dishes priced in one go (about 30 MB a table).
CHUNK = 4_000_000


class Prices(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """One multiplier per row; for families only those that are not 0: (family, key, price)."""

    rows: Floats
    family: Indices
    key: Indices
    price: Floats


class Guide(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """Prices to search by, those of families by family: (key, price).

    ``stray_g``: what it costs in the search to bring none, or twice, of what is
    expected of all cells that wait [g].
    """

    prices: Prices
    stray_g: float
    of_family: dict[int, tuple[tuple[int, float], ...]]


def guide_of(prices: Prices, stray_g: float = 500.0) -> Guide:
    """The same prices, put in order for the search."""
    of_family: dict[int, list[tuple[int, float]]] = {}
    for f, k, price in zip(
        prices.family.tolist(), prices.key.tolist(), prices.price.tolist(), strict=True
    ):
        of_family.setdefault(f, []).append((k, price))
    return Guide(
        prices=prices,
        stray_g=stray_g,
        of_family={f: tuple(each) for f, each in of_family.items()},
    )


class Priced(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """The bound; per cell its best value and, best first, the dishes and their values."""

    bound: float
    best: Floats
    dish: Indices  # cells x kept
    value: Floats  # cells x kept; inf where no more dishes fit


def no_prices(board: Board) -> Prices:
    """All rules free."""
    nothing = np.zeros(0, dtype=np.int64)
    return Prices(rows=np.zeros(board.rows.count), family=nothing, key=nothing, price=np.zeros(0))


def right_signs(board: Board, prices: Prices) -> Prices:
    """The same prices, with those set to 0 that press against a side that has no limit."""
    rows = board.rows
    clean = prices.rows.copy()
    clean[(clean > 0) & ~np.isfinite(rows.low)] = 0.0
    clean[(clean < 0) & ~np.isfinite(rows.high)] = 0.0
    low = np.array([board.families[f].low for f in prices.family.tolist()], dtype=np.float64)
    high = np.array([board.families[f].high for f in prices.family.tolist()], dtype=np.float64)
    wrong = ((prices.price > 0) & ~np.isfinite(low)) | ((prices.price < 0) & ~np.isfinite(high))
    keep = ~wrong & (prices.price != 0)
    return Prices(
        rows=clean,
        family=prices.family[keep],
        key=prices.key[keep],
        price=prices.price[keep],
    )


def plate_prices(board: Board, rows: Floats, costs: bool = True) -> Floats:
    """Plates x figures: what one unit of a figure costs on that plate at these prices."""
    terms = board.rows
    width = board.figures.shape[1]
    plate = np.repeat(np.arange(board.plates), np.diff(terms.term_start))
    spent = weighed(
        plate * width + terms.term_figure,
        rows[terms.term_row] * terms.term_value,
        board.plates * width,
    ).reshape(board.plates, width)
    return board.plate_cost - spent if costs else -spent


def extra_prices(board: Board, prices: Prices, costs: bool = True) -> Floats:
    """What one unit of each extra column costs at these prices."""
    rows, extras = board.rows, board.extras
    left = extras.cost.copy() if costs else np.zeros(extras.count)
    np.subtract.at(left, rows.extra_column, prices.rows[rows.extra_row] * rows.extra_value)
    for f, k, price in zip(
        prices.family.tolist(), prices.key.tolist(), prices.price.tolist(), strict=True
    ):
        extra = board.families[f].extra
        if extra is not None:
            left[extra[k]] += price
    return left


def values(
    board: Board, per_plate: Floats, prices: Prices, first: int, last: int, costs: bool = True
) -> Floats:
    """Cells first..last-1 x dishes: the least that one such choice can cost; inf: not allowed."""
    a, b = int(board.plate_start[first]), int(board.plate_start[last])
    portion = per_plate[a:b] @ board.figures.T
    np.minimum(portion * board.least, portion * board.most, out=portion)
    starts = board.plate_start[first:last] - a
    table = np.asarray(np.add.reduceat(portion, starts, axis=0), dtype=np.float64)
    if costs:
        eaters = np.diff(board.plate_start[first : last + 1])
        if board.dish_bonus.any():
            table += eaters[:, None] * board.dish_bonus
        for cell, dish, cost in board.cell_bonus:
            if first <= cell < last:
                table[cell - first, dish] += cost
    for f, k, price in zip(
        prices.family.tolist(), prices.key.tolist(), prices.price.tolist(), strict=True
    ):
        family = board.families[f]
        cells = family.cells
        if first > 0 or last < board.cells:
            cells = cells[(cells >= first) & (cells < last)]
        dishes = np.nonzero(family.key == k)[0]
        if dishes.shape[0] == 1:
            table[cells - first, dishes[0]] -= price
        else:
            table[np.ix_(cells - first, dishes)] -= price
    table[~board.masks[board.cell_mask[first:last]]] = np.inf
    return table


def priced(board: Board, prices: Prices, keep: int = 24, costs: bool = True) -> Priced:
    """The bound at these prices, and the ``keep`` best dishes of every cell.

    ``costs`` False leaves the costs out: a result above zero then proves that
    the rules contradict one another (no menu at all).
    """
    return priced_with_table(board, prices, keep, costs)[0]


def priced_with_table(
    board: Board, prices: Prices, keep: int = 24, costs: bool = True
) -> tuple[Priced, Floats | None]:
    """As ``priced``, with the table of ``values`` where it was made in one go."""
    prices = right_signs(board, prices)
    rows = board.rows
    total = board.offset if costs else 0.0
    up, down = prices.rows > 0, prices.rows < 0
    total += float(prices.rows[up] @ rows.low[up]) + float(prices.rows[down] @ rows.high[down])
    for f, price in zip(prices.family.tolist(), prices.price.tolist(), strict=True):
        total += price * (board.families[f].low if price > 0 else board.families[f].high)
    left = extra_prices(board, prices, costs)
    total += float(np.minimum(left * board.extras.low, left * board.extras.high).sum())
    per_plate = plate_prices(board, prices.rows, costs)
    keep = min(keep, board.dishes)
    best = np.zeros(board.cells)
    dish = np.zeros((board.cells, keep), dtype=np.int64)
    value = np.full((board.cells, keep), np.inf)
    step = max(1, CHUNK // max(1, board.dishes))
    for first in range(0, board.cells, step):
        last = min(board.cells, first + step)
        table = values(board, per_plate, prices, first, last, costs)
        most = int(board.cell_most[first:last].max())
        near = min(board.dishes, max(keep, most))
        order = np.argpartition(table, near - 1, axis=1)[:, :near]
        ranked = np.take_along_axis(table, order, axis=1)
        by = np.argsort(ranked, axis=1, kind="stable")
        ranked = np.take_along_axis(ranked, by, axis=1)
        order = np.take_along_axis(order, by, axis=1)
        dish[first:last], value[first:last] = order[:, :keep], ranked[:, :keep]
        best[first:last] = _best(board, ranked, first, last)
    found = Priced(bound=total + float(best.sum()), best=best, dish=dish, value=value)
    return found, table if board.cells <= step and board.cells > 0 else None


def _best(board: Board, ranked: Floats, first: int, last: int) -> Floats:
    """The cheapest filling of each cell: ``least`` dishes must be taken, more only if they pay."""
    left = board.cell_most[first:last].copy()
    need = board.cell_least[first:last].copy()
    twice = board.cell_twice[first:last]
    total = np.zeros(last - first)
    for rank in range(ranked.shape[1]):
        if not left.any():
            break
        column = ranked[:, rank]
        must = np.minimum(twice, need)
        may = np.where(column < 0, np.minimum(twice, left), 0)
        taken = np.maximum(must, may)
        total += np.where(taken > 0, taken * np.where(taken > 0, column, 0.0), 0.0)
        left -= taken
        need -= np.minimum(taken, need)
    total[need > 0] = np.inf
    return total
