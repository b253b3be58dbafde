"""How much food is taken up at the start and at each stop?"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from fellfare.trip.laying import Laid, PlacedStop
from fellfare.trip.meals import DayMeal, carried_meals
from fellfare.walk.figures import Array
from fellfare.walk.load import Resupply


class Carry(Struct, frozen=True, kw_only=True):
    """From one place where food is taken up to the next."""

    #: 1 for the first.
    number: int
    from_name: str
    to_name: str
    from_day: int
    from_m: float
    #: Last day on which this food is eaten.
    to_day: int
    #: (eating time, how often), in the order of the first day on which it comes.
    times: tuple[tuple[str, int], ...]
    #: Food of each walker [g], in the order of the party.
    food_g: tuple[float, ...]
    #: Energy of it [kcal].
    energy_kcal: tuple[float, ...]


def resupplies(stops: Sequence[PlacedStop]) -> tuple[PlacedStop, ...]:
    """The stops where the food for what follows is taken up."""
    return tuple(one for one in stops if one.stop.takes_food)


def resupply_points(stops: Sequence[PlacedStop]) -> tuple[Resupply, ...]:
    """The same for the load."""
    return tuple(Resupply(day=one.day, at_m=one.at_m) for one in resupplies(stops))


def carries_of(
    laid: Laid,
    meals: Sequence[tuple[DayMeal, ...]],
    food_kg: Array,
    energy_kcal: Array,
) -> tuple[Carry, ...]:
    """Food by carry; a meal at the very place of a stop comes out of the new food.

    ``food_kg`` and ``energy_kcal`` are what is carried for each day (walkers x days).
    """
    takes = [(1, 0.0, "start")]
    takes += [(one.day, one.at_m, one.stop.name) for one in resupplies(laid.stops)]
    many = food_kg.shape[0]
    food = [[0.0] * many for _ in takes]
    energy = [[0.0] * many for _ in takes]
    times: list[dict[str, int]] = [{} for _ in takes]
    last = [take[0] for take in takes]

    def taken(day: int, at_m: float) -> int:
        return max(k for k, take in enumerate(takes) if take[:2] <= (day, at_m))

    for d, stage in enumerate(laid.stages):
        if not any(food_kg[:, d] > 0):
            continue
        for part in carried_meals(meals[d], stage.distance_m):
            k = taken(stage.day, part.at_m)
            last[k] = max(last[k], stage.day)
            for w in range(many):
                food[k][w] += 1000.0 * float(food_kg[w, d]) * part.share
                energy[k][w] += float(energy_kcal[w, d]) * part.share
        for meal in meals[d]:
            for n in range(meal.count if not meal.bought else 0):
                at = meal.at_m
                if meal.hour is None:
                    at = stage.distance_m * (n + 1) / (meal.count + 1)
                counts = times[taken(stage.day, at)]
                counts[meal.name] = counts.get(meal.name, 0) + 1
    names = [*(name for _, _, name in takes[1:]), "end"]
    return tuple(
        Carry(
            number=k + 1,
            from_name=name,
            to_name=names[k],
            from_day=day,
            from_m=at_m,
            to_day=last[k],
            times=tuple(times[k].items()),
            food_g=tuple(food[k]),
            energy_kcal=tuple(energy[k]),
        )
        for k, (day, at_m, name) in enumerate(takes)
    )
