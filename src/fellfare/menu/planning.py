"""The menu of the least weight, with its proof."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import numpy as np

from fellfare.menu.answer import Menu, Progress, Verdict
from fellfare.menu.asking import checked
from fellfare.menu.checking import broken_rules
from fellfare.menu.impossible import empty_cells, proven_impossible
from fellfare.menu.model.board import Board
from fellfare.menu.model.bounding import relax_for_bound
from fellfare.menu.model.carried import plan_on, prices_on
from fellfare.menu.model.finishing import finished
from fellfare.menu.model.laying import lay_board
from fellfare.menu.model.mending import Mending
from fellfare.menu.model.plan import Plan, planned
from fellfare.menu.model.pricing import Prices, no_prices, priced
from fellfare.menu.model.relaxing import Relaxed, StoppedError, relax
from fellfare.menu.model.searching import Search
from fellfare.menu.model.spanning import relax_by_spans, span_of_days
from fellfare.menu.pool import Question
from fellfare.menu.solver import Effort, version
from fellfare.menu.solver.outcome import gap_of
from fellfare.menu.telling import (
    mass_board,
    mass_bound,
    mass_of,
    money_of,
    only_mass,
    packs_of,
    plates_of,
    unknown_of,
)
from fellfare.menu.trying import Trying, Watch

#: Above so many cells the relaxation is solved span by span, unless the gap asked for is small.
SPAN_CELLS = 100
SPAN_GAP = 0.004
#: Above so many cells it always is, and days are taken together where it cannot be.
MOST_CELLS = 1_500
#: Up to so many choices the whole is soon given to the solver at once.
FEW_CHOICES = 1_000
#: How a menu is sought, one way after another while it is not good enough: candidates
#: for each choice, and what straying from the relaxation's expectations costs [g].
ATTEMPTS = ((6, 500.0), (8, 10_000.0), (8, 100.0))
#: How near the prices of mass alone are sought, where more than mass is weighed.
MASS_NEAR = 2e-3
#: A gap below this is told as 'optimal'.
NOTHING = 1e-6


class Made(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """A menu, and what a next run can begin from."""

    menu: Menu
    board: Board
    plan: Plan | None
    prices: Prices | None


def plan_menu(question: Question, tries: Trying | None = None, watch: Watch | None = None) -> Menu:
    """The lightest menu found, proven to within ``menu.gap``; or that there is none.

    Raises a Mistake for a question that contradicts itself or is too large.
    """
    return make(question, tries or Trying(), watch).menu


def make(
    question: Question,
    tries: Trying,
    watch: Watch | None = None,
    warm: Made | None = None,
    change: Callable[[Board], Board] | None = None,
) -> Made:
    """As ``plan_menu``, with what is needed to go on from there.

    ``warm``: an earlier answer over the same dishes and slots (other limits).
    ``change``: has the last word on the board's costs (see ``menu.change``).
    """
    run = _Run(tries, watch)
    board = lay_board(checked(question))
    if change is not None:
        board = change(board)
    gone = empty_cells(question, board)
    if gone:
        return run.without_plates(board, None, "impossible", gives=gone)
    if not board.masks.any():  # nothing may be eaten at all: the empty menu is the only one
        return _empty(question, board, run)
    try:
        relaxed = _relaxed(board, run, warm)
    except StoppedError:
        run.at_least(board)
        return run.without_plates(board, None, "stopped")
    run.counted(relaxed)
    if (
        relaxed.missed > 1e-7
        and not run.over
        and proven_impossible(board, blocks_of(board), run.left(), tries)
    ):
        return run.without_plates(board, relaxed.prices, "impossible")
    plan, impossible = _searched(board, relaxed, run, warm)
    if plan is None or not plan.whole:
        verdict: Verdict = "impossible" if impossible else "stopped"
        run.at_least(board)
        return run.without_plates(board, relaxed.prices, verdict)
    menu = _told(question, board, plan, run, relaxed.prices)
    return Made(menu=menu, board=board, plan=plan if menu.plates else None, prices=relaxed.prices)


def _empty(question: Question, board: Board, run: _Run) -> Made:
    """The menu of nothing, or that even it breaks a rule."""
    plan, prices = planned(board, {}), no_prices(board)
    if not plan.whole:
        return run.without_plates(board, prices, "impossible")
    run.bound = plan.cost()
    return Made(
        menu=_told(question, board, plan, run, prices), board=board, plan=plan, prices=prices
    )


def choices_of(board: Board) -> int:
    """How many dishes may be chosen, all eating times together."""
    return int(board.masks.sum(axis=1)[board.cell_mask].sum())


def blocks_of(board: Board) -> list[int]:
    """Every day for itself; whole legs when the walk and the party are large."""
    if board.cells <= MOST_CELLS:
        return list(range(board.days))
    return [int(leg) for leg in board.legs]


def _relaxed(board: Board, run: _Run, warm: Made | None) -> Relaxed:
    """Prices and a bound: of the whole at once, or span by span where that takes too long."""
    if by_spans(board, run.tries):
        return relax_by_spans(board, run.effort(), run.near, run.relaxing)
    prices = None
    if warm is not None and warm.prices is not None:
        prices = prices_on(board, warm.board, warm.prices)
    return relax(
        board, blocks_of(board), run.effort(), near=run.near, warm=prices, halt=run.relaxing
    )


def by_spans(board: Board, tries: Trying) -> bool:
    """Is the walk so long that its bound is sought span by span?"""
    long = board.cells > SPAN_CELLS and max(span_of_days(board)) > 0
    return long and (tries.gap >= SPAN_GAP or board.cells > MOST_CELLS)


def _tighter(board: Board, relaxed: Relaxed, run: _Run) -> Relaxed:
    """The bound of the whole at once, where that of the spans is not enough."""
    if board.cells > MOST_CELLS:
        return relaxed
    try:
        again = relax(
            board,
            blocks_of(board),
            run.effort(),
            near=run.near,
            warm=relaxed.prices,
            halt=run.relaxing,
        )
    except StoppedError:
        return relaxed
    run.counted(again)
    return again


class _Run:
    """Time, progress and the bound while one menu is made."""

    def __init__(self, tries: Trying, watch: Watch | None) -> None:
        self.tries, self.watch = tries, watch
        self.began = tries.clock() if tries.clock else 0.0
        self.bound = float("-inf")
        self.solver_seconds = 0.0
        self.solves = 0
        self.stopped = False
        self.search: Search | None = None

    def spent(self) -> float:
        if self.tries.clock is not None:
            return self.tries.clock() - self.began
        return self.solver_seconds + (self.search.seconds if self.search else 0.0)

    def left(self) -> float:
        return max(0.01, self.tries.seconds - self.spent())

    @property
    def near(self) -> float:
        """How near the relaxation's own value its bound has to come."""
        return min(5e-4, max(self.tries.gap / 20, 1e-6))

    @property
    def over(self) -> bool:
        return self.stopped or self.spent() >= self.tries.seconds

    def effort(self, gap: float = 0.0) -> Effort:
        tries = self.tries
        return Effort(seconds=self.left(), gap=gap, threads=tries.threads, seed=tries.seed)

    def counted(self, relaxed: Relaxed) -> None:
        self.solver_seconds += relaxed.seconds
        self.solves += relaxed.solves
        self.bound = max(self.bound, relaxed.bound)

    def at_least(self, board: Board) -> None:
        """Without any prices a menu still weighs what its lightest dishes weigh."""
        self.bound = max(self.bound, priced(board, no_prices(board), keep=1).bound)

    def relaxing(self, bound: float) -> bool:
        self.bound = max(self.bound, bound)
        return self.halt("bound", None)

    def halt(self, stage: str, best: float | None, bound: float = float("-inf")) -> bool:
        if self.watch is not None:
            bound = max(bound, self.bound)
            said = Progress(stage=stage, best_g=best, bound_g=bound, gap=gap_of(best, bound))
            self.stopped = self.watch(said) or self.stopped
        return self.over

    def searching(self, board: Board, relaxed: Relaxed, stray_g: float) -> Search:
        """A search with these prices, its solves and seconds on this run's account."""
        if self.search is not None:
            self.solver_seconds += self.search.seconds
            self.solves += self.search.solves
        tries = self.tries
        walkers = len(board.walker_ids)
        days = np.unique(board.cell_day[board.plate_cell] * walkers + board.plate_walker).shape[0]
        near_g = tries.gap * abs(self.bound) / max(1, days) if np.isfinite(self.bound) else 0.0
        self.search = Search(
            board, relaxed, tries.threads, tries.seed, self.halt, self.left, stray_g, near_g
        )
        return self.search

    def good(self, plan: Plan) -> bool:
        return plan.whole and gap_of(plan.cost(), self.bound) <= self.tries.gap

    def without_plates(
        self, board: Board, prices: Prices | None, verdict: Verdict, **more: object
    ) -> Made:
        menu = Menu(
            verdict=verdict,
            bound_g=self.bound,
            solver=version(),
            seconds=self.spent(),
            solves=self.solves + (self.search.solves if self.search else 0),
        )
        return Made(
            menu=msgspec.structs.replace(menu, **more), board=board, plan=None, prices=prices
        )


