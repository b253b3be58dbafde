"""Which 150 g would help most?

Tried: 150 g more of the densest foods of the trip's own recipes that are eaten as they are and
that everybody may eat, and 150 g more fuel.  Counted: first the blows that stand with it and
did not before, then the sum of what it adds to the shares of need.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from msgspec import Struct

from fellfare.pantry.allergens import combine
from fellfare.pantry.food import Food
from fellfare.provision.robust.blows import STANDS_FROM, Blow
from fellfare.provision.trip.provision import Provision

EXTRA_G: Final = 150.0
#: So many foods are tried.
_MOST_FOODS: Final = 5
#: Not eaten by the handful, however dense: fat and sugar alone, flavourings.
_NO_SNACK: Final = frozenset({"oil", "spice", "herb", "baking", "sauce", "soup", "drink"})
_NO_SNACK_FORM: Final = frozenset({"oil", "powder", "liquid", "crystal"})


class Help(Struct, frozen=True, kw_only=True):
    """150 g of one thing for the worst-off walker of each blow."""

    what: str
    #: Energy of it [kcal]; None for fuel.
    energy_kcal: float | None
    #: Blows that stand with it and did not before.
    mended: tuple[str, ...]
    #: Sum over all blows of what it adds to the share of need, none counted beyond the whole.
    gain: float


def helps_of(one: Provision, blows: Iterable[Blow]) -> tuple[Help, ...]:
    """What 150 g would do, the most helpful first."""
    blows = tuple(blows)
    made = []
    for food in _foods(one):
        kcal = EXTRA_G / 100.0 * (food.per_100g.energy_kcal or 0.0)
        mended, gain = [], 0.0
        for blow in blows:
            if blow.kind in ("storm-fuel", "dry-source") or blow.share is None:
                continue
            need = _need(blow)
            if not need:
                continue
            share = blow.share + kcal / need
            gain += min(share, 1.0) - min(blow.share, 1.0)
            if share >= STANDS_FROM and blow.verdict != "stands":
                mended.append(blow.what)
        made.append(
            Help(what=food.name, energy_kcal=kcal, mended=tuple(mended), gain=max(gain, 0.0))
        )
    fuel = [blow for blow in blows if blow.kind == "storm-fuel"]
    if fuel:
        short = [blow for blow in fuel if blow.verdict != "stands"]
        made.append(
            Help(
                what="fuel",
                energy_kcal=None,
                mended=tuple(blow.what for blow in short),
                gain=sum(1.0 - min(blow.share or 1.0, 1.0) for blow in short),
            )
        )
    return tuple(sorted(made, key=lambda help_: (-len(help_.mended), -help_.gain, help_.what)))


def _need(blow: Blow) -> float:
    """The worst-off walker's need over the days of a blow, from its own figures [kcal]."""
    if blow.share is None or blow.share >= 1.0:
        return 0.0
    return blow.lacking_kcal / (1.0 - blow.share)


def _foods(one: Provision) -> list[Food]:
    avoided = {agent for walker in one.plan.trip.walkers for agent in walker.avoids}
    found: dict[str, Food] = {}
    for dish in one.dishes:
        for line in dish.sheet.lines:
            food = line.food
            told = combine((food,))
            met = any(
                declared.agent in avoided
                for group in (told.contains, told.may_contain, told.unknown)
                for declared in group
            )
            dense = food.per_100g.energy_kcal
            if (
                "dry" in food.ways
                and food.group not in _NO_SNACK
                and food.form not in _NO_SNACK_FORM
                and dense
                and not met
            ):
                found[food.id] = food
    ranked = sorted(found.values(), key=lambda food: -(food.per_100g.energy_kcal or 0.0))
    return ranked[:_MOST_FOODS]
