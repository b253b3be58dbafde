"""What should be minded about a plan: post, late arrivals, heavy packs, gaps, people at risk?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import timedelta
from typing import Final

from msgspec.structs import replace

from fellfare.mistake import Finding
from fellfare.trip.laying import Laid, PlacedStop
from fellfare.trip.meals import DayHours, DayMeal
from fellfare.trip.trip import Trip

#: Arriving later than this by the clock is told (judgement).
LATE_HOUR: Final = 20.0
#: Pack over body mass from which it is told when the document has no rule.
USUAL_MOST_LOAD: Final = 1.0 / 3.0
#: More findings of one rule than this are told as one.
MOST_ALIKE: Final = 2
#: Findings of one rule name at most so many days or people.
MOST_NAMED: Final = 8

_DINNER: Final = "dinner"
_WEEKDAYS: Final = (
    "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday",
)  # fmt: skip
#: For whom a planned gap, or a model of healthy adults, is no basis.
_ASK_FIRST: Final = frozenset(
    {"pregnant", "breastfeeding", "young-child", "diabetes", "kidney", "heart", "eating-disorder"}
)


def stop_findings(trip: Trip, stops: Sequence[PlacedStop]) -> tuple[Finding, ...]:
    """Will the box be there, and the shop be open?"""
    found = []
    for one in stops:
        stop, there = one.stop, trip.date_of(one.day)
        name = f"{stop.name}, day {one.day}"
        if stop.kind == "box":
            found.append(_post(trip, one, name))
        if there is not None and _WEEKDAYS[there.weekday()] in stop.shut:
            text = f"{name} is a {_WEEKDAYS[there.weekday()].title()}: it is shut then."
            found.append(_finding("error", "stop-shut", text, "the document"))
        if there is None and stop.shut:
            text = f"{name}: shut on some weekdays, and the trip has no start date."
            found.append(_finding("note", "stop-shut-unknown", text, "the document"))
    return tuple(finding for finding in found if finding is not None)


def _post(trip: Trip, one: PlacedStop, name: str) -> Finding | None:
    stop, there = one.stop, trip.date_of(one.day)
    source = "dates of the document; post and holder's own rules count"
    if there is None or stop.posted is None or stop.transit_days is None:
        text = f"{name}: whether the box is there in time is not known."
        if there is not None and stop.transit_days is not None:
            latest = there - timedelta(days=stop.transit_days[1])
            text += f"  Post it by {latest}."
            if stop.hold_days is not None:
                soonest = there - timedelta(days=stop.transit_days[0] + stop.hold_days)
                text += f"  Not before {soonest + timedelta(days=1)}: it may go back."
        return _finding("caution", "box-undated", text, source, [stop.name])
    soon, late = (stop.posted + timedelta(days=days) for days in stop.transit_days)
    if soon > there:
        text = f"{name}: posted {stop.posted}, it arrives {soon} at best, after the {there}."
        return _finding("error", "box-late", text, source)
    if late > there:
        text = f"{name}: it may arrive as late as {late}; you are there on {there}."
        return _finding("caution", "box-late", text, source)
    if stop.hold_days is not None and soon + timedelta(days=stop.hold_days) < there:
        text = (
            f"{name}: it may be there on {soon} and is kept {stop.hold_days} days; you come on "
            f"{there}.  It may have gone back."
        )
        return _finding("caution", "box-gone", text, source)
    return None


def hour_findings(trip: Trip, hours: Sequence[DayHours]) -> tuple[Finding, ...]:
    """Days that end late, and a last day that ends after its own hour."""
    found = []
    late = [
        f"day {hour.day}: about {clock_text(hour.arrival_hour)}"
        for hour in hours
        if hour.moving_hours > 0 and hour.arrival_hour > LATE_HOUR
    ]
    if late:
        text = "Arrival is likely after 20:00: is there light, and time to soak and cook?"
        found.append(_finding("caution", "late-arrival", text, "judgement, no source", late))
    end = trip.way.end_hour
    if end is not None and hours[-1].moving_hours > 0 and hours[-1].arrival_hour > end:
        text = (
            f"The last day is to end at {clock_text(end)}, but arrival is likely at "
            f"{clock_text(hours[-1].arrival_hour)}."
        )
        found.append(_finding("caution", "end-hour-missed", text, "arithmetic"))
    return tuple(found)


def early_dinner_findings(
    hours: Sequence[DayHours], meals: Sequence[tuple[DayMeal, ...]], lengths_m: Sequence[float]
) -> tuple[Finding, ...]:
    """Is dinner eaten before the camp is reached?"""
    found = []
    for one, mine, length_m in zip(hours, meals, lengths_m, strict=True):
        for meal in mine:
            if meal.name == _DINNER and meal.hour is not None and 0.0 < meal.at_m < length_m:
                text = (
                    f"Day {one.day}: dinner at {clock_text(meal.hour)} is eaten on the way, "
                    f"after {meal.at_m / 1000:.1f} km; the day's end is reached about "
                    f"{clock_text(one.arrival_hour)}.  Where that is not meant: set out "
                    "earlier, walk less, or give dinner a later hour."
                )
                found.append(
                    _finding("caution", "dinner-on-the-way", text, "arithmetic", [f"day {one.day}"])
                )
    return tuple(found)


def eating_findings(meals: Sequence[tuple[DayMeal, ...]], laid: Laid) -> tuple[Finding, ...]:
    """Days on which nothing is eaten of the trip's food."""
    none = [
        f"day {stage.day}" for stage, todays in zip(laid.stages, meals, strict=True) if not todays
    ]
    if not none:
        return ()
    text = "No eating time falls into these days: nothing is planned for them."
    return (_finding("caution", "nothing-eaten", text, "arithmetic", none),)


