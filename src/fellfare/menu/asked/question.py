"""From a trip, its recipes and the pantry to the question that a menu answers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import inf
from typing import Final

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from fellfare.menu.asked.dishes import SIMMER_G_PER_MIN, AskedDish, LeftOut, asked_dishes
from fellfare.menu.asked.keeping import Kept, kept, stays_before
from fellfare.menu.asked.places import PlaceOfMeal, places_of, why_not_here
from fellfare.menu.asked.rules import (
    Share,
    bands_of,
    bans_of,
    caps_of,
    differents_of,
    eaters_of,
    repeats_of,
    usual_repeats,
)
from fellfare.menu.asked.taking import Take, legs_of, taken_up, takes_of
from fellfare.menu.pool import Ban, Budget, Dish, Leg, Lock, Pack, Question, Slot, Walker
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Recipe
from fellfare.trip.meals import DayMeal
from fellfare.trip.plan import TripPlan
from fellfare.trip.wishes import USUAL_KINDS, FixedDish
from fellfare.walk.demand import need_kcal
from fellfare.walk.figures import Array

#: All ways of making a dish where something can be heated, and where nothing can.
_WARM: Final = ("dry", "cold-soak", "hot-pour", "boil")
_COLD: Final = ("dry", "cold-soak")
#: Fuel where the plan heats nothing to go by [g/mL] (judgement: half a litre with 8 g of gas).
USUAL_FUEL_G_PER_ML: Final = 0.016


#: So little of a food in a serving is not asked for its price [g] (judgement).
TRACE_G: Final = 5.0
#: Ends the reason why a dish of a kind that nobody eats is left out.
NO_TIME: Final = "no eating time takes one"


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

    def question(self, need: Array, *, usual: bool = True) -> Question:
        """The question for a need [kcal] (W, D)."""
        share = Share(target_kcal=need * self.coverage * self.by_dish, part=self.part)
        repeats = tuple(
            one for one in self.base.repeats if usual or not one.wish.startswith("usual: ")
        )
        return replace(self.base, bands=bands_of(self.plan.trip, share), repeats=repeats)

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
    made = tuple(_priced(_on_offer(one, plan, legs, kinds), packs, limited) for one in dishes)
    offered = tuple(one for one in made if isinstance(one, AskedDish))
    gone = tuple(one for one in made if isinstance(one, LeftOut))
    barred = {
        (dish.id, day, time): why
        for (day, time), place in places.items()
        for dish in offered
        if place.eating in dish.dish.meals and (why := why_not_here(dish, place))
    }
    slots = tuple(_slot(plan, place, time) for (_, time), place in places.items())
    locks, moved, lock_findings = _locks(plan, places, offered, (*left_out, *gone))
    offered = tuple(_with_meals(one, moved) for one in offered)
    fits = _fits(slots, eaters, offered, barred)
    slots = tuple(_twice(slot, fits) for slot in slots)
    usual = usual_repeats(trip, slots, fits, {one.id: one.dish.base for one in offered})
    loads, boxes, litres = caps_of(trip, legs)
    budget = None
    if trip.rules.budget is not None and limited:
        said = f"budget = {trip.rules.budget} {trip.rules.currency}"
        budget = Budget(wish=said, most=float(trip.rules.budget))
    bars = [Ban(dish=dish, day=day, time=time) for dish, day, time in barred]
    strays = [
        Ban(dish=dish, day=day, time=time)
        for dish, (eating, kept_at) in moved.items()
        for (day, time), place in places.items()
        if place.eating == eating and (day, time) not in kept_at
    ]
    question = Question(
        days=len(plan.days),
        dishes=tuple(one.dish for one in offered),
        walkers=eaters,
        slots=slots,
        legs=tuple(leg for leg, _ in legs),
        repeats=(*repeats_of(trip, slots, len(plan.days)), *usual.repeats),
        differents=differents_of(trip.rules, slots),
        budget=budget,
        packs=packs,
        litres=litres,
        load_caps=loads,
        box_caps=boxes,
        locks=locks,
        bans=(*bans_of(trip.rules, (one.id for one in offered)), *bars, *strays),
    )
    by_dish, by_weight, part = _parts(plan, by_ration)
    food_kg = np.array([one.food_g for one in plan.walkers]) / 1000.0
    return Asked(
        plan=plan,
        base=question,
        dishes=offered,
        left_out=(*left_out, *gone),
        takes=takes,
        legs=legs,
        places=places,
        barred=barred,
        coverage=_coverage(plan),
        by_dish=by_dish,
        by_weight=by_weight,
        part=part,
        first_need_kcal=need_kcal(plan.demand, food_kg),
        findings=(*lock_findings, *_findings(plan, offered, (*left_out, *gone), usual.said, packs)),
        usual=usual.said,
    )


def _check_names(plan: TripPlan, recipes: Mapping[str, Recipe]) -> None:
    from difflib import get_close_matches

    rules = plan.trip.rules
    told = [(f"fixed[{n}].dish", one.dish) for n, one in enumerate(plan.trip.fixed)]
    told += [("rules.never", name) for name in rules.never]
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


def _slot(plan: TripPlan, place: PlaceOfMeal, time: str) -> Slot:
    shared = place.eating == "dinner" and len(place.walkers) > 1
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
        pot_ml=0.9 * place.pot_ml if shared and place.hot and place.pot_ml else None,
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


def _on_offer(
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
        fuel_g=_fuel_g(plan, one),
        keeps_days=None if unknown else least,
        stops=None if len(fit) == len(ends) else tuple(leg.name for leg, _ in fit),
    )
    return replace(one, dish=dish)


def _priced(one: AskedDish | LeftOut, packs: Sequence[Pack], limited: bool) -> AskedDish | LeftOut:
    """With the foods that are bought in packs; out, where money is limited and a price unknown.

    What is less than :data:`TRACE_G` of a serving costs nothing when nobody tells its price.
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
    return replace(one, dish=replace(one.dish, foods=bought, cost=None if dear else 0.0))


