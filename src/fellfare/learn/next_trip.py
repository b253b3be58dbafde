"""What does the next trip carry when everything that was learnt is put in at once?

Appetite, walking energy, pace, stove and the party's shares of the eating times all bear on
the same food.  So the corrected trip is *planned*, and its food is held against that of the
trip as it stood: no eating time of anybody moves by more than its step, and nothing falls for
somebody who was hungry, whichever figure would have made it fall.  What is printed is what
that plan carries.
"""

from __future__ import annotations

from math import ceil, floor
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.learn.appetite import EARLY_DAYS
from fellfare.learn.applied import (
    LEAST_SHARE,
    MOST_SHARE,
    shifted_shares,
    with_lessons,
    with_pace_and_stoves,
)
from fellfare.learn.bounds import FOOD_STEP
from fellfare.learn.lessons import Lessons
from fellfare.mistake import Mistake
from fellfare.trip.ground import NO_GROUND, Ground
from fellfare.trip.meals import usual_share
from fellfare.trip.plan import TripPlan, plan_trip
from fellfare.trip.trip import Trip
from fellfare.trip.wishes import Eating
from fellfare.walk.walker import AppetiteStep, Walker

#: Parts of the party's shift between eating times that are tried, until nobody is moved too far.
_SHIFTS: Final = (1.0, 0.75, 0.5, 0.25, 0.0)
_MOST_ROUNDS: Final = 8
_EXACT: Final = 1e-9


class MealMoved(Struct, frozen=True, kw_only=True):
    """One eating time of one walker: food of the next trip over that of the trip as it stood,
    less 1, at the pace that was learnt."""

    eating: str
    early_change: float
    late_change: float
    change: float


class WalkerMoved(Struct, frozen=True, kw_only=True):
    """The food of one walker."""

    walker: str
    #: Carried on the whole walk: as it stood, at the learnt pace alone, and with everything [kcal].
    before_kcal: float
    paced_kcal: float
    after_kcal: float
    meals: tuple[MealMoved, ...]

    @property
    def change(self) -> float:
        """After over before, less 1."""
        return self.after_kcal / self.before_kcal - 1.0 if self.before_kcal > 0 else 0.0


class NextTrip(Struct, frozen=True, kw_only=True, eq=False):
    """The next trip, and what it changes for everybody."""

    #: The trip as it stood, and corrected.
    before: Trip
    trip: Trip
    walkers: tuple[WalkerMoved, ...]
    #: Whether appetite bears on what is planned at all.
    follows_appetite: bool

    def of(self, walker: str) -> WalkerMoved | None:
        """Of one walker; None = not of this trip."""
        return next((one for one in self.walkers if one.walker == walker), None)


def next_trip(trip: Trip, lessons: Lessons, ground: Ground = NO_GROUND) -> NextTrip:
    """The trip corrected and held.

    Parameters
    ----------
    trip
        The trip that is to be corrected: that of the log, or another of the same walkers.
    lessons
        What was learnt.
    ground
        Its track, unless it brings a table of stages.

    Raises
    ------
    Mistake
        ``no-common-walker`` when nobody of the log walks the trip; those of
        :func:`fellfare.trip.plan.plan_trip`.
    """
    names = [walker.name for walker in trip.walkers]
    if lessons.walkers and not any(lesson.walker in names for lesson in lessons.walkers):
        raise Mistake(
            "no-common-walker",
            f"{', '.join(lesson.walker for lesson in lessons.walkers)} walked; {trip.title!r} is "
            f"for {', '.join(names)}",
            "give a trip of the same walkers: names are held against each other letter by letter",
        )
    before = plan_trip(trip, ground)
    paced_trip = with_pace_and_stoves(trip, lessons)
    paced = before if paced_trip == trip else plan_trip(paced_trip, ground)
    made = _shares_held(trip, with_lessons(trip, lessons), lessons, paced)
    after = paced if made == paced_trip else plan_trip(made, ground)
    whose = {lesson.walker for lesson in lessons.walkers if lesson.no_cut}
    for _ in range(_MOST_ROUNDS):
        walkers = tuple(
            _held(walker, at, before, paced, after, walker.name in whose)
            for at, walker in enumerate(made.walkers)
        )
        if walkers == made.walkers:
            break
        made = replace(made, walkers=walkers)
        after = plan_trip(made, ground)
    return NextTrip(
        before=trip,
        trip=made,
        walkers=tuple(_moved(at, before, paced, after) for at in range(len(made.walkers))),
        follows_appetite=trip.rules.follow_appetite,
    )


def _shares_held(trip: Trip, made: Trip, lessons: Lessons, paced: TripPlan) -> Trip:
    """As much of the party's shift between eating times as moves nobody too far."""
    for shift in _SHIFTS:
        eating = shifted_shares(trip, lessons, shift)
        if eating == trip.eating or all(
            _shift_fits(walker.name, lessons, trip.eating, eating, paced) for walker in made.walkers
        ):
            return replace(made, eating=eating)
    return replace(made, eating=trip.eating)


