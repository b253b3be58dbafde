"""The textbook assignment model of a menu, written out in full: what the bench measures against.

    x[o, r]        1 when recipe r is eaten at serving place o (a meal of a day, one for
                   each snack; of one walker, or common)
    y[o, w, r]     servings of it that walker w eats:  least x <= y <= most x
    n[f]           whole packs of food f bought

Least carried mass, less liking in grams. Every wish of the question stands as
its own rows, day by day; nothing is merged, tightened or left out. Portions are
free between their ends (in the product's own menus they are whole steps, which
is harder). It is given to the same solver with the same threads and seed.
"""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import numpy as np

from fellfare.menu.pool import SHARE_KCAL_PER_G, Dish, Leg, Question, Slot, Walker
from fellfare.menu.solver import Effort, Outcome, Problem, solve

INFINITE = float("inf")
#: Of another clock than the wall's, whose seconds the wall may count so many of.
LONGEST = 20.0


class Place(msgspec.Struct, frozen=True):
    """One place at which one dish is eaten: an eating time, one of its servings, its eaters."""

    slot: Slot
    turn: int
    eaters: tuple[str, ...]


class Model:
    """Columns, rows and their entries while they are written down."""

    def __init__(self) -> None:
        self.cost: list[float] = []
        self.low: list[float] = []
        self.high: list[float] = []
        self.whole: list[bool] = []
        self.row_low: list[float] = []
        self.row_high: list[float] = []
        self.start: list[int] = [0]
        self.index: list[int] = []
        self.value: list[float] = []

    def column(self, cost: float, high: float, whole: bool) -> int:
        self.cost.append(cost)
        self.low.append(0.0)
        self.high.append(high)
        self.whole.append(whole)
        return len(self.cost) - 1

    def row(self, entries: dict[int, float], low: float, high: float) -> None:
        self.index.extend(entries)
        self.value.extend(entries.values())
        self.start.append(len(self.index))
        self.row_low.append(low)
        self.row_high.append(high)

    def problem(self) -> Problem:
        return Problem(
            cost=np.array(self.cost),
            low=np.array(self.low),
            high=np.array(self.high),
            whole=np.array(self.whole, dtype=np.bool_),
            row_low=np.array(self.row_low),
            row_high=np.array(self.row_high),
            start=np.array(self.start, dtype=np.int32),
            index=np.array(self.index, dtype=np.int32),
            value=np.array(self.value),
        )


def _may_eat(walker: Walker, dish: Dish) -> bool:
    for avoid in walker.avoids:
        if avoid.allergen in dish.contains:
            return False
        if avoid.may_contain and avoid.allergen in dish.may_contain:
            return False
        if avoid.unknown and avoid.allergen in dish.unknown_allergens:
            return False
    disliked = dish.id in walker.dislikes or dish.family in walker.dislikes
    return set(walker.diets) <= set(dish.diets) and not disliked


