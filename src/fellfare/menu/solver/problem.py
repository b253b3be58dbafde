"""What does a model look like when it reaches the solver?

Least cost, bounds on columns, bounds on rows, some columns whole numbers:

    minimise    cost · x + offset
    such that   row_low <= A x <= row_high,  low <= x <= high,
                x[j] whole where whole[j]

``A`` is kept row by row (compressed rows): ``start`` has one entry more than
there are rows; ``index`` and ``value`` hold the columns and coefficients.
"""

from __future__ import annotations

from typing import Any, TypeAlias

import msgspec
import numpy as np
from numpy.typing import NDArray

from fellfare.mistake import Mistake

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int32]
Indices: TypeAlias = NDArray[np.int64]
Flags: TypeAlias = NDArray[np.bool_]
#: No bound: what the solver reads as infinity.
INFINITE = float("inf")


class Problem(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """One model, dense vectors and a sparse matrix kept row by row."""

    cost: Floats
    low: Floats
    high: Floats
    whole: Flags
    row_low: Floats
    row_high: Floats
    start: Ints
    index: Ints
    value: Floats
    offset: float = 0.0

    @property
    def columns(self) -> int:
        return int(self.cost.shape[0])

    @property
    def rows(self) -> int:
        return int(self.row_low.shape[0])

    def checked(self) -> Problem:
        """Itself, or a Mistake when a figure is not a number or the shapes do not fit."""
        n, m, entries = self.columns, self.rows, self.index.shape[0]
        shapes = (
            self.low.shape == (n,)
            and self.high.shape == (n,)
            and self.whole.shape == (n,)
            and self.row_high.shape == (m,)
            and self.start.shape == (m + 1,)
            and self.value.shape == (entries,)
            and (m == 0 or int(self.start[-1]) == entries)
            and (entries == 0 or (int(self.index.min()) >= 0 and int(self.index.max()) < n))
        )
        if not shapes:
            raise Mistake(
                "model-shape",
                what=f"a model of {m} rows and {n} columns has parts of another size",
                mend="give every column a cost, two bounds and a kind; every row two bounds",
            )
        finite = np.isfinite(self.cost).all() and np.isfinite(self.value).all()
        bounds = (self.low, self.high, self.row_low, self.row_high)
        if not finite or any(bool(np.isnan(b).any()) for b in bounds):
            raise Mistake(
                "model-not-a-number",
                what="a cost, coefficient or bound of the model is not a number",
                mend="leave out what is unknown before the model is made",
            )
        return self


def problem_by_rows(
    cost: Any,
    rows: Any,
    row_low: Any,
    row_high: Any,
    low: Any = None,
    high: Any = None,
    whole: Any = None,
) -> Problem:
    """A model from a dense table of coefficients; bounds are 0 to infinity if not given."""
    table = np.atleast_2d(np.asarray(rows, dtype=np.float64))
    price = np.asarray(cost, dtype=np.float64)
    n = price.shape[0]
    if table.size == 0:
        table = np.zeros((0, n))
    where = table != 0.0
    counts = where.sum(axis=1)
    return Problem(
        cost=price,
        low=np.zeros(n) if low is None else np.asarray(low, dtype=np.float64),
        high=np.full(n, INFINITE) if high is None else np.asarray(high, dtype=np.float64),
        whole=np.zeros(n, dtype=np.bool_) if whole is None else np.asarray(whole, dtype=np.bool_),
        row_low=np.asarray(row_low, dtype=np.float64),
        row_high=np.asarray(row_high, dtype=np.float64),
        start=np.concatenate([[0], np.cumsum(counts)]).astype(np.int32),
        index=np.nonzero(where)[1].astype(np.int32),
        value=table[where],
    ).checked()
