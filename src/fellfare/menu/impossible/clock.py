"""How much time is left to look for reasons, and does somebody say stop?"""

from __future__ import annotations

from fellfare.menu.answer import Progress
from fellfare.menu.solver import Effort
from fellfare.menu.trying import Trying, Watch

#: Seconds for one step of the search, at most, of the seconds that are left.
STEP_SECONDS = 2.0


class Clock:
    """Seconds spent, and whether somebody says stop."""

    def __init__(self, tries: Trying, watch: Watch | None) -> None:
        self.tries, self.watch = tries, watch
        self.began = tries.clock() if tries.clock is not None else 0.0
        self.solved = 0.0
        self.said = False

    def spent(self) -> float:
        """Seconds by the clock that was given, or of the solver alone."""
        if self.tries.clock is not None:
            return self.tries.clock() - self.began
        return self.solved

    def left(self) -> float:
        """Seconds left of those that were given."""
        return max(0.0, self.tries.seconds - self.spent())

    def over(self, stage: str) -> bool:
        """Tell the watch where we are; True when it says stop or time is up."""
        if self.watch is not None and not self.said:
            self.said = self.watch(
                Progress(stage=stage, best_g=None, bound_g=0.0, gap=float("inf"))
            )
        return self.said or self.spent() >= self.tries.seconds

    def effort(self, most: float = STEP_SECONDS, gap: float = 0.02) -> Effort:
        """For one run of the solver: ``most`` seconds, or what is left."""
        seconds = max(0.01, min(most, self.left()))
        return Effort(seconds=seconds, gap=gap, threads=self.tries.threads, seed=self.tries.seed)
