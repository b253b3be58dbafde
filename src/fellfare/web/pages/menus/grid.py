"""Days by eating times: which dish stands where, for whom, how it is made there."""

from __future__ import annotations

from datetime import date
from typing import Final

import msgspec
from msgspec import Struct

from fellfare.menu.asked import Asked
from fellfare.menu.pool import Lock
from fellfare.menu.trip_menu import EaterDay, Helping, MealOfMenu, RationOfMenu, TripMenu
from fellfare.trip.plan import PlanDay
from fellfare.web.work.wishes import Wishes

#: How a dish is made, in a word for a page.
WAYS: Final = {
    "dry": "as it is",
    "cold-soak": "soaked cold",
    "hot-pour": "boiling water on it",
    "boil": "on the fire",
}


class Standing(Struct, frozen=True, kw_only=True):
    """A dish at its place, for one pot or one walker."""

    helpings: tuple[Helping, ...]
    times: int
    #: What a button says of this place: day, eating time, dish, walker.
    at: str
    #: 'hand', 'trip' or ''.
    fixed: str

    @property
    def who(self) -> str:
        """Those who eat of it."""
        return ", ".join(one.walker for one in self.helpings)


class Dish(Struct, frozen=True, kw_only=True):
    """One dish at an eating time, wherever it stands."""

    dish: str
    title: str
    way: str
    wet: tuple[str, ...]
    taken_up: str
    places: tuple[Standing, ...]

    @property
    def fixed(self) -> bool:
        """Whether it is fixed for anybody."""
        return any(one.fixed for one in self.places)


class Cell(Struct, frozen=True, kw_only=True):
    """One eating time."""

    time: str
    dishes: tuple[Dish, ...]
    rations: tuple[RationOfMenu, ...]
    bought: bool


class DayRow(Struct, frozen=True, kw_only=True):
    """One day."""

    plan: PlanDay
    date: date | None
    cells: tuple[Cell, ...]
    eaters: tuple[EaterDay, ...]


def grid(asked: Asked, menu: TripMenu, wishes: Wishes, who: str = "") -> tuple[DayRow, ...]:
    """The menu as rows of days; with ``who`` only what this walker eats."""
    order = times_of(asked, menu)
    eaten = {meal.name for day in asked.plan.days for meal in day.meals}
    rows = []
    for plan, day in zip(asked.plan.days, menu.days, strict=True):
        bought = {meal.name for meal in plan.meals if meal.bought}
        cells = []
        for time in order:
            here = [
                meal
                for meal in day.meals
                if meal.time == time and (not who or any(h.walker == who for h in meal.helpings))
            ]
            dishes = [
                _dish(asked, [meal for meal in here if meal.dish == name], wishes)
                for name in dict.fromkeys(meal.dish for meal in here)
            ]
            rations = tuple(
                one
                for one in day.rations
                if one.times[:1] == (time,) and (not who or one.walker == who)
            )
            if not (dishes or time in eaten):
                continue  # nothing beside a pot that day
            cells.append(
                Cell(time=time, dishes=tuple(dishes), rations=rations, bought=time in bought)
            )
        eaters = tuple(one for one in day.eaters if not who or one.walker == who)
        rows.append(DayRow(plan=plan, date=plan.date, cells=tuple(cells), eaters=eaters))
    return tuple(rows)


def times_of(asked: Asked, menu: TripMenu) -> tuple[str, ...]:
    """The eating times as the trip names them: breakfast comes first, even if the first day
    begins with lunch; last what the menu puts beside a pot, on one's own plate."""
    eaten = {meal.name for day in asked.plan.days for meal in day.meals}
    named = dict.fromkeys(one.name for one in asked.plan.trip.eating)
    order = [name for name in (*named, *sorted(eaten - set(named))) if name in eaten]
    return tuple(dict.fromkeys((*order, *(meal.time for day in menu.days for meal in day.meals))))


def slot_of(asked: Asked, day: int, eating: str, walker: str) -> str:
    """The name that the question has for this eating time of this walker's kitchen."""
    return next(
        time
        for (on, time), place in asked.places.items()
        if on == day and place.eating == eating and walker in place.walkers
    )


def _dish(asked: Asked, meals: list[MealOfMenu], wishes: Wishes) -> Dish:
    first = meals[0]
    party = [one.walker for one in asked.plan.walkers]

    def place_in_party(meal: MealOfMenu) -> int:
        return party.index(meal.helpings[0].walker)

    return Dish(
        dish=first.dish,
        title=first.title,
        way=WAYS[asked.dish(first.dish).making.way],
        wet=tuple(dict.fromkeys(meal.wet for meal in meals if meal.wet)),
        taken_up=first.taken_up,
        places=tuple(_standing(asked, meal, wishes) for meal in sorted(meals, key=place_in_party)),
    )


def _standing(asked: Asked, meal: MealOfMenu, wishes: Wishes) -> Standing:
    first = meal.helpings[0].walker
    time = slot_of(asked, meal.day, meal.time, first)
    lock = Lock(day=meal.day, time=time, dish=meal.dish, walker=None if meal.shared else first)
    fixed = "hand" if lock in wishes.locks else ""
    if not fixed and any(
        (one.day, one.time, one.dish) == (lock.day, lock.time, lock.dish)
        and one.walker in (None, lock.walker)
        for one in asked.base.locks
    ):
        fixed = "trip"
    return Standing(
        helpings=meal.helpings,
        times=meal.times,
        at=msgspec.json.encode(lock).decode("utf-8"),
        fixed=fixed,
    )
