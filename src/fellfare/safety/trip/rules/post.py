"""What may travel by mail and air, and does the box wait for its walker?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Final

from fellfare.camp.fuel.fuels import FUELS
from fellfare.safety.rule import Hit, rule
from fellfare.safety.trip.facts import BoxFact, TripCase
from fellfare.safety.trip.reading import flame_of, listed, stoves, stoves_said

#: Post offices hold a parcel about so long [days; common practice in the US, told by walkers].
USUAL_HOLD_DAYS: Final = 15
#: Chocolate and hard fats melt about there [°C, own judgement].
HOT_BOX_C: Final = 30.0

_GOODS: Final = (
    "ICAO Technical Instructions, 49 CFR 175.10, USPS Publication 52 (from memory); the carrier "
    "decides"
)


@rule(
    "fuel-in-post",
    "caution",
    _GOODS,
    "A box holds fuel; a note where a stove is carried and nobody tells.",
)
def fuel_in_post(case: TripCase) -> Iterator[Hit]:
    for box in case.boxes:
        if box.fuels is None:
            if stoves(case):
                yield Hit(
                    "note",
                    f"{box.name}: it is not told whether fuel is in the box; gas, white gas, "
                    "spirit and tablets are dangerous goods in the mail.",
                    (box.name,),
                )
            continue
        goods = [fuel for fuel in box.fuels if fuel not in FUELS or FUELS[fuel].kind != "wood"]
        if goods:
            yield Hit(
                "caution",
                f"{box.name}: {listed(goods)} in the box is dangerous goods; most mail refuses it, "
                "some carriers take it by ground with labels.  Ask the carrier first, or buy it "
                "on the way.",
                (box.name, *goods),
            )


@rule(
    "fuel-in-plane",
    "caution",
    _GOODS,
    "Somebody flies to a walk with a stove; a note where nobody tells.",
)
def fuel_in_plane(case: TripCase) -> Iterator[Hit]:
    burning = [kitchen for kitchen in stoves(case) if flame_of(kitchen) != "wood"]
    if not burning or case.flies is False:
        return
    if case.flies:
        yield Hit(
            "caution",
            "Fuel flies in no baggage, and airlines may refuse a used stove or bottle that "
            "smells: buy fuel there, and ask the airline about the stove.",
            stoves_said(burning),
        )
    else:
        yield Hit(
            "note",
            "Should you fly: fuel goes in no baggage; buy it there.",
            stoves_said(burning),
        )


@rule(
    "box-wait",
    "caution",
    "post offices hold about 15 days: common practice told by walkers, no source; the holder "
    "decides",
    "A box waits longer for its walker than it is held, or its dates are not known.",
)
def box_wait(case: TripCase) -> Iterator[Hit]:
    for box in case.boxes:
        waits = _waits_days(case, box)
        if waits is None:
            yield Hit(
                "caution",
                f"{box.name}: date of posting or of arrival is not known; whether the box waits "
                "too long, or comes too late, was not looked at.",
                (box.name,),
            )
            continue
        if "boxes" in case.reckoned and box.hold_days is not None:
            continue
        held = USUAL_HOLD_DAYS if box.hold_days is None else box.hold_days
        if waits > held:
            word = "about " if box.hold_days is None else ""
            yield Hit(
                "caution",
                f"{box.name}: the box may wait {waits} days and is held {word}{held}; it may go "
                "back.  Post it later, or ask the holder for longer.",
                (box.name,),
            )


def _waits_days(case: TripCase, box: BoxFact) -> int | None:
    """Days that the box waits when the mail is quick; None = not known."""
    there = None if box.day is None else case.trip.date_of(box.day)
    if there is None or box.posted is None:
        return None
    quickest = 0 if box.transit_days is None else box.transit_days[0]
    return (there - box.posted).days - quickest


@rule(
    "box-misses-walker",
    "error",
    "arithmetic on the dates of the trip",
    "A box cannot be there before its walker (error), or may not be (caution).",
)
def box_misses_walker(case: TripCase) -> Iterator[Hit]:
    for box in case.boxes:
        there = None if box.day is None else case.trip.date_of(box.day)
        if there is None or box.posted is None:
            continue  # told by 'box-wait'
        if "boxes" in case.reckoned and box.transit_days is not None:
            continue
        if box.transit_days is None:
            yield Hit(
                "error" if box.posted > there else "caution",
                f"{box.name}: it is not known how long the mail takes; posted on {box.posted}, "
                f"wanted on {there}.",
                (box.name,),
            )
            continue
        first, last = (box.posted + timedelta(days=days) for days in box.transit_days)
        if last > there:
            cannot = first > there
            yield Hit(
                "error" if cannot else "caution",
                f"{box.name}: wanted on {there}, and the mail brings it "
                f"{'not before' if cannot else 'perhaps only on'} {first if cannot else last}.  "
                "Post it earlier, or carry food past it.",
                (box.name,),
            )


@rule(
    "hot-box",
    "caution",
    "own judgement; chocolate and hard fats melt about 30 °C (from memory)",
    "A box grows warmer than 30 °C on its way, or nobody knows.",
)
def hot_box(case: TripCase) -> Iterator[Hit]:
    for box in case.boxes:
        if box.warmest_c is not None and box.warmest_c <= HOT_BOX_C:
            continue
        warmth = (
            "how warm it gets is not known"
            if box.warmest_c is None
            else f"it grows {box.warmest_c:.0f} °C warm"
        )
        yield Hit(
            "caution",
            f"{box.name}: {warmth}.  A van or shed in the sun melts chocolate and fat and ages "
            "nuts and milk powder fast; nothing perishable goes in a box.",
            (box.name,),
        )
