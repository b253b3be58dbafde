"""From the plates of a menu: who eats which dish, when, where, and out of which food?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from msgspec import Struct

from fellfare.menu.answer import Plate
from fellfare.menu.asked.diets import against
from fellfare.menu.asked.making import making_of
from fellfare.menu.asked.places import PlaceOfMeal, places_of
from fellfare.menu.asked.wetting import Wetted, wetted_at
from fellfare.mistake import Mistake
from fellfare.pantry.allergens import GROUPS
from fellfare.pantry.food import Allergen
from fellfare.pantry.pantry import Pantry
from fellfare.provision.planned import Planned, Share, in_order
from fellfare.provision.trip.taken_up import Take, reached, taken_up, takes_of
from fellfare.recipe.document import Recipe
from fellfare.recipe.leaving_out import recipe_named
from fellfare.recipe.sheet import Sheet, make_sheet
from fellfare.safety.case import Risk
from fellfare.trip.plan import PlanDay, TripPlan
from fellfare.walk.walker import Walker

#: A walker's portion is counted in steps; so many are a serving, where the menu does not say.
STEPS: Final = 20

#: The trip's words for who is hit harder by bad food, in those of the food rules.
_RISKS: Final[dict[str, Risk]] = {
    "pregnant": "pregnant",
    "young-child": "child",
    "older-adult": "older",
    "weak-immunity": "weak-immunity",
}


class Dishes(Struct, frozen=True, kw_only=True):
    """The dishes of a trip, in the order in which they are eaten."""

    planned: tuple[Planned, ...]
    takes: tuple[Take, ...]
    #: By shop: grams of food carried past it, and bought there.
    past: dict[str, tuple[float, float]]


def dishes_of(
    plan: TripPlan,
    plates: Iterable[Plate],
    recipes: Mapping[str, Recipe],
    pantry: Pantry,
    steps_per_serving: int | Mapping[str, int] = STEPS,
) -> Dishes:
    """Every plate as a planned dish.

    Sheets are those of the recipes as written, scaled in proportion, as the menu counts them:
    so the bags weigh what the menu weighs.  A shared plate is one pot; of the others, each
    eater has bags of their own.

    Parameters
    ----------
    plan
        From :func:`fellfare.trip.plan.plan_trip`.
    plates
        From the menu, or by hand.
    recipes
        By the name that the plates use.
    steps_per_serving
        For all dishes, or by dish.

    Raises
    ------
    Mistake
        ``nothing-planned``, ``unknown-dish``, ``unknown-walker``, ``day-out-of-range``,
        ``portion-steps``, and as :func:`~fellfare.recipe.sheet.make_sheet` and
        :func:`~fellfare.provision.planned.in_order`.
    """
    sheets: dict[str, Sheet] = {}
    takes = takes_of(plan)
    people = {walker.name: walker for walker in plan.trip.walkers}
    eaten: dict[tuple[int, str, str, bool, str], dict[str, float]] = {}
    for plate in plates:
        where = f"day {plate.day} {plate.time}, {plate.dish}"
        _check(plan, plate, people, where)
        if plate.dish not in sheets:
            try:
                recipe = recipe_named(plate.dish, recipes, pantry)
                if recipe is not None:
                    sheets[plate.dish] = make_sheet(recipe, pantry)
            except Mistake as mistake:
                raise mistake.at(plate.dish) from None
        if plate.dish not in sheets:
            raise Mistake(
                "unknown-dish",
                what=f"there is no recipe {plate.dish[:60]!r}",
                mend="name a file of the trip's folders of recipes, without its ending",
                where=where,
            )
        per = _steps_of(steps_per_serving, plate.dish)
        key = (plate.day, plate.time, plate.dish, plate.shared, _pot(plate))
        shares = eaten.setdefault(key, {})
        for portion in plate.portions:
            if portion.steps > 0:
                shares[portion.walker] = shares.get(portion.walker, 0.0) + portion.steps / per
    places = {
        (place.day, place.eating, name): place
        for place in places_of(plan)
        for name in place.walkers
    }
    made, past = [], {take.name: (0.0, 0.0) for take in takes if take.shop}
    for (day, time, dish, shared, _), shares in eaten.items():
        if not shares:
            continue
        foods = [line.food for line in sheets[dish].lines]
        at_m = place_m(plan.days[day - 1], time)
        take = taken_up(takes, day, at_m, foods)
        fills, batches = _in_pots(sheets[dish], shares, plan) if shared else (1, 1)
        one = Planned(
            day=day,
            time=time,
            sheet=sheets[dish],
            eaters=tuple(
                _share(people[name], servings, plan, sheets[dish])
                for name, servings in shares.items()
            ),
            leg=take.leg,
            stop=take.name,
            taken_on=take.of.day,
            first_morning=take.of.day if take.of.at_m <= 0.0 else take.of.day + 1,
            soaks=_soaks(sheets[dish], {n: places.get((day, time, n)) for n in shares}),
            apart=not shared,
            others=tuple(
                _share(one, 1.0, plan)
                for name, one in people.items()
                if name not in shares and one.avoids
            ),
            fills=fills,
            batches=batches,
            air_c=plan.days[day - 1].stage.day_c,
            altitude_m=height_m(plan, day, time),
        )
        grams = one.servings * sheets[dish].mass.value / sheets[dish].eaters
        last = reached(takes, day, at_m)
        for shop in (t for t in takes if t.shop and take.leg <= t.leg <= last.leg):
            carried, bought = past[shop.name]
            here = shop.leg == take.leg
            past[shop.name] = (carried, bought + grams) if here else (carried + grams, bought)
        made.append(one)
    return Dishes(planned=in_order(made), takes=takes, past=past)


def _in_pots(sheet: Sheet, shares: Mapping[str, float], plan: TripPlan) -> tuple[int, int]:
    """How often a common pot is filled with it, and in how many batches it is cooked."""
    making = making_of(sheet)
    kitchen = next((one for one in plan.trip.kitchens if set(shares) & set(one.walkers)), None)
    if kitchen is None or making.way != "boil":
        return 1, 1
    content_ml = sum(shares.values()) * (sheet.mass.value / sheet.eaters + making.water_ml)
    return kitchen.fills(content_ml), kitchen.batches_for(content_ml)


def _soaks(sheet: Sheet, where: Mapping[str, PlaceOfMeal | None]) -> dict[str, Wetted]:
    """How the dish soaks where each eats it."""
    making = making_of(sheet)
    found = {}
    for name, place in where.items():
        soak = None if place is None else wetted_at(making.soak_minutes, place)
        if soak is not None and making.way == "cold-soak":
            found[name] = soak
    return found


def _pot(plate: Plate) -> str:
    """Shared plates of one dish in two kitchens are two pots."""
    return ", ".join(portion.walker for portion in plate.portions) if plate.shared else ""


def _check(
    plan: TripPlan,
    plate: Plate,
    people: Mapping[str, Walker],
    where: str,
) -> None:
    if not 1 <= plate.day <= len(plan.days):
        raise Mistake(
            "day-out-of-range",
            what=f"day {plate.day} is outside 1 to {len(plan.days)}",
            mend="count the days of the walk from 1",
            where=where,
        )
    for portion in plate.portions:
        if portion.walker not in people:
            raise Mistake(
                "unknown-walker",
                what=f"nobody is called {portion.walker[:60]!r}",
                mend=f"choose from {', '.join(people)}",
                where=where,
            )
        if portion.steps < 0:
            raise Mistake(
                "portion-steps",
                what=f"{portion.steps} steps of a portion",
                mend="give a whole number of steps, zero or more",
                where=where,
            )


def _steps_of(steps: int | Mapping[str, int], dish: str) -> int:
    per = steps if isinstance(steps, int) else steps.get(dish, STEPS)
    if per < 1:
        raise Mistake(
            "portion-steps", f"{per} steps to a serving", "give a whole number from 1", dish
        )
    return per


def _share(walker: Walker, servings: float, plan: TripPlan, of: Sheet | None = None) -> Share:
    """One walker's part; of a dish that they eat, with what speaks against their diets."""
    told = tuple(_RISKS[word] for word in walker.high_risk if word in _RISKS)
    asked = plan.trip.care.health_asked is True
    return Share(
        name=walker.name,
        servings=servings,
        avoids=_folded(walker.avoids),
        traces_barred=plan.trip.rules.traces == "avoid",
        diets=walker.diets,
        against=()
        if of is None or not walker.diets
        else tuple(against((line.food for line in of.lines), walker.diets, of.recipe.tags).items()),
        risks=told if told or asked else None,
    )


