"""Which dishes may stand at an eating time, and why not the others?"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np

from fellfare.menu.model.board import Flags
from fellfare.menu.pool import Dish, Leg, Question, Slot, Walker


def legs_of(question: Question) -> tuple[Leg, ...]:
    """The legs, or one leg over all days."""
    return question.legs or (Leg(name="walk", first_day=1, last_day=question.days),)


def leg_of(question: Question, day: int) -> Leg:
    """The leg that a day lies in."""
    return next(leg for leg in legs_of(question) if leg.first_day <= day <= leg.last_day)


def refusals(walker: Walker, dish: Dish) -> str | None:
    """Why this walker must not be served this dish (None: nothing speaks against it)."""
    for avoid in walker.avoids:
        if avoid.allergen in dish.contains:
            return f"it contains {avoid.allergen}"
        if avoid.may_contain and avoid.allergen in dish.may_contain:
            return f"it may contain {avoid.allergen}"
        if avoid.unknown and avoid.allergen in dish.unknown_allergens:
            return f"whether it contains {avoid.allergen} is not known"
    for diet in walker.diets:
        if diet not in dish.diets:
            return f"it is not known to be {diet}"
    if dish.id in walker.dislikes or (dish.family and dish.family in walker.dislikes):
        return "it is disliked"
    return None


def why_not(question: Question, slot: Slot, walker: str | None, dish: Dish) -> str | None:
    """Why a dish cannot stand in a slot (for one walker where each chooses), in words."""
    leg = leg_of(question, slot.day)
    if slot.meal not in dish.meals:
        return f"it is no {slot.meal}"
    if not set(slot.ways) & set(dish.ways):
        return f"it needs {' or '.join(dish.ways)}"
    if dish.shared_only and not slot.shared:
        return "it is made for a common pot"
    if dish.stops is not None and leg.name not in dish.stops:
        return f"it cannot be had for the leg {leg.name}"
    if not _keeps(slot.day - leg.first_day, dish):
        return f"it does not keep until day {slot.day}"
    if question.litres and dish.volume_ml is None:
        return "its volume is not known, and litres are limited"
    if dish.volume_ml is None and _box_of_litres(question, leg):
        return "its volume is not known, and the litres of its box are limited"
    if question.budget is not None and not _priced(dish):
        return "its price is not known, and money is limited"
    for one in question.walkers:
        if one.id in slot.walkers and walker in (None, one.id):
            reason = refusals(one, dish)
            if reason:
                return f"{reason} ({one.id})"
    for ban in question.bans:
        if (
            ban.dish == dish.id
            and ban.day in (None, slot.day)
            and ban.time in (None, slot.time)
            and ban.walker in (None, walker)
        ):
            return "it cannot be had there" if ban.firm else "it is banned by the person"
    return None


def _keeps(age: int, dish: Dish) -> bool:
    return age == 0 if dish.keeps_days is None else age < dish.keeps_days


def _box_of_litres(question: Question, leg: Leg) -> bool:
    return any(box.leg == leg.name and box.most_ml is not None for box in question.box_caps)


def _priced(dish: Dish) -> bool:
    return dish.cost is not None or bool(dish.foods)


def _may_eat(walker: Walker, dish: Dish) -> bool:
    return refusals(walker, dish) is None


class Masks:
    """Which dishes fit a cell, put together from parts that are made once."""

    def __init__(self, question: Question) -> None:
        self.question = question
        self.dishes = question.dishes
        self.at = {dish.id: at for at, dish in enumerate(question.dishes)}
        self.walker = {walker.id: walker for walker in question.walkers}
        self.parts: dict[tuple[object, ...], Flags] = {}
        self.always = np.ones(len(self.dishes), dtype=np.bool_)
        if question.litres:
            self.always &= self._flags(lambda dish: dish.volume_ml is not None)
        if question.budget is not None:
            self.always &= self._flags(_priced)

    def _flags(self, fits: Callable[[Dish], bool]) -> Flags:
        return np.fromiter((fits(d) for d in self.dishes), dtype=np.bool_, count=len(self.dishes))

    def _part(self, key: tuple[object, ...], fits: Callable[[Dish], bool]) -> Flags:
        if key not in self.parts:
            self.parts[key] = self._flags(fits)
        return self.parts[key]

    def of(self, slot: Slot, leg: Leg, walker: str | None) -> Flags:
        """Flags of the dishes that fit; the same verdict as ``why_not``, faster."""
        age = slot.day - leg.first_day
        ways = set(slot.ways)
        flags = (
            self.always
            & self._part(("meal", slot.meal), lambda d: slot.meal in d.meals)
            & self._part(("ways", slot.ways), lambda d: bool(ways & set(d.ways)))
            & self._part(("leg", leg.name), lambda d: d.stops is None or leg.name in d.stops)
            & self._part(("age", age), partial(_keeps, age))
        )
        if _box_of_litres(self.question, leg):
            flags = flags & self._part(("volume",), lambda d: d.volume_ml is not None)
        if not slot.shared:
            flags = flags & self._part(("own",), lambda d: not d.shared_only)
        for one in slot.walkers if walker is None else (walker,):
            flags = flags & self._part(("walker", one), partial(_may_eat, self.walker[one]))
        for ban in self.question.bans:
            fits = ban.day in (None, slot.day) and ban.time in (None, slot.time)
            if fits and ban.walker in (None, walker) and ban.dish in self.at:
                flags[self.at[ban.dish]] = False
        return np.asarray(flags, dtype=np.bool_)