class Textbook:
    """The model of one question."""

    def __init__(self, question: Question) -> None:
        if question.oftens or question.differents or question.locks or question.bans:
            raise ValueError("the bench's questions have no such wishes")
        self.question = question
        self.model = Model()
        self.legs = question.legs or (Leg(name="all", first_day=1, last_day=question.days),)
        self.walker = {walker.id: walker for walker in question.walkers}
        self.places = [
            Place(slot, turn, eaters)
            for slot in question.slots
            for turn in range(slot.most)
            for eaters in ((slot.walkers,) if slot.shared else [(w,) for w in slot.walkers])
        ]
        self.x: dict[tuple[int, int], int] = {}
        self.y: dict[tuple[int, str, int], int] = {}
        self._choices()
        self._bands()
        self._repeats()
        self._rooms()
        self._money()

    def leg(self, day: int) -> Leg:
        return next(leg for leg in self.legs if leg.first_day <= day <= leg.last_day)

    def _fits(self, place: Place, dish: Dish) -> bool:
        slot, leg = place.slot, self.leg(place.slot.day)
        age = slot.day - leg.first_day
        return (
            slot.meal in dish.meals
            and bool(set(slot.ways) & set(dish.ways))
            and (dish.stops is None or leg.name in dish.stops)
            and (age == 0 if dish.keeps_days is None else age < dish.keeps_days)
            and all(_may_eat(self.walker[name], dish) for name in place.eaters)
        )

    def _choices(self) -> None:
        weights = self.question.weights
        for o, place in enumerate(self.places):
            chosen: dict[int, float] = {}
            for r, dish in enumerate(self.question.dishes):
                if not self._fits(place, dish):
                    continue
                liking = -weights.liking_g * dish.liking * len(place.eaters)
                x = self.model.column(liking, 1.0, whole=True)
                self.x[o, r] = x
                chosen[x] = 1.0
                least = dish.least_steps / dish.steps_per_serving
                most = dish.most_steps / dish.steps_per_serving
                day = weights.day[place.slot.day - 1] if weights.day else 1.0
                cost = weights.mass * day * (dish.mass_g + dish.fuel_g)
                for name in place.eaters:
                    y = self.model.column(cost, most, whole=False)
                    self.y[o, name, r] = y
                    self.model.row({y: 1.0, x: -least}, 0.0, INFINITE)
                    self.model.row({y: 1.0, x: -most}, -INFINITE, 0.0)
            self.model.row(chosen, 1.0 if place.turn < place.slot.least else 0.0, 1.0)

    def _eaten(self, walker: str, days: tuple[int, ...], figure: Callable[[Dish], float]
               ) -> dict[int, float]:  # fmt: skip
        dishes = self.question.dishes
        return {
            y: figure(dishes[r])
            for (o, name, r), y in self.y.items()
            if name == walker and self.places[o].slot.day in days
        }

    def _carried(self, walker: str, day: int) -> dict[int, float]:
        """What a walker carries on a day [g per serving of each portion]."""
        leg, entries = self.leg(day), {}
        share = 1.0 / len(self.question.walkers)
        for (o, name, r), y in self.y.items():
            slot = self.places[o].slot
            if not day <= slot.day <= leg.last_day:
                continue
            part = share if slot.shared else float(name == walker)
            if slot.day == day:
                part *= slot.carried_share
            if part:
                dish = self.question.dishes[r]
                entries[y] = part * (dish.mass_g + dish.fuel_g)
        return entries

    def _bands(self) -> None:
        for band in self.question.bands:
            for day in band.days or tuple(range(1, self.question.days + 1)):
                if band.share:
                    factor = SHARE_KCAL_PER_G[band.nutrient]
                    for limit, low, high in (
                        (band.low, 0.0, INFINITE), (band.high, -INFINITE, 0.0)
                    ):  # fmt: skip
                        if limit is not None:
                            self.model.row(
                                self._eaten(
                                    band.walker, (day,),
                                    lambda d, b=band, s=limit, f=factor:  # type: ignore[misc]
                                    f * (getattr(d, b.nutrient) or 0.0) - s * d.energy_kcal,
                                ),
                                low, high,
                            )  # fmt: skip
                    continue
                entries = self._eaten(
                    band.walker, (day,),
                    lambda d, b=band: getattr(d, b.nutrient) or 0.0,  # type: ignore[misc]
                )  # fmt: skip
                alpha = self.walker[band.walker].load_kcal_per_kg
                if band.nutrient == "energy_kcal" and alpha:
                    for y, grams in self._carried(band.walker, day).items():
                        entries[y] = entries.get(y, 0.0) - alpha / 1000.0 * grams
                self.model.row(
                    entries,
                    -INFINITE if band.low is None else band.low,
                    INFINITE if band.high is None else band.high,
                )

    def _repeats(self) -> None:
        for repeat in self.question.repeats:
            for walker in self.question.walkers:
                for first in range(1, self.question.days + 1):
                    rows: dict[str, dict[int, float]] = {}
                    for (o, r), x in self.x.items():
                        place = self.places[o]
                        inside = first <= place.slot.day < first + repeat.within_days
                        if not inside or walker.id not in place.eaters:
                            continue
                        if repeat.times and place.slot.time not in repeat.times:
                            continue
                        dish = self.question.dishes[r]
                        word = dish.id if repeat.key == "dish" else getattr(dish, repeat.key)
                        if word:
                            rows.setdefault(word, {})[x] = 1.0
                    for entries in rows.values():
                        if len(entries) > repeat.most:
                            self.model.row(entries, -INFINITE, float(repeat.most))
        for o, place in enumerate(self.places):  # not the same snack twice at one time
            if place.turn == 0 and place.slot.most > 1:
                turns = [
                    p for p, other in enumerate(self.places)
                    if (other.slot, other.eaters) == (place.slot, place.eaters)
                ]  # fmt: skip
                for r in {r for (p, r) in self.x if p == o}:
                    self.model.row(
                        {self.x[p, r]: 1.0 for p in turns}, -INFINITE, float(place.slot.twice)
                    )

    def _rooms(self) -> None:
        dishes = self.question.dishes
        for litre in self.question.litres:
            for leg in self.legs:
                for night in range(leg.first_day, leg.last_day):
                    entries = {}
                    for (o, name, r), y in self.y.items():
                        day = self.places[o].slot.day
                        if leg.first_day <= day <= leg.last_day and (
                            not litre.walkers or name in litre.walkers
                        ):
                            left = 1.0 if day > night else litre.rubbish_share
                            entries[y] = left * (dishes[r].volume_ml or 0.0)
                    self.model.row(entries, -INFINITE, litre.litres * 1000.0)

    def _money(self) -> None:
        budget = self.question.budget
        if budget is None:
            return
        dishes = self.question.dishes
        spent = {y: dishes[r].cost or 0.0 for (_, _, r), y in self.y.items()}
        for pack in self.question.packs:
            bought = self.model.column(0.0, float(pack.most), whole=True)
            entries = {bought: -pack.size_g}
            for (_, _, r), y in self.y.items():
                grams = sum(g for food, g in dishes[r].foods if food == pack.food)
                if grams:
                    entries[y] = grams
            self.model.row(entries, -INFINITE, 0.0)
            spent[bought] = pack.price
        fees = sum(leg.fee for leg in self.legs)
        self.model.row(spent, -INFINITE, budget.most - fees)


def textbook(question: Question) -> Problem:
    """The textbook model of a question."""
    return Textbook(question).model.problem()


def run(
    problem: Problem,
    gap: float,
    seconds: float,
    threads: int,
    seed: int,
    clock: Callable[[], float] | None = None,
) -> Outcome:
    """The model solved to a gap or for so many seconds of ``clock`` (the wall's, if none)."""
    effort = Effort(seconds=seconds, gap=gap, threads=threads, seed=seed)
    if clock is None:
        return solve(problem, effort)
    began = clock()
    long = Effort(seconds=LONGEST * seconds, gap=gap, threads=threads, seed=seed)
    return solve(problem, long, watch=lambda _best, _bound: clock() - began >= seconds)
