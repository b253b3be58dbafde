"""Which allergens are stated, in words?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from msgspec import Struct

from fellfare.pantry.allergens import GROUPS, agent_name, combine
from fellfare.pantry.food import Food

#: From so many tree nuts on, a label says 'tree nuts': too wide rather than too narrow.
#: The allergen card names every one.
_MANY_NUTS: Final = 4
_NUTS: Final = frozenset(agent_name(agent) for agent in GROUPS["tree-nut"])


def in_short(names: Sequence[str]) -> tuple[str, ...]:
    """The same names with many tree nuts said in one word, where the first of them stood.

    Only for what may be in it or is not known: what a food contains is named.
    """
    if sum(name in _NUTS for name in names) < _MANY_NUTS:
        return tuple(names)
    return tuple(dict.fromkeys("tree nuts" if name in _NUTS else name for name in names))


class Stated(Struct, frozen=True, kw_only=True):
    """Allergens in words; what stands in none of the lists is merely not declared."""

    contains: tuple[str, ...]
    may_contain: tuple[str, ...]
    #: Differs by maker, or hidden in a mix: read the label.
    unknown: tuple[str, ...]
    #: Everything is unknown: a mix of which no part is told.
    all_unknown: bool = False

    @property
    def lines(self) -> tuple[str, ...]:
        """'Contains: wheat, milk' and so on; an empty list is left out."""
        said = []
        if self.contains:
            said.append(f"Contains: {', '.join(self.contains)}")
        if self.may_contain:
            said.append(f"May contain: {', '.join(in_short(self.may_contain))}")
        if self.all_unknown:
            said.append("Not known: other allergens (read the packs)")
        elif self.unknown:
            said.append(f"Not known: {', '.join(in_short(self.unknown))} (read the packs)")
        return tuple(said) or ("No listed allergen declared; that is not 'free from'",)


def stated(foods: Iterable[Food]) -> Stated:
    """What these foods declare together, in words."""
    foods = tuple(foods)
    told = combine(foods)
    return Stated(
        contains=tuple(agent_name(one.agent) for one in told.contains),
        may_contain=tuple(agent_name(one.agent) for one in told.may_contain),
        unknown=tuple(agent_name(one.agent) for one in told.unknown),
        all_unknown=any(food.allergens.open_mix for food in foods),
    )