def _searched(
    board: Board, relaxed: Relaxed, run: _Run, warm: Made | None
) -> tuple[Plan | None, bool]:
    """The best plan found in the time, and whether it is proven that there is none."""
    plan = None
    if warm is not None and warm.plan is not None:
        plan = plan_on(board, warm.board, warm.plan)
        if run.good(plan):
            return plan, False
    few = choices_of(board) <= FEW_CHOICES
    for number, (near, stray_g) in enumerate(ATTEMPTS[:1] if few else ATTEMPTS):
        if number == 1 and by_spans(board, run.tries):
            relaxed = _tighter(board, relaxed, run)
        search = run.searching(board, relaxed, stray_g)
        if plan is None or number > 0:
            new = search.portioned(search.first(near))
            plan = new if plan is None or new.burden() < plan.burden() else plan
        elif not plan.whole:
            plan = search.portioned(plan)
        if not run.good(plan) and not run.over:
            last = number == len(ATTEMPTS) - 1
            plan = Mending(search).mended(plan, run.good, None if last else len(search.plates_of))
        if run.good(plan) and not run.over:
            plan = Mending(search).polished(plan)
        if run.good(plan) or run.over:
            return plan, False
    assert plan is not None
    return _finished(board, relaxed, plan, run)


def _finished(board: Board, relaxed: Relaxed, plan: Plan, run: _Run) -> tuple[Plan, bool]:
    """What is left, all at once, if it is little enough."""
    upper = plan.cost() if plan.whole else float("inf")

    def watch(best: float | None, bound: float) -> bool:
        top = upper if best is None else min(upper, best + board.offset)
        return run.halt("all at once", top if top < float("inf") else None, bound + board.offset)

    end = finished(board, relaxed.prices, run.bound, plan, run.effort(run.tries.gap), watch)
    if end is None:
        return plan, False
    run.solver_seconds += end.seconds
    run.solves += 1
    run.bound = max(run.bound, end.bound)
    return end.plan, end.impossible


