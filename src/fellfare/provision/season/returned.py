"""What came back, party by party."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec import Struct


class Returned(Struct, frozen=True, kw_only=True):
    """One party's food that came back."""

    party: str
    carried_g: float
    home_g: float
    #: Dish -> what came back of it [g]; '' = not told of which.
    dishes: tuple[tuple[str, float], ...]

    @property
    def share(self) -> float:
        """Part of it that came back."""
        return self.home_g / self.carried_g if self.carried_g else 0.0


class CameBack(Struct, frozen=True, kw_only=True):
    """One item that came back (or did not)."""

    dish: str
    carried_g: float
    home_g: float


def returned_of(items: Mapping[str, Iterable[CameBack]]) -> tuple[Returned, ...]:
    """By party, most returned first."""
    made = []
    for party, rows in items.items():
        rows = tuple(rows)
        dishes: dict[str, float] = {}
        for row in rows:
            if row.home_g > 0:
                dishes[row.dish] = dishes.get(row.dish, 0.0) + row.home_g
        made.append(
            Returned(
                party=party,
                carried_g=sum(row.carried_g for row in rows),
                home_g=sum(row.home_g for row in rows),
                dishes=tuple(sorted(dishes.items(), key=lambda pair: (-pair[1], pair[0]))),
            )
        )
    return tuple(sorted(made, key=lambda one: (-one.share, one.party)))
