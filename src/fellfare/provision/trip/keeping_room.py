"""Does the food fit into what it is kept in, every night; all together, and bag by bag?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from fellfare.mistake import Finding
from fellfare.pantry.food import Food
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.carrying import Assignment
from fellfare.provision.store.nights import Fit, Store, nights
from fellfare.provision.trip.own import Own
from fellfare.trip.plan import TripPlan


class Room(Struct, frozen=True, kw_only=True):
    """Every night of the walk in the party's food bags and canisters."""

    #: All of them together; None = the trip names none.
    party: Fit | None
    #: Walker to the nights of what they carry and what they have.
    walkers: tuple[tuple[str, Fit], ...]
    findings: tuple[Finding, ...]


def room_of(
    plan: TripPlan,
    bags: Sequence[PlannedBag],
    carriers: Sequence[Assignment],
    foods: Iterable[Food],
    own: Own,
) -> Room:
    """The nights of the party, and of each walker with a bag or canister of their own.

    Swaps are sought for the party's fullest night.  Rubbish is each eater's own.
    """
    held: dict[str, float] = {}
    for one in plan.trip.containers:
        held[one.walker] = held.get(one.walker, 0.0) + one.litres
    if not held:
        return Room(party=None, walkers=(), findings=())
    last = len(plan.days) - 1
    people = len(plan.trip.walkers)
    store = Store(
        litres=sum(held.values()),
        smellables_l=own.smellables_l * people,
        rubbish_g=own.rubbish_g,
    )
    avoids = {agent for walker in plan.trip.walkers for agent in walker.avoids}
    party = nights(bags, people, store, foods, last_night_day=last, avoids=sorted(avoids))
    mine = {
        carried.name: {number for one in carriers for c in one.carriers if c.name == carried.name
                       for number in c.bags}
        for assignment in carriers
        for carried in assignment.carriers
    }  # fmt: skip
    walkers = []
    tight: list[Finding] = []
    for name, litres in held.items():
        own_bags = [bag for bag in bags if bag.number in mine.get(name, set())]
        fit = nights(
            own_bags,
            1,
            replace(store, litres=litres, smellables_l=own.smellables_l),
            last_night_day=last,
        )
        walkers.append((name, fit))
        full = [night for night in fit.nights if not night.fits]
        if full and all(night.fits for night in party.nights):
            worst = min(full, key=lambda night: night.room_l)
            tight.append(
                Finding(
                    severity="caution",
                    rule="own-bag-too-full",
                    text=f"{name}: the night after day {worst.day} asks for "
                    f"{worst.total_l[0]:.1f} to {worst.total_l[1]:.1f} L in {litres:g} L; all "
                    "bags together have room: put something bulky into another's.",
                    source="bulk densities of the pantry; rubbish by common practice, no source",
                    about=tuple(f"day {night.day}" for night in full),
                )
            )
    found = party.findings
    if set(held) != {walker.name for walker in plan.trip.walkers}:
        found = tuple(_not_all(one) for one in found)
    return Room(party=party, walkers=tuple(walkers), findings=(*found, *tight))


def _not_all(one: Finding) -> Finding:
    """No more than a doubt, where not everybody's food is said to lie in the bags told of."""
    if one.rule != "store-too-small" or one.severity != "error":
        return one
    return replace(
        one,
        severity="caution",
        text=f"{one.text}  Not every walker has a [[container]], and the menu minds none: tell "
        "where the others keep their food.",
    )
