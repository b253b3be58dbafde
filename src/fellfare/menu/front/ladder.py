"""From the lightest menu to the cheapest: a few rates of exchange are planned for.

At each of them prices are found anew, and every day that loses at these prices
is chosen anew. Between rates prices are mixed (any prices prove a bound).
"""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import numpy as np

from fellfare.menu.front.clock import Clocked
from fellfare.menu.model.board import Board
from fellfare.menu.model.bounding import relax_for_bound
from fellfare.menu.model.carried import prices_on
from fellfare.menu.model.laying import lay_board
from fellfare.menu.model.mending import Losses
from fellfare.menu.model.part import part_of
from fellfare.menu.model.plan import Plan, planned
from fellfare.menu.model.pricing import Prices, priced
from fellfare.menu.model.relaxing import StoppedError
from fellfare.menu.model.searching import Search
from fellfare.menu.model.waiting import Waiting
from fellfare.menu.pool import Question

#: A rung may take so much of what the first menu took; days that lose less wait then.
RUNG = 0.7
#: How near the prices of a rung are sought.
NEAR = 2e-3
#: A day that loses less than this part of what is weighed stays as it is.
LITTLE = 2e-4
#: So many of the days chosen last are tried as a pattern; how near to one's loss is enough.
LIKE = 3
ENOUGH = 1.3
#: How near portions are solved, and in how many nodes.
PORTIONS = 3e-4
NODES = 2_000
#: The same where dishes are chosen again with whole steps: candidates, gap, nodes.
AGAIN = 5
AGAIN_NEAR = 1e-3
AGAIN_NODES = 200
#: Bounds with mixed prices between two rates.
BETWEEN = 3


