"""What does the document say about flames, days and people?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from fellfare.camp.fuel.efficiency import STOVES
from fellfare.camp.fuel.fuels import FUELS, FuelKind
from fellfare.safety.trip.facts import DayFacts, TripCase
from fellfare.trip.kit import Kitchen

#: What is listed before 'and so many more'.
_MOST_NAMES: Final = 6


def flame_of(kitchen: Kitchen) -> FuelKind | None:
    """What burns in a kitchen; None = nothing, or a stove that no table knows."""
    if kitchen.fuel is not None and kitchen.fuel in FUELS:
        return FUELS[kitchen.fuel].kind
    stove = STOVES.get(kitchen.stove or "")
    if stove is None:
        return None
    return next((kind for kind in _KINDS if kind in stove.burns), None)


_KINDS: Final[tuple[FuelKind, ...]] = ("gas", "spirit", "petrol", "solid", "wood")


def stoves(case: TripCase) -> tuple[Kitchen, ...]:
    """The kitchens with a flame."""
    return tuple(kitchen for kitchen in case.trip.kitchens if not kitchen.stoveless)


def burning(case: TripCase, *kinds: FuelKind) -> tuple[Kitchen, ...]:
    """The kitchens that burn one of these."""
    return tuple(kitchen for kitchen in stoves(case) if flame_of(kitchen) in kinds)


def heats(day: DayFacts, kitchen: Kitchen) -> bool:
    """Whether, as far as anybody knows, something is heated in this kitchen on that day."""
    return not kitchen.stoveless and not set(kitchen.walkers) <= set(day.cold)


def heats_at(case: TripCase, night: DayFacts, kitchen: Kitchen) -> bool:
    """Whether something is heated at that camp: in the evening, or for breakfast."""
    morning = case.day(night.day + 1)
    return heats(night, kitchen) or (morning is not None and heats(morning, kitchen))


def eats_cold(case: TripCase, day: DayFacts, walker: str) -> bool:
    """Whether the walker has no flame on that day: stoveless, by plan, or by the fire rule."""
    kitchen = case.trip.kitchen_of(walker)
    if kitchen is None:
        return walker in day.cold
    return kitchen.stoveless or walker in day.cold or day.fire == "no-flame"


def kitchen_said(kitchen: Kitchen) -> str:
    """'kitchen of Ada, Bo', for a finding."""
    return f"kitchen of {listed(kitchen.walkers)}"


def stoves_said(kitchens: Iterable[Kitchen]) -> tuple[str, ...]:
    """Their stoves, each once."""
    return tuple(dict.fromkeys(f"stove {k.stove}" for k in kitchens))


def listed(names: Sequence[str]) -> str:
    """'a, b', and 'and 3 more' where there are many."""
    unlike = tuple(dict.fromkeys(names))
    rest = len(unlike) - _MOST_NAMES
    return ", ".join(unlike[:_MOST_NAMES]) + (f" and {rest} more" if rest > 0 else "")


def days_listed(days: Iterable[DayFacts]) -> str:
    """'day 2', 'days 2 to 5, 7'."""
    numbers = sorted({day.day for day in days})
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    told = [f"{run[0]}" if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs]
    return f"day{'s' if len(numbers) > 1 else ''} {', '.join(told)}"


def days_said(days: Iterable[DayFacts]) -> tuple[str, ...]:
    """One word per day, for the ``about`` of a finding."""
    return tuple(day.said for day in days)


def camp_said(day: DayFacts) -> str:
    """'High Kist (day 5, 2900 m)'."""
    height = "height not known" if day.camp_m is None else f"{day.camp_m:.0f} m"
    return f"{day.camp} ({day.said}, {height})" if day.camp else f"{day.said} ({height})"
