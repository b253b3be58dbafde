"""Why can it not be done, and what must give?"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from fellfare.menu.asking import checked
from fellfare.menu.impossible.answer import Impossible, Verdict, WayOut
from fellfare.menu.impossible.clashing import Clashing
from fellfare.menu.impossible.clock import Clock
from fellfare.menu.impossible.elastic import sprung
from fellfare.menu.impossible.empty import empty_cells
from fellfare.menu.impossible.proof import proven_impossible
from fellfare.menu.impossible.scarce import too_few
from fellfare.menu.impossible.singles import Apart
from fellfare.menu.impossible.stretching import NOTHING, priced_groups, relaxed_least
from fellfare.menu.impossible.ways import Ways
from fellfare.menu.impossible.wishes import taken_apart
from fellfare.menu.model.board import Board
from fellfare.menu.model.laying import lay_board
from fellfare.menu.pool import Question
from fellfare.menu.solver import version
from fellfare.menu.trying import Trying, Watch

#: Choices (cells) above which no ways out are looked for, only the proof.
MOST_CELLS = 1_500
#: With more cells the repeat rules are left out of the relaxation ...
MANY_CELLS = 150
#: ... and one that takes longer than this is not solved again and again.
SLOW_SECONDS = 1.5


def why_impossible(
    question: Question, tries: Trying | None = None, watch: Watch | None = None
) -> Impossible:
    """Which wishes clash, and the cheapest sets of changes that let a menu through.

    Parameters
    ----------
    question
        A question for which no menu was found.
    tries
        ``seconds`` bounds all of it; ``gap`` is not used.
    watch
        Hears of each step; True stops, and what is known so far is handed over.

    Raises
    ------
    Mistake
        As ``plan_menu`` does, for a question that contradicts itself as it stands.
    """
    checked(question)
    tries = tries or Trying(seconds=30.0)
    clock = Clock(tries, watch)
    board = lay_board(question)
    apart = taken_apart(question)
    empty = empty_cells(question, board)
    told = Impossible(verdict="impossible" if empty else "stopped", empty=empty, solver=version())
    if empty and empty_cells(question, lay_board(apart.question)):
        return replace(told, clashes=((empty[0].wish,),), clash_least=True)
    if not empty and not clock.over("proof") and _proven(board, clock):
        told = replace(told, verdict="impossible")
    if not clock.over("wishes") and board.cells <= MOST_CELLS:
        told = _searched(question, apart, board.cells, clock, told)
    if told.proven and not (told.clashes or told.empty or told.ways_out):
        # not shortened, but true: no proof goes without the wishes that it is about
        told = replace(told, clashes=(apart.groups,) if apart.groups else ())
    return replace(told, seconds=clock.spent())


def _names(question: Question, apart: Apart, clashes: Iterable[set[int]]) -> dict[int, str]:
    """What the wishes of clashes are called; a rule for which there are too few dishes says so."""
    names = {at: apart.groups[at] for clash in clashes for at in clash}
    board = lay_board(question)
    for single in apart.singles:
        if single.kind == "repeat" and single.group in names:
            few = too_few(question, board, question.repeats[single.at])
            names[single.group] += f" ({few})" if few else ""
    return names


def _proven(board: Board, clock: Clock) -> bool:
    """By prices alone, every day for itself where that is not too much."""
    blocks = list(range(board.days)) if board.cells <= 4 * MOST_CELLS else board.legs.tolist()
    seconds = clock.effort(clock.tries.seconds / 3).seconds
    return proven_impossible(board, blocks, seconds, clock.tries, over=lambda: clock.over("proof"))


def _searched(
    question: Question, apart: Apart, cells: int, clock: Clock, told: Impossible
) -> Impossible:
    """Clashes and ways out, as far as time allows."""
    light = cells > MANY_CELLS
    model = sprung(apart, question, light)
    relaxed = relaxed_least(model, clock.effort(clock.left() / 2))
    clock.solved += relaxed.seconds
    if light and relaxed.value is not None and relaxed.value <= NOTHING:
        light, model = False, sprung(apart, question)  # then it may be the repeats
        relaxed = relaxed_least(model, clock.effort(clock.left() / 2))
        clock.solved += relaxed.seconds
    if relaxed.value is None or relaxed.duals is None or relaxed.x is None:
        return told
    by_parts = relaxed.value > NOTHING
    proven = told.proven or (by_parts and model.whole)
    start = priced_groups(model, relaxed.duals) if by_parts else set()
    ways = Ways(question, model, clock, light)
    ways.by_money()
    if ways.kept:
        return replace(told, verdict="possible", plates=ways.kept)
    clashing = Clashing(model, clock, by_parts)
    if by_parts and (light or relaxed.seconds > SLOW_SECONDS):
        clashing.found = [start] if start else []
        ways.alone(clashing.common())
        if not ways.found:
            ways.one_planned(relaxed.x, relaxed.value)
    else:
        if by_parts:
            clashing.look(start)
            ways.alone(clashing.common())
        ways.look(by_parts)
        proven = proven or ways.proven
        if proven and not by_parts:
            clashing.look(start)
    verdict: Verdict = "impossible" if proven else "possible" if ways.kept else "stopped"
    names = _names(question, apart, clashing.found)
    return replace(
        told,
        verdict=verdict,
        clashes=tuple(tuple(names[at] for at in sorted(each)) for each in clashing.found),
        clash_least=clashing.least,
        ways_out=ways.told(),
        plates=ways.kept,
    )


__all__ = ["Impossible", "Verdict", "WayOut", "why_impossible"]
