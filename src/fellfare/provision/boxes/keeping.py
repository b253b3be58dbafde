"""How much of its life has a food used when it comes out of a warm box, and what would keep?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import inf
from typing import Final

from msgspec import Struct

from fellfare.pantry.food import Food
from fellfare.pantry.swaps.waiting import MOST_USED, Waiting, for_the_wait
from fellfare.provision.keep_by import share_of_a_day

#: (days, temperature [°C]) one after the other.
Stays = Sequence[tuple[float, float]]


class Used(Struct, frozen=True, kw_only=True):
    """One food after its stays."""

    food: Food
    #: Share of its life: 1 = spent; None = nobody has told how long it keeps.
    share: float | None
    #: Days until it would be spent at the mean pace of these stays; None = not known.
    keeps_days: float | None
    why: str

    @property
    def doubtful(self) -> bool:
        """Not known, or more than 80 % used."""
        return self.share is None or self.share > MOST_USED


def used(food: Food, stays: Stays) -> Used:
    """Share of its life that a food spends in these stays.

    As :func:`~fellfare.provision.keep_by.share_of_a_day` says of each day; the sum over
    the stays after Labuza 1982 [LABUZA-1982].  Quality only.

    Raises
    ------
    Mistake
        ``life-out-of-range`` (a stay below zero, or too hot or cold).
    """
    of = food.keeping
    if of is None or of.unopened_days is None or of.unopened_days[0] <= 0:
        return Used(food=food, share=None, keeps_days=None, why="nobody has told how long it keeps")
    share = 0.0
    for days, at_c in stays:
        pace = share_of_a_day(food, at_c) or 0.0
        if days > 0 and pace == inf:
            return Used(
                food=food,
                share=inf,
                keeps_days=0.0,
                why=f"needs {of.at_c:.0f} °C or less and lies at {at_c:.0f} °C",
            )
        share += days * pace if days > 0 else 0.0
    total = sum(max(0.0, days) for days, _ in stays)
    return Used(
        food=food,
        share=share,
        keeps_days=total / share if share > 0 else None,
        why=f"{of.unopened_days[0]} days at {of.at_c:.0f} °C ({of.source})",
    )


def keeps_days(food: Food, at_c: float) -> float | None:
    """Days that a food keeps at one temperature, at the least; None = unknown."""
    return used(food, [(1.0, at_c)]).keeps_days


#: Room or pack temperature for a short walk, where nothing else is told [°C].
ROOM_C: Final = 21.0


def form_for_the_wait(
    food: Food, mass_g: float, foods: Iterable[Food], days: float, at_c: float = ROOM_C
) -> tuple[Waiting, ...]:
    """The form of a food to take when it waits so long and so warm, the best first.

    See :func:`fellfare.pantry.swaps.waiting.for_the_wait`.

    Raises
    ------
    Mistake
        ``wait-out-of-range``, ``mass-out-of-range``, ``life-out-of-range``.
    """
    return for_the_wait(food, mass_g, foods, days, lambda one: keeps_days(one, at_c))
