"""What turns out otherwise after the trip was written: a fire ban, a moved camp, a late diet?

Each change makes the trip that it would be, and one sentence that says so; the document stays
as it is until its author changes it.
"""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from math import isfinite
from typing import Final, get_args

from msgspec import Struct
from msgspec.structs import replace

from fellfare.mistake import Mistake
from fellfare.pantry.allergens import agents_of
from fellfare.trip.plan import TripPlan
from fellfare.trip.trip import Trip
from fellfare.trip.way import FIRE_RULES, DayWord, FireRule
from fellfare.walk.walker import Diet, Walker

_DIETS: Final[tuple[Diet, ...]] = get_args(Diet)


class Late(Struct, frozen=True, kw_only=True):
    """What is otherwise than the document says."""

    #: (kilometre of the walk, rule): from there on.
    fire: tuple[tuple[float, str], ...] = ()
    #: (day, place of the track): the night after that day is there.
    camps: tuple[tuple[int, str], ...] = ()
    #: (walker, diet), (walker, agent or group).
    diets: tuple[tuple[str, str], ...] = ()
    avoids: tuple[tuple[str, str], ...] = ()

    @property
    def nothing(self) -> bool:
        """Whether all is as it was."""
        return not (self.fire or self.camps or self.diets or self.avoids)


def late_trip(plan: TripPlan, late: Late) -> tuple[Trip, tuple[str, ...]]:
    """The trip as it turns out, and what is otherwise, a sentence each.

    A fire rule counts for the whole of the day on which its kilometre is passed; where a later
    day has a stricter one already, that stays.

    Raises
    ------
    Mistake
        ``unknown-walker``, ``unknown-diet``, ``unknown-allergen``, ``unknown-fire-rule``,
        ``figure-out-of-range``, ``day-out-of-range``, ``camp-not-movable``.
    """
    trip, said = plan.trip, list[str]()
    for km, word in late.fire:
        trip, told = _fire(trip, plan, km, word)
        said.append(told)
    if late.camps:
        trip = _camps(trip, plan, late.camps)
        said += [f"night {day} at {place}" for day, place in late.camps]
    for name, diet in late.diets:
        if diet not in _DIETS:
            raise _unlike("unknown-diet", "diet", diet, _DIETS, "--diet")
        trip = _walker(trip, name, "--diet", diet=diet)
        said.append(f"{name} eats {diet}")
    for name, what in late.avoids:
        trip = _walker(trip, name, "--avoid", avoid=what)
        said.append(f"{name} must not meet {what}")
    return trip, tuple(said)


def _fire(trip: Trip, plan: TripPlan, km: float, word: str) -> tuple[Trip, str]:
    if word not in FIRE_RULES:
        raise _unlike("unknown-fire-rule", "fire rule", word, FIRE_RULES, "--fire")
    rule: FireRule = word
    whole = sum(day.stage.distance_m for day in plan.days) / 1000.0
    if not (isfinite(km) and 0 <= km <= whole):
        mend = f"give kilometres of the walk, from 0 to {whole:.1f}"
        raise Mistake("figure-out-of-range", f"a fire rule from km {km:g} on", mend, "--fire")
    passed, first = 0.0, len(plan.days)
    for day in plan.days:
        passed += day.stage.distance_m / 1000.0
        if passed > km or (km == 0.0 and day.day == 1):
            first = day.day
            break
    words = {one.day: one for one in trip.days}
    for day in plan.days[first - 1 :]:
        old = day.fire
        strict = old is not None and FIRE_RULES.index(old) > FIRE_RULES.index(rule)
        own = words.get(day.day, DayWord(day=day.day))
        words[day.day] = replace(own, fire=old if strict else rule)
    days = tuple(words[day] for day in sorted(words))
    return replace(trip, days=days), f"fire rule {rule} from km {km:g} on (day {first})"


def _camps(trip: Trip, plan: TripPlan, moved: Sequence[tuple[int, str]]) -> Trip:
    if trip.stages or trip.way.hours_per_day:
        how = "a table of stages" if trip.stages else "hours of walking"
        raise Mistake(
            "camp-not-movable",
            what=f"the days of this trip come from {how}, not from camps of a track",
            mend="change the [[stage]] rows or hours_per_day in the document, and say --near",
            where="--camp",
        )
    camps = [day.stage.camp for day in plan.days[:-1]]
    for day, place in moved:
        if not 1 <= day <= len(camps):
            mend = f"count the nights from 1 to {len(camps)}"
            raise Mistake("day-out-of-range", f"there is no night {day}", mend, "--camp")
        camps[day - 1] = place
    return replace(trip, way=replace(trip.way, camps=tuple(camps)))


def _walker(trip: Trip, name: str, where: str, *, diet: str = "", avoid: str = "") -> Trip:
    names = [walker.name for walker in trip.walkers]
    if name not in names:
        raise _unlike("unknown-walker", "walker", name, names, where)

    def later(walker: Walker) -> Walker:
        if walker.name != name:
            return walker
        if diet:
            diets = dict.fromkeys((*walker.diets, diet))
            return replace(walker, diets=tuple(diets))
        return replace(walker, avoids=tuple(dict.fromkeys((*walker.avoids, *agents_of(avoid)))))

    return replace(trip, walkers=tuple(later(walker) for walker in trip.walkers))


def _unlike(code: str, kind: str, name: str, known: Sequence[str], where: str) -> Mistake:
    near = get_close_matches(name, known, n=2)
    mend = (
        f"did you mean {' or '.join(map(repr, near))}?"
        if near
        else f"choose from {', '.join(known)}"
    )
    return Mistake(code, f"no {kind} is called {name[:60]!r}", mend, where)