def _told(question: Question, board: Board, plan: Plan, run: _Run, prices: Prices) -> Menu:
    """The menu in words, once the checker has found nothing in it."""
    plates = plates_of(question, board, plan)
    cost = plan.cost()
    bound = min(run.bound, cost)
    gap = gap_of(cost, bound)
    verdict: Verdict = (
        "optimal" if gap <= NOTHING else "good-enough" if gap <= run.tries.gap else "stopped"
    )
    solves = run.solves + (run.search.solves if run.search else 0)
    if broken_rules(question, plates):
        return Menu(
            verdict="stopped", bound_g=run.bound, solver=version(), seconds=run.spent(),
            solves=solves,
        )  # fmt: skip
    mass = mass_of(plates)
    least = min(mass, mass_bound(question, board, prices, bound))
    if gap_of(mass, least) > run.tries.gap and not run.over and not only_mass(question, board):
        least = min(mass, max(least, _mass_alone(board, prices, run)))
    return Menu(
        verdict=verdict,
        plates=plates,
        mass_g=mass,
        bound_mass_g=least,
        weighed_g=cost,
        bound_g=bound,
        gap=gap,
        cost=money_of(question, board, plan),
        packs=packs_of(board, plan),
        unknown=unknown_of(question, plates),
        solver=version(),
        seconds=run.spent(),
        solves=solves,
    )


def _mass_alone(board: Board, prices: Prices, run: _Run) -> float:
    """A proven floor of the mass by prices of its own, in what time is left."""
    try:
        found = relax_for_bound(mass_board(board), run.effort(), MASS_NEAR, prices)
    except StoppedError:
        return 0.0
    run.solver_seconds += found.seconds
    return found.bound
