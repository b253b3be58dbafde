"""What is left out of a pot for one eater, for the plates of those who may eat it.

The pot is a base for all (:mod:`fellfare.menu.asked.for_all`); what was left out is a dish of its
own, in a bag of each who may have it, at an eating time beside the pot's.  So its mass, energy
and allergens stand in their sums and on their labels, and nobody else's.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.menu.asked.dishes import AskedDish, asked_dishes
from fellfare.menu.asked.offering import may_eat
from fellfare.menu.asked.places import PlaceOfMeal
from fellfare.menu.pool import Beside, Slot, Walker
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Recipe
from fellfare.recipe.leaving_out import added, added_name, recipe_of

#: Kind, and eating time, of what everybody puts on their own plate.
AT_TABLE: Final = "at table"


class AtTable(Struct, frozen=True, kw_only=True):
    """The add-ins, where they may stand, and beside which dish of the pot."""

    dishes: tuple[AskedDish, ...] = ()
    #: By (day, slot): the place of the pot's meal, under the add-in's own name.
    places: Mapping[tuple[int, str], PlaceOfMeal] = {}
    slots: tuple[Slot, ...] = ()
    besides: tuple[Beside, ...] = ()


def at_table(
    bases: Mapping[str, tuple[AskedDish, frozenset[tuple[str, ...]]]],
    recipes: Mapping[str, Recipe],
    pantry: Pantry | Mapping[str, Pantry],
    pots: Sequence[Slot],
    places: Mapping[tuple[int, str], PlaceOfMeal],
    eaters: Sequence[Walker],
    portions: tuple[float, float] | None = None,
) -> AtTable:
    """An add-in for each variant of a dish, for those of its pots who may eat it."""
    people = {one.id: one for one in eaters}
    made: dict[str, AskedDish] = {}
    base_of: dict[str, str] = {}
    for name, (base, _) in bases.items():
        whole = recipe_of(name)
        foods = pantry[whole] if isinstance(pantry, Mapping) else pantry
        own = added_name(whole, base.without)
        dishes, _ = asked_dishes({own: added(recipes[whole], base.without, foods)}, foods, portions)
        if dishes and dishes[0].making.way == "dry":
            made[own] = replace(dishes[0], kinds=(AT_TABLE,))
            base_of[own] = name
    slots, besides, found = [], [], dict[tuple[int, str], PlaceOfMeal]()
    for pot in pots:
        if not pot.shared or (pot.least, pot.most) != (1, 1):
            continue
        fit = [
            own
            for own, name in base_of.items()
            if pot.walkers in bases[name][1] and pot.meal in bases[name][0].dish.meals
        ]
        who = tuple(
            name
            for name in pot.walkers
            if any(may_eat(people[name], made[own].dish) for own in fit)
        )
        if not who:
            continue
        time = AT_TABLE if pot.time == pot.meal else f"{AT_TABLE} ({', '.join(pot.walkers)})"
        found[pot.day, time] = replace(places[pot.day, pot.time], eating=AT_TABLE, walkers=who)
        slots.append(
            Slot(
                day=pot.day,
                time=time,
                meal=AT_TABLE,
                walkers=who,
                least=0,
                most=1,
                ways=pot.ways,
                carried_share=pot.carried_share,
            )
        )
        besides += [
            Beside(day=pot.day, time=time, dish=own, pot_time=pot.time, pot_dish=base_of[own])
            for own in fit
        ]
    return AtTable(
        dishes=tuple(made.values()), places=found, slots=tuple(slots), besides=tuple(besides)
    )
