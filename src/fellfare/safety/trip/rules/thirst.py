"""Does the water in the bottles last to the next source, and is there one?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from fellfare.safety.rule import Hit, rule
from fellfare.safety.trip.facts import Stretch, TripCase
from fellfare.safety.trip.reading import listed
from fellfare.trip.way import Reliability

#: Drunk for an hour of walking [mL], cool and hot or unknown [common practice, no source:
#: half a litre to a litre].
LEAST_ML_PER_HOUR: Final = 500.0
WARM_ML_PER_HOUR: Final = 1000.0
#: From here on the larger figure counts [°C, own judgement].
WARM_C: Final = 25.0
#: Where nobody tells the hours: nobody counts on being slower [m/h, own judgement].
SLOW_M_PER_HOUR: Final = 2000.0

_PRACTICE: Final = "0.5 to 1 L for an hour of walking: common practice, no source"


def water_ml(case: TripCase, stretch: Stretch) -> float | None:
    """Water of one walker on a stretch [mL]; None = not known.

    Hours x rate and the dry camp's water.  The rate is the trip's own, at least 0.5 L an
    hour, 1 L where the day has 25 °C or more or its warmth is not known.
    """
    hours = stretch.hours
    if hours is None and stretch.distance_m is not None:
        hours = stretch.distance_m / SLOW_M_PER_HOUR
    if hours is None or stretch.camp_ml is None:
        return None
    day = case.day(stretch.day)
    cool = day is not None and day.day_c is not None and day.day_c < WARM_C
    least = LEAST_ML_PER_HOUR if cool else WARM_ML_PER_HOUR
    return hours * max(least, case.trip.way.drink_ml_per_hour) + stretch.camp_ml


@rule(
    "dry-stretch",
    "caution",
    _PRACTICE,
    "Between two sources a walker may drink more than the bottles hold, or nobody tells where "
    "the water is.",
)
def dry_stretch(case: TripCase) -> Iterator[Hit]:
    if "water" in case.reckoned:
        return
    if case.stretches is None:
        yield Hit(
            "caution",
            "It is not told where there is water on the way: whether the bottles last was not "
            "looked at.",
            (case.trip.title,),
        )
        return
    holds = case.trip.way.bottles_ml
    for stretch in case.stretches:
        need = water_ml(case, stretch)
        if need is None:
            yield Hit(
                "caution",
                f"{_upper(stretch.said)}: neither its hours nor its length and camp are known; "
                f"the bottles hold {holds / 1000:g} L.",
                (stretch.said,),
            )
        elif need > holds:
            reckoned = "" if stretch.hours is not None else " (hours not told, taken at 2 km/h)"
            yield Hit(
                "caution",
                f"{_upper(stretch.said)}: about {need / 1000:.1f} L for each walker without a "
                f"source{reckoned}, and the bottles hold {holds / 1000:g} L.",
                (stretch.said,),
            )


@rule(
    "source-doubtful",
    "error",
    _PRACTICE + "; a source that may be dry is not relied on: own judgement",
    "The way relies on a source that is dry (error), or that may be, and the bottles do not last "
    "past it.",
)
def source_doubtful(case: TripCase) -> Iterator[Hit]:
    if "water" in case.reckoned or not case.stretches:
        return
    told: dict[str, Reliability | None] = {one.name: one.reliability for one in case.sources}
    relied = [stretch for stretch in case.stretches if stretch.ends]
    dry = [one.ends for one in relied if told.get(one.ends) == "dry"]
    if dry:
        yield Hit(
            "error",
            f"The way counts on {listed(dry)}, which is told to be dry.",
            tuple(dict.fromkeys(dry)),
        )
    short: list[str] = []
    passable: list[str] = []
    for at, stretch in enumerate(case.stretches):
        if not stretch.ends or told.get(stretch.ends) in ("sure", "dry"):
            continue
        need = _past(case, at, told)
        enough = need is not None and need <= case.trip.way.bottles_ml
        (passable if enough else short).append(stretch.ends)
    if short:
        yield Hit(
            "caution",
            f"{listed(short)}: doubtful, seasonal, or nobody has vouched for it; should it be "
            f"dry, the bottles ({case.trip.way.bottles_ml / 1000:g} L) do not last to the next "
            "source that is vouched for.  Ask on the spot, or carry more.",
            tuple(dict.fromkeys(short)),
        )
    if passable:
        yield Hit(
            "note",
            f"{listed(passable)}: not vouched for; fill up before so that it can be passed by.",
            tuple(dict.fromkeys(passable)),
        )


def _past(case: TripCase, at: int, told: dict[str, Reliability | None]) -> float | None:
    """Water from the last sure source before a stretch's end to the first after it [mL]."""
    ways: Sequence[Stretch] = case.stretches or ()
    first = at
    while first > 0 and told.get(ways[first].begins) != "sure" and ways[first].begins:
        first -= 1
    last = at
    while last + 1 < len(ways) and ways[last].ends and told.get(ways[last].ends) != "sure":
        last += 1
    needs = [water_ml(case, way) for way in ways[first : last + 1]]
    known = [need for need in needs if need is not None]
    return sum(known) if len(known) == len(needs) else None


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
