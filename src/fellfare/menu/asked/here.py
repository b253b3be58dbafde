"""Which recipes can be made on which day, and why not the others?"""

from __future__ import annotations

from msgspec import Struct

from fellfare.menu.asked.offering import may_eat
from fellfare.menu.asked.places import PlaceOfMeal
from fellfare.menu.asked.question import Asked
from fellfare.menu.asked.wetting import wetted_at


class DishHere(Struct, frozen=True, kw_only=True):
    """One recipe at one eating time of one day, for one kitchen."""

    day: int
    time: str
    walkers: tuple[str, ...]
    dish: str
    title: str
    #: 'dry', 'cold-soak', 'hot-pour', 'boil'.
    way: str
    #: '' = nothing speaks against it.
    why_not: str
    #: Those of the walkers whose diets or allergies bar it.
    barred_for: tuple[str, ...]
    #: When to wet it, in words; '' = no soak.
    wet: str
    #: Last day of its carry on which it still keeps; None = longer than the walk, or not known.
    eat_by_day: int | None


def dishes_here(asked: Asked) -> tuple[DishHere, ...]:
    """Every recipe at every eating time that takes its kind, day by day.

    Only what the place says: fire rule, height, water, time, and who may eat it; not what
    a menu would choose.
    """
    people = {walker.id: walker for walker in asked.base.walkers}
    out = []
    for (day, time), place in asked.places.items():
        for one in asked.dishes:
            if place.eating not in one.dish.meals:
                continue
            why = asked.barred.get((one.id, day, time), "")
            wetting = None if why else wetted_at(one.making.soak_minutes, place)
            eat_by = _eat_by(asked, place, one.dish.keeps_days)
            if not why and eat_by is not None and eat_by < day:
                why = f"it keeps until day {eat_by} only"
            out.append(
                DishHere(
                    day=day,
                    time=place.eating,
                    walkers=place.walkers,
                    dish=one.id,
                    title=one.recipe.title,
                    way=one.making.way,
                    why_not=why,
                    barred_for=tuple(
                        name for name in place.walkers if not may_eat(people[name], one.dish)
                    ),
                    wet="" if wetting is None else wetting.text,
                    eat_by_day=eat_by,
                )
            )
    return tuple(out)


def _eat_by(asked: Asked, place: PlaceOfMeal, keeps_days: float | None) -> int | None:
    leg = next(leg for leg, _ in asked.legs if leg.first_day <= place.day <= leg.last_day)
    if keeps_days is None:  # nobody knows: as the menu takes it, on the first day only
        return leg.first_day
    last = leg.first_day + keeps_days
    return None if last >= len(asked.plan.days) else int(last)
