"""Which dishes are on offer: at which times, for which carries, with what fuel and price?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf
from typing import Final

from msgspec.structs import replace

from fellfare.menu.asked.dishes import SIMMER_G_PER_MIN, AskedDish, LeftOut
from fellfare.menu.asked.keeping import Kept, kept, stays_before
from fellfare.menu.asked.taking import Take
from fellfare.menu.pool import Dish, Leg, Pack, Slot, Walker
from fellfare.trip.plan import TripPlan

#: Fuel where the plan heats nothing to go by [g/mL] (judgement: half a litre with 8 g of gas).
USUAL_FUEL_G_PER_ML: Final = 0.016
#: So little of a food in a serving is not asked for its price [g] (judgement).
TRACE_G: Final = 5.0
#: Ends the reason why a dish of a kind that nobody eats is left out.
NO_TIME: Final = "no eating time takes one"


def on_offer(
    one: AskedDish,
    plan: TripPlan,
    legs: Sequence[tuple[Leg, Take]],
    kinds: Mapping[str, tuple[str, ...]],
) -> AskedDish | LeftOut:
    """With its eating times, fuel, and the carries for which it keeps."""
    meals = tuple(name for name, served in kinds.items() if set(served) & set(one.kinds))
    fixed = any(lock.dish == one.id for lock in plan.trip.fixed)
    if not meals and not fixed:
        why = f"it is a {' or '.join(one.kinds)}, and {NO_TIME}"
        return LeftOut(dish=one.id, title=one.recipe.title, why=why)
    most_c = max((d.stage.day_c for d in plan.days if d.stage.day_c is not None), default=None)
    ends: list[tuple[Leg, Kept]] = [
        (leg, kept(one.foods, stays_before(plan, take.stop), most_c)) for leg, take in legs
    ]
    fit = [(leg, end) for leg, end in ends if end.days is None or end.days >= 0]
    if not fit:
        food = next((end.food for _, end in ends if end.food), "a food of it")
        return LeftOut(
            dish=one.id, title=one.recipe.title, why=f"{food} does not keep until it is eaten"
        )
    unknown = any(end.days is None for _, end in fit)
    least = min((end.days for _, end in fit if end.days is not None), default=inf)
    dish = replace(
        one.dish,
        meals=meals,
        fuel_g=beyond_usual_g(plan, one, meals),
        keeps_days=None if unknown else least,
        stops=None if len(fit) == len(ends) else tuple(leg.name for leg, _ in fit),
    )
    return replace(one, dish=dish)


def priced(
    one: AskedDish | LeftOut, packs: Sequence[Pack], limited: bool, *, guessed: bool = False
) -> AskedDish | LeftOut:
    """With the foods that are bought in packs; out, where money is limited and a price unknown.

    What is less than :data:`TRACE_G` of a serving costs nothing when nobody tells its price.
    ``guessed``: what else has no price counts as the dearest that has one.
    """
    if isinstance(one, LeftOut) or not packs:
        return one
    sold = {pack.food for pack in packs}
    grams: dict[str, float] = {}
    for line in one.sheet.lines:
        food = line.food.id
        grams[food] = grams.get(food, 0.0) + (line.mass_g or 0.0) / one.sheet.eaters
    dear = [food for food, each in grams.items() if food not in sold and each >= TRACE_G]
    if dear and limited:
        why = f"no price is known of {', '.join(dear)}, and money is limited"
        return LeftOut(dish=one.id, title=one.recipe.title, why=why)
    bought = tuple((food, each) for food, each in grams.items() if food in sold)
    cost = None if dear else 0.0
    if dear and guessed:
        dearest = max((pack.price / pack.size_g for pack in packs), default=0.0)
        cost = dearest * sum(grams[food] for food in dear)
    return replace(one, dish=replace(one.dish, foods=bought, cost=cost))


def fuel_g_per_ml(plan: TripPlan) -> float:
    """Fuel for a millilitre of boiling water, mean of the plan's own heatings [g/mL]."""
    water = sum(one.water_ml for one in plan.heatings)
    fuel = sum(one.fuel_g for one in plan.heatings)
    return fuel / water if water > 0 else USUAL_FUEL_G_PER_ML


def fuel_g_of(plan: TripPlan, one: AskedDish) -> float:
    """All fuel for a serving: its hot water, and its minutes on the flame [g]."""
    if one.making.way not in ("hot-pour", "boil"):
        return 0.0
    return one.making.hot_ml * fuel_g_per_ml(plan) + _simmer_g(one)


def beyond_usual_g(plan: TripPlan, one: AskedDish, meals: Sequence[str]) -> float:
    """Fuel for a serving beyond the hot water that the kit carries fuel for anyway [g].

    The plan fills canisters for the hot water of each kitchen (``hot``) before anybody
    chooses a dish, and carries them: only what a dish asks on top of it weighs.
    """
    if one.making.way not in ("hot-pour", "boil"):
        return 0.0
    usual = [
        sum(hot.water_ml for hot in kitchen.hot if hot.eating == meal)
        for kitchen in plan.trip.kitchens
        if not kitchen.stoveless
        for meal in meals
        if any(hot.eating == meal for hot in kitchen.hot)
    ]
    more_ml = max(one.making.hot_ml - min(usual, default=0.0), 0.0)
    return more_ml * fuel_g_per_ml(plan) + _simmer_g(one)


def _simmer_g(one: AskedDish) -> float:
    return SIMMER_G_PER_MIN * (one.making.flame_minutes or 0.0) / one.sheet.eaters


def may_eat(walker: Walker, dish: Dish) -> bool:
    """Whether diets and allergies leave the dish to this walker."""
    for avoid in walker.avoids:
        if (
            avoid.allergen in dish.contains
            or (avoid.may_contain and avoid.allergen in dish.may_contain)
            or (avoid.unknown and avoid.allergen in dish.unknown_allergens)
        ):
            return False
    return set(walker.diets) <= set(dish.diets)


def fits_of(
    slots: Sequence[Slot],
    eaters: Sequence[Walker],
    offered: Sequence[AskedDish],
    barred: Mapping[tuple[str, int, str], str],
) -> dict[tuple[int, str, str], frozenset[str]]:
    """By (day, time, walker): the dishes that may stand there for that walker (or their pot)."""
    people = {walker.id: walker for walker in eaters}
    out = {}
    for slot in slots:
        can = [
            one.dish
            for one in offered
            if slot.meal in one.dish.meals
            and set(one.dish.ways) & set(slot.ways)
            and (one.id, slot.day, slot.time) not in barred
        ]
        for who in slot.walkers:
            pot = slot.walkers if slot.shared else (who,)
            out[slot.day, slot.time, who] = frozenset(
                dish.id for dish in can if all(may_eat(people[one], dish) for one in pot)
            )
    return out
