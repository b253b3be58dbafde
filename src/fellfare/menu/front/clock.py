"""How long has the front taken so far, and does anybody want it to end?"""

from __future__ import annotations

from fellfare.menu.answer import Progress
from fellfare.menu.planning import Made
from fellfare.menu.solver import Effort
from fellfare.menu.solver.outcome import gap_of
from fellfare.menu.trying import Trying, Watch

#: The whole front of a small walk may take so long, however quick its first menu was [s].
LITTLE = 0.3


class Clocked:
    """The time of the whole front, and who wants to stop it."""

    def __init__(self, tries: Trying, watch: Watch | None) -> None:
        self.tries, self.watch = tries, watch
        self.began = tries.clock() if tries.clock else 0.0
        self.first_seconds = 0.0
        self.solver_seconds = 0.0
        self.solves = 0
        self.stopped = False

    def first(self, made: Made) -> None:
        """The first menu is there."""
        self.solver_seconds = made.menu.seconds
        self.solves = made.menu.solves
        self.first_seconds = self.spent()

    def spent(self) -> float:
        """Seconds so far, by the clock or else the solver's own."""
        if self.tries.clock is not None:
            return self.tries.clock() - self.began
        return self.solver_seconds

    def left(self) -> float:
        """Seconds that remain."""
        return max(0.01, self.tries.seconds - self.spent())

    def left_of(self, times: float) -> float:
        """Seconds until so many times the first menu's time (and no less than LITTLE) are spent."""
        return min(self.left(), max(times * self.first_seconds, LITTLE) - self.spent())

    def effort(self, gap: float, nodes: int | None = None) -> Effort:
        """How hard a small model may try."""
        return Effort(
            seconds=self.left(),
            gap=gap,
            nodes=nodes,
            threads=self.tries.threads,
            seed=self.tries.seed,
            light=True,
        )

    def quiet(self, _stage: str, _best: float | None) -> bool:
        """Between small models: has anybody ended it, or the time?"""
        return self.stopped or self.spent() >= self.tries.seconds

    def halt(self, stage: str, best: float | None, bound: float) -> bool:
        """Tell how far it is; True: end here."""
        if self.watch is not None:
            said = Progress(stage=stage, best_g=best, bound_g=bound, gap=gap_of(best, bound))
            self.stopped = self.watch(said) or self.stopped
        return self.stopped or self.spent() >= self.tries.seconds
