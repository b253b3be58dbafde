"""Where is each dish taken up: at the start, out of a box, or in a shop on the way?"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from fellfare.menu.asked import taking
from fellfare.mistake import Finding
from fellfare.pantry.food import Food
from fellfare.trip.plan import TripPlan
from fellfare.trip.stop import TripStop


class Take(Struct, frozen=True, kw_only=True):
    """One place where food is taken up, as the menu sees it, and the carry that begins there."""

    #: From 1.
    leg: int
    of: taking.Take

    @property
    def name(self) -> str:
        """'' = the start."""
        return self.of.name

    @property
    def stop(self) -> TripStop | None:
        """None = the start."""
        return None if self.of.stop is None else self.of.stop.stop

    @property
    def box(self) -> bool:
        return self.stop is not None and self.stop.kind == "box"

    @property
    def shop(self) -> bool:
        return self.stop is not None and self.stop.kind != "box"


def takes_of(plan: TripPlan) -> tuple[Take, ...]:
    """The start, and every stop where food is taken up, in walking order."""
    return tuple(Take(leg=leg, of=take) for leg, take in enumerate(taking.takes_of(plan), 1))


def reached(takes: tuple[Take, ...], day: int, at_m: float) -> Take:
    """The last place that is reached by then; a meal at the very place is out of the new food."""
    return takes[taking.reached(_of(takes), day, at_m)]


def taken_up(takes: tuple[Take, ...], day: int, at_m: float, foods: Iterable[Food]) -> Take:
    """Where a dish is taken up: the last place by then that has all its foods."""
    return takes[taking.taken_up(_of(takes), day, at_m, foods)]


def _of(takes: tuple[Take, ...]) -> tuple[taking.Take, ...]:
    return tuple(take.of for take in takes)


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
                text=f"{name}: {carried_g / 1000:.1f} kg of what is eaten after it is not sold "
                "there by what the trip says, and is carried from before; "
                + (
                    f"{bought_g / 1000:.1f} kg is bought there."
                    if bought_g
                    else "nothing is bought there."
                )
                + "  Post it there, choose dishes that are sold there, or tell what else is.",
                source="the trip's own word on what the stop offers",
                about=(name,),
            )
        )
    return tuple(found)
