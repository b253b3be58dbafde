"""The next trip with what was learnt put in: appetite, walking energy, pace, stove."""

from __future__ import annotations

from typing import Final

from msgspec.structs import replace

from fellfare.learn.appetite import EARLY_DAYS
from fellfare.learn.lessons import Lessons, WalkerLesson
from fellfare.trip.trip import Trip
from fellfare.trip.wishes import USUAL_SHARES, Eating
from fellfare.walk.walker import AppetiteStep, Walker

_LEAST_SHARE: Final = 0.2
_MOST_SHARE: Final = 2.0


def with_lessons(trip: Trip, lessons: Lessons) -> Trip:
    """The trip with its walkers, kitchens and eating times corrected.

    Walkers are found by name; those of whom nothing was learnt stay as they are.  A shift
    between eating times is the party's mean, for the document has one share for all.
    """
    learnt = {lesson.walker: lesson for lesson in lessons.walkers}
    stoves = {stove.kitchen: stove for stove in lessons.stoves}
    return replace(
        trip,
        walkers=tuple(
            _walker(walker, learnt[walker.name]) if walker.name in learnt else walker
            for walker in trip.walkers
        ),
        kitchens=tuple(
            replace(kitchen, efficiency=round(stoves[number].after.mean, 3))
            if number in stoves
            else kitchen
            for number, kitchen in enumerate(trip.kitchens, 1)
        ),
        eating=_shares(trip, lessons),
    )


def _walker(walker: Walker, lesson: WalkerLesson) -> Walker:
    changed = replace(walker, appetite=_curve(walker.appetite, lesson))
    if lesson.energy is not None and lesson.energy.seen is not None:
        after = lesson.energy.after
        changed = replace(
            changed,
            energy_factor=round(min(max(after.mean, 0.5), 2.0), 3),
            energy_factor_sd=round(after.sd, 3),
        )
    if lesson.pace is not None:
        factor, sd = lesson.pace[1]
        changed = replace(
            changed,
            pace_factor=round(min(max(factor, 0.3), 2.0), 3),
            pace_factor_sd=round(sd, 3),
        )
    return changed


def _curve(curve: tuple[AppetiteStep, ...], lesson: WalkerLesson) -> tuple[AppetiteStep, ...]:
    """Each step times what was learnt of the first days, or of those after them."""
    if not lesson.carried_g:
        return curve
    days = sorted({step.from_day for step in curve} | {EARLY_DAYS + 1})
    made = []
    for day in days:
        share = next(step.share for step in reversed(curve) if step.from_day <= day)
        change = lesson.early_change if day <= EARLY_DAYS else lesson.change
        share = min(max(share * (1.0 + change), _LEAST_SHARE), _MOST_SHARE)
        made.append(AppetiteStep(from_day=day, share=round(share, 3)))
    return tuple(
        step for at, step in enumerate(made) if at == 0 or step.share != made[at - 1].share
    )


def _shares(trip: Trip, lessons: Lessons) -> tuple[Eating, ...]:
    """Eating times with the party's mean shift between them, their sum as before."""
    shift: dict[str, list[float]] = {}
    for lesson in lessons.walkers:
        for meal in lesson.meals:
            shift.setdefault(meal.eating, []).append(meal.change - lesson.change)
    if not any(abs(x) > 1e-9 for each in shift.values() for x in each):
        return trip.eating
    shares = {
        time.name: time.share if time.share is not None else USUAL_SHARES.get(time.name)
        for time in trip.eating
    }
    if any(share is None for share in shares.values()):
        return trip.eating  # an eating time without a share of its own: nothing to shift against
    known = {name: share for name, share in shares.items() if share is not None}
    moved = {
        name: share * (1.0 + sum(shift.get(name, [0.0])) / len(shift.get(name, [0.0])))
        for name, share in known.items()
    }
    scale = sum(known.values()) / sum(moved.values())
    return tuple(replace(time, share=round(moved[time.name] * scale, 4)) for time in trip.eating)
