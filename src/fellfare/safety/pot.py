"""What stands in one pot or jar, and how hot has its water been?

Steps that act on the same food share a pot.  What a step stirs in without any
water of its own goes into the pot that was last filled.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from msgspec import Struct

from fellfare.pantry.food import Way
from fellfare.recipe.document import Act, Place
from fellfare.safety.case import Case, Event, Part, once
from fellfare.safety.clock import is_discarded
from fellfare.safety.reading import dry_again_after, wets

#: Acts by which food goes into a pot that is already wet.
_STIRRED: Final[tuple[Act, ...]] = ("mix", "rest", "heat")
#: What unheated, hot and boiling water can do for a food, and what dry heat can.
_COLD: Final[frozenset[Way]] = frozenset({"cold-soak"})
_HOT: Final[frozenset[Way]] = frozenset({"cold-soak", "hot-pour"})
_BOILING: Final[frozenset[Way]] = frozenset({"cold-soak", "hot-pour", "boil"})
#: Water said to be warmer counts as poured on hot, and as boiling: own judgement [°C].
_HOT_C: Final = 70.0
_BOILING_C: Final = 90.0


class Pot(Struct, frozen=True, kw_only=True):
    """One pot or jar, from its first water on."""

    #: Steps that act on what is in it.
    events: tuple[Event, ...] = ()
    #: What has met the water, in the order in which it went in.
    parts: tuple[Part, ...] = ()
    #: What the steps did to each part, by its number.
    ways: tuple[tuple[int, frozenset[Way]], ...] = ()
    #: Water that the author wrote [mL]; None = not told for every step.
    water_ml: float | None = 0.0
    drained: bool = False

    def of(self, part: Part) -> frozenset[Way]:
        """What the pot did for one part."""
        found = [ways for number, ways in self.ways if number == part.number]
        return frozenset().union(*found)

    @property
    def warmth(self) -> frozenset[Way]:
        """What its water does for food that is stirred in later."""
        hot = any("hot-pour" in done(event) for event in self.events)
        return _HOT if hot else _COLD


def done(event: Event) -> frozenset[Way]:
    """What one step does for the food in it, by its act, water and temperature.

    Water that was treated, or said not to be, is used cold; of other water that a
    'mix' or 'rest' adds nobody says how hot it is, and it counts as hot.
    """
    step = event.step
    if step.act in ("boil", "simmer", "fry", "bake"):
        return _BOILING
    if step.act == "heat":
        return _BOILING if step.at_c is None or step.at_c >= _BOILING_C else _HOT
    if step.act == "steep":
        return _HOT if step.at_c is None or step.at_c >= _HOT_C else _COLD
    if step.act == "soak":
        return _HOT if step.at_c is not None and step.at_c >= _HOT_C else _COLD
    if not wets(event):
        return frozenset()
    cold = step.water_treated is not None or (step.at_c is not None and step.at_c < _HOT_C)
    return _COLD if cold else _HOT


@once
def pots(case: Case) -> tuple[Pot, ...]:
    """Every pot and jar of the recipe, in the order in which they are first filled."""
    found: list[Pot] = []
    for event in case.events:
        step = event.step
        parts = tuple(p for p in event.parts if event.number > dry_again_after(case, p))
        if event.parts and not parts:
            continue  # the water is taken out again: no pot that is eaten from
        shared = [pot for pot in found if _share(pot.parts, parts)]
        if step.act in ("dry", "pack", "serve", "drain") and step.water is None:
            for pot in shared if step.act == "drain" else ():
                found[found.index(pot)] = _with(pot, event, ())
            continue
        if not wets(event) and not shared:
            if step.act not in _STIRRED or not parts or not _is_at(found, step.where):
                continue
            shared = [found[-1]]
        elif _is_at(found, step.where) and not found[-1].parts:
            shared.append(found[-1])  # water that was boiled on its own is for what comes next
        into = Pot()
        for pot in shared:
            into = _poured(into, pot)
            found.remove(pot)
        found.append(_with(into, event, parts, drained=is_discarded(case, event)))
    return tuple(found)


def _is_at(found: list[Pot], where: Place) -> bool:
    """Whether the pot that was filled last stands there."""
    return bool(found) and found[-1].events[-1].step.where == where


def _share(some: Collection[Part], others: Collection[Part]) -> bool:
    return bool({part.number for part in some} & {part.number for part in others})


def _poured(into: Pot, other: Pot) -> Pot:
    known = into.water_ml is not None and other.water_ml is not None
    return Pot(
        events=(*into.events, *other.events),
        parts=(*into.parts, *other.parts),
        ways=(*into.ways, *other.ways),
        water_ml=(into.water_ml or 0.0) + (other.water_ml or 0.0) if known else None,
        drained=into.drained or other.drained,
    )


def _with(pot: Pot, event: Event, parts: tuple[Part, ...], *, drained: bool = False) -> Pot:
    """The pot after one more step."""
    held = {part.number for part in pot.parts}
    new = tuple(part for part in parts if part.number not in held)
    water_ml = pot.water_ml
    if wets(event):
        # What is already wet may be heated without more water; a first water must be told.
        silent = event.step.water is None and bool(water_ml)
        added = 0.0 if silent else event.water_ml
        water_ml = None if water_ml is None or added is None else water_ml + added
    warmth = done(event) | (pot.warmth if event.step.act in _STIRRED and pot.events else _NONE)
    return Pot(
        events=(*pot.events, event),
        parts=(*pot.parts, *new),
        ways=(*pot.ways, *((part.number, warmth) for part in parts)),
        water_ml=water_ml,
        drained=pot.drained or drained or event.step.act == "drain",
    )


_NONE: Final[frozenset[Way]] = frozenset()
