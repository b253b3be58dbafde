"""From a plan on a board to a Menu with the bound of its own place."""

from __future__ import annotations

from fellfare.menu.answer import Menu, Verdict
from fellfare.menu.checking import broken_rules
from fellfare.menu.front.massing import only_mass
from fellfare.menu.model.board import Board
from fellfare.menu.model.plan import Plan
from fellfare.menu.pool import Question
from fellfare.menu.solver import version
from fellfare.menu.solver.outcome import gap_of
from fellfare.menu.telling import mass_of, money_of, packs_of, plates_of, unknown_of


def menu_of(
    question: Question, board: Board, plan: Plan, bound_g: float, near: float, solves: int
) -> Menu | None:
    """The plan as a menu, or None where the checker finds a rule that it does not keep.

    ``bound_g`` holds for all menus of this place; ``near`` is the gap that was asked for.
    """
    plates = plates_of(question, board, plan)
    if not plan.whole or broken_rules(question, plates):
        return None
    cost = plan.cost()
    bound = min(cost, bound_g)
    gap = gap_of(cost, bound)
    verdict: Verdict = "optimal" if gap <= 1e-6 else "good-enough" if gap <= near else "stopped"
    mass = mass_of(plates)
    plain = only_mass(question)
    return Menu(
        verdict=verdict,
        plates=plates,
        mass_g=mass,
        bound_mass_g=min(mass, bound) if plain else 0.0,
        weighed_g=cost,
        bound_g=bound,
        gap=gap,
        cost=money_of(question, board, plan),
        packs=packs_of(board, plan),
        unknown=unknown_of(question, plates),
        solver=version(),
        solves=solves,
    )
