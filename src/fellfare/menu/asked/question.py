"""From a trip, its recipes and the pantry to the question that a menu answers."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from typing import Final

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from fellfare.menu.asked.at_table import AT_TABLE, AtTable, at_table
from fellfare.menu.asked.bagging import with_bags
from fellfare.menu.asked.balance import (
    counted,
    liked_dishes,
    oftens_of,
    with_variety,
    worth_of,
)
from fellfare.menu.asked.cold import cold_ways
from fellfare.menu.asked.dishes import AskedDish, LeftOut, asked_dishes
from fellfare.menu.asked.fixing import kept_locks, locks_of_trip, with_meals
from fellfare.menu.asked.for_all import bases_for_all
from fellfare.menu.asked.hauling import Hauling, by_the_way, hauling_of
from fellfare.menu.asked.offering import fits_of, on_offer, priced
from fellfare.menu.asked.places import PlaceOfMeal, places_of, why_not_here
from fellfare.menu.asked.rules import (
    Share,
    bands_of,
    bans_of,
    caps_of,
    differents_of,
    eaters_of,
    meal_bands,
    repeats_of,
    usual_repeats,
)
from fellfare.menu.asked.saying import question_findings
from fellfare.menu.asked.taking import Take, legs_of, takes_of
from fellfare.menu.pool import ENDLESS_PACKS, Ban, Budget, Leg, Lock, Pack, Question, Slot, Weights
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Recipe
from fellfare.recipe.leaving_out import recipe_of
from fellfare.recipe.soaked_cold import name_cold
from fellfare.trip.meals import DayMeal
from fellfare.trip.plan import TripPlan
from fellfare.trip.wishes import USUAL_KINDS
from fellfare.walk.demand import need_kcal
from fellfare.walk.figures import Array

#: All ways of making a dish where something can be heated, and where nothing can.
_WARM: Final = ("dry", "cold-soak", "hot-pour", "boil")
_COLD: Final = ("dry", "cold-soak")


class Asked(Struct, frozen=True, kw_only=True, eq=False):
    """A question of a menu and the trip that it came from; arrays are walkers x days (W, D)."""

    plan: TripPlan
    #: Without bands; :meth:`question` adds those of a need.
    base: Question
    dishes: tuple[AskedDish, ...]
    left_out: tuple[LeftOut, ...]
    takes: tuple[Take, ...]
    legs: tuple[tuple[Leg, Take], ...]
    #: By (day, time) of the question's slots.
    places: Mapping[tuple[int, str], PlaceOfMeal]
    #: By (dish, day, time): why it cannot be made there.
    barred: Mapping[tuple[str, int, str], str]
    #: Coverage times appetite of each day, and the part of the day's food that is out of dishes,
    #: and that is fed by weight.
    coverage: Array
    by_dish: Array
    by_weight: Array
    #: Part of a whole day, for floors of grams a day.
    part: Array
    #: Need with the food that the plan reckoned with [kcal].
    first_need_kcal: Array
    findings: tuple[Finding, ...]
    #: Wishes for variety that nobody wrote, in words; they give way before those written.
    usual: tuple[str, ...]
    #: How far what is eaten is carried.
    hauling: Hauling
    #: What counts, in words, the weightiest first.
    counts: tuple[str, ...] = ("mass",)

    def question(self, need: Array, *, usual: bool = True) -> Question:
        """The question for a need [kcal] (W, D)."""
        share = Share(
            target_kcal=need * self.coverage * self.by_dish,
            part=self.part,
            day_kcal=need * self.coverage,
        )
        repeats = tuple(
            one for one in self.base.repeats if usual or not one.wish.startswith("usual: ")
        )
        bands = (*bands_of(self.plan.trip, share), *meal_bands(self.plan, self.base.slots, share))
        return replace(self.base, bands=bands, repeats=repeats)

    def dish(self, name: str) -> AskedDish:
        """The dish of that name."""
        return next(one for one in self.dishes if one.id == name)


def question_of_trip(
    plan: TripPlan,
    recipes: Mapping[str, Recipe],
    pantry: Pantry | Mapping[str, Pantry],
    *,
    packs: Iterable[Pack] = (),
) -> Asked:
    """What the trip asks of a menu out of these recipes.

    Parameters
    ----------
    plan
        From :func:`fellfare.trip.plan.plan_trip`.
    recipes
        By file name without its ending, as ``[[fixed]]`` and ``never`` name them.
    pantry
        For all recipes, or one for each.
    packs
        How foods are sold; without any, no price is known and a budget is not looked at.
        Where money is limited a dish with a food of unknown price is left out.

    Returns
    -------
    Asked
        Eating times that are bought at a stop, or fed by weight (``by_ration``), are none of
        the menu.  Dinner is one pot for each kitchen of two or more; at every other time each
        walker has a dish of their own.

    Raises
    ------
    Mistake
        ``no-recipes``, ``nothing-to-plan``, ``unknown-dish`` (a fixed or unwanted dish that
        is not among the recipes; ``where`` is its field in the trip).
    """
    trip = plan.trip
    if not recipes:
        raise Mistake(
            "no-recipes",
            "the trip's folders hold no recipe",
            'name folders with recipes: recipes = ["recipes"]',
            "recipes",
        )
    _check_names(plan, recipes)
    dishes, left_out = asked_dishes(recipes, pantry, trip.rules.portions)
    by_ration = set(trip.rules.by_ration)
    times = {place: _time(plan, place) for place in places_of(plan)}
    places = {
        (place.day, time): place for place, time in times.items() if place.eating not in by_ration
    }
    if not places:
        raise Mistake(
            "nothing-to-plan",
            "no eating time is fed by dishes out of the pack",
            "take one out of by_ration, or out of the meals of the stops",
            "rules",
        )
    kinds = {
        time.name: time.kinds or USUAL_KINDS.get(time.name, (time.name,)) for time in trip.eating
    }
    takes = takes_of(plan)
    legs = legs_of(plan, takes)
    eaters = eaters_of(trip)
    packs = tuple(packs)
    limited = trip.rules.budget is not None and bool(packs)
    worth = worth_of(trip.rules.order)
    if worth.cost_g and not limited:  # nothing is forbidden: what is at home is free, all of it
        packs = tuple(replace(pack, most=ENDLESS_PACKS) for pack in packs)
    bases = bases_for_all(
        [one for one in dishes if set(one.kinds) & set(kinds.get("dinner", ()))],
        recipes,
        pantry,
        [place.walkers for place in places.values() if _one_pot(place)],
        eaters,
        trip.rules.portions,
        set(trip.rules.never),
    )
    slots = tuple(_slot(plan, place, time) for (_, time), place in places.items())
    table = AtTable()
    if trip.rules.add_at_table and bases:
        served = {
            name: (replace(one, dish=replace(one.dish, meals=_meals_of(one, kinds))), fed)
            for name, (one, fed) in bases.items()
        }
        table = at_table(served, recipes, pantry, slots, places, eaters, trip.rules.portions)
        places |= table.places
        slots += table.slots
        kinds = kinds | {AT_TABLE: (AT_TABLE,)}
    colds = cold_ways(dishes, recipes, pantry, trip.rules)
    dishes = (*dishes, *(one for one, _ in bases.values()), *colds.values(), *table.dishes)
    made = tuple(
        priced(
            on_offer(one, plan, legs, kinds),
            packs,
            limited,
            guessed=worth.cost_g > 0 and not limited,
        )
        for one in dishes
    )
    offered = tuple(one for one in made if isinstance(one, AskedDish))
    own = {*bases, *colds, *(one.id for one in table.dishes)}
    gone = tuple(one for one in made if isinstance(one, LeftOut) and one.dish not in own)
    food_kg = np.array([one.food_g for one in plan.walkers]) / 1000.0
    first_need = need_kcal(plan.demand, food_kg)
    by_dish, by_weight, part = _parts(plan, by_ration)
    coverage = _coverage(plan)
    locks, moved, lock_findings = locks_of_trip(plan, places, offered, (*left_out, *gone))
    locks = tuple(_fed(lock, places, bases, {one.id for one in offered}) for lock in locks)
    offered = tuple(with_meals(one, moved) for one in offered)
    barred = {
        (dish.id, day, time): why
        for (day, time), place in places.items()
        for dish in offered
        if place.eating in dish.dish.meals and (why := why_not_here(dish, place))
    }
    barred |= {
        (name, day, time): f"left out of it is what {', '.join(sorted(pots)[0])} may not all eat"
        for (day, time), place in places.items()
        for name, (_, pots) in bases.items()
        if not _one_pot(place) or place.walkers not in pots
    }
    named = {(one.day, one.eating, one.dish) for one in trip.fixed if one.walkers}
    barred |= {
        (name, day, time): "it is poured on there, and needs no cold soak"
        for (day, time), place in places.items()
        for name in colds
        if place.hot
    }
    locks = tuple(_cold(lock, barred, colds) for lock in locks)
    locks, barred_findings = kept_locks(locks, barred, places, offered, eaters, named)
    fits = fits_of(slots, eaters, offered, barred)
    slots = tuple(_twice(slot, fits) for slot in slots)
    eaten_kcal = float((first_need * coverage * by_dish).sum())
    offered = with_bags(offered, plan, slots, eaten_kcal)
    hauling = hauling_of(plan, takes, places, offered)
    unit_km = None
    if trip.rules.make_least == "mass-by-distance":
        slots, unit_km = by_the_way(slots, hauling, plan)
    variants: dict[str, list[str]] = {}
    for one in offered:
        variants.setdefault(recipe_of(one.id), []).append(one.id)
    liked = liked_dishes(trip, variants)
    oftens, unheard = oftens_of(trip, variants, fits)
    usual = usual_repeats(trip, slots, fits, {one.id: one.dish.base for one in offered})
    loads, boxes, litres = caps_of(trip, legs)
    budget = None
    if trip.rules.budget is not None and limited:
        said = f"budget = {trip.rules.budget} {trip.rules.currency}"
        budget = Budget(wish=said, most=float(trip.rules.budget))
    bars = [Ban(dish=dish, day=day, time=time, firm=True) for dish, day, time in barred]
    strays = [
        Ban(dish=dish, day=day, time=time, firm=True)
        for dish, (eating, kept_at) in moved.items()
        for (day, time), place in places.items()
        if place.eating == eating and (day, time) not in kept_at
    ]
    question = Question(
        days=len(plan.days),
        dishes=tuple(
            replace(
                one.dish,
                liking=float(one.id in liked),
                supply=hauling.supply[one.id],
                same_as="" if recipe_of(one.id) == one.id else recipe_of(one.id),
            )
            for one in offered
        ),
        walkers=eaters,
        slots=slots,
        legs=tuple(leg for leg, _ in legs),
        repeats=(*repeats_of(trip, slots, len(plan.days)), *usual.repeats),
        oftens=oftens,
        besides=tuple(
            one for one in table.besides if {one.dish, one.pot_dish} <= {o.id for o in offered}
        ),
        differents=with_variety(differents_of(trip.rules, slots), slots, worth.variety_g),
        budget=budget,
        packs=packs,
        litres=litres,
        load_caps=loads,
        box_caps=boxes,
        locks=locks,
        bans=(*bans_of(trip.rules, (one.id for one in offered)), *bars, *strays),
        weights=Weights(
            liking_g=worth.liking_g,
            cost_g=worth.cost_g if packs else 0.0,
            unit_km=unit_km,
        ),
    )
    return Asked(
        plan=plan,
        base=question,
        dishes=offered,
        left_out=(*left_out, *gone),
        takes=takes,
        legs=legs,
        places=places,
        barred=barred,
        coverage=coverage,
        by_dish=by_dish,
        by_weight=by_weight,
        part=part,
        first_need_kcal=first_need,
        findings=(
            *lock_findings,
            *barred_findings,
            *question_findings(plan, offered, (*left_out, *gone), usual.said, packs, unheard),
        ),
        usual=usual.said,
        hauling=hauling,
        counts=counted(trip, worth),
    )


def _check_names(plan: TripPlan, recipes: Mapping[str, Recipe]) -> None:
    from difflib import get_close_matches

    rules = plan.trip.rules
    told = [(f"fixed[{n}].dish", one.dish) for n, one in enumerate(plan.trip.fixed)]
    told += [("rules.never", name) for name in rules.never]
    told += [(f"liked[{n}].dish", one.dish) for n, one in enumerate(plan.trip.liked)]
    for number, one in enumerate(plan.trip.fixed):
        if one.dish in rules.never:
            raise Mistake(
                "fixed-and-never",
                what=f"{one.dish[:60]!r} is fixed on day {one.day}, and nobody wants it",
                mend="leave out one of the two",
                where=f"fixed[{number}].dish",
            )
    for field, name in told:
        if name not in recipes:
            near = get_close_matches(name, recipes, n=2)
            raise Mistake(
                "unknown-dish",
                what=f"no recipe is called {name[:60]!r}",
                mend=f"did you mean {' or '.join(map(repr, near))}?"
                if near
                else "name a file of the trip's folders of recipes, without its ending",
                where=field,
            )


def _time(plan: TripPlan, place: PlaceOfMeal) -> str:
    """Name of the slot: the eating time, and whose it is where there are several kitchens."""
    if len(plan.trip.kitchens) < 2:
        return place.eating
    return f"{place.eating} ({', '.join(place.walkers)})"


def _meals_of(one: AskedDish, kinds: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    return tuple(name for name, served in kinds.items() if set(served) & set(one.kinds))


def _fed(
    lock: Lock,
    places: Mapping[tuple[int, str], PlaceOfMeal],
    bases: Mapping[str, tuple[AskedDish, frozenset[tuple[str, ...]]]],
    offered: Container[str],
) -> Lock:
    """A dish that was fixed for a pot of which some may not eat all: what all of them may."""
    place = places[lock.day, lock.time]
    for name, (_, pots) in bases.items():
        mine = recipe_of(name) == lock.dish and name in offered
        if mine and _one_pot(place) and place.walkers in pots:
            return replace(lock, dish=name)
    return lock


def _cold(
    lock: Lock, barred: Mapping[tuple[str, int, str], str], colds: Mapping[str, AskedDish]
) -> Lock:
    """A dish that was fixed where there is no fire: its cold way, where it has one."""
    name = name_cold(lock.dish)
    if name not in colds or (lock.dish, lock.day, lock.time) not in barred:
        return lock
    return lock if (name, lock.day, lock.time) in barred else replace(lock, dish=name)


def _one_pot(place: PlaceOfMeal) -> bool:
    """Whether it is one dish out of one pot for all."""
    return place.eating == "dinner" and len(place.walkers) > 1


def _slot(plan: TripPlan, place: PlaceOfMeal, time: str) -> Slot:
    shared = _one_pot(place)
    dry = place.in_camp and place.water_here is False
    return Slot(
        day=place.day,
        time=time,
        meal=place.eating,
        walkers=place.walkers,
        shared=shared,
        least=place.count,
        most=place.count,
        ways=_WARM if place.hot else _COLD,
        carried_share=place.along,
        water_g_per_ml=_water_carried(plan, place) if dry else 0.0,
        pot_ml=place.pot_ml if shared and place.hot else None,
        batches=place.batches,
    )


def _water_carried(plan: TripPlan, place: PlaceOfMeal) -> float:
    """Part of the day's way on which a dry camp's water is on the back."""
    day = plan.days[place.day - 1 if place.at_m > 0 or place.day == 1 else place.day - 2]
    length = day.stage.distance_m
    before = [s.at_m for s in day.water.springs if s.at_m < length]
    return 1.0 if not before or length <= 0 else (length - max(before)) / length


def _twice(slot: Slot, fits: Mapping[tuple[int, str, str], frozenset[str]]) -> Slot:
    """One dish may come twice at an eating time only where there are too few of them."""
    few = min(len(fits[slot.day, slot.time, who]) for who in slot.walkers)
    return replace(slot, twice=max(1, -(-slot.least // few))) if few else slot


def _coverage(plan: TripPlan) -> Array:
    """Coverage times appetite, as the plan takes it (W, D)."""
    rules = plan.trip.rules
    return np.array(
        [
            [
                rules.coverage * (w.appetite_on(d.day) if rules.follow_appetite else 1.0)
                for d in plan.days
            ]
            for w in plan.trip.walkers
        ]
    )


def _parts(plan: TripPlan, by_ration: set[str]) -> tuple[Array, Array, Array]:
    """Parts of each day's food out of dishes and by weight, and part of a whole day (W, D)."""
    many = len(plan.trip.walkers)

    def share(meals: Iterable[DayMeal]) -> float:
        return float(sum(meal.share for meal in meals))

    carried = [[meal for meal in day.meals if not meal.bought] for day in plan.days]
    dish = [share(m for m in meals if m.name not in by_ration) for meals in carried]
    weight = [share(m for m in meals if m.name in by_ration) for meals in carried]
    part = [
        min(day.frame.hours / 24.0, 1.0) * one for day, one in zip(plan.days, dish, strict=True)
    ]
    return (
        np.tile(np.array(dish), (many, 1)),
        np.tile(np.array(weight), (many, 1)),
        np.tile(np.array(part), (many, 1)),
    )
