"""When must the jar be wetted so that dinner is ready on arrival?

Plain arithmetic on minutes after midnight of the walking day; minutes below 0
are the evening before and above 1 440 the day after.  Every time is a band.
The longest time from wetting to eating is an argument: the safety room owns it.
"""

from __future__ import annotations

from math import floor
from typing import Final, Literal

from msgspec import Struct

from fellfare.mistake import Mistake

DAY_MIN: Final = 1440.0
#: A week to either side is enough for one jar.
_MOST_MIN: Final = 7 * DAY_MIN


class Span(Struct, frozen=True, kw_only=True):
    """From the early to the late end [minutes after midnight, or minutes long]."""

    early: float
    late: float


def clock(minutes: float) -> str:
    """'17:40', or '06:15 (+1 d)' and '21:00 (-1 d)' outside the walking day."""
    whole = floor(minutes + 0.5)
    day, rest = divmod(whole, 1440)
    return f"{rest // 60:02d}:{rest % 60:02d}" + (f" ({day:+d} d)" if day else "")


def next_time(clock_min: float, after_min: float) -> float:
    """The first time at or after ``after_min`` at which the clock shows ``clock_min``.

    ``next_time(7 * 60, 21 * 60)`` is 7 in the morning after 21:00: 1 860.
    """
    return after_min + (clock_min - after_min) % DAY_MIN


class WaterPoint(Struct, frozen=True, kw_only=True):
    """Water along the way, and when the walkers pass it."""

    name: str
    passed: Span


#: Why it is not simply ready on arrival; '' when it is.
Reason = Literal[
    "", "arrival-too-uncertain", "water-too-late", "soak-longer-than-hold", "no-water-in-time"
]


class Wetting(Struct, frozen=True, kw_only=True):
    """When to wet one dish."""

    #: 'ready' on arrival; 'wait' in camp for one wetted on the way; 'in-camp' wetted
    #: on arrival; 'impossible' here.
    outcome: Literal["ready", "wait", "in-camp", "impossible"]
    #: Between these it may be wetted [min after midnight]; None when impossible.
    earliest_min: float | None
    latest_min: float | None
    #: From wetting to the last bite, as given [min].
    hold_minutes: float
    #: Longest wait in camp when wetted as early as allowed [min].
    wait_minutes: float
    #: Water points passed wholly inside the window: wet it right there.
    wet_at: tuple[str, ...]
    #: Earlier water points: carry its water from there and wet it in the window.
    carry_from: tuple[str, ...]
    #: One or two sentences for the cook.
    text: str
    reason: Reason = ""


def _check(name: str, span: Span, least: float) -> None:
    if not least <= span.early <= span.late <= _MOST_MIN:
        raise Mistake(
            "time-band-unclear",
            what=f"{name}: {span.early:g} to {span.late:g} is no band of minutes",
            mend="give the early before the late end, in minutes after midnight of that day; "
            "after midnight goes on beyond 1440",
        )


