"""A menu for little money: the budget is left out, and money weighs instead.

A budget ties every dish of the walk to every other, and whole packs make it jump: a menu that
must keep one is hard to begin.  One that merely weighs money is soon found; from there the
search goes towards the light end with the budget back in force.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from msgspec.structs import replace

from fellfare.menu.checking import broken_rules
from fellfare.menu.planning import Made, make
from fellfare.menu.pool import Question
from fellfare.menu.trying import Trying, Watch

#: What money weighs beside the menu itself: so many times its bound for the whole budget.
#: Ours, 2026-11: at 0.5 menus for a tight budget stayed too dear, at 5 they were found late.
MONEY_WEIGHS: Final = 1.5
#: Grams for a unit of money where nothing is known of the menu's weight.
GUESSED_G: Final = 60.0
#: How near it is looked for, first for any menu, then for cheaper ones.
NEAR: Final = (0.5, 0.25, 0.18, 0.12)
#: Part of the time left for mending a menu that is a little too dear.
MENDING_PART: Final = 0.5


def cheap_menu(
    question: Question, tries: Trying, watch: Watch | None = None, bound_g: float = 0.0
) -> Made | None:
    """A menu that costs little and keeps all but the budget; None = not found in the time.

    It is searched on until it keeps the budget, or ``tries.seconds`` are over. ``bound_g`` is
    what a menu weighs at least, if that is known.
    """
    return _Cheap(question, tries, watch, bound_g).menu(NEAR)


def by_cheapness(
    question: Question, tries: Trying, watch: Watch | None = None, bound_g: float = 0.0
) -> Made | None:
    """A menu within the budget, by way of a cheap one; None = not found in the time."""
    cheap = _Cheap(question, tries, watch, bound_g)
    made = cheap.menu(NEAR[:1])
    if made is None:
        return None
    if broken_rules(question, made.menu.plates):  # too dear yet: mended, or else made cheaper
        mended = cheap.kept(made, MENDING_PART)
        if mended is not None:
            return mended
        made = cheap.menu(NEAR[1:])
        if made is None or broken_rules(question, made.menu.plates):
            return None
    return cheap.kept(made, 1.0)


class _Cheap:
    """The question without its budget, and the time for it."""

    def __init__(
        self, question: Question, tries: Trying, watch: Watch | None, bound_g: float
    ) -> None:
        assert question.budget is not None
        self.question, self.tries, self.watch = question, tries, watch
        self.began = tries.clock() if tries.clock else 0.0
        self.solved = 0.0
        most = question.budget.most
        rate = MONEY_WEIGHS * bound_g / most if most > 0 else 0.0
        rate = rate if np.isfinite(rate) and rate > 0 else GUESSED_G
        weights = question.weights
        self.easier = replace(
            question, budget=None, weights=replace(weights, cost_g=weights.cost_g + rate)
        )
        self.made: Made | None = None

    def left(self) -> float:
        spent = self.tries.clock() - self.began if self.tries.clock else self.solved
        return self.tries.seconds - spent

    def menu(self, nears: tuple[float, ...]) -> Made | None:
        """Cheaper and cheaper, until the budget is kept; the last one there was."""
        for near in nears:
            if self.left() <= 0:
                break
            tries = replace(self.tries, gap=near, seconds=self.left())
            again = make(self.easier, tries, self.watch, self.made)
            self.solved += again.menu.seconds
            if not again.menu.plates:
                break
            self.made = again
            if not broken_rules(self.question, again.menu.plates):
                break
        return self.made

    def kept(self, made: Made, part: float) -> Made | None:
        """The same with the budget in force, the lightest that is found from there."""
        # the prices for dear money lead astray: found anew (measured)
        warm = Made(menu=made.menu, board=made.board, plan=made.plan, prices=None)
        tries = replace(self.tries, seconds=max(part * self.left(), 0.1))
        found = make(self.question, tries, self.watch, warm)
        self.solved += found.menu.seconds
        return found if found.menu.plates else None
