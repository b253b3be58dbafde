"""Energy in the packs, walker by walker and day by day."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.trip.provision import Provision
from fellfare.provision.trip.taken_up import Take


class Packs(Struct, frozen=True, kw_only=True, eq=False):
    """What there is to eat and what is needed, by (walker, day) [kcal]."""

    walkers: tuple[str, ...]
    days: int
    #: Carried food of the menu, and what is bought to eat at a stop.
    food_kcal: Mapping[tuple[str, int], float]
    need_kcal: Mapping[tuple[str, int], float]
    #: Of a day on which nobody walks.
    rest_kcal: Mapping[tuple[str, int], float]
    #: Spare food on each back all the way [kcal].
    spare_kcal: Mapping[str, float]
    #: Food of one carry, by (walker, leg) [kcal].
    leg_kcal: Mapping[tuple[str, int], float]
    #: First and last day of each carry, with the place where it is taken up; two carries
    #: share the day on which the second is taken up, for its dinner or what else is left of it.
    legs: tuple[tuple[int, int, Take], ...]
    #: Dishes of which no energy is known: their part counts as nothing.
    unknown: tuple[str, ...]

    def carry_of(self, leg: int, day: int) -> tuple[int, int]:
        """First and last day of the carry in which a dish of ``leg`` is eaten on ``day``.

        Its own carry; where it is carried past the next supply, the first that has the day.
        """
        over = [(first, last, take.leg) for first, last, take in self.legs if first <= day <= last]
        over.sort(key=lambda one: one[2] != leg)
        return over[0][:2] if over else (1, self.days)


def packs_of(one: Provision) -> Packs:
    """The packs of a provided trip."""
    plan = one.plan
    names = tuple(walker.walker for walker in plan.walkers)
    food: dict[tuple[str, int], float] = {}
    legs: dict[tuple[str, int], float] = {}
    unknown: dict[str, None] = {}
    for dish in one.dishes:
        if dish.sheet.energy.unknown:
            unknown[dish.dish] = None
        for eater in dish.eaters:
            kcal = dish.sheet.energy.value * eater.servings / dish.sheet.eaters
            food[eater.name, dish.day] = food.get((eater.name, dish.day), 0.0) + kcal
            legs[eater.name, dish.leg] = legs.get((eater.name, dish.leg), 0.0) + kcal
    for ration in one.rations:
        key = (ration.walker, ration.day)
        food[key] = food.get(key, 0.0) + ration.energy_kcal
    need: dict[tuple[str, int], float] = {}
    rest: dict[tuple[str, int], float] = {}
    spare: dict[str, float] = {}
    for walker in plan.walkers:
        spare[walker.walker] = walker.spare_g * plan.trip.rules.kcal_per_g
        for at, day in enumerate(walker.need.days):
            need[walker.walker, day.day] = day.kcal
            rest[walker.walker, day.day] = max(day.kcal - day.walking_kcal, day.rest_kcal)
            bought = max(0.0, walker.target_kcal[at] - walker.carried_kcal[at])
            key = (walker.walker, day.day)
            food[key] = food.get(key, 0.0) + bought
    return Packs(
        walkers=names,
        days=len(plan.days),
        food_kcal=food,
        need_kcal=need,
        rest_kcal=rest,
        spare_kcal=spare,
        leg_kcal=legs,
        legs=_legs(one),
        unknown=tuple(unknown),
    )


def _legs(one: Provision) -> tuple[tuple[int, int, Take], ...]:
    """From the first meal out of a supply to the last one, or to that out of the next supply."""
    days: dict[int, list[int]] = {}
    for dish in one.dishes:
        days.setdefault(dish.leg, []).append(dish.day)
    carries = [
        (min(days[take.leg]), max(days[take.leg]), take) for take in one.takes if take.leg in days
    ]
    nexts = [first for first, _, _ in carries[1:]] + [len(one.plan.days)]
    return tuple(
        (first, max(first, min(last, after)), take)
        for (first, last, take), after in zip(carries, nexts, strict=True)
    )


def bag_kcal(bag: PlannedBag) -> dict[str, float]:
    """Energy of one bag by eater [kcal]; unknown parts count as nothing."""
    lost: dict[str, float] = {}
    for content in bag.contents:
        per_100g = content.food.per_100g.energy_kcal
        for name, grams in content.portions:
            if grams is not None and per_100g is not None:
                lost[name] = lost.get(name, 0.0) + grams * per_100g / 100.0
    return lost
