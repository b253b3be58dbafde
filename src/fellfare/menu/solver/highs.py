"""HiGHS behind the small door.

highspy prints a banner when its ``Highs`` class is first made, before any
option can forbid it. The class underneath prints nothing if ``output_flag`` is
switched off before the first model is passed, so that one is used (seen with
HiGHS 1.16; ``tests/menu`` holds it to that).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from typing import Any, TypeAlias

import numpy as np
from highspy import _core

from fellfare.menu.solver.outcome import Effort, Outcome, Status, gap_of
from fellfare.menu.solver.problem import Floats, Ints, Problem

#: Called with the best value so far (None: nothing yet) and the bound so far, for
#: people to look at (what is proven stands in the outcome); True stops the run.
Watch: TypeAlias = Callable[[float | None, float], bool]

#: Column -> its bounds, where they are not the model's own.
Moved: TypeAlias = Mapping[int, tuple[float, float]]

#: For models that are small or need not be solved well: no heuristics before the tree.
LIGHT: dict[str, Any] = {
    "mip_heuristic_effort": 0.0,
    "mip_heuristic_run_feasibility_jump": False,
    "mip_detect_symmetry": False,
    "mip_allow_restart": False,
}

#: Without news the watcher is asked at every so manieth of the solver's own questions.
EVERY = 50

#: Rows may be missed by so much (HiGHS's own default is ten times as much).
FEASIBILITY = 1e-7


@cache
def version() -> str:
    """Name and version of the solver, to stand beside every answer."""
    return f"HiGHS {_core._Highs().version()}"


def _quiet(effort: Effort) -> Any:
    highs = _core._Highs()
    options: dict[str, Any] = {
        "output_flag": False,
        "threads": effort.threads,
        "random_seed": effort.seed,
        "primal_feasibility_tolerance": FEASIBILITY,
        "mip_feasibility_tolerance": FEASIBILITY,
        "mip_rel_gap": effort.gap,
        "mip_abs_gap": effort.near,
        "time_limit": effort.seconds,
    }
    if effort.nodes is not None:
        options["mip_max_nodes"] = effort.nodes
    if effort.light:
        options |= LIGHT
    for name, value in options.items():
        highs.setOptionValue(name, value)
    return highs


def _lp(problem: Problem, mixed: bool = True) -> Any:
    lp = _core.HighsLp()
    lp.num_col_, lp.num_row_ = problem.columns, problem.rows
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = problem.cost, problem.low, problem.high
    lp.row_lower_, lp.row_upper_ = problem.row_low, problem.row_high
    lp.offset_ = problem.offset
    lp.a_matrix_.format_ = _core.MatrixFormat.kRowwise
    lp.a_matrix_.num_col_, lp.a_matrix_.num_row_ = problem.columns, problem.rows
    lp.a_matrix_.start_, lp.a_matrix_.index_ = problem.start, problem.index
    lp.a_matrix_.value_ = problem.value
    if mixed and problem.whole.any():
        kinds = (_core.HighsVarType.kContinuous, _core.HighsVarType.kInteger)
        lp.integrality_ = [kinds[int(flag)] for flag in problem.whole]
    return lp


def _status(highs: Any, mixed: bool, gap: float, x: Floats | None) -> Status:
    kind = _core.HighsModelStatus
    status = highs.getModelStatus()
    if status == kind.kOptimal:
        return "optimal" if not mixed or gap <= 1e-9 else "good-enough"
    if status == kind.kModelEmpty:
        return "optimal"
    if status == kind.kInfeasible:
        return "impossible"
    if status in (kind.kUnbounded, kind.kUnboundedOrInfeasible):
        return "unbounded"
    early = (kind.kTimeLimit, kind.kIterationLimit, kind.kSolutionLimit, kind.kInterrupt)
    if status in early or x is not None:
        return "stopped"
    return "failed"


def _watched(highs: Any, watch: Watch) -> None:
    kinds = (
        _core.cb.HighsCallbackType.kCallbackMipInterrupt,
        _core.cb.HighsCallbackType.kCallbackMipImprovingSolution,
    )
    stop = [False]
    last: list[tuple[float | None, float]] = []
    calls = [0]

    def heard(kind: Any, _message: str, out: Any, back: Any, _data: Any) -> None:
        value, bound = float(out.mip_primal_bound), float(out.mip_dual_bound)
        best = value if abs(value) < 1e25 else None
        if best is not None and bound >= best:
            # at the very end, but also from the little model that completes a
            # start: nothing that may be told before the run is over
            bound = float("-inf")
        calls[0] += 1
        news = not last or last[-1] != (best, bound)
        if news or calls[0] % EVERY == 0:
            last[:] = [(best, bound)]
            stop[0] = watch(best, bound) or stop[0]
        if back is not None:
            back.user_interrupt = stop[0]

    highs.setCallback(heard, None)
    for each in kinds:
        highs.startCallback(each)


def solve(
    problem: Problem,
    effort: Effort,
    watch: Watch | None = None,
    start: tuple[Ints, Floats] | None = None,
) -> Outcome:
    """Run HiGHS on one model.

    ``start`` is an answer to begin from, columns and their values (HiGHS fills
    in the rest, and drops it if it does not fit). ``watch`` hears of progress in a
    mixed model and can stop it.
    An 'unbounded or impossible' verdict of the presolve is asked again without it.
    """
    problem.checked()
    mixed = bool(problem.whole.any())
    highs = _quiet(effort)
    highs.passModel(_lp(problem))
    if start is not None and mixed:
        highs.setSolution(len(start[0]), start[0], start[1])
    if watch is not None and mixed:
        _watched(highs, watch)
    highs.run()
    if highs.getModelStatus() == _core.HighsModelStatus.kUnboundedOrInfeasible:
        highs.setOptionValue("presolve", "off")
        highs.run()
    out = _told(highs, mixed, effort.gap, effort.near)
    if start is not None and not _agrees(problem, out):
        return solve(problem, effort, watch)
    return out


def _agrees(problem: Problem, out: Outcome) -> bool:
    """Do the columns cost what the solver says?

    Begun from an answer that is not the best, HiGHS 1.16 can name the best's value
    and hand back the columns that it began from (seen, 2026-11).
    """
    if out.x is None or out.value is None:
        return True
    told = float(problem.cost @ out.x) + problem.offset
    return abs(told - out.value) <= 1e-6 * max(1.0, abs(out.value))


def _told(highs: Any, mixed: bool, asked: float = 0.0, near: float = 0.0) -> Outcome:
    info, found = highs.getInfo(), highs.getSolution()
    feasible = info.primal_solution_status == 2
    x = np.array(found.col_value, dtype=np.float64) if feasible and found.value_valid else None
    value = float(info.objective_function_value) if x is not None else None
    done = highs.getModelStatus() == _core.HighsModelStatus.kOptimal
    if mixed:
        bound = float(info.mip_dual_bound)
        if done and value is not None:
            # 'optimal' says that the tree is closed to within the gap asked for;
            # the bound that HiGHS 1.16 tells beside it can be that of an earlier node
            bound = max(bound, value - max(near, asked * abs(value)))
    else:
        bound = value if value is not None and done else float("-inf")
    status = _status(highs, mixed, gap_of(value, bound), x)
    duals = None
    if not mixed and found.dual_valid:
        duals = np.array(found.row_dual, dtype=np.float64)
    return Outcome(
        status=status,
        value=value,
        bound=float("inf") if status == "impossible" else bound,
        x=x,
        duals=duals,
        seconds=float(highs.getRunTime()),
        nodes=int(info.mip_node_count) if mixed else 0,
        solver=version(),
    )


class Growing:
    """A linear model that grows by columns and rows and is solved again from where it stood."""

    def __init__(self, problem: Problem, effort: Effort) -> None:
        self._highs = _quiet(effort)
        self._highs.passModel(_lp(problem.checked()))
        self._seconds = effort.seconds

    def add_columns(
        self, cost: Floats, low: Floats, high: Floats, start: Ints, index: Ints, value: Floats
    ) -> None:
        """Append columns; entries run column by column, ``start`` without the last end."""
        self._highs.addCols(len(cost), cost, low, high, len(index), start, index, value)

    def add_rows(self, low: Floats, high: Floats, start: Ints, index: Ints, value: Floats) -> None:
        """Append rows; entries run row by row, ``start`` without the last end."""
        self._highs.addRows(len(low), low, high, len(index), start, index, value)

    def linear(self, low: Floats, high: Floats) -> Linear:
        """The same model, to be solved with other bounds; its own are ``low`` and ``high``."""
        limit = float(self._highs.getRunTime()) + self._seconds
        self._highs.setOptionValue("time_limit", limit)
        return Linear(self._highs, low, high)

    def bound(self, column: int, low: float, high: float) -> None:
        """Give a column other bounds."""
        self._highs.changeColBounds(column, low, high)

    def run(self) -> Outcome:
        """Solve again, warm."""
        self._highs.setOptionValue("time_limit", float(self._highs.getRunTime()) + self._seconds)
        self._highs.run()
        return _told(self._highs, mixed=False)


class Linear:
    """A linear model solved again and again with some columns' bounds moved."""

    def __init__(self, highs: Any, low: Floats, high: Floats) -> None:
        self._highs, self.low, self.high = highs, low, high
        self._moved: Moved = {}
        self._seconds = float(highs.getRunTime())
        self.runs = 0

    @property
    def seconds(self) -> float:
        """Seconds spent here, by the solver's own clock."""
        return float(self._highs.getRunTime()) - self._seconds

    def move(self, moved: Moved) -> None:
        """These columns get these bounds, all others their own."""
        for column in self._moved:
            if column not in moved:
                low, high = float(self.low[column]), float(self.high[column])
                self._highs.changeColBounds(column, low, high)
        for column, (low, high) in moved.items():
            if self._moved.get(column) != (low, high):
                self._highs.changeColBounds(column, low, high)
        self._moved = moved

    def run(self, moved: Moved) -> tuple[float, Floats | None] | None:
        """Value and columns; (inf, None) when nothing keeps the rows; None: it was not solved."""
        self.move(moved)
        self._highs.run()
        self.runs += 1
        kind, status = _core.HighsModelStatus, self._highs.getModelStatus()
        if status == kind.kInfeasible:
            return float("inf"), None
        if status != kind.kOptimal:
            return None
        x = np.array(self._highs.getSolution().col_value, dtype=np.float64)
        return float(self._highs.getInfo().objective_function_value), x


def beneath(problem: Problem, effort: Effort) -> Linear:
    """The linear model beneath a mixed one."""
    highs = _quiet(effort)
    highs.setOptionValue("presolve", "off")
    highs.passModel(_lp(problem.checked(), mixed=False))
    return Linear(highs, problem.low, problem.high)
