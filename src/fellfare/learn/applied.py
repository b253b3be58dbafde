"""The next trip with what was learnt put in: appetite, walking energy, pace, stove.

Each figure by itself, held to its own step; :mod:`fellfare.learn.next_trip` holds the food
that comes of all of them together.
"""

from __future__ import annotations

from typing import Final

from msgspec.structs import replace

from fellfare.camp.fuel.efficiency import efficiency
from fellfare.learn.appetite import EARLY_DAYS
from fellfare.learn.belief import Belief
from fellfare.learn.bounds import ENERGY_STEP, PACE_STEP, STOVE_STEP, stepped, stepped_belief
from fellfare.learn.kitchen import StoveLearnt
from fellfare.learn.lessons import Lessons, WalkerLesson
from fellfare.trip.kit import Kitchen
from fellfare.trip.trip import Trip
from fellfare.trip.wishes import USUAL_SHARES, Eating
from fellfare.walk.walker import AppetiteStep, Walker

LEAST_SHARE: Final = 0.2
MOST_SHARE: Final = 2.0


def with_lessons(trip: Trip, lessons: Lessons, *, shift: float = 1.0) -> Trip:
    """The trip with its walkers, kitchens and eating times corrected.

    Walkers are found by name; those of whom nothing was learnt stay as they are.  A kitchen is
    corrected where it has the stove and fuel that were tried.  A shift between eating times is
    the party's mean times ``shift``, for the document has one share for all.
    """
    learnt = {lesson.walker: lesson for lesson in lessons.walkers}
    paced = with_pace_and_stoves(trip, lessons)
    return replace(
        paced,
        walkers=tuple(
            _walker(walker, learnt[walker.name]) if walker.name in learnt else walker
            for walker in paced.walkers
        ),
        eating=shifted_shares(trip, lessons, shift),
    )


def with_pace_and_stoves(trip: Trip, lessons: Lessons) -> Trip:
    """The trip with what moves hours and fuel, and nothing that is asked of the food."""
    learnt = {lesson.walker: lesson for lesson in lessons.walkers}
    stoves = {stove.kitchen: stove for stove in lessons.stoves}
    return replace(
        trip,
        walkers=tuple(
            _paced(walker, learnt[walker.name]) if walker.name in learnt else walker
            for walker in trip.walkers
        ),
        kitchens=tuple(
            _kitchen(kitchen, stoves[number]) if number in stoves else kitchen
            for number, kitchen in enumerate(trip.kitchens, 1)
        ),
    )


def _kitchen(kitchen: Kitchen, stove: StoveLearnt) -> Kitchen:
    if kitchen.stove is None or (kitchen.stove, kitchen.fuel) != (stove.stove, stove.fuel):
        return kitchen
    before = efficiency(kitchen.stove).eta if kitchen.efficiency is None else kitchen.efficiency
    after = stepped(before, stove.after.mean, STOVE_STEP)
    return replace(kitchen, efficiency=_towards(before, after, 3))


def _paced(walker: Walker, lesson: WalkerLesson) -> Walker:
    if lesson.pace is None:
        return walker
    held = stepped_belief(walker.pace_factor, Belief(*lesson.pace[1]), PACE_STEP)
    return replace(
        walker,
        pace_factor=_towards(walker.pace_factor, min(max(held.mean, 0.3), 2.0), 3),
        pace_factor_sd=round(min(held.sd, 1.0), 3),
    )


def _walker(walker: Walker, lesson: WalkerLesson) -> Walker:
    changed = replace(walker, appetite=_curve(walker.appetite, lesson))
    if lesson.energy is not None and lesson.energy.seen is not None:
        before = walker.energy_factor
        held = stepped_belief(before, lesson.energy.after, ENERGY_STEP, floor=bool(lesson.no_cut))
        changed = replace(
            changed,
            energy_factor=_towards(before, min(max(held.mean, 0.5), 2.0), 3),
            energy_factor_sd=round(min(held.sd, 0.5), 3),
        )
    return changed


def _towards(before: float, after: float, digits: int) -> float:
    """``after`` in so many digits, on the side of ``before``: a step stays within its bound."""
    made = round(after, digits)
    if abs(made - before) > abs(after - before) + 1e-12:
        made = round(made + (10.0**-digits if made < before else -(10.0**-digits)), digits)
    return made


def _curve(curve: tuple[AppetiteStep, ...], lesson: WalkerLesson) -> tuple[AppetiteStep, ...]:
    """Each step times what was learnt of the first days, or of those after them."""
    if not lesson.carried_g and not lesson.appetite.felt_days:
        return curve
    return curve_times(curve, 1.0 + lesson.early_change, 1.0 + lesson.change)


def curve_times(
    curve: tuple[AppetiteStep, ...], early: float, late: float
) -> tuple[AppetiteStep, ...]:
    """A curve of appetite times one figure on the first days, and one after them."""
    days = sorted({step.from_day for step in curve} | {EARLY_DAYS + 1})
    made = []
    for day in days:
        share = next(step.share for step in reversed(curve) if step.from_day <= day)
        after = min(max(share * (early if day <= EARLY_DAYS else late), LEAST_SHARE), MOST_SHARE)
        made.append(AppetiteStep(from_day=day, share=_towards(share, after, 3)))
    kept = tuple(
        step for at, step in enumerate(made) if at == 0 or step.share != made[at - 1].share
    )
    return curve if kept == curve else kept


def shifted_shares(trip: Trip, lessons: Lessons, times: float = 1.0) -> tuple[Eating, ...]:
    """Eating times with the party's mean shift between them, their sum as before."""
    shift: dict[str, list[float]] = {}
    walk = {walker.name for walker in trip.walkers}
    for lesson in lessons.walkers:
        for meal in lesson.meals if lesson.walker in walk else ():
            shift.setdefault(meal.eating, []).append(times * (meal.change - lesson.change))
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
