"""May it burn on that day?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, Literal

from fellfare.camp.fuel.fuels import FuelKind
from fellfare.safety.rule import Hit, rule
from fellfare.safety.trip.facts import DayFacts, TripCase
from fellfare.safety.trip.reading import (
    burning,
    days_listed,
    days_said,
    flame_of,
    heats,
    kitchen_said,
    stoves,
    stoves_said,
)
from fellfare.trip.kit import Kitchen
from fellfare.trip.way import FireRule

_ORDERS: Final = (
    "own reading of land managers' orders: stoves for spirit, tablets and wood are often "
    "forbidden where gas with a shut-off valve is allowed (Sequoia and Kings Canyon 2013, "
    "Yellowstone 2021, in public copies)"
)

#: 'ask': such orders name it now one way, now the other.
Leave = Literal["free", "ask", "banned"]


def leave(flame: FuelKind | None, fire: FireRule) -> Leave:
    """Whether a flame may burn under a fire rule; an unknown flame is asked about."""
    if fire == "none":
        return "free"
    if fire == "no-flame":
        return "banned"
    if flame is None:
        return "ask"
    if fire == "gas-only":
        return "free" if flame == "gas" else "ask" if flame == "petrol" else "banned"
    return "banned" if flame == "wood" else "ask" if flame in ("spirit", "solid") else "free"


@rule(
    "stove-banned",
    "error",
    _ORDERS,
    "A stove is to burn on a day whose fire rule forbids it (error), or may forbid it (caution).",
)
def stove_banned(case: TripCase) -> Iterator[Hit]:
    for kitchen in stoves(case):
        days: dict[Leave, list[DayFacts]] = {"banned": [], "ask": []}
        for day in case.days:
            if day.fire is not None and heats(day, kitchen):
                found = leave(flame_of(kitchen), day.fire)
                if found != "free":
                    days[found].append(day)
        yield from _of_kitchen(kitchen, days["banned"], days["ask"])


def _of_kitchen(kitchen: Kitchen, banned: list[DayFacts], ask: list[DayFacts]) -> Iterator[Hit]:
    if banned:
        yield Hit(
            "error",
            f"{kitchen.stove} is forbidden on {days_listed(banned)} "
            f"({_rules(banned)}).  Eat cold on those days, and plan it so.",
            (kitchen_said(kitchen), *days_said(banned)),
        )
    if ask:
        yield Hit(
            "caution",
            f"{kitchen.stove} on {days_listed(ask)} ({_rules(ask)}): orders differ on such a "
            "flame.  Read the land manager's current order, or eat cold.",
            (kitchen_said(kitchen), *days_said(ask)),
        )


def _rules(days: list[DayFacts]) -> str:
    return ", ".join(dict.fromkeys(day.fire or "" for day in days))


@rule(
    "fire-rule-untold",
    "caution",
    "own judgement; the land manager's current order counts",
    "A stove is to burn on a day whose fire rule nobody has asked for.",
)
def fire_rule_untold(case: TripCase) -> Iterator[Hit]:
    days = [
        day for day in case.days if day.fire is None and any(heats(day, k) for k in stoves(case))
    ]
    if days:
        yield Hit(
            "caution",
            f"The fire rule of {days_listed(days)} is not known: ask the land manager before "
            "setting out, and carry food that can be eaten cold.",
            days_said(days),
        )


@rule(
    "no-valve",
    "note",
    _ORDERS,
    "A stove without a shut-off valve is carried: spirit, tablets, wood.",
)
def no_valve(case: TripCase) -> Iterator[Hit]:
    kitchens = burning(case, "spirit", "solid", "wood")
    if kitchens:
        yield Hit(
            "note",
            "This stove has no valve that shuts it off: a dry week may forbid it while gas stays "
            "allowed.  Ask again on the day.",
            stoves_said(kitchens),
        )
