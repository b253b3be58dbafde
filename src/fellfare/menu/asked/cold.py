"""Which poured-on dishes can be soaked cold where there is no fire?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from fellfare.menu.asked.dishes import AskedDish, asked_dishes
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Recipe
from fellfare.recipe.soaked_cold import TAG, name_cold, soaked_cold
from fellfare.trip.wishes import Rules


def cold_ways(
    dishes: Sequence[AskedDish],
    recipes: Mapping[str, Recipe],
    pantry: Pantry | Mapping[str, Pantry],
    rules: Rules,
) -> dict[str, AskedDish]:
    """The cold ways of poured-on dishes, by their own names.

    Where the recipe's tags say ``soaks-cold-too``, or the trip ``cold_instead = true``, and
    every food of it can be soaked cold by the pantry's figures.
    """
    found: dict[str, AskedDish] = {}
    for one in dishes:
        asked = rules.cold_instead or TAG in one.recipe.tags
        if not asked or one.making.way != "hot-pour" or one.id in rules.never:
            continue
        foods = pantry[one.id] if isinstance(pantry, Mapping) else pantry
        cold, name = soaked_cold(one.recipe, foods), name_cold(one.id)
        if cold is None or name in recipes:
            continue
        made, _ = asked_dishes({name: cold}, foods, rules.portions)
        if made:
            found[name] = replace(made[0], cold_instead=True)
    return found
