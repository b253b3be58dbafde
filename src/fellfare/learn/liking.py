"""Who likes what?  Marks, shrunk towards the middle while there are few of them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from msgspec import Struct

from fellfare.learn.belief import Belief, updated
from fellfare.learn.log import Eaten, Liked

#: A dish before anybody gave it a mark, and how far one mark is to be trusted: judgements.
PRIOR: Final = Belief(3.0, 0.8)
MARK_SD: Final = 0.9
#: A dish left half or more untouched counts as a low mark that is trusted less.
LEFT_MARK: Final = 2.0
LEFT_SD: Final = 1.5


class DishLiked(Struct, frozen=True, kw_only=True):
    """What is believed of a dish: 1 never again, 5 gladly every week."""

    dish: str
    liking: Belief
    marks: int
    #: How often half of it or more came home.
    left: int

    @property
    def points(self) -> float:
        """Liking as a menu takes it: 0 is the middle, above it better."""
        return self.liking.mean - PRIOR.mean


def learn_liking(liked: Iterable[Liked], items: Iterable[Eaten] = ()) -> tuple[DishLiked, ...]:
    """Every dish that somebody marked or left, the best liked first."""
    marks: dict[str, list[float]] = {}
    half: dict[str, int] = {}
    for row in liked:
        marks.setdefault(row.dish, []).append(row.mark)
    for item in items:
        if item.dish and item.home_g >= 0.5 * item.carried_g:
            half[item.dish] = half.get(item.dish, 0) + 1
    made = []
    for dish in {*marks, *half}:
        belief = PRIOR
        for mark in marks.get(dish, ()):
            belief = updated(belief, mark, MARK_SD)
        for _ in range(half.get(dish, 0)):
            belief = updated(belief, LEFT_MARK, LEFT_SD)
        made.append(
            DishLiked(
                dish=dish, liking=belief, marks=len(marks.get(dish, ())), left=half.get(dish, 0)
            )
        )
    return tuple(sorted(made, key=lambda one: (-one.liking.mean, one.dish)))
