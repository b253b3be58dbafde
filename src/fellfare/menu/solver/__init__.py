"""The small door to a solver: a model of whole and broken numbers goes in, an outcome comes out."""

from fellfare.menu.solver.highs import Growing, solve, version
from fellfare.menu.solver.outcome import Effort, Outcome, Status
from fellfare.menu.solver.problem import Problem, problem_by_rows

__all__ = [
    "Effort",
    "Growing",
    "Outcome",
    "Problem",
    "Status",
    "problem_by_rows",
    "solve",
    "version",
]