def _folded(avoids: Sequence[Allergen]) -> tuple[str, ...]:
    """Whole groups by their word again, the largest first: 'tree-nut' for every tree nut."""
    rest, words = list(avoids), []
    for word, agents in sorted(GROUPS.items(), key=lambda group: -len(group[1])):
        if set(agents) <= set(rest):
            words.append(word)
            rest = [agent for agent in rest if agent not in agents]
    return (*words, *rest)


def place_m(day: PlanDay, time: str) -> float:
    """Metres walked that day when this meal is eaten; the end for one that is not planned."""
    meal = next((meal for meal in day.meals if meal.name == time), None)
    return day.stage.distance_m if meal is None else meal.at_m


def height_m(plan: TripPlan, day: int, time: str) -> float | None:
    """Height at which a meal is cooked [m]: of the camp before it, or after the day's walk.

    On the way, the higher of the day's ends (water boils coolest there); None = not known.
    """
    today = plan.days[day - 1]
    at_m, end_m = place_m(today, time), _end_m(today)
    if at_m >= today.stage.distance_m:
        return end_m
    start_m = today.stage.start_m if day == 1 else _end_m(plan.days[day - 2])
    if at_m <= 0.0:
        return start_m
    known = [height for height in (start_m, end_m) if height is not None]
    return max(known, default=None)


def _end_m(day: PlanDay) -> float | None:
    return day.stage.end_m if day.stage.camp_m is None else day.stage.camp_m
