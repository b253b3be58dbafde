"""The new menu as near to the old one as it can be, nearness priced in grams."""

from __future__ import annotations

import math
from collections.abc import Iterable

import msgspec
import numpy as np

from fellfare.menu.answer import Menu, Plate
from fellfare.menu.asking import checked
from fellfare.menu.changing.differing import Change, changes_of, portions_changed
from fellfare.menu.changing.repair import plan_of, repaired
from fellfare.menu.checking import broken_rules
from fellfare.menu.front.menus import menu_of
from fellfare.menu.model.board import Board
from fellfare.menu.model.bounding import relax_for_bound
from fellfare.menu.model.laying import lay_board
from fellfare.menu.model.plan import Plan, planned
from fellfare.menu.model.pricing import priced
from fellfare.menu.model.relaxing import Relaxed, StoppedError
from fellfare.menu.planning import Made, make
from fellfare.menu.pool import Question
from fellfare.menu.solver import Effort
from fellfare.menu.trying import Trying, Watch
from fellfare.mistake import Mistake

#: What a change must save to be worth it, unless the person says otherwise [g].
#: Own judgement: about one snack bar.
KEEP_G = 40.0


class Changed(msgspec.Struct, frozen=True, kw_only=True):
    """The new menu and what is different in it.

    ``menu.bound_g`` is the bound of a free choice: no menu for the new question
    weighs less, near to the old one or not. ``further_possible_g`` is how much
    lighter a free choice can be at most (None: not known, the search was
    stopped before). ``portions_changed`` counts other sizes of dishes that stay.
    """

    menu: Menu
    changes: tuple[Change, ...] = ()
    portions_changed: int = 0
    mass_before_g: float | None = None
    mass_after_g: float | None = None
    further_possible_g: float | None = None
    keep_g: float = KEEP_G
    sentences: tuple[str, ...] = ()


def change_menu(
    old: Menu,
    question: Question,
    tries: Trying | None = None,
    watch: Watch | None = None,
    keep_g: float = KEEP_G,
) -> Changed:
    """A menu for a changed question that stays near to an old menu.

    An old menu that still keeps every rule stays as it is. Otherwise a change
    of one dish counts as ``keep_g`` grams: what must change does, and what need
    not only where that saves more than it counts.

    Parameters
    ----------
    old
        The menu that was planned for the question before.
    question
        The changed question, its locks and bans among it.
    tries, watch
        As for ``plan_menu``.
    keep_g
        What a change must save to be worth it, 0 or more. [g]

    Raises
    ------
    Mistake
        As ``plan_menu``, and ``change-keep``.
    """
    if not 0 <= keep_g < math.inf:
        raise Mistake(
            "change-keep", what=f"a change worth {keep_g:g} g", mend="give grams, 0 or more"
        )
    checked(question)
    tries = tries or Trying()
    broken = broken_rules(question, old.plates) if old.plates else ()
    board = lay_board(question)
    if old.plates and not broken:
        return _unchanged(old, question, board, tries, keep_g)
    bonus = keeping(board, old.plates, keep_g)
    plan, relaxed = _begun(board, bonus, old.plates, tries)
    warm = None
    if plan is not None and relaxed is not None:
        warm = Made(menu=old, board=bonus, plan=plan, prices=relaxed.prices)
    made = make(question, tries, watch, warm, lambda laid: keeping(laid, old.plates, keep_g))
    best = _lighter(bonus, plan, made.plan)
    if best is None:
        return _none(made.menu, old, keep_g)
    plain = planned(board, best.picks)
    bound = free_bound(question, board, tries, relaxed)
    menu = menu_of(question, board, plain, bound, tries.gap, made.menu.solves)
    if menu is None:
        return _none(made.menu, old, keep_g)
    changes = changes_of(old.plates, menu.plates, question, broken)
    return _told(old, menu, changes, keep_g)


def _none(menu: Menu, old: Menu, keep_g: float) -> Changed:
    """No menu: proven that there is none, or none found in the time."""
    said = "no menu was found in the time; there may be one"
    if menu.verdict == "impossible":
        said = "no menu keeps all that is asked now"
    empty = msgspec.structs.replace(menu, plates=(), mass_g=None, weighed_g=None)
    return Changed(menu=empty, mass_before_g=old.mass_g, keep_g=keep_g, sentences=(said,))


