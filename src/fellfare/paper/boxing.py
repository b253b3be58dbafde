"""The box list on paper: what goes in, what it weighs, when it is posted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from fellfare.measure.printing import print_mass
from fellfare.paper.days import day_said
from fellfare.paper.lists import Part, Row, Sheet
from fellfare.paper.packing import goes_in, key_of, of_dish
from fellfare.paper.words import capital
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.boxes.box import Box, BoxSwap
from fellfare.provision.boxes.keeping import Used

#: Part of its life from which a food is named.
_HALF: Final = 0.5


def box_sheet(box: Box, title: str = "") -> Sheet:
    """One box: its bags by day, things that are no food, the list for customs, the dates."""
    parts = [
        Part(
            heading=f"Day {day}",
            head=("Bag", "For", "In", "Weighs"),
            widths=(2.9, 1.2, 2.4, 1.1),
            rows=tuple(
                Row(
                    cells=(
                        f"{bag.number}  {capital(bag.name)}",
                        ", ".join(bag.eaters),
                        goes_in(bag),
                        _mass(bag.gross_g, bag.mass_unknown),
                    ),
                    notes=of_dish(bag, before),
                )
                for before, bag in _with_before(box, day)
            ),
        )
        for day in sorted({bag.day for bag in box.bags})
    ]
    if box.things:
        rows = tuple(Row(cells=(capital(thing),)) for thing in box.things)
        parts.append(Part(heading="No food", head=("Thing",), widths=(1.0,), rows=rows))
    parts.append(
        Part(
            heading="List for customs",
            head=("Description", "Bags", "Net"),
            widths=(3.0, 0.8, 1.2),
            rows=tuple(
                Row(
                    cells=(
                        capital(row.description),
                        str(row.bags),
                        _mass(row.net_g, row.mass_unknown),
                    ),
                    notes=("; ".join(row.foods),),
                )
                for row in box.customs
            ),
        )
    )
    if box.swaps:
        parts.append(
            Part(
                heading="Would not keep; this would",
                head=("Instead of", "Take", "Why"),
                widths=(1.5, 2.0, 2.0),
                rows=tuple(_swap(one) for one in box.swaps),
            )
        )
    told = [one for one in box.life if one.share is None or one.share >= _HALF]
    if box.life:
        rest = len(box.life) - len(told)
        parts.append(
            Part(
                heading="How it keeps",
                lead=(f"The other {rest} foods have used less than half of their life.",),
                head=("Food", "Part of its life used when eaten", "Reckoned from"),
                widths=(2.0, 1.5, 3.0),
                rows=tuple(_life(one) for one in told),
                ticks=False,
            )
        )
    foot = tuple(f"{one.severity.upper()}: {one.text}" for one in box.findings)
    return Sheet(title=title or f"Box: {box.name}", parts=tuple(parts), lead=_lead(box), foot=foot)


def box_sheets(boxes: Sequence[Box]) -> tuple[Sheet, ...]:
    """One list a box."""
    return tuple(box_sheet(box) for box in boxes)


def _lead(box: Box) -> tuple[str, ...]:
    said = [
        f"Food {_mass(box.net_g, box.mass_unknown)}; posted {_mass(box.gross_g, box.mass_unknown)}."
    ]
    if box.opened_on is not None:
        said.append(f"Opened {day_said(box.opened_on)}, by the plan.")
    if box.window is not None:
        earliest, latest = box.window.earliest, day_said(box.window.latest)
        said.append(
            f"Post it by {latest}."
            if earliest is None
            else f"Post it from {day_said(earliest)} to {latest}."
        )
        if not box.window.possible:
            said.append("No posting day is right for every arrival: see below.")
    if box.posted is not None:
        said.append(f"You mean to post it {day_said(box.posted)}.")
    if box.waits_days is not None:
        said.append(_waits(box, box.waits_days))
    if box.filling.packed_on is not None:
        said.append(f"Its bags are filled by {day_said(box.filling.packed_on)}.")
    said.append(f"Reckoned with {box.box_c:.0f} °C where it waits.")
    said += key_of(box.bags)
    return tuple(said)


def _waits(box: Box, days: float) -> str:
    """How long it is under way, and for which day of posting that holds."""
    said = f"is under way and waits {days:.0f} days at the longest"
    if box.posted is not None:
        said = f"Posted on that day it {said}"
        if box.window is not None and box.window.possible and box.window.waits_days > days:
            said += f"; posted on the first day, {box.window.waits_days} days"
    elif box.window is not None and box.window.earliest is not None and box.window.possible:
        said = f"Posted on the first day it {said}"
    else:
        said = f"It {said}"
    return f"{said}."


def _with_before(box: Box, day: int) -> Iterator[tuple[PlannedBag | None, PlannedBag]]:
    mine = [bag for bag in box.bags if bag.day == day]
    return zip((None, *mine), mine, strict=False)


def _life(one: Used) -> Row:
    share = "not known" if one.share is None else "needs cold"
    if one.share is not None and one.share != float("inf"):
        share = f"{one.share:.0%}" + ("  TOO LONG" if one.doubtful else "")
    return Row(cells=(capital(one.food.name), share, one.why))


def _swap(one: BoxSwap) -> Row:
    take = "nothing known that would"
    if one.stand_in is not None:
        grams = "" if one.stand_in_g is None else f", {print_mass(one.stand_in_g).text}"
        take = f"{one.stand_in.name}{grams}"
        if one.water_ml:
            word = "more" if one.water_ml > 0 else "less"
            take += f", {abs(one.water_ml):.0f} ml {word} water"
    instead = f"{capital(one.food.name)}, {print_mass(one.mass_g).text}"
    return Row(cells=(instead, take, one.why), notes=one.minds)


def _mass(mass_g: float, unknown: Sequence[str]) -> str:
    text = f"{print_mass(mass_g).text} ({print_mass(mass_g, 'us').text})"
    return f"at least {text}" if unknown else text