def wetting_window(
    eat: Span,
    soak: Span,
    hold_minutes: float,
    water_points: tuple[WaterPoint, ...] = (),
    *,
    water_at_camp: bool = True,
    carrying_water: bool = False,
    meal_minutes: float = 20.0,
) -> Wetting:
    """Window in which a dish must be wetted, or why there is none.

    Parameters
    ----------
    eat
        When the walkers want to start eating: the arrival band, or breakfast.
        [min after midnight]
    soak
        The soak's low and high end; planned with the high one. [min]
    hold_minutes
        Longest allowed time from wetting to the last bite. [min]
    water_points
        Water along the way, with the band of passing.
    water_at_camp
        There is water where they eat.
    carrying_water
        They have water for it with them all day.
    meal_minutes
        How long eating takes. [min]

    Returns
    -------
    Wetting
        Wetted on the way at any moment of the window, the last bite comes
        within the hold limit for every arrival of the band; with 'ready' the
        soak is done for every arrival, too.

    Raises
    ------
    Mistake
        ``time-band-unclear``, ``hold-limit-unclear``.

    Examples
    --------
    >>> spring = WaterPoint(name="spring", passed=Span(early=880, late=910))
    >>> dinner = wetting_window(
    ...     Span(early=1050, late=1110), Span(early=40, late=75), 240, (spring,)
    ... )
    >>> dinner.outcome, clock(dinner.earliest_min), clock(dinner.latest_min), dinner.carry_from
    ('ready', '14:50', '16:15', ('spring',))
    """
    _check("eating", eat, -_MOST_MIN)
    _check("soak", soak, 0.0)
    for point in water_points:
        _check(point.name, point.passed, -_MOST_MIN)
    if not (0.0 < hold_minutes <= _MOST_MIN and 0.0 <= meal_minutes <= DAY_MIN):
        raise Mistake(
            "hold-limit-unclear",
            what=f"a hold limit of {hold_minutes:g} min with a meal of {meal_minutes:g} min",
            mend="give both in minutes, the limit above 0",
        )
    if soak.late + meal_minutes > hold_minutes:
        return _impossible(
            hold_minutes,
            "soak-longer-than-hold",
            f"Impossible here: it may need {soak.late:.0f} min in this water and "
            f"{meal_minutes:.0f} min to eat, more than the {hold_minutes:.0f} min allowed from "
            "wetting to the last bite. Warmer water, or a quicker food.",
        )

    not_before = eat.late + meal_minutes - hold_minutes  # else the last bite may come too late
    ready_by = eat.early - soak.late  # else it may not be done on arrival

    def reachable(until: float) -> float | None:
        """From when there is water in hand for a wetting not later than ``until``."""
        if carrying_water:
            return not_before
        passed = [p.passed.early for p in water_points if p.passed.late <= until]
        return max(not_before, min(passed)) if passed else None

    start = reachable(ready_by)
    if start is not None and start <= ready_by:
        return _wetting("ready", start, ready_by, hold_minutes, 0.0, water_points, "")
    late = reachable(eat.late)
    if late is not None and late <= eat.late:
        wait = min(soak.late, max(0.0, late + soak.late - eat.early))
        reason: Reason = "arrival-too-uncertain" if not_before > ready_by else "water-too-late"
        return _wetting("wait", late, eat.late, hold_minutes, wait, water_points, reason)
    if water_at_camp:
        return _wetting(
            "in-camp", eat.early, eat.late, hold_minutes, soak.late, (), "water-too-late"
        )
    return _impossible(
        hold_minutes,
        "no-water-in-time",
        f"Impossible here: no water before {clock(eat.late)}, and none in camp. Carry water for "
        "it from the start, or choose a dish that needs none.",
    )


def _impossible(hold_minutes: float, reason: Reason, text: str) -> Wetting:
    return Wetting(
        outcome="impossible",
        earliest_min=None,
        latest_min=None,
        hold_minutes=hold_minutes,
        wait_minutes=0.0,
        wet_at=(),
        carry_from=(),
        text=text,
        reason=reason,
    )


def _wetting(
    outcome: Literal["ready", "wait", "in-camp"],
    earliest: float,
    latest: float,
    hold_minutes: float,
    wait: float,
    water_points: tuple[WaterPoint, ...],
    reason: Reason,
) -> Wetting:
    sources = [p for p in water_points if p.passed.late <= latest]
    wet_at = tuple(p.name for p in sources if p.passed.early >= earliest)
    carry_from = tuple(p.name for p in sources if p.passed.early < earliest)
    when = f"Wet it between {clock(earliest)} and {clock(latest)}"
    if outcome == "in-camp":
        when = f"Wet it on arrival ({clock(earliest)} to {clock(latest)})"
    if wet_at:
        when += f", at {' or '.join(wet_at)}"
    elif carry_from:
        when += f", with water carried from {carry_from[-1]}"
    then = (
        "; it is then ready on arrival."
        if outcome == "ready"
        else f"; in camp you may wait up to {wait:.0f} min for it."
    )
    return Wetting(
        outcome=outcome,
        earliest_min=earliest,
        latest_min=latest,
        hold_minutes=hold_minutes,
        wait_minutes=wait,
        wet_at=wet_at,
        carry_from=carry_from,
        text=f"{when}{then} Last bite at most {hold_minutes:.0f} min after wetting.",
        reason=reason,
    )
