"""The packing list on paper: which bag goes into which day bag, and who carries it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from fellfare.measure.printing import print_mass
from fellfare.paper.days import day_said
from fellfare.paper.lists import Part, Row, Sheet
from fellfare.paper.words import capital
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.bags.short import key_said, short_advice
from fellfare.provision.bags.tree import DayBag, Parcel
from fellfare.provision.trip.provision import Provision


def packing_sheets(one: Provision) -> tuple[Sheet, ...]:
    """One list for the start and one for each box or shop: day bag by day bag."""
    carrier = {n: c.name for leg in one.carrying for c in leg.carriers for n in c.bags}
    return tuple(_sheet(one, parcel, carrier) for parcel in one.parcels)


def _sheet(one: Provision, parcel: Parcel, carrier: Mapping[int, str]) -> Sheet:
    if not parcel.stop:
        where = "carried from the start"
    elif parcel.stop in one.shops:
        where = f"bought at {parcel.stop}"
    else:
        where = f"in the box for {parcel.stop}"
    tare = parcel.gross_g - parcel.mass_g
    lead = [
        f"Food {mass_said(parcel.mass_g, parcel.mass_unknown)}, bags {print_mass(tare).text}; "
        f"{parcel.volume_ml / 1000:.1f} litres"
        + (", and more: not all is known." if parcel.volume_unknown else "."),
        "One bag, one label: the number is on both.  Tick when it lies in its day bag.",
        *key_of(parcel.bags),
    ]
    return Sheet(
        title=f"Packing: {where}",
        parts=tuple(_day(one, day, carrier) for day in parcel.days),
        lead=tuple(lead),
    )


def _day(one: Provision, day: DayBag, carrier: Mapping[int, str]) -> Part:
    when = one.plan.trip.date_of(day.day)
    said = f"Day {day.day}" + (f", {day_said(when)}" if when is not None else "")
    count = "" if day.count == 1 else f"{day.count} × "
    return Part(
        heading=f"{said}: {count}{day.size}",
        lead=(f"{print_mass(day.gross_g).text} with all bags; the empty bag takes the rubbish.",),
        head=("Bag", "For", "Goes in", "Weighs", "Carried by"),
        widths=(2.9, 1.3, 2.4, 0.9, 0.9),
        rows=tuple(
            Row(
                cells=(
                    f"{bag.number}  {capital(bag.name)}",
                    ", ".join(bag.eaters),
                    goes_in(bag),
                    mass_said(bag.gross_g, bag.mass_unknown, us=False),
                    carrier.get(bag.number, ""),
                ),
                notes=of_dish(bag, before),
            )
            for before, bag in zip((None, *day.bags), day.bags, strict=False)
        ),
    )


def of_dish(bag: PlannedBag, before: PlannedBag | None) -> tuple[str, ...]:
    """'Dinner: couscous pot', where the bag before it belongs to another dish."""
    if before is not None and (before.dish, before.time, before.eaters) == (
        bag.dish,
        bag.time,
        bag.eaters,
    ):
        return ()
    return (f"{capital(bag.time)}: {bag.dish}",)


def goes_in(bag: PlannedBag) -> str:
    """'snack bag, 8 × 13 cm; 2 bags; NOT FOR Ada'."""
    words = [bag.size or "a bag by eye", *short_advice(bag)]
    if bag.not_for:
        words.append(f"NOT FOR {', '.join(bag.not_for)}")
    if bag.read_labels:
        words.append(f"traces, {', '.join(bag.read_labels)}: read the label")
    return "; ".join(words)


def key_of(bags: Iterable[PlannedBag]) -> tuple[str, ...]:
    """What the short words mean, in one line; none when there is no such word."""
    said = key_said({word for bag in bags for word in short_advice(bag)})
    return (capital(said) + ".",) if said else ()


def mass_said(mass_g: float, unknown: Sequence[str], *, us: bool = True) -> str:
    """'130 g (4.6 oz)', 'at least' where something in it was not measured."""
    text = print_mass(mass_g).text
    if us:
        text += f" ({print_mass(mass_g, 'us').text})"
    return f"at least {text}" if unknown else text