def fuel_g_per_ml(plan: TripPlan) -> float:
    """Fuel for a millilitre of boiling water, mean of the plan's own heatings [g/mL]."""
    water = sum(one.water_ml for one in plan.heatings)
    fuel = sum(one.fuel_g for one in plan.heatings)
    return fuel / water if water > 0 else USUAL_FUEL_G_PER_ML


def _fuel_g(plan: TripPlan, one: AskedDish) -> float:
    making = one.making
    if making.way not in ("hot-pour", "boil"):
        return 0.0
    simmer = SIMMER_G_PER_MIN * (making.flame_minutes or 0.0) / one.sheet.eaters
    return making.hot_ml * fuel_g_per_ml(plan) + simmer


def _locks(
    plan: TripPlan,
    places: Mapping[tuple[int, str], PlaceOfMeal],
    offered: Sequence[AskedDish],
    gone: Sequence[LeftOut],
) -> tuple[
    tuple[Lock, ...],
    dict[str, tuple[str, frozenset[tuple[int, str]]]],
    tuple[Finding, ...],
]:
    """Fixed dishes; dishes that are eaten at a time which is not theirs; what cannot be fixed.

    The second is by dish: (eating time, places at which it may stand then).
    """
    known = {one.id: one for one in offered}
    lost = {one.dish: one.why for one in gone}
    locks: list[Lock] = []
    moved: dict[str, tuple[str, frozenset[tuple[int, str]]]] = {}
    found: list[Finding] = []
    for want in plan.trip.fixed:
        if want.dish not in known:
            found.append(_unfixed(want, lost.get(want.dish, "it is left out")))
            continue
        spots = [
            (key, [who for who in place.walkers if not want.walkers or who in want.walkers])
            for key, place in places.items()
            if place.day == want.day and place.eating == want.eating
        ]
        if not any(eaters for _, eaters in spots):
            found.append(_unfixed(want, "nothing is planned for that day and time"))
            continue
        for key, eaters in spots:
            if not eaters:
                continue
            if want.eating not in known[want.dish].dish.meals:
                before = moved.get(want.dish, (want.eating, frozenset()))[1]
                moved[want.dish] = (want.eating, before | {key})
            shared = want.eating == "dinner" and len(places[key].walkers) > 1
            locks += [
                Lock(day=key[0], time=key[1], dish=want.dish, walker=None if shared else who)
                for who in (eaters[:1] if shared else eaters)
            ]
    return tuple(dict.fromkeys(locks)), moved, tuple(found)


