"""What can come of a solver's run?

``optimal``      proven best to the last figure that the solver keeps
``good-enough``  proven to be within the gap that was asked for
``stopped``      time, work or a person ended the search; ``x`` may be there
``impossible``   proven that no answer exists
``unbounded``    the model lets the cost fall without end (a fault of the model)
``failed``       the solver gave up for reasons of its own (numbers, memory)

'Stopped' is never 'impossible': the two are told apart here and nowhere else.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

import msgspec
import numpy as np
from numpy.typing import NDArray

from fellfare.mistake import Mistake

Status: TypeAlias = Literal[
    "optimal", "good-enough", "stopped", "impossible", "unbounded", "failed"
]


class Effort(msgspec.Struct, frozen=True, kw_only=True):
    """How hard one run may try.

    ``seconds`` is counted by the solver's own clock (wall time); an answer
    that ended by it need not come out the same on another machine. ``nodes``
    and ``gap`` alone repeat exactly for one seed and thread count. ``near`` is
    a distance from the bound that will do, in the unit of the cost.
    """

    seconds: float = 60.0
    gap: float = 0.0
    near: float = 0.0
    nodes: int | None = None
    threads: int = 1
    seed: int = 0
    light: bool = False

    def __post_init__(self) -> None:
        near = self.near >= 0 and self.gap >= 0 and self.gap < 1
        if not self.seconds > 0 or not near or self.threads < 1 or self.seed < 0:
            raise Mistake(
                "effort-out-of-range",
                what=f"seconds {self.seconds}, gap {self.gap}, near {self.near}, "
                f"threads {self.threads}, seed {self.seed}: one of them is out of range",
                mend="seconds above 0, gap from 0 to below 1, near and seed from 0, threads from 1",
            )


class Outcome(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """Status, best value found, proven bound (never above the best possible), and the columns."""

    status: Status
    value: float | None
    bound: float
    x: NDArray[np.float64] | None = None
    duals: NDArray[np.float64] | None = None
    seconds: float = 0.0
    nodes: int = 0
    solver: str = ""

    @property
    def gap(self) -> float:
        """(value - bound) / |value|; infinite while nothing is found."""
        return gap_of(self.value, self.bound)


def gap_of(value: float | None, bound: float) -> float:
    """Relative distance of a value from its proven bound, never below zero."""
    if value is None or not np.isfinite(bound):
        return float("inf")
    return max(0.0, value - bound) / max(abs(value), 1e-9)
