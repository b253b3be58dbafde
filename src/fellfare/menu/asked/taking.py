"""Where is food taken up, and what can be had there?"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from fellfare.menu.pool import Leg
from fellfare.pantry.food import Food
from fellfare.trip.carries import resupplies
from fellfare.trip.laying import PlacedStop
from fellfare.trip.plan import TripPlan


class Take(Struct, frozen=True, kw_only=True):
    """The start, or a stop where food for what follows is taken up."""

    #: '' = the start.
    name: str
    day: int
    at_m: float
    stop: PlacedStop | None

    @property
    def has_all(self) -> bool:
        """Whether every dish can be had: the start, a box, a shop of which nobody tells."""
        return self.stop is None or self.stop.stop.kind == "box" or not self.stop.stop.offers

    def has(self, foods: Iterable[Food]) -> bool:
        """Whether all of these foods can be had here."""
        if self.has_all or self.stop is None:
            return True
        words = {word.casefold() for word in self.stop.stop.offers}
        return all({food.id.casefold(), food.name.casefold()} & words for food in foods)


def takes_of(plan: TripPlan) -> tuple[Take, ...]:
    """In walking order, the start first."""
    return (
        Take(name="", day=1, at_m=0.0, stop=None),
        *(
            Take(name=one.stop.name, day=one.day, at_m=one.at_m, stop=one)
            for one in resupplies(plan.laid.stops)
        ),
    )


def reached(takes: tuple[Take, ...], day: int, at_m: float) -> int:
    """Index of the last one reached; a meal at the very place comes out of the new food."""
    return max(k for k, take in enumerate(takes) if (take.day, take.at_m) <= (day, at_m))


def taken_up(takes: tuple[Take, ...], day: int, at_m: float, foods: Iterable[Food]) -> int:
    """Index of the last one by then that has all of these foods."""
    foods = tuple(foods)
    last = reached(takes, day, at_m)
    return max(k for k, take in enumerate(takes[: last + 1]) if take.has(foods))


def legs_of(plan: TripPlan, takes: tuple[Take, ...]) -> tuple[tuple[Leg, Take], ...]:
    """Whole days between two places where every dish can be had.

    A leg begins on the day of its stop when that lies in the first half of the day's way,
    else on the next day.  A shop that sells only some foods cuts no leg: what it does not
    sell is carried past it.
    """
    days = len(plan.days)
    begins: list[tuple[int, Take]] = []
    for take in takes:
        if not take.has_all:
            continue
        length = plan.days[take.day - 1].stage.distance_m
        late = take.stop is not None and take.at_m > 0.5 * length
        day = take.day + 1 if late else take.day
        if begins and begins[-1][0] == day:
            begins.pop()
        if day <= days:
            begins.append((day, take))
    ends = [day - 1 for day, _ in begins[1:]] + [days]
    return tuple(
        (Leg(name=take.name or "start", first_day=day, last_day=end), take)
        for (day, take), end in zip(begins, ends, strict=True)
    )