def _unfixed(want: FixedDish, why: str) -> Finding:
    return Finding(
        severity="error",
        rule="fixed-dish-left-out",
        text=f"Day {want.day}, {want.eating}: {want.dish} is fixed and cannot be planned: {why}.",
        source="the document",
        about=(want.dish,),
    )


def _with_meals(
    one: AskedDish, moved: Mapping[str, tuple[str, frozenset[tuple[int, str]]]]
) -> AskedDish:
    if one.id not in moved:
        return one
    return replace(one, dish=replace(one.dish, meals=(*one.dish.meals, moved[one.id][0])))


def _fits(
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


def _findings(
    plan: TripPlan,
    offered: Sequence[AskedDish],
    gone: Sequence[LeftOut],
    usual: Sequence[str],
    packs: Sequence[Pack],
) -> Iterator[Finding]:
    def note(
        severity: str, rule: str, text: str, source: str, about: Iterable[str] = ()
    ) -> Finding:
        return Finding(
            severity=severity,  # type: ignore[arg-type]
            rule=rule,
            text=text,
            source=source,
            about=tuple(about),
        )

    trip = plan.trip
    unasked = [one for one in gone if one.why.endswith(NO_TIME)]
    broken = [one for one in gone if one not in unasked]
    if broken:
        yield note(
            "caution",
            "dish-left-out",
            "Not on offer to this menu: "
            + "; ".join(f"{one.title} ({one.why})" for one in broken)
            + ".",
            "the recipes and foods themselves",
        )
    if unasked:
        yield note(
            "note",
            "dish-without-time",
            f"No eating time takes {', '.join(one.title for one in unasked)}: say kinds = [...] at "
            "an [[eating]] that does.",
            "the documents",
        )
    assumed = [f"{one.recipe.title}: {'; '.join(one.assumed)}" for one in offered if one.assumed]
    if assumed:
        yield note(
            "note",
            "dish-assumed",
            "Counted as best one can: " + ". ".join(assumed) + ".",
            "own judgement; see docs/menu.md",
        )
    if usual:
        yield note(
            "note",
            "usual-variety",
            f"The trip says nothing of it, so: {'; '.join(usual)}.  Say days_between, "
            "most_of_one_dish, or least_dinners under [rules] to have it otherwise.",
            "common practice, no source",
        )
    if trip.rules.budget is not None and not packs:
        yield note(
            "caution",
            "budget-not-looked-at",
            "A budget is asked for, and no price of any food is known: the menu does not mind it.",
            "the document",
        )
    if not trip.kitchens:
        yield note(
            "caution",
            "no-kitchen",
            "The trip names no [[kitchen]]: only dishes that need no heat are planned, and "
            "dinner is one pot for all.",
            "the document is silent",
        )
    owners = {one.walker for one in trip.containers}
    if owners and owners != {walker.name for walker in trip.walkers}:
        yield note(
            "note",
            "litres-not-looked-at",
            "Not every walker has a [[container]]: whether the food has room at night was not "
            "looked at.",
            "the document",
        )
    if trip.rules.spare_days > 0:
        yield note(
            "note",
            "spare-beside-menu",
            f"{trip.rules.spare_days:g} days of spare food are on the back as the plan reckons "
            "them, and are none of this menu: choose them among what needs no water.",
            "the document",
        )


def taken_from(asked: Asked, dish: AskedDish, day: int, at_m: float) -> int:
    """Index of the place where a dish for that meal is taken up."""
    return taken_up(asked.takes, day, at_m, dish.foods)
