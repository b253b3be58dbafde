"""The dishes that somebody has fixed, as plates: what can be provided before there is a menu."""

from __future__ import annotations

from collections.abc import Mapping

from fellfare.menu.answer import Plate, Portion
from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.provision.trip.dishes import STEPS
from fellfare.recipe.document import Recipe
from fellfare.recipe.sheet import make_sheet
from fellfare.trip.trip import Trip


def fixed_plates(trip: Trip, recipes: Mapping[str, Recipe], pantry: Pantry) -> tuple[Plate, ...]:
    """One serving of each fixed dish for each of its walkers; a dinner is one pot a kitchen.

    Raises
    ------
    Mistake
        ``nothing-planned`` when no dish is fixed; ``unknown-dish``; as
        :func:`~fellfare.recipe.sheet.make_sheet`.
    """
    if not trip.fixed:
        raise Mistake(
            "nothing-planned",
            "the trip fixes no dish, and there is no menu",
            "add [[fixed]] dishes to the trip, or save a menu beside it",
        )
    plates: list[Plate] = []
    for one in trip.fixed:
        where = f"day {one.day} {one.eating}, {one.dish}"
        if one.dish not in recipes:
            raise Mistake(
                "unknown-dish",
                what=f"there is no recipe {one.dish[:60]!r}",
                mend="name a file of the trip's folders of recipes, without its ending",
                where=where,
            )
        sheet = make_sheet(recipes[one.dish], pantry)
        eaters = one.walkers or tuple(walker.name for walker in trip.walkers)
        plates += [
            Plate(
                day=one.day,
                time=one.eating,
                dish=one.dish,
                shared=len(pot) > 1,
                times=1,
                portions=tuple(
                    Portion(
                        walker=name,
                        steps=STEPS,
                        mass_g=sheet.mass.value / sheet.eaters,
                        energy_kcal=sheet.energy.value / sheet.eaters,
                    )
                    for name in pot
                ),
            )
            for pot in _pots(trip, eaters, one.eating)
        ]
    return tuple(plates)


def _pots(trip: Trip, eaters: tuple[str, ...], eating: str) -> list[tuple[str, ...]]:
    """Who eats out of one pot: at dinner those of one kitchen, else everybody alone."""
    if eating not in ("dinner", "supper"):
        return [(name,) for name in eaters]
    pots = [tuple(name for name in eaters if name in k.walkers) for k in trip.kitchens]
    housed = {name for pot in pots for name in pot}
    return [*(pot for pot in pots if pot), *((name,) for name in eaters if name not in housed)]
