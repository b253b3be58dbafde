"""The front: the lightest menus of more and more variety, or of less and less money."""

from __future__ import annotations

import msgspec
import numpy as np

from fellfare.menu.answer import Progress
from fellfare.menu.front.menus import menu_of
from fellfare.menu.front.told import (
    By,
    Front,
    FrontPoint,
    sentences,
    stepped,
    undominated,
)
from fellfare.menu.front.variety import Climb, Floors, asking, floors
from fellfare.menu.model.board import Board
from fellfare.menu.model.carried import plan_on, prices_on
from fellfare.menu.model.laying import lay_board
from fellfare.menu.model.pricing import Prices
from fellfare.menu.model.relaxing import StoppedError, relax
from fellfare.menu.planning import Made, make
from fellfare.menu.pool import Different, Question
from fellfare.menu.solver import Effort
from fellfare.menu.solver.outcome import gap_of
from fellfare.menu.trying import Trying, Watch
from fellfare.mistake import Mistake

WISH = "so many different dishes"
#: No more points than this are drawn.
MOST_POINTS = 200


def front(
    question: Question,
    by: By = "variety",
    times: tuple[str, ...] = ("dinner",),
    points: int = 10,
    tries: Trying | None = None,
    watch: Watch | None = None,
) -> Front:
    """The front of weight against variety.

    Parameters
    ----------
    question
        What is asked of every menu of the front.
    by
        'variety': how many different dishes stand at ``times``.
    times
        Eating times whose dishes are counted.
    points
        About so many menus, the lightest and the richest among them.
    tries
        For the first plan as for ``plan_menu``; ``seconds`` ends the whole.
    watch
        Hears of every point; True ends the front where it stands.

    Returns
    -------
    Front
        Each menu keeps every rule and has its own proven bound.

    Raises
    ------
    Mistake
        As ``plan_menu``; ``front-points``, ``front-times``.
    """
    if not 2 <= points <= MOST_POINTS:
        raise Mistake(
            "front-points", what=f"{points} points", mend=f"ask for 2 to {MOST_POINTS} points"
        )
    known = {slot.time for slot in question.slots}
    if not times or not set(times) <= known:
        missing = sorted(set(times) - known) or ["none"]
        raise Mistake(
            "front-times",
            what=f"no eating time is called {', '.join(missing)}",
            mend=f"name some of: {', '.join(sorted(known))}",
        )
    tries = tries or Trying()
    clock = Clocked(tries, watch)
    made = make(question, tries, watch)
    clock.first(made)
    if made.plan is None or made.prices is None:
        return Front(by=by, times=times, first=made.menu, ended="there is no first menu")
    found, ended = variety_points(question, times, points, made, clock)
    kept = stepped(undominated(found, by))
    return Front(
        by=by,
        times=times,
        first=made.menu,
        points=kept,
        sentences=sentences(by, times, kept),
        ended=ended,
        first_seconds=clock.first_seconds,
        seconds=clock.spent(),
    )


class Clocked:
    """The time of the whole front, and who wants to stop it."""

    def __init__(self, tries: Trying, watch: Watch | None) -> None:
        self.tries, self.watch = tries, watch
        self.began = tries.clock() if tries.clock else 0.0
        self.first_seconds = 0.0
        self.solver_seconds = 0.0
        self.stopped = False

    def first(self, made: Made) -> None:
        """The first menu is there."""
        self.solver_seconds = made.menu.seconds
        self.first_seconds = self.spent()

    def spent(self) -> float:
        """Seconds so far, by the clock or else the solver's own."""
        if self.tries.clock is not None:
            return self.tries.clock() - self.began
        return self.solver_seconds

    def left(self) -> float:
        """Seconds that remain."""
        return max(0.01, self.tries.seconds - self.spent())

    def effort(self, gap: float, nodes: int | None = None) -> Effort:
        """How hard a small model may try."""
        return Effort(
            seconds=self.left(),
            gap=gap,
            nodes=nodes,
            threads=self.tries.threads,
            seed=self.tries.seed,
            light=True,
        )

    def halt(self, stage: str, best: float | None, bound: float) -> bool:
        """Tell how far it is; True: end here."""
        if self.watch is not None:
            said = Progress(stage=stage, best_g=best, bound_g=bound, gap=gap_of(best, bound))
            self.stopped = self.watch(said) or self.stopped
        return self.stopped or self.spent() >= self.tries.seconds


