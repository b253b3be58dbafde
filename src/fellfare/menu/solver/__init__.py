"""The small door to a solver: a model of whole and broken numbers goes in, an outcome comes out."""

from fellfare.menu.solver.highs import Growing, solve, version
from fellfare.menu.solver.outcome import Effort, Outcome, Status
from fellfare.menu.solver.problem import Problem, problem_by_rows
from fellfare.menu.solver.rounding import rounded
from fellfare.menu.solver.tree import branched, small_tree

__all__ = [
    "Effort",
    "Growing",
    "Outcome",
    "Problem",
    "Status",
    "branched",
    "problem_by_rows",
    "rounded",
    "small_tree",
    "solve",
    "version",
]
