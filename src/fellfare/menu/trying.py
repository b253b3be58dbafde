"""How long to try for a menu, how near to prove it, and who listens meanwhile."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import msgspec

from fellfare.menu.answer import Progress
from fellfare.mistake import Mistake

#: Hears how far the search is; True stops it and the best found is handed over.
Watch: TypeAlias = Callable[[Progress], bool]
#: Seconds on any clock that never runs back; only differences count.
Clock: TypeAlias = Callable[[], float]


class Trying(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """How long to try, how near to prove, with which threads and seed.

    ``gap`` is relative (0.005: within half a per cent of the proven bound).
    ``seconds`` ends the search, whatever it has found. Time is read from
    ``clock``, an argument because the core reads none itself; without one only
    the solver's own seconds count. A search that ends by ``gap`` comes out the
    same again for the same question, ``threads`` and ``seed``; one that ends by
    ``seconds`` need not.
    """

    gap: float = 0.005
    seconds: float = 60.0
    threads: int = 1
    seed: int = 0
    clock: Clock | None = None

    def __post_init__(self) -> None:
        if not self.seconds > 0 or not 0 <= self.gap < 1 or self.threads < 1 or self.seed < 0:
            raise Mistake(
                "trying-out-of-range",
                what=f"gap {self.gap}, seconds {self.seconds}, threads {self.threads}, "
                f"seed {self.seed}: one of them is out of range",
                mend="gap from 0 to below 1, seconds above 0, threads from 1, seed from 0",
            )
