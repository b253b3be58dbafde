"""Which dishes feed everybody of a pot once what some may not eat is left out?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet

from msgspec.structs import replace

from fellfare.menu.asked.diets import diets_kept
from fellfare.menu.asked.dishes import AskedDish, asked_dishes
from fellfare.menu.asked.offering import may_eat
from fellfare.menu.pool import Dish, Walker
from fellfare.pantry.allergens import combine
from fellfare.pantry.food import Food
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Recipe
from fellfare.recipe.leaving_out import (
    addable,
    left_out,
    name_without,
    names_it,
    title_without,
)


def bases_for_all(
    dishes: Sequence[AskedDish],
    recipes: Mapping[str, Recipe],
    pantry: Pantry | Mapping[str, Pantry],
    pots: Sequence[tuple[str, ...]],
    eaters: Sequence[Walker],
    portions: tuple[float, float] | None = None,
    never: AbstractSet[str] = frozenset(),
) -> dict[str, tuple[AskedDish, frozenset[tuple[str, ...]]]]:
    """Variants of dishes that somebody of a common pot may not eat, and the pots they are for.

    A dish is offered without a food when no line of that food is cooked with (it is served, or
    marked optional), when the food is what bars the dish, and when without it nobody of the
    pot is barred any more.  It is then left out for all of the pot, so every figure of the
    variant is true for each of them.  Where nobody is barred the dish stays whole.

    Parameters
    ----------
    pots
        Names of those who share each pot.
    never
        Dishes that nobody wants: no variant of them either.

    Returns
    -------
    dict
        Name of the variant to (dish, pots that may have it).
    """
    people = {one.id: one for one in eaters}
    found: dict[str, tuple[AskedDish, frozenset[tuple[str, ...]]]] = {}
    for one in dishes:
        spare = set(addable(one.recipe))
        # Without anything that is cooked with there is no base for all.
        if one.id in never or not spare or all(food.id in spare for food in one.foods):
            continue
        for pot in dict.fromkeys(pots):
            mates = [people[name] for name in pot]
            barred = [mate for mate in mates if not may_eat(mate, one.dish)]
            gone = tuple(
                dict.fromkeys(
                    food.id
                    for food in one.foods
                    if food.id in spare
                    and any(not may_eat(mate, _alone(food, one.recipe)) for mate in barred)
                )
            )
            name = name_without(one.id, gone)
            if not gone or name in recipes or _no_more_itself(one, gone):
                continue
            if name in found:
                made, fed = found[name]
                found[name] = (made, fed | {pot})
                continue
            foods = pantry[one.id] if isinstance(pantry, Mapping) else pantry
            variant, _ = asked_dishes(
                {name: left_out(one.recipe, gone, foods)}, foods, portions
            )  # a variant that cannot be a dish is none
            if variant and all(may_eat(mate, variant[0].dish) for mate in mates):
                dish = replace(variant[0].dish, shared_only=True)
                found[name] = (replace(variant[0], dish=dish, without=gone), frozenset({pot}))
    return found


def _no_more_itself(one: AskedDish, gone: Sequence[str]) -> bool:
    """Whether the title names what is left out, and nothing of it could stand without."""
    names = [food.name for food in one.foods if food.id in gone]
    title = title_without(one.recipe.title, names)
    return any(names_it(title.partition(", without ")[0], name) for name in names)


def _alone(food: Food, recipe: Recipe) -> Dish:
    """What is known of one food, as a dish that somebody may eat or not."""
    told = combine((food,))
    return Dish(
        id=food.id,
        title=food.name,
        meals=(),
        mass_g=0.0,
        energy_kcal=0.0,
        contains=tuple(one.agent for one in told.contains),
        may_contain=tuple(one.agent for one in told.may_contain),
        unknown_allergens=tuple(one.agent for one in told.unknown),
        diets=diets_kept((food,), recipe.tags),
    )
