"""Menus between two menus: here and there what the cheaper one has, the rest as in the lighter.

Eating times and days hang together by little (energy and protein of the day,
repeats, packs, the load). So between a light menu and a cheap one there are
many, and it costs no search to make them: the cheaper dishes come in, at single
times portioned to the same energy, or days as they stand, the best exchange of
grams for money first; an exchange that would break a rule is not made.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeAlias

from fellfare.menu.model.figures import FIGURE
from fellfare.menu.model.plan import Pick, Plan

#: What an exchange costs (grams for a unit of money), and the picks that it brings.
Exchange: TypeAlias = tuple[float, dict[int, Sequence[Pick]]]
#: Money that two menus differ by is not told from none below this.
NOTHING = 1e-6


def between(light: Plan, cheap: Plan, money: Callable[[Plan], float | None]) -> list[Plan]:
    """From ``light`` towards ``cheap``, one exchange more each time.

    Twice: single eating times first, then whole days as they stand in ``cheap``.
    """
    start = money(light)
    if start is None:
        return []
    singles = _singles(light, cheap, start, money)
    by_times = _made(light, singles)
    begun = by_times[-1] if by_times else light
    return (
        by_times
        + _made(light, _days(light, cheap, start, money))
        + _made(begun, _days(begun, cheap, money(begun) or start, money))
    )


def _days(
    light: Plan, cheap: Plan, start: float, money: Callable[[Plan], float | None]
) -> list[Exchange]:
    cells: dict[int, dict[int, Sequence[Pick]]] = {}
    for cell in range(light.board.cells):
        then = tuple(cheap.picks.get(cell, ()))
        if tuple(light.picks.get(cell, ())) != then:
            cells.setdefault(int(light.board.cell_day[cell]), {})[cell] = then
    return _worth(light, list(cells.values()), start, money)


def _worth(
    light: Plan,
    changes: list[dict[int, Sequence[Pick]]],
    start: float,
    money: Callable[[Plan], float | None],
) -> list[Exchange]:
    """The changes that save money, those that cost the fewest grams for it first."""
    exchanges: list[Exchange] = []
    for change in changes:
        one = light.with_cells(change)
        cost = money(one)
        saved = 0.0 if cost is None else start - cost
        if saved > NOTHING:
            exchanges.append(((one.cost() - light.cost()) / saved, change))
    exchanges.sort(key=lambda each: (each[0], min(each[1])))
    return exchanges


def _made(plan: Plan, exchanges: list[Exchange]) -> list[Plan]:
    """One exchange after another, those left out that would break a rule."""
    found = []
    for _, change in exchanges:
        new = plan.with_cells(change)
        if new.whole:
            plan = new
            found.append(plan)
    return found


def _singles(
    light: Plan, cheap: Plan, start: float, money: Callable[[Plan], float | None]
) -> list[Exchange]:
    changes: list[dict[int, Sequence[Pick]]] = []
    for cell in range(light.board.cells):
        now, then = tuple(light.picks.get(cell, ())), tuple(cheap.picks.get(cell, ()))
        if {r for r, _, _ in now} == {r for r, _, _ in then} or not then:
            continue
        picks: Sequence[Pick] = portioned_like(light, cell, then)
        changes.append({cell: picks})
    return _worth(light, changes, start, money)


def portioned_like(plan: Plan, cell: int, picks: Sequence[Pick]) -> list[Pick]:
    """Other picks with portions that bring everybody the energy that the cell brings now."""
    board = plan.board
    kcal = board.figures[:, FIGURE["energy_kcal"]] / board.steps
    eaters = int(board.plate_start[cell + 1] - board.plate_start[cell])
    share = []
    for at in range(eaters):
        now = sum(float(kcal[r]) * steps[at] for r, _, steps in plan.picks.get(cell, ()))
        then = sum(float(kcal[r]) * steps[at] for r, _, steps in picks)
        share.append(now / then if then > 0 else 1.0)
    new: list[Pick] = []
    for r, times, steps in picks:
        low = round(float(board.least[r] * board.steps[r])) * times
        high = round(float(board.most[r] * board.steps[r])) * times
        # rounded up: a floor on energy is what most menus rest on
        scaled = (int(-(-steps[at] * share[at] // 1)) for at in range(eaters))
        new.append((r, times, tuple(max(low, min(high, each)) for each in scaled)))
    return new
