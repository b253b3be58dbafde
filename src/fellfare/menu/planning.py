"""The menu of the least weight, with its proof."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import numpy as np

from fellfare.menu.answer import Menu, Plate, Portion, Progress
from fellfare.menu.asking import checked
from fellfare.menu.checking import broken_rules
from fellfare.menu.impossible import empty_cells, proven_impossible
from fellfare.menu.model.board import Board
from fellfare.menu.model.fitting import legs_of
from fellfare.menu.model.laying import lay_board
from fellfare.menu.model.part import begun_at, part_of, solve_part
from fellfare.menu.model.plan import Plan
from fellfare.menu.model.pricing import Prices, plate_prices, priced, values
from fellfare.menu.model.relaxing import Relaxed, StoppedError, relax
from fellfare.menu.model.searching import Search
from fellfare.menu.pool import Question
from fellfare.menu.solver import Effort, version
from fellfare.menu.solver.outcome import gap_of
from fellfare.menu.trying import Trying, Watch

#: The older name, until every caller has the new one.
Budgeted = Trying

#: Above so many cells days are taken together in the relaxation.
MOST_CELLS = 4_000
#: Above so many columns the whole is not given to the solver at once.
MOST_COLUMNS = 30_000


class _Run:
    """Time, progress and the bound while one menu is made."""

    def __init__(self, tries: Trying, watch: Watch | None) -> None:
        self.tries, self.watch = tries, watch
        self.began = tries.clock() if tries.clock else 0.0
        self.bound = float("-inf")
        self.solver_seconds = 0.0
        self.stopped = False
        self.search: Search | None = None

    def spent(self) -> float:
        if self.tries.clock is not None:
            return self.tries.clock() - self.began
        return self.solver_seconds + (self.search.seconds if self.search else 0.0)

    def left(self) -> float:
        return max(0.01, self.tries.seconds - self.spent())

    def halt(self, stage: str, best: float | None) -> bool:
        if self.watch is not None:
            said = Progress(
                stage=stage, best_g=best, bound_g=self.bound, gap=gap_of(best, self.bound)
            )
            self.stopped = self.stopped or self.watch(said)
        return self.stopped or self.spent() >= self.tries.seconds

    def near(self, burden: float) -> bool:
        return gap_of(burden, self.bound) <= self.tries.gap


class Made(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """A menu, and what a next run can begin from."""

    menu: Menu
    board: Board
    plan: Plan | None
    prices: Prices | None


def plan_menu(
    question: Question, tries: Trying | None = None, watch: Watch | None = None
) -> Menu:
    """The lightest menu found, proven to within ``menu.gap``; or why there is none."""
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
    checked(question)
    board = lay_board(question)
    if change is not None:
        board = change(board)
    run = _Run(tries, watch)
    gone = empty_cells(question, board)
    if gone:
        return Made(
            menu=Menu(verdict="impossible", gives=gone, solver=version()),
            board=board,
            plan=None,
            prices=None,
        )
    try:
        relaxed = relax(
            board,
            _blocks(board),
            Effort(seconds=run.left(), threads=tries.threads, seed=tries.seed),
            near=min(2e-4, max(tries.gap / 10, 1e-6)),
            warm=warm.prices if warm is not None and warm.prices is not None else None,
        )
    except StoppedError:
        return Made(
            menu=Menu(verdict="stopped", solver=version()), board=board, plan=None, prices=None
        )
    run.bound = relaxed.bound
    run.solver_seconds += relaxed.seconds
    if relaxed.missed > 1e-7 and proven_impossible(board, _blocks(board), run.left(), tries):
        return Made(
            menu=Menu(
                verdict="impossible", bound_g=run.bound, solver=version(), seconds=run.spent()
            ),
            board=board,
            plan=None,
            prices=relaxed.prices,
        )
    search = Search(board, relaxed, tries.threads, tries.seed, run.halt)
    run.search = search
    plan = _begun(search, run, warm, board)
    if not run.near(plan.burden()):
        plan = search.mended(plan, run.near)
    verdict_impossible = False
    if not run.near(plan.burden()) and not run.stopped and run.spent() < tries.seconds:
        plan, verdict_impossible = _finish(board, relaxed, plan, run)
    return Made(
        menu=_told(question, board, plan, run, search, relaxed, verdict_impossible),
        board=board,
        plan=plan if plan.whole else None,
        prices=relaxed.prices,
    )


def _blocks(board: Board) -> list[int]:
    """Every day for itself; whole legs when the walk and the party are large."""
    if board.cells <= MOST_CELLS:
        return list(range(board.days))
    return [int(leg) for leg in board.legs]


def _begun(search: Search, run: _Run, warm: Made | None, board: Board) -> Plan:
    """A first menu: the earlier one if it still stands, or a new one."""
    if warm is not None and warm.plan is not None:
        old = Plan(board)
        old.picks = {
            cell: [p for p in picks if board.allowed(cell)[p[0]]]
            for cell, picks in warm.plan.picks.items()
        }
        old.settle()
        if not old.whole:
            old = search.portioned(old)
        if old.whole:
            return old
    return search.portioned(search.first())


def _finish(board: Board, relaxed: Relaxed, plan: Plan, run: _Run) -> tuple[Plan, bool]:
    """All choices that can still be in a better menu, given to the solver at once."""
    upper = plan.burden()
    kept = survivors(board, relaxed.prices, relaxed.bound, upper)
    if sum(len(each) for each in kept.values()) > MOST_COLUMNS:
        return plan, False
    for cell, picks in plan.picks.items():
        kept[cell] = sorted(set(kept[cell]) | {r for r, _, _ in picks})
    part = begun_at(part_of(Plan(board), kept), plan)

    def watch(best: float | None, bound: float) -> bool:
        top = upper if best is None else min(upper, best + board.offset)
        run.bound = max(run.bound, min(bound + board.offset, upper))
        return run.halt("all at once", top)

    effort = Effort(
        seconds=run.left(), gap=run.tries.gap, threads=run.tries.threads, seed=run.tries.seed
    )
    out, new = solve_part(Plan(board), part, effort, watch)
    run.solver_seconds += out.seconds
    best = plan
    if new is not None:
        new.settle()
        if new.burden() < upper:
            best = new
    # what was left out cannot be in a menu lighter than ``upper``
    run.bound = max(run.bound, min(out.bound + board.offset, upper))
    return best, False


def survivors(board: Board, prices: Prices, bound: float, upper: float) -> dict[int, list[int]]:
    """Per cell the dishes that a menu lighter than ``upper`` may still hold.

    Forcing a dish into a cell raises the bound by at least what it costs more
    than the dish it displaces; where that passes ``upper`` the dish is out.
    """
    per_plate = plate_prices(board, prices.rows)
    room = upper - bound + 1e-6 * abs(upper)
    kept: dict[int, list[int]] = {}
    step = max(1, 4_000_000 // max(1, board.dishes))
    for first in range(0, board.cells, step):
        last = min(board.cells, first + step)
        table = values(board, per_plate, prices, first, last)
        for cell in range(first, last):
            line = table[cell - first]
            fits = np.isfinite(line)
            ranked = np.sort(line[fits])
            displaced = _displaced(
                ranked.tolist(),
                int(board.cell_least[cell]),
                int(board.cell_most[cell]),
                int(board.cell_twice[cell]),
            )
            kept[cell] = np.nonzero(fits & (line - displaced <= room))[0].tolist()
    return kept


def _displaced(ranked: list[float], least: int, most: int, twice: int) -> float:
    """The value that a forced dish would push out: the last one taken, or none (0)."""
    taken: list[float] = []
    for value in ranked:
        for _ in range(twice):
            if len(taken) < least or (len(taken) < most and value < 0):
                taken.append(value)
    if len(taken) < most:
        return 0.0 if len(taken) > least or least == 0 else max(0.0, taken[-1] if taken else 0.0)
    return taken[-1] if taken else 0.0


def _told(
    question: Question,
    board: Board,
    plan: Plan,
    run: _Run,
    search: Search,
    relaxed: Relaxed,
    impossible: bool,
) -> Menu:
    solves = search.solves + relaxed.solves
    plates = plates_of(question, board, plan)
    whole = plan.whole and not broken_rules(question, plates)
    if not whole:
        return Menu(
            verdict="impossible" if impossible else "stopped",
            bound_g=run.bound,
            solver=version(),
            seconds=run.spent(),
            solves=solves,
        )
    cost = plan.cost()
    gap = gap_of(cost, run.bound)
    verdict = "optimal" if gap <= 1e-6 else "good-enough" if gap <= run.tries.gap else "stopped"
    mass = float(sum(p.mass_g for plate in plates for p in plate.portions))
    return Menu(
        verdict=verdict,  # type: ignore[arg-type]
        plates=plates,
        mass_g=mass,
        bound_mass_g=min(mass, _mass_bound(question, board, relaxed, run.bound)),
        weighed_g=cost,
        bound_g=run.bound,
        gap=gap,
        cost=_money(question, board, plan),
        packs=_packs(board, plan),
        unknown=_unknown(question, plates),
        solver=version(),
        seconds=run.spent(),
        solves=solves,
    )


def _mass_bound(question: Question, board: Board, relaxed: Relaxed, bound: float) -> float:
    """A proven floor of the mass alone, at the same prices."""
    weights = question.weights
    plain = (
        weights.mass == 1
        and weights.liking_g == 0
        and weights.cost_g == 0
        and all(day == 1 for day in weights.day)
        and all(slot.water_g_per_ml == 0 for slot in question.slots)
        and not board.cell_bonus
    )
    if plain:
        return bound
    cost = np.zeros_like(board.plate_cost)
    cost[:, 0] = 1.0
    only = msgspec.structs.replace(
        board,
        plate_cost=cost,
        dish_bonus=np.zeros_like(board.dish_bonus),
        cell_bonus=(),
        offset=0.0,
        extras=msgspec.structs.replace(board.extras, cost=np.zeros(board.extras.count)),
    )
    return max(0.0, priced(only, relaxed.prices, keep=1).bound)


def plates_of(question: Question, board: Board, plan: Plan) -> tuple[Plate, ...]:
    """The plan in words: every dish at its time with everybody's portion."""
    plates = []
    order = {(slot.day, slot.time): at for at, slot in enumerate(question.slots)}
    for cell in sorted(plan.picks):
        first = int(board.plate_start[cell])
        for r, times, steps in plan.picks[cell]:
            dish = question.dishes[r]
            portions = tuple(
                Portion(
                    walker=board.walker_ids[int(board.plate_walker[first + at])],
                    steps=many,
                    mass_g=(dish.mass_g + dish.fuel_g) * many / dish.steps_per_serving,
                    energy_kcal=dish.energy_kcal * many / dish.steps_per_serving,
                )
                for at, many in enumerate(steps)
            )
            plates.append(
                Plate(
                    day=int(board.cell_day[cell]),
                    time=board.cell_time[cell],
                    dish=dish.id,
                    shared=int(board.cell_walker[cell]) < 0,
                    times=times,
                    portions=portions,
                )
            )
    plates.sort(key=lambda p: (order[p.day, p.time], p.portions[0].walker, p.dish))
    return tuple(plates)


