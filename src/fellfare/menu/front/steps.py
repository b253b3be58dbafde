"""Menus of more and more different dishes, step by step from the first one."""

from __future__ import annotations

import msgspec
import numpy as np

from fellfare.menu.answer import Menu
from fellfare.menu.front.climbing import Climb, asking
from fellfare.menu.front.clock import Clocked
from fellfare.menu.front.floors import Floors, floors
from fellfare.menu.front.massing import variety_masses, with_masses
from fellfare.menu.front.menus import menu_of
from fellfare.menu.front.told import FrontPoint
from fellfare.menu.model.board import Board
from fellfare.menu.model.bounding import relax_for_bound
from fellfare.menu.model.carried import plan_on, prices_on
from fellfare.menu.model.laying import lay_board
from fellfare.menu.model.plan import Plan, planned
from fellfare.menu.model.pricing import Prices
from fellfare.menu.model.relaxing import StoppedError
from fellfare.menu.planning import Made, make
from fellfare.menu.pool import Different, Question
from fellfare.menu.solver.outcome import gap_of

WISH = "so many different dishes"
#: The whole front may take so many times what its first menu took.
WHOLE = 2.7
#: How near the prices of the far end are sought.
NEAR = 5e-4
#: Less time than this is not worth a further search [s].
LEAST_SECONDS = 0.02
#: Part of the time left for a menu by a search of its own, where the next step fails.
ALONE = 0.25


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
        if climb.different(plan) >= many:
            continue
        weight = plan.cost()
        if clock.halt(f"{many} different", weight, floor.at(many)):
            ended = "the time was over, or it was stopped"
            break
        new = climb.to(plan, many) or _planned_alone(asked, board, many, plan, prices, clock)
        if new is None:
            ended = f"no menu with {many} different dishes was found beside the others"
            break
        plan = new
        plans[climb.different(new)] = new
    found = []
    for many, each in plans.items():
        bound = max(floor.at(many), made.menu.bound_g)
        menu = menu_of(question, board, each, bound, clock.tries.gap, climb.solves)
        if menu is not None:
            found.append(FrontPoint(different=many, cost=menu.cost, menu=menu))
    found = _searched_on(asked, board, row, found, plans, prices, clock)
    return with_masses(found, variety_masses(question, times, made, clock)), ended


def _planned_alone(
    asked: Question, board: Board, many: int, plan: Plan, prices: Prices, clock: Clocked
) -> Plan | None:
    """A menu of so many different dishes by a search of its own, in half of the time left."""
    # the front would end here: that is worth some time, however quick the first menu was
    share = max(0.5 * clock.left_of(WHOLE), ALONE * clock.left())
    if share < LEAST_SECONDS:
        return None
    wish = msgspec.structs.replace(asked.differents[-1], least=many)
    one = msgspec.structs.replace(asked, differents=(*asked.differents[:-1], wish))
    warm = Made(menu=Menu(verdict="stopped"), board=board, plan=plan, prices=prices)
    made = make(one, msgspec.structs.replace(clock.tries, seconds=0.5 * share), None, warm)
    clock.solver_seconds += made.menu.seconds
    if made.plan is None and made.menu.verdict == "stopped":  # from the start, not from beside
        made = make(one, msgspec.structs.replace(clock.tries, seconds=0.5 * share))
        clock.solver_seconds += made.menu.seconds
    return None if made.plan is None else planned(board, made.plan.picks)


def _searched_on(
    asked: Question,
    board: Board,
    row: int,
    found: list[FrontPoint],
    plans: dict[int, Plan],
    prices: Prices,
    clock: Clocked,
) -> list[FrontPoint]:
    """The points that are not yet proven near enough, searched on in what time is left."""
    wide = sorted(
        (point for point in found if point.menu.gap > clock.tries.gap),
        key=lambda point: -point.menu.gap,
    )
    better = {point.different: point for point in found}
    for at, point in enumerate(wide):
        rest = clock.left_of(WHOLE)
        share = rest / (len(wide) - at)
        if share < LEAST_SECONDS or clock.stopped:
            break
        wish = msgspec.structs.replace(asked.differents[-1], least=point.different)
        one = msgspec.structs.replace(asked, differents=(*asked.differents[:-1], wish))
        warm = Made(
            menu=point.menu,
            board=asking(board, row, point.different),
            plan=plans[point.different],
            prices=prices,
        )
        made = make(one, msgspec.structs.replace(clock.tries, seconds=share), None, warm)
        clock.solver_seconds += made.menu.seconds
        better[point.different] = _better(point, made)
    return list(better.values())


def _better(point: FrontPoint, made: Made) -> FrontPoint:
    """The lighter of two menus of one place, with the higher of two bounds."""
    old, new = point.menu, made.menu
    bound = max(old.bound_g, new.bound_g)
    lighter = old
    if new.weighed_g is not None and old.weighed_g is not None and new.weighed_g < old.weighed_g:
        lighter = new
    weight = lighter.weighed_g
    bound = bound if weight is None else min(bound, weight)
    menu = msgspec.structs.replace(lighter, bound_g=bound, gap=gap_of(weight, bound))
    return msgspec.structs.replace(point, menu=menu, cost=menu.cost)


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
    try:
        relaxed = relax_for_bound(asking(board, row, many), clock.effort(0.0), NEAR, prices)
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
