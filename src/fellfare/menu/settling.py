"""Food drives the load, the load the need, the need the food: a menu that agrees with itself.

A menu is made for a need; what it weighs gives the need that it really brings about; the next
round asks for that one and goes on from the menu at hand.  The map contracts strongly
(energy grows by some 28 kcal a day for a kilogram, food has 4 to 5 kcal a gram: a factor of
0.05 to 0.08 for a week on one carry), so two or three rounds are enough.  A menu is of whole
dishes and portions in steps, and could flip between two answers: from round
:data:`FREE_ROUNDS` on the dishes stay and only portions move, and the need asked for is the
mean of the last two.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Final

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from fellfare.menu.answer import Menu, Plate
from fellfare.menu.asked.question import Asked
from fellfare.menu.carried import Carried, carried
from fellfare.menu.cheaply import by_cheapness
from fellfare.menu.detour import by_detour
from fellfare.menu.planning import Made, make
from fellfare.menu.pool import Lock, Question
from fellfare.menu.trying import Trying, Watch
from fellfare.walk.figures import Array

#: Settled when the need asked for and the need brought about differ by less, for every
#: walker and day [kcal]: a quarter of a gram of food.
SETTLED_KCAL: Final = 1.0
#: Rounds in which dishes may change, and all rounds.
FREE_ROUNDS: Final = 4
#: The first round is for a guessed need and need not be proven nearer than this; it gets this
#: part of the time, every later one so much of what is left.
FIRST_GAP: Final = 0.02
FIRST_PART: Final = 0.25
LATER_PART: Final = 0.7
#: Where the first round found nothing, part of what is left for the detour; then once more.
DETOUR_PART: Final = 0.5
#: The same where money is limited, by way of a cheap menu.
BUDGET_PART: Final = 0.8
#: Part of the time for a menu by mass alone, where more than mass counts.
PLAIN_PART: Final = 0.3
MOST_ROUNDS: Final = 10


class Round(Struct, frozen=True, kw_only=True):
    """One round of the settling."""

    number: int
    mass_g: float
    #: Largest difference of one walker's day between need asked for and need brought about.
    residual_kcal: float
    #: The same as food at the menu's own density [g].
    residual_g: float
    dishes_fixed: bool


class Settled(Struct, frozen=True, kw_only=True, eq=False):
    """The last menu, and how it came to agree with the need."""

    menu: Menu
    #: What it was planned for, and what :func:`~fellfare.menu.planning.make` gave.
    question: Question
    made: Made | None
    #: Need asked for, and need brought about (W, D) [kcal].
    asked_kcal: Array
    need_kcal: Array
    rounds: tuple[Round, ...]
    settled: bool

    @property
    def contraction(self) -> float | None:
        """By how much the residual shrank from the first round to the second; None = unknown."""
        left = [one.residual_kcal for one in self.rounds[:2]]
        return left[1] / left[0] if len(left) == 2 and left[0] > 0 else None

    @property
    def contracts(self) -> bool:
        """Whether no round was further off than the one before it."""
        left = [one.residual_kcal for one in self.rounds]
        return all(late <= early or late < SETTLED_KCAL for early, late in pairwise(left))


def settle(
    first_kcal: Array,
    question_for: Callable[[Array], Question],
    need_of: Callable[[Menu, Array], Array],
    tries: Trying,
    watch: Watch | None = None,
    *,
    most_rounds: int = MOST_ROUNDS,
    free_rounds: int = FREE_ROUNDS,
    begin: Made | None = None,
) -> Settled:
    """A menu for the need that it brings about itself.

    Parameters
    ----------
    first_kcal
        Need to begin with (walkers x days) [kcal].
    question_for
        The question for a need.
    need_of
        The need that a menu brings about; the second argument is the need it was asked for.
    tries
        ``seconds`` are for all rounds together, by ``tries.clock``.
    begin
        A menu to go on from, for a question of the same dishes and eating times.

    Returns
    -------
    Settled
        With the last menu, whether or not it has settled; without plates when there is none.
    """
    began = tries.clock() if tries.clock else 0.0

    def spent() -> float:
        return tries.clock() - began if tries.clock else 0.0

    def over() -> bool:
        return tries.clock is not None and spent() >= 0.98 * tries.seconds

    need, made, rounds = first_kcal, begin, list[Round]()
    best: Settled | None = None
    fixed: tuple[Lock, ...] = ()
    for number in range(1, most_rounds + 1):
        question = question_for(need)
        part = FIRST_PART if number == 1 else LATER_PART
        left = replace(
            tries,
            seconds=max(part * (tries.seconds - spent()), 0.2) if tries.clock else tries.seconds,
            # the first need is a guess: a near menu does as well there as the nearest
            gap=max(tries.gap, FIRST_GAP) if number == 1 else tries.gap,
        )
        if fixed:
            made = make(replace(question, locks=fixed), left, watch)
        else:
            made = make(question, left, watch, made)
        menu = made.menu
        if not menu.plates and menu.verdict == "stopped" and best is None and not over():
            part = DETOUR_PART if question.budget is None else BUDGET_PART
            left = replace(left, seconds=max(part * (tries.seconds - spent()), 0.2))
            if question.budget is None:
                made = by_detour(question, left, watch) or made
            else:
                made = by_cheapness(question, left, watch, menu.bound_g) or made
            if not made.menu.plates and tries.clock is not None and not over():
                rest = max(LATER_PART * (tries.seconds - spent()), 0.2)
                made = make(question, replace(left, seconds=rest, seed=tries.seed + 1), watch)
            menu = made.menu
        if not menu.plates:
            if best is not None:  # what an earlier round found is better than nothing
                return best
            return Settled(
                menu=menu,
                question=question,
                made=made,
                asked_kcal=need,
                need_kcal=need,
                rounds=tuple(rounds),
                settled=False,
            )
        brought = need_of(menu, need)
        residual = float(np.abs(brought - need).max())
        rounds.append(
            Round(
                number=number,
                mass_g=menu.mass_g or 0.0,
                residual_kcal=residual,
                residual_g=residual / density(menu),
                dishes_fixed=bool(fixed),
            )
        )
        best = Settled(
            menu=menu,
            question=question,
            made=made,
            asked_kcal=need,
            need_kcal=brought,
            rounds=tuple(rounds),
            settled=residual < SETTLED_KCAL,
        )
        # a coarse first round may agree with itself and still not be near enough
        near = left.gap <= tries.gap or menu.gap <= tries.gap
        if (best.settled and near) or over():
            return best
        if number >= free_rounds:
            fixed = fixed or locks_of(question, menu.plates)
            need = 0.5 * (need + brought)
        else:
            need = brought
    assert best is not None  # at least one round was made
    return best


def settle_trip(
    asked: Asked, tries: Trying, watch: Watch | None = None, *, usual: bool = True
) -> tuple[Settled, Carried]:
    """The menu of a trip, settled, and as it is carried.

    ``usual``: with the wishes for variety that nobody wrote.
    """

    def need_of(menu: Menu, need: Array) -> Array:
        return carried(asked, menu.plates, need).need_kcal(asked)

    began = tries.clock() if tries.clock else 0.0
    begin = _plainly(asked.question(asked.first_need_kcal, usual=usual), tries, watch)
    spent = tries.clock() - began if tries.clock else 0.0
    done = settle(
        asked.first_need_kcal,
        lambda need: asked.question(need, usual=usual),
        need_of,
        replace(tries, seconds=max(tries.seconds - spent, 0.2)),
        watch,
        begin=begin,
    )
    return done, carried(asked, done.menu.plates, done.asked_kcal)


def _plainly(question: Question, tries: Trying, watch: Watch | None) -> Made | None:
    """Where more than mass counts, first a menu for the mass alone: it is sooner found."""
    weights = question.weights
    worth = any(one.worth_g for one in question.differents)
    if not (weights.liking_g or weights.cost_g or worth):
        return None
    plain = replace(
        question,
        weights=replace(weights, liking_g=0.0, cost_g=0.0),
        differents=tuple(replace(one, worth_g=0.0) for one in question.differents),
    )
    left = replace(tries, seconds=PLAIN_PART * tries.seconds, gap=max(tries.gap, FIRST_GAP))
    made = make(plain, left, watch)
    return made if made.menu.plates else None


def density(menu: Menu) -> float:
    """Energy of a gram of food as packed, over the whole menu [kcal/g]; 4 without a menu."""
    mass = sum(part.mass_g for plate in menu.plates for part in plate.portions)
    energy = sum(part.energy_kcal for plate in menu.plates for part in plate.portions)
    return energy / mass if mass > 0 and energy > 0 else 4.0


def locks_of(question: Question, plates: tuple[Plate, ...]) -> tuple[Lock, ...]:
    """Every dish where it stands, so that only portions can move."""
    locks = []
    for plate in plates:
        for portion in plate.portions[:1] if plate.shared else plate.portions:
            lock = Lock(
                day=plate.day,
                time=plate.time,
                dish=plate.dish,
                walker=None if plate.shared else portion.walker,
            )
            locks += [lock] * plate.times
    return tuple(locks)