class Rung(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """One rate: its board, prices and bound (weight + rate x money), and the plan found there."""

    rate_g: float
    board: Board
    prices: Prices
    bound_g: float
    plan: Plan


class Line(msgspec.Struct, frozen=True, kw_only=True):
    """A straight floor under the front: weight >= ``bound_g`` - ``rate_g`` x money."""

    rate_g: float
    bound_g: float

    def at(self, cost: float) -> float:
        """What any menu for no more than this money weighs at least [g]."""
        return self.bound_g - self.rate_g * cost


def rung_at(question: Question, rate_g: float, near: Rung, clock: Clocked) -> Rung | None:
    """A plan and a bound for ``question`` (weighed at this rate), from a rung near by."""
    begun = clock.spent()
    board = lay_board(question)
    try:
        warm = prices_on(board, near.board, near.prices)
        relaxed = relax_for_bound(board, clock.effort(0.0), NEAR, warm)
    except StoppedError:
        return None
    clock.solver_seconds += relaxed.seconds
    tries = clock.tries
    until = begun + RUNG * clock.first_seconds

    def halt(stage: str, best: float | None) -> bool:
        return clock.spent() > until or clock.quiet(stage, best)

    search = Search(board, relaxed, tries.threads, tries.seed, halt, clock.left)
    plan = _chosen_anew(search, planned(board, near.plan.picks))
    clock.solver_seconds += search.seconds
    clock.solves += search.solves
    return Rung(rate_g=rate_g, board=board, prices=relaxed.prices, bound_g=relaxed.bound, plan=plan)


def lines_between(at_rate: Callable[[float], Question], one: Rung, other: Rung) -> list[Line]:
    """Floors at rates between two rungs, by mixed prices."""
    lines = []
    for step in range(1, BETWEEN + 1):
        share = step / (BETWEEN + 1)
        rate = (1.0 - share) * one.rate_g + share * other.rate_g
        board = lay_board(at_rate(rate))
        prices = mixed(
            prices_on(board, one.board, one.prices),
            prices_on(board, other.board, other.prices),
            share,
        )
        lines.append(Line(rate_g=rate, bound_g=priced(board, prices, keep=1).bound))
    return lines


def mixed(one: Prices, other: Prices, share: float) -> Prices:
    """``share`` of the other prices and the rest of the one."""
    family = np.concatenate([one.family, other.family])
    key = np.concatenate([one.key, other.key])
    price = np.concatenate([(1.0 - share) * one.price, share * other.price])
    if family.shape[0]:
        marks = np.stack([family, key])
        (family, key), back = np.unique(marks, axis=1, return_inverse=True)
        price = np.asarray(
            np.bincount(back.ravel(), weights=price, minlength=family.shape[0]), dtype=np.float64
        )
    return Prices(
        rows=(1.0 - share) * one.rows + share * other.rows, family=family, key=key, price=price
    )


def _chosen_anew(search: Search, plan: Plan) -> Plan:
    """The days that lose at these prices, the dearest first; each like another one, or anew.

    A day that is no worse after it was filled like one chosen before it needs
    no search of its own.
    """
    losses = Losses(search)
    losses.count(plan, range(search.board.cells))
    of_day = {day: float(losses.cell[cells].sum()) for day, cells in search.cells_on.items()}
    little = LITTLE * plan.cost()
    fresh: list[tuple[float, int]] = []
    for day in sorted(of_day, key=lambda each: (-of_day[each], each)):
        if (of_day[day] < little and plan.whole) or search.halt("", None):
            break
        cells = search.cells_on[day]
        for least, like in fresh[-LIKE:]:
            new = _like(search, plan, day, like)
            if new is None or new.burden() >= plan.burden():
                continue
            plan = new
            losses.count(plan, cells)
            if losses.cell[cells].sum() <= ENOUGH * least + little and plan.whole:
                break
        else:
            new = _day_anew(search, plan, day)
            if new.burden() < plan.burden():
                plan = new
                losses.count(plan, cells)
                fresh.append((float(losses.cell[cells].sum()), day))
    return plan


def _like(search: Search, plan: Plan, day: int, other: int) -> Plan | None:
    """The day filled like another one, portions too, or portioned anew where that breaks a rule."""
    board = search.board
    place = {_place(board, cell): cell for cell in search.cells_on[other]}
    picks = {}
    for cell in search.cells_on[day]:
        there = place.get(_place(board, cell))
        if there is None:
            return None
        allowed, picks[cell] = board.allowed(cell), plan.picks.get(there, ())
        if any(not allowed[r] for r, _, _ in picks[cell]):
            return None
    new = plan.with_cells(picks)
    if new.whole:
        return new
    return None if new.over or new.missing else _portioned(search, new, day)


def _place(board: Board, cell: int) -> tuple[str, int, int, int]:
    eaters = int(board.plate_start[cell + 1] - board.plate_start[cell])
    last = int(board.cell_most[cell])
    return board.cell_time[cell], int(board.cell_walker[cell]), eaters, last


def _portioned(search: Search, plan: Plan, day: int) -> Plan:
    """The day's portions in whole steps, one walker after another.

    Where whole steps break a rule, what that walker alone eats is chosen again with them.
    """
    board = search.board
    for walker in search.walkers_on[day]:
        plates = search.plates_of[day, walker]
        part = part_of(plan, {}, portions=plates)
        plan = search.solve(plan, part, search.effort(PORTIONS, nodes=NODES)) or plan
        missed = plan.missed_rows() > 0
        if not (missed.any() and search.touches((day, walker), missed)):
            continue
        own = {
            int(cell): search.candidates(int(cell), AGAIN, plan)
            for cell in board.plate_cell[plates]
            if int(board.cell_walker[cell]) == walker
        }
        part = part_of(plan, own, portions=plates)
        plan = search.solve(plan, part, search.effort(AGAIN_NEAR, nodes=AGAIN_NODES)) or plan
    return plan


def _day_anew(search: Search, plan: Plan, day: int) -> Plan:
    board = search.board
    cells = search.cells_on[day]
    shared = [c for c in cells if board.cell_walker[c] < 0]
    own = [c for c in cells if board.cell_walker[c] >= 0]
    if len(search.walkers_on[day]) == 1 or not own:
        plates = [p for walker in search.walkers_on[day] for p in search.plates_of[day, walker]]
        return _portioned(search, search.decide(plan, cells, plates, None), day)
    waiting = None
    if shared:
        plan = search.common(plan, shared, own, None)
        waiting = Waiting(board, search.relaxed.eaten, own)
    for walker in search.walkers_on[day]:
        mine = [c for c in own if board.cell_walker[c] == walker]
        plan = search.decide(plan, mine, search.plates_of[day, walker], waiting)
    return _portioned(search, plan, day)