def variety_points(
    question: Question, times: tuple[str, ...], points: int, made: Made, clock: Clocked
) -> tuple[list[FrontPoint], str]:
    """Menus of more and more different dishes, and why there are no more of them."""
    assert made.plan is not None
    assert made.prices is not None
    wish = Different(wish=WISH, times=times, least=1)
    asked = msgspec.structs.replace(question, differents=(*question.differents, wish))
    board = lay_board(asked)
    row = board.rows.wish.index(WISH)
    cells = [cell for cell in range(board.cells) if board.cell_time[cell] in times]
    plan = plan_on(board, made.board, made.plan)
    prices = prices_on(board, made.board, made.prices)
    climb = Climb(board, row, cells, prices, clock.effort)
    floor = floors(board, prices, cells)
    begun = climb.different(plan)
    targets = spread(begun, len(floor.bound) - 1, points)
    if len(targets) > 1:
        far, floor = _far_prices(board, row, targets[-1], prices, cells, floor, clock)
        climb.also(far)
    plans = {begun: plan}
    ended = f"there are dishes for no more than {len(floor.bound) - 1} different ones"
    for many in targets[1:]:
        weight = plan.cost()
        if clock.halt(f"{many} different", weight, floor.at(many)):
            ended = "the time was over, or it was stopped"
            break
        new = climb.to(plan, many)
        if new is None:
            ended = f"no menu with {many} different dishes was found beside the others"
            break
        plan = new
        plans[climb.different(new)] = new
    found = []
    for many, each in plans.items():
        menu = menu_of(
            question, board, each, max(floor.at(many), made.menu.bound_g),
            clock.tries.gap, climb.solves,
        )  # fmt: skip
        if menu is not None:
            found.append(FrontPoint(different=many, cost=menu.cost, menu=menu))
    return found, ended


def spread(first: int, last: int, points: int) -> list[int]:
    """About so many whole numbers from first to last, both among them."""
    if last <= first:
        return [first]
    many = min(points, last - first + 1)
    return sorted({round(x) for x in np.linspace(first, last, many).tolist()})


def _far_prices(
    board: Board,
    row: int,
    many: int,
    prices: Prices,
    cells: list[int],
    floor: Floors,
    clock: Clocked,
) -> tuple[Prices, Floors]:
    """Prices of the far end of the front: they bound it better there."""
    blocks = list(range(board.days))
    try:
        relaxed = relax(asking(board, row, many), blocks, clock.effort(0.0), warm=prices)
    except StoppedError:
        return prices, floor
    clock.solver_seconds += relaxed.seconds
    far = without_row(board, relaxed.prices, row)
    return far, floor.or_better(floors(board, far, cells))


def without_row(board: Board, prices: Prices, row: int) -> Prices:
    """The same prices with the wish for different dishes left out: it is counted by seats."""
    rows = prices.rows.copy()
    rows[row] = 0.0
    counted = np.array(
        [board.families[f].extra is not None for f in prices.family.tolist()], dtype=np.bool_
    )
    extra = board.rows.extra_column[board.rows.extra_row == row]
    mine = np.zeros(counted.shape[0], dtype=np.bool_)
    for at, f in enumerate(prices.family.tolist()):
        columns = board.families[f].extra
        mine[at] = bool(counted[at]) and columns is not None and bool(np.isin(columns, extra).any())
    return Prices(
        rows=rows, family=prices.family[~mine], key=prices.key[~mine], price=prices.price[~mine]
    )
