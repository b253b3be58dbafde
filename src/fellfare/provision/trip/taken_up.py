"""Where is each dish taken up: at the start, out of a box, or in a shop on the way?"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from fellfare.mistake import Finding
from fellfare.pantry.food import Food
from fellfare.trip.carries import resupplies
from fellfare.trip.plan import TripPlan
from fellfare.trip.stop import TripStop


class Take(Struct, frozen=True, kw_only=True):
    """One place where food is taken up."""

    #: Carry that begins here, from 1.
    leg: int
    #: '' = the start.
    name: str
    day: int
    at_m: float
    #: None = the start.
    stop: TripStop | None

    @property
    def box(self) -> bool:
        return self.stop is not None and self.stop.kind == "box"

    @property
    def shop(self) -> bool:
        return self.stop is not None and self.stop.kind != "box"

    def has(self, foods: Iterable[Food]) -> bool:
        """Whether all of it lies here or is sold here; a shop of which nobody told has all."""
        if self.stop is None or self.box or not self.stop.offers:
            return True
        words = {word.casefold() for word in self.stop.offers}
        return all({food.id.casefold(), food.name.casefold()} & words for food in foods)


def takes_of(plan: TripPlan) -> tuple[Take, ...]:
    """The start, and every stop where food is taken up, in walking order."""
    takes = [Take(leg=1, name="", day=1, at_m=0.0, stop=None)]
    takes += [
        Take(leg=number, name=one.stop.name, day=one.day, at_m=one.at_m, stop=one.stop)
        for number, one in enumerate(resupplies(plan.laid.stops), 2)
    ]
    return tuple(takes)


def reached(takes: tuple[Take, ...], day: int, at_m: float) -> Take:
    """The last place that is reached by then; a meal at the very place is out of the new food."""
    return [take for take in takes if (take.day, take.at_m) <= (day, at_m)][-1]


def taken_up(takes: tuple[Take, ...], day: int, at_m: float, foods: Iterable[Food]) -> Take:
    """Where a dish is taken up: the last place by then that has all its foods."""
    foods = tuple(foods)
    last = reached(takes, day, at_m)
    return [take for take in takes if take.leg <= last.leg and take.has(foods)][-1]


def carried_past(past: dict[str, tuple[float, float]]) -> tuple[Finding, ...]:
    """What a shop does not sell and is carried past it, as findings.

    ``past`` is by stop: grams that are carried past it, and grams that are bought there.
    """
    found = []
    for name, (carried_g, bought_g) in past.items():
        if carried_g <= 0.0:
            continue
        found.append(
            Finding(
                severity="caution",
                rule="carried-past-a-shop",
                text=f"{name}: {carried_g / 1000:.1f} kg of what is eaten after it cannot be had "
                "there by what the trip says, and is carried from before; "
                + (f"{bought_g / 1000:.1f} kg is bought there." if bought_g else "nothing is.")
                + "  Post it there, choose dishes that are sold there, or tell what else is.",
                source="the trip's own word on what the stop offers",
                about=(name,),
            )
        )
    return tuple(found)