def _unchanged(
    old: Menu, question: Question, board: Board, tries: Trying, keep_g: float
) -> Changed:
    """The old plates, weighed and bounded by the new question."""
    plan = plan_of(board, old.plates)
    bound = free_bound(question, board, tries, None)
    menu = menu_of(question, board, plan, bound, tries.gap, 0) or old
    return _told(old, msgspec.structs.replace(menu, plates=old.plates), (), keep_g)


def _told(old: Menu, menu: Menu, changes: tuple[Change, ...], keep_g: float) -> Changed:
    further = None
    if menu.weighed_g is not None and math.isfinite(menu.bound_g):
        further = max(0.0, menu.weighed_g - menu.bound_g)
    return Changed(
        menu=menu,
        changes=changes,
        portions_changed=portions_changed(old.plates, menu.plates),
        mass_before_g=old.mass_g,
        mass_after_g=menu.mass_g,
        further_possible_g=further,
        keep_g=keep_g,
        sentences=_sentences(old, menu, changes, further, keep_g),
    )


def _sentences(
    old: Menu,
    menu: Menu,
    changes: tuple[Change, ...],
    further: float | None,
    keep_g: float,
) -> tuple[str, ...]:
    said = []
    many = len(changes)
    of = sum(plate.times for plate in menu.plates)
    told = "nothing changes" if not many else f"{many} of {of} dishes on the menu change"
    if old.mass_g is not None and menu.mass_g is not None:
        more = menu.mass_g - old.mass_g
        if abs(more) < 0.5:
            told += "; as heavy as before"
        else:
            told += f"; {abs(more):,.0f} g {'more' if more > 0 else 'less'} than before"
    said.append(told.replace(",", " "))
    if further is not None:
        said.append(
            f"a wholly free choice could be at most {further:,.0f} g lighter; "
            f"a change had to save {keep_g:,.0f} g to be worth it".replace(",", " ")
        )
    return tuple(said)


def keeping(board: Board, plates: Iterable[Plate], keep_g: float) -> Board:
    """The board on which every dish of the old menu weighs ``keep_g`` less where it stood.

    Where one dish may stand twice at a time, a second helping of it counts as kept too.
    """
    old = plan_of(board, plates)
    bonus = tuple(
        (cell, r, -keep_g) for cell, picks in sorted(old.picks.items()) for r, _, _ in picks
    )
    return msgspec.structs.replace(board, cell_bonus=board.cell_bonus + bonus)


def _begun(
    board: Board, bonus: Board, plates: tuple[Plate, ...], tries: Trying
) -> tuple[Plan | None, Relaxed | None]:
    """The old menu with its gaps filled, and the prices that it was filled by."""
    effort = Effort(seconds=tries.seconds, threads=tries.threads, seed=tries.seed)
    try:
        relaxed = relax_for_bound(bonus, effort)
    except StoppedError:
        return None, None
    plan = repaired(plan_of(bonus, plates), relaxed, tries)
    return plan, relaxed


def _lighter(board: Board, one: Plan | None, other: Plan | None) -> Plan | None:
    """The whole plan of the lesser burden, nearness counted."""
    whole = []
    for plan in (one, other):
        if plan is None:
            continue
        there = planned(board, plan.picks)
        if there.whole:
            whole.append(there)
    return min(whole, key=lambda plan: plan.cost(), default=None)


def free_bound(question: Question, board: Board, tries: Trying, near: Relaxed | None) -> float:
    """What any menu for the question weighs at least, nearness left out [g]."""
    effort = Effort(seconds=tries.seconds, threads=tries.threads, seed=tries.seed)
    fallback = float("-inf") if near is None else priced(board, near.prices, keep=1).bound
    try:
        free = relax_for_bound(board, effort, warm=None if near is None else near.prices)
    except StoppedError:
        return fallback
    return float(np.maximum(free.bound, fallback))
