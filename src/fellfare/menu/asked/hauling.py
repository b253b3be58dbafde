"""How far is what is eaten carried, and what does a gram of it weigh in the balance then?

Mass times the way: something that is eaten on the first evening is on the back for one day,
something for the last one all the way from where it was taken up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.menu.asked.dishes import AskedDish
from fellfare.menu.asked.places import PlaceOfMeal
from fellfare.menu.asked.taking import Take, reached
from fellfare.menu.pool import Slot
from fellfare.trip.plan import TripPlan

#: What is eaten where it is taken up was brought there: so far at least [km] (judgement).
LEAST_KM: Final = 1.0


class Hauling(Struct, frozen=True, kw_only=True):
    """How far each dish is carried to each eating time.

    Dishes that can be had at the same places are one kind of supply: ``supply`` is by dish,
    ``km`` by (day, time), one figure for each kind.
    """

    supply: Mapping[str, int]
    km: Mapping[tuple[int, str], tuple[float, ...]]

    def km_of(self, dish: str, day: int, time: str) -> float:
        """From where it is taken up to where it is eaten [km]."""
        return self.km[day, time][self.supply[dish]]


def hauling_of(
    plan: TripPlan,
    takes: tuple[Take, ...],
    places: Mapping[tuple[int, str], PlaceOfMeal],
    dishes: Sequence[AskedDish],
) -> Hauling:
    """By the metres of the days; what comes again and again while walking, at half the way."""
    starts = [0.0]
    for day in plan.days:
        starts.append(starts[-1] + day.stage.distance_m)
    kinds: dict[tuple[bool, ...], int] = {tuple(take.has_all for take in takes): 0}
    supply = {}
    for one in dishes:
        had = tuple(take.has(one.foods) for take in takes)
        supply[one.id] = kinds.setdefault(had, len(kinds))
    km = {}
    for key, place in places.items():
        length = plan.days[place.day - 1].stage.distance_m
        at_m = starts[place.day - 1] + (0.5 * length if place.walking else place.at_m)
        last = reached(takes, place.day, place.at_m)
        km[key] = tuple(
            max(
                LEAST_KM,
                (at_m - max(starts[t.day - 1] + t.at_m for t in _had(takes[: last + 1], had)))
                / 1000.0,
            )
            for had in kinds
        )
    return Hauling(supply=supply, km=km)


def _had(takes: Sequence[Take], had: Sequence[bool]) -> list[Take]:
    return [take for take, there in zip(takes, had, strict=False) if there]


def by_the_way(
    slots: Sequence[Slot], hauling: Hauling, plan: TripPlan
) -> tuple[tuple[Slot, ...], float]:
    """Slots that weigh mass by the way, and the way of a gram that weighs 1 [km].

    That is the mean over all that is eaten; water for a dry camp is weighed by its own way.
    """
    many = [slot.least * len(slot.walkers) for slot in slots]
    whole = sum(
        each * hauling.km[slot.day, slot.time][0] for each, slot in zip(many, slots, strict=True)
    )
    unit_km = whole / max(sum(many), 1)
    return tuple(
        replace(
            slot,
            mass_weights=tuple(one / unit_km for one in hauling.km[slot.day, slot.time]),
            water_g_per_ml=slot.water_g_per_ml
            * plan.days[slot.day - 1].stage.distance_m
            / 1000.0
            / unit_km,
        )
        for slot in slots
    ), unit_km
