"""Menus between two menus: some days as in the one, the others as in the other.

Days hang together by little (repeats, packs, the load), so between a light menu
and a cheap one there is a menu for every number of days, and it costs no search
to make them: the day with the best exchange is taken first.
"""

from __future__ import annotations

from collections.abc import Callable

from fellfare.menu.model.plan import Plan

#: Money that two days differ by is not told from none below this.
NOTHING = 1e-6


def days_between(light: Plan, cheap: Plan, money: Callable[[Plan], float | None]) -> list[Plan]:
    """From ``light`` on, one day more as in ``cheap`` each time; both ends are left out."""
    board = light.board
    cells: dict[int, list[int]] = {}
    for cell in range(board.cells):
        if tuple(light.picks.get(cell, ())) != tuple(cheap.picks.get(cell, ())):
            cells.setdefault(int(board.cell_day[cell]), []).append(cell)
    start = money(light)
    if start is None:
        return []
    worth: dict[int, float] = {}
    for day, changed in cells.items():
        one = _with_days(light, cheap, changed)
        cost = money(one)
        saved = 0.0 if cost is None else start - cost
        heavier = one.cost() - light.cost()
        worth[day] = heavier / saved if saved > NOTHING else float("inf") if heavier > 0 else -1.0
    found = []
    plan = light
    for day in sorted(worth, key=lambda each: (worth[each], each))[:-1]:
        plan = _with_days(plan, cheap, cells[day])
        found.append(plan)
    return found


def _with_days(plan: Plan, other: Plan, cells: list[int]) -> Plan:
    return plan.with_cells({cell: other.picks.get(cell, ()) for cell in cells})