def risk_findings(trip: Trip) -> tuple[Finding, ...]:
    """Walkers for whom these figures are no basis."""
    who = [
        f"{walker.name}: {', '.join(sorted(_ASK_FIRST & set(walker.high_risk)))}"
        for walker in trip.walkers
        if _ASK_FIRST & set(walker.high_risk)
    ]
    if not who:
        return ()
    text = (
        "The models are of healthy people.  Take need, coverage and load to a physician or "
        "dietitian before the walk"
        + ("; do not plan a gap for them." if trip.rules.coverage < 1 else ".")
    )
    return (_finding("caution", "ask-first", text, "own judgement", who),)


def load_findings(trip: Trip, most_kg: Sequence[tuple[float, int]]) -> tuple[Finding, ...]:
    """Packs above the share of body mass that the rules name, or a third; (kg, day) of each."""
    limit = trip.rules.most_load_share
    source = "rule of the document"
    if limit is None:
        limit, source = USUAL_MOST_LOAD, "common practice, no source"
    over = [
        f"{walker.name}: {kg:.1f} kg, {100 * kg / walker.mass_kg:.0f} % on day {day}"
        for walker, (kg, day) in zip(trip.walkers, most_kg, strict=True)
        if kg > limit * walker.mass_kg
    ]
    if not over:
        return ()
    text = f"All that is on the back is more than {100 * limit:.0f} % of the body at its heaviest."
    return (_finding("caution", "pack-heavy", text, source, over),)


def gathered(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Each once; more than two of one rule as one: the first text, and all they are about."""
    alike: dict[tuple[str, str], list[Finding]] = {}
    for finding in findings:
        group = alike.setdefault((finding.severity, finding.rule), [])
        if finding not in group:
            group.append(finding)
    out: list[Finding] = []
    for group in alike.values():
        if len(group) <= MOST_ALIKE:
            out += group
            continue
        about = list(dict.fromkeys(word for finding in group for word in finding.about))
        text = group[0].text
        if any(finding.text != text for finding in group) and group[0].about:
            text += f"  (So for {group[0].about[0]}; the others likewise, by their own figures.)"
        if len(about) > MOST_NAMED:
            about = [*about[:MOST_NAMED], f"and {len(about) - MOST_NAMED} more"]
        out.append(replace(group[0], text=text, about=tuple(about)))
    return tuple(out)


def clock_text(hour: float) -> str:
    """'17:40'; after midnight '01:20 next day'."""
    minutes = round(hour * 60)
    day, rest = divmod(minutes, 1440)
    return f"{rest // 60:02d}:{rest % 60:02d}" + (" next day" if day else "")


def _finding(
    severity: str, rule: str, text: str, source: str, about: Sequence[str] = ()
) -> Finding:
    return Finding(
        severity=severity,  # type: ignore[arg-type]
        rule=rule,
        text=text,
        source=source,
        about=tuple(about[:MOST_NAMED]),
    )
