"""How long may food stand wet on that day?  The clock starts at wetting, also on the move."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from fellfare.mistake import Severity
from fellfare.safety.reading import COLD_HOLD_C
from fellfare.safety.rule import Hit, rule
from fellfare.safety.rules.wet import HOT_AIR_C, HOT_LIMITS, NEVER_MINUTES, USUAL_LIMITS
from fellfare.safety.trip.facts import Jar, TripCase
from fellfare.safety.trip.reading import days_listed, days_said, eats_cold, listed

_HOLD = (
    "[USDA-FSIS-OUTDOORS] 2 h, 1 h above 32 °C; [FDA-FOOD-CODE] 3-501.19, 4 h and 6 h, by "
    "analogy: the code covers no food that is wetted warm"
)


@rule(
    "jar-hold",
    "error",
    _HOLD,
    "A jar stands wet for more than 2 h (caution) or 4 h (error) from wetting to the last bite, "
    "1 h and 2 h above 32 °C, or its time is not planned.",
)
def jar_hold(case: TripCase) -> Iterator[Hit]:
    for jar in case.jars:
        day = case.day(jar.day)
        warm_c = jar.at_c if jar.at_c is not None or day is None else day.day_c
        yield from _one_jar(jar, warm_c)


def _one_jar(jar: Jar, warm_c: float | None) -> Iterator[Hit]:
    about = (jar.said,)
    who = f"Day {jar.day}, {jar.walker}{f' ({jar.dish})' if jar.dish else ''}"
    hot = warm_c is not None and warm_c > HOT_AIR_C
    doubt, limit = HOT_LIMITS if hot else USUAL_LIMITS
    if jar.minutes is None:
        yield Hit(
            "caution",
            f"{who}: it is not planned how long the jar stands wet; "
            f"{HOT_LIMITS[0] if hot else USUAL_LIMITS[0]:g} min from wetting to the last bite"
            f"{'' if hot else ', 60 above 32 °C'}.",
            about,
        )
        return
    if warm_c is not None and warm_c <= COLD_HOLD_C:
        if jar.minutes > USUAL_LIMITS[0]:
            yield Hit(
                "note",
                f"{who}: {jar.minutes:g} min wet count only as cold as long as the jar itself "
                "stays at or under 5 °C; not against the back, not in the sun.",
                about,
            )
        return
    warmth = "" if warm_c is None else f" at {warm_c:.0f} °C"
    if jar.minutes > limit:
        never = "  Past 6 h nothing allows it." if jar.minutes > NEVER_MINUTES else ""
        yield Hit(
            "error",
            f"{who}: the jar stands wet for {jar.minutes:g} min{warmth}; the limit is "
            f"{limit / 60:g} h{' above 32 °C' if hot else ''}.  Wet it later, or eat it "
            f"earlier.{never}",
            about,
        )
    elif jar.minutes > doubt:
        yield Hit(
            "caution",
            f"{who}: the jar stands wet for {jar.minutes:g} min{warmth}; the advice is "
            f"{doubt / 60:g} h{' above 32 °C' if hot else ''}.",
            about,
        )
    elif warm_c is None and jar.minutes > HOT_LIMITS[0]:
        yield Hit(
            "caution",
            f"{who}: the jar stands wet for {jar.minutes:g} min and the warmth of the day is not "
            "known; above 32 °C the advice is 1 h.",
            about,
        )


@rule(
    "hold-limit",
    "caution",
    _HOLD,
    "Somebody without a flame may soak on a day above 32 °C, or on one whose warmth is not known.",
)
def hold_limit(case: TripCase) -> Iterator[Hit]:
    planned = {(jar.walker, jar.day) for jar in case.jars}
    cold = {
        walker.name: [
            day
            for day in case.days
            if eats_cold(case, day, walker.name) and (walker.name, day.day) not in planned
        ]
        for walker in case.trip.walkers
    }
    for asked, severity, text in _LIMITS:
        here = {
            name: days
            for name, all_days in cold.items()
            if (days := [day for day in all_days if asked(day.day_c)])
        }
        if not here:
            continue
        alike: dict[str, list[str]] = {}
        for name, days in here.items():
            alike.setdefault(days_listed(days), []).append(name)
        who = "; ".join(
            f"{listed(names)} {'eats' if len(names) == 1 else 'eat'} cold on {days}"
            for days, names in alike.items()
        )
        said = dict.fromkeys(word for days in here.values() for word in days_said(days))
        yield Hit(severity, who + text, (*here, *said))


#: Which days, how grave, and what is said of those who eat cold on them.
_LIMITS: Final[tuple[tuple[Callable[[float | None], bool], Severity, str], ...]] = (
    (
        lambda c: c is not None and c > HOT_AIR_C,
        "caution",
        ", above 32 °C: at most 1 h from wetting to the last bite, walking included; 2 h is too "
        "long.  Take food that needs no soak.",
    ),
    (
        lambda c: c is None,
        "caution",
        ", and nobody knows how warm it gets: at most 1 h from wetting to the last bite unless it "
        "stays under 32 °C.",
    ),
    (
        lambda c: c is not None and c <= HOT_AIR_C,
        "note",
        ": a jar wetted while walking is warm food from that minute on; 2 h to the last bite, "
        "then throw it out.",
    ),
)
