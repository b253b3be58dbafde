"""What of a menu is on whose back, from where to where?"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from fellfare.menu.answer import Plate
from fellfare.menu.asked.dishes import AskedDish
from fellfare.menu.asked.places import PlaceOfMeal
from fellfare.menu.asked.question import Asked
from fellfare.menu.asked.taking import Take, reached, taken_up
from fellfare.walk.demand import load_kg, need_kcal
from fellfare.walk.figures import Array


class CarriedPlate(Struct, frozen=True, kw_only=True, eq=False):
    """A plate, where it is eaten, where its food is taken up; masses are without fuel."""

    plate: Plate
    place: PlaceOfMeal
    dish: AskedDish
    #: Index of the place where it is taken up, and of the last one reached by then.
    taken: int
    last: int
    #: (walker, grams with packing).
    grams: tuple[tuple[str, float], ...]


class Carried(Struct, frozen=True, kw_only=True, eq=False):
    """The whole menu as carried; everybody carries what they eat."""

    plates: tuple[CarriedPlate, ...]
    #: What is eaten on each day [kg], dishes and rations (W, D); of it the rations [kcal], [g].
    food_kg: Array
    ration_kcal: Array
    ration_g: Array
    #: By day: index of the place where its ration is taken up, and of the last one reached by the
    #: morning.  A shop that is told to sell only some foods sells no ration.
    ration_taken: tuple[tuple[int, int], ...]
    #: On the back before the plan's own carry begins: what a shop does not sell (W, S) [kg].
    extra_kg: Array

    def need_kcal(self, asked: Asked) -> Array:
        """The need that this food on the back brings about (W, D)."""
        return need_kcal(asked.plan.demand, self.food_kg, self.extra_kg)

    def load_kg(self, asked: Asked) -> Array:
        """All that is on each back on each stretch [kg] (W, S)."""
        return load_kg(asked.plan.demand, self.food_kg, self.extra_kg)


def carried(asked: Asked, plates: Sequence[Plate], need: Array) -> Carried:
    """The plates of a menu on the backs; ``need`` [kcal] (W, D) sizes what goes by weight."""
    plan = asked.plan
    rows = {walker.name: row for row, walker in enumerate(plan.trip.walkers)}
    ration_kcal = need * asked.coverage * asked.by_weight
    ration_g = ration_kcal / plan.trip.rules.kcal_per_g
    food = ration_g / 1000.0
    extra = np.zeros((len(rows), len(plan.stretches.day)))
    ration_taken = tuple(_ration_taken(asked.takes, day) for day in range(1, food.shape[1] + 1))
    for d, (taken, last) in enumerate(ration_taken):
        if taken < last and ration_g[:, d].any():
            extra += np.outer(ration_g[:, d] / 1000.0, _between(asked, taken, last))
    made = []
    for plate in plates:
        place, dish = asked.places[plate.day, plate.time], asked.dish(plate.dish)
        one = CarriedPlate(
            plate=plate,
            place=place,
            dish=dish,
            taken=taken_up(asked.takes, plate.day, place.at_m, dish.foods),
            last=reached(asked.takes, plate.day, place.at_m),
            grams=tuple(
                (part.walker, dish.dish.mass_g * part.steps / dish.dish.steps_per_serving)
                for part in plate.portions
            ),
        )
        made.append(one)
        for walker, grams in one.grams:
            food[rows[walker], plate.day - 1] += grams / 1000.0
            if one.taken < one.last:
                extra[rows[walker]] += grams / 1000.0 * _between(asked, one.taken, one.last)
    return Carried(
        plates=tuple(made),
        food_kg=food,
        ration_kcal=ration_kcal,
        ration_g=ration_g,
        ration_taken=ration_taken,
        extra_kg=extra,
    )


def _ration_taken(takes: tuple[Take, ...], day: int) -> tuple[int, int]:
    last = reached(takes, day, 0.0)
    return max(k for k, take in enumerate(takes[: last + 1]) if take.has_all), last


def _between(asked: Asked, taken: int, last: int) -> Array:
    """1 on the stretches from one place where food is taken up to another (S)."""
    stretches = asked.plan.stretches
    begin, end = asked.takes[taken], asked.takes[last]
    at = list(zip((stretches.day + 1).tolist(), stretches.from_m.tolist(), strict=True))
    return np.array([float((begin.day, begin.at_m) <= spot < (end.day, end.at_m)) for spot in at])


def morning_g(asked: Asked, whole: Carried) -> Array:
    """Food and packing on each back in the morning, before anything of the day is eaten [g].

    What is taken up in the course of the day is not on it yet (W, D).
    """
    plan = asked.plan
    rows = {walker.name: row for row, walker in enumerate(plan.trip.walkers)}
    days = len(plan.days)
    out = np.zeros((len(rows), days))
    for one in whole.plates:
        take = asked.takes[one.taken]
        first = take.day if take.at_m <= 0.0 else take.day + 1
        for walker, grams in one.grams:
            out[rows[walker], first - 1 : one.plate.day] += grams
    for d in range(days):
        take = asked.takes[whole.ration_taken[d][0]]
        first = take.day if take.at_m <= 0.0 else take.day + 1
        out[:, first - 1 : d + 1] += whole.ration_g[:, [d]]
    return out
