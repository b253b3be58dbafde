"""Which 150 g would help most?

Tried: 150 g more of the densest foods of the trip's own recipes that are eaten as they are and
that everybody may eat, and 150 g more fuel for each kitchen.  The 150 g are one bag for all, and
no more: after a blow they go to whoever is worst off, then to the next, until they are eaten.
Counted: first the blows that stand with it and did not before, then how much the worst-off
walker's share rises, over all blows.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from msgspec import Struct

from fellfare.menu.asked.diets import diets_kept
from fellfare.pantry.allergens import combine
from fellfare.pantry.food import Food
from fellfare.provision.robust.blows import STANDS_FROM, Blow, Left
from fellfare.provision.trip.provision import Provision

EXTRA_G: Final = 150.0
#: So many foods are tried.
_MOST_FOODS: Final = 5
#: Not eaten by the handful, however dense: fat and sugar alone, flavourings.
_NO_SNACK: Final = frozenset({"oil", "spice", "herb", "baking", "sauce", "soup", "drink"})
_NO_SNACK_FORM: Final = frozenset({"oil", "powder", "liquid", "crystal"})


class Help(Struct, frozen=True, kw_only=True):
    """150 g of one thing for the whole party, or of fuel for one kitchen."""

    what: str
    #: Energy of it [kcal]; None for fuel.
    energy_kcal: float | None
    #: Blows that stand with it for everybody and did not before.
    mended: tuple[str, ...]
    #: Sum over all blows of what it adds to the worst-off walker's share of the need, none
    #: counted beyond the whole.
    gain: float


def helps_of(one: Provision, blows: Iterable[Blow]) -> tuple[Help, ...]:
    """What 150 g would do, the most helpful first."""
    blows = tuple(blow for blow in blows if blow.each)
    food = [blow for blow in blows if blow.kind != "storm-fuel"]
    made = []
    for snack in _foods(one):
        kcal = EXTRA_G / 100.0 * (snack.per_100g.energy_kcal or 0.0)
        made.append(_help(snack.name, food, kcal, kcal, STANDS_FROM))
    kitchens = [
        blow.walker for blow in blows if blow.kind == "storm-fuel"
    ]  # one blow for each place where a kitchen takes up fuel
    for who in dict.fromkeys(kitchens):
        mine = [blow for blow in blows if blow.kind == "storm-fuel" and blow.walker == who]
        name = "fuel" if len(set(kitchens)) == 1 else f"fuel for {who}"
        made.append(_help(name, mine, None, EXTRA_G, 1.0))
    return tuple(sorted(made, key=lambda help_: (-len(help_.mended), -help_.gain, help_.what)))


def _help(
    what: str, blows: Sequence[Blow], energy_kcal: float | None, more: float, stands_from: float
) -> Help:
    """``more`` in the unit of the blows' needs: kcal of food, grams of fuel."""
    mended, gain = [], 0.0
    for blow in blows:
        before = min(left.left / left.need for left in blow.each)
        gain += max(0.0, min(share_with(blow.each, more), 1.0) - min(before, 1.0))
        lacking = sum(left.short_of(stands_from) for left in blow.each)
        if blow.verdict != "stands" and lacking <= more:
            mended.append(blow.what)
    return Help(what=what, energy_kcal=energy_kcal, mended=tuple(mended), gain=gain)


def share_with(each: Sequence[Left], more: float) -> float:
    """The worst-off one's share of the need when ``more`` is given out, always to the worst off.

    ``more`` in the unit of the needs.  Those worst off rise together, as water in a vessel
    whose floor has steps.
    """
    ranked = sorted(each, key=lambda one: one.left / one.need)
    need = left = level = 0.0
    for at, one in enumerate(ranked):
        need, left = need + one.need, left + one.left
        level = (left + more) / need
        if at + 1 == len(ranked) or level <= ranked[at + 1].left / ranked[at + 1].need:
            break
    return level


def _foods(one: Provision) -> list[Food]:
    avoided = {agent for walker in one.plan.trip.walkers for agent in walker.avoids}
    diets = {diet for walker in one.plan.trip.walkers for diet in walker.diets}
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
                and diets <= set(diets_kept((food,), dish.sheet.recipe.tags))
            ):
                found[food.id] = food
    ranked = sorted(found.values(), key=lambda food: -(food.per_100g.energy_kcal or 0.0))
    return ranked[:_MOST_FOODS]