def _shift_fits(
    name: str, lessons: Lessons, was: tuple[Eating, ...], now: tuple[Eating, ...], paced: TripPlan
) -> bool:
    lesson = next((one for one in lessons.walkers if one.walker == name), None)
    follows = paced.trip.rules.follow_appetite
    for day in paced.days:
        change = 0.0
        if lesson is not None and follows:
            change = lesson.early_change if day.day <= EARLY_DAYS else lesson.change
        for factor in _share_factors(was, now, [meal.name for meal in day.meals]).values():
            food = (1.0 + change) * factor
            if not 1.0 - FOOD_STEP <= food <= 1.0 + FOOD_STEP:
                return False
            if lesson is not None and lesson.no_cut and food < 1.0:
                return False
    return True


def _share_factors(
    was: tuple[Eating, ...], now: tuple[Eating, ...], eaten: list[str]
) -> dict[str, float]:
    """Part of a day's food that an eating time gets over what it got, on a day with these."""
    before = {time.name: usual_share(time) for time in was if time.name in eaten}
    after = {time.name: usual_share(time) for time in now if time.name in eaten}
    whole, whole_after = sum(before.values()), sum(after.values())
    return {
        name: after[name] / whole_after / (share / whole) if share > 0 and whole_after > 0 else 1.0
        for name, share in before.items()
    }


def _held(
    walker: Walker, at: int, before: TripPlan, paced: TripPlan, after: TripPlan, uncut: bool
) -> Walker:
    """The walker with a curve of appetite that holds every eating time of every day."""
    follows = after.trip.rules.follow_appetite
    lift = 1.0
    if uncut:
        carried = sum(after.walkers[at].carried_kcal)
        lift = sum(before.walkers[at].carried_kcal) / carried if carried > 0 else 1.0
    if not follows:
        return _lifted(walker, at, after, lift) if lift > 1.0 + _EXACT else walker
    steps = []
    for number, step in enumerate(walker.appetite):
        end = walker.appetite[number + 1].from_day if number + 1 < len(walker.appetite) else 10_000
        food = [
            ratio
            for day, ratios in _ratios(at, paced, after)
            if step.from_day <= day < end
            for ratio in ratios
        ]
        least = 1.0 if uncut else 1.0 - FOOD_STEP
        up = max([least / one for one in food] + [lift], default=1.0)
        down = min([(1.0 + FOOD_STEP) / one for one in food], default=1.0)
        share = step.share
        if up > 1.0 + _EXACT:
            share = ceil(1e4 * share * up - 1e-6) / 1e4
        elif down < 1.0 - _EXACT:
            share = floor(1e4 * share * down + 1e-6) / 1e4
        steps.append(
            AppetiteStep(from_day=step.from_day, share=min(max(share, LEAST_SHARE), MOST_SHARE))
        )
    return walker if tuple(steps) == walker.appetite else replace(walker, appetite=tuple(steps))


def _lifted(walker: Walker, at: int, plan: TripPlan, lift: float) -> Walker:
    """Where appetite is not followed the walking energy carries what must not fall."""
    need = plan.walkers[at].need
    walking = sum(day.walking_kcal for day in need.days)
    if walking <= 0:
        return walker
    factor = walker.energy_factor * (1.0 + (lift - 1.0) * need.kcal / walking)
    return replace(walker, energy_factor=min(ceil(1e4 * factor) / 1e4, 2.0))


def _ratios(at: int, paced: TripPlan, after: TripPlan) -> list[tuple[int, list[float]]]:
    """Day by day: food of each eating time over what it was, at the same pace."""
    found = []
    for day, was, now in zip(
        after.days, paced.walkers[at].target_kcal, after.walkers[at].target_kcal, strict=True
    ):
        if not day.meals or was <= 0:
            continue
        factors = _share_factors(
            paced.trip.eating, after.trip.eating, [meal.name for meal in day.meals]
        )
        found.append((day.day, [now / was * one for one in factors.values()]))
    return found


def _moved(at: int, before: TripPlan, paced: TripPlan, after: TripPlan) -> WalkerMoved:
    was: dict[str, list[float]] = {}
    now: dict[str, list[float]] = {}
    for day, kcal, new in zip(
        after.days, paced.walkers[at].target_kcal, after.walkers[at].target_kcal, strict=True
    ):
        factors = _share_factors(
            paced.trip.eating, after.trip.eating, [meal.name for meal in day.meals]
        )
        late = int(day.day > EARLY_DAYS)
        for meal in day.meals:
            if not meal.bought:
                was.setdefault(meal.name, [0.0, 0.0])[late] += (
                    kcal * meal.share / factors[meal.name]
                )
                now.setdefault(meal.name, [0.0, 0.0])[late] += new * meal.share
    names = [time.name for time in after.trip.eating if time.name in was]
    return WalkerMoved(
        walker=after.walkers[at].walker,
        before_kcal=sum(before.walkers[at].carried_kcal),
        paced_kcal=sum(paced.walkers[at].carried_kcal),
        after_kcal=sum(after.walkers[at].carried_kcal),
        meals=tuple(
            MealMoved(
                eating=name,
                early_change=_over(now[name][0], was[name][0]),
                late_change=_over(now[name][1], was[name][1]),
                change=_over(sum(now[name]), sum(was[name])),
            )
            for name in names
        ),
    )


def _over(now: float, was: float) -> float:
    return now / was - 1.0 if was > 0 else 0.0