def _packs(board: Board, plan: Plan) -> tuple[tuple[str, int], ...]:
    bought = plan.packs() if board.extras.count else np.zeros(0)
    return tuple(
        (food, int(bought[e])) for e, food in enumerate(board.extras.food) if food and bought[e] > 0
    )


def _money(question: Question, board: Board, plan: Plan) -> float | None:
    """What it costs, or None when a price is not known or nothing was asked about money."""
    if question.budget is None and question.weights.cost_g == 0:
        return None
    total = sum(leg.fee for leg in legs_of(question))
    price = {pack.food: pack.price for pack in question.packs}
    total += sum(price[food] * many for food, many in _packs(board, plan))
    _, dish, servings = plan.portions()
    for r, amount in zip(dish.tolist(), servings.tolist(), strict=True):
        own = question.dishes[r].cost
        if own is None and not question.dishes[r].foods:
            return None
        total += (own or 0.0) * amount
    return float(total)


def _unknown(question: Question, plates: tuple[Plate, ...]) -> tuple[tuple[str, str], ...]:
    """(nutrient, dish) of figures that a rule asks for and nobody knows."""
    asked = {band.nutrient for band in question.bands}
    eaten = {plate.dish for plate in plates}
    return tuple(
        (nutrient, dish.id)
        for nutrient in sorted(asked)
        for dish in question.dishes
        if dish.id in eaten and getattr(dish, nutrient) is None
    )
