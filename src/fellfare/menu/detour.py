"""A first menu by a detour: one without rules on repeats is soon found, and then mended.

Rules on repeats and on different dishes tie the days together; without them a menu falls out of
the relaxation almost at once.  From there the way that changes a menu
(:mod:`fellfare.menu.changing`) keeps what it can and mends the rest.  Nothing of the bound
is taken from the easier question.
"""

from __future__ import annotations

from typing import Final

from msgspec.structs import replace

from fellfare.menu.changing import change_menu
from fellfare.menu.changing.repair import plan_of
from fellfare.menu.model.laying import lay_board
from fellfare.menu.planning import Made, make
from fellfare.menu.pool import Question
from fellfare.menu.trying import Trying, Watch

#: How near the easier menu is looked for, and its part of the time.
EASY_GAP: Final = 0.03
EASY_PART: Final = 0.2


def by_detour(question: Question, tries: Trying, watch: Watch | None = None) -> Made | None:
    """A menu for the question by way of an easier one; None = not found either.

    The menu's own bound is of the question itself, as
    :func:`~fellfare.menu.changing.change_menu` proves it.
    """
    easier = replace(question, repeats=(), differents=())
    first = make(easier, replace(tries, gap=EASY_GAP, seconds=EASY_PART * tries.seconds), watch)
    if not first.menu.plates:
        return None
    left = replace(tries, seconds=(1.0 - EASY_PART) * tries.seconds)
    menu = change_menu(first.menu, question, left, watch).menu
    if not menu.plates:
        return None
    board = lay_board(question)
    return Made(menu=menu, board=board, plan=plan_of(board, menu.plates), prices=None)
