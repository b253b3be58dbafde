"""Lists to tick off, as a page shows them; a tick holds as long as its line stays as it was."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from hashlib import blake2b
from typing import Final

from msgspec import Struct

from fellfare.book import Book
from fellfare.measure.printing import print_mass
from fellfare.paper.boxing import box_sheets
from fellfare.paper.buying import shopping_notes
from fellfare.paper.lists import Part, Sheet
from fellfare.paper.packing import goes_in, of_dish
from fellfare.paper.preparing import prep_sheet
from fellfare.paper.words import capital
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.bags.tree import View, view
from fellfare.provision.shopping.list import ShoppingRow
from fellfare.provision.trip.provision import Provision
from fellfare.web.figures import Units, mass

#: Longest item that the book keeps, less a few letters for a mark.
_MOST: Final = 180
#: Lists of a menu that keep ticks: name, what a tick means.
LISTS: Final = {
    "shopping": "got it",
    "prep": "done",
    "bags": "lies in its day bag",
    "boxes": "is in the box",
}


#: First columns of the parts of a list whose rows are things to take in hand.
_TO_TICK: Final = ("Bag", "Thing")


class Line(Struct, frozen=True, kw_only=True):
    """One thing to tick."""

    #: What the book remembers.
    item: str
    what: str
    #: (column, text); columns without a text are left out.
    figures: tuple[tuple[str, str], ...]
    notes: tuple[str, ...] = ()
    #: How it is done.
    how: tuple[str, ...] = ()
    #: Said loudly: 'not for Ada'.
    warns: tuple[str, ...] = ()
    done: bool = False


class Group(Struct, frozen=True, kw_only=True):
    """Lines under a heading."""

    heading: str
    lines: tuple[Line, ...]
    lead: tuple[str, ...] = ()
    #: False: a table to read, nothing to tick.
    ticks: bool = True
    part: Part | None = None


class Ticked(Struct, frozen=True):
    """How far a list is."""

    done: int
    of: int


def lists_of(one: Provision, name: str, ticks: frozenset[str], units: Units) -> tuple[Group, ...]:
    """One of :data:`LISTS`, with its ticks."""
    if name == "shopping":
        return shopping(one, ticks, units)
    if name == "prep":
        return prep(one, ticks)
    if name == "bags":
        return bags_by(one, "day", ticks, units)
    return tuple(group for sheet in box_sheets(one.boxes)
                 for group in of_sheet(sheet, ticks, sheet.title))  # fmt: skip


def ticked(book: Book, menu: str, one: Provision, name: str, units: Units) -> Ticked:
    """So many of so many lines are ticked."""
    groups = lists_of(one, name, book.ticks("menu", menu, name), units)
    lines = {line.item: line.done for group in groups if group.ticks for line in group.lines}
    return Ticked(sum(lines.values()), len(lines))


def item_of(*words: str) -> str:
    """One printable line; a long one ends in a mark of the whole."""
    text = " · ".join(" ".join(word.split()) for word in words if word)
    plain = "".join(letter for letter in text if letter.isprintable())
    if len(plain) <= _MOST:
        return plain
    return f"{plain[:_MOST]} {blake2b(plain.encode(), digest_size=6).hexdigest()}"


def of_sheet(sheet: Sheet, ticks: frozenset[str], before: str = "") -> tuple[Group, ...]:
    """The parts of a list as it stands on paper."""
    return tuple(
        Group(
            heading=part.heading,
            lead=part.lead,
            ticks=part.ticks and part.head[0] in _TO_TICK,
            part=part,
            lines=tuple(
                Line(
                    item=(item := item_of(before, part.heading, *row.cells)),
                    what=row.cells[0],
                    figures=_columns(part.head[1:], row.cells[1:]),
                    notes=row.notes,
                    done=item in ticks,
                )
                for row in part.rows
            ),
        )
        for part in sheet.parts
        if part.rows
    )


def prep(one: Provision, ticks: frozenset[str]) -> tuple[Group, ...]:
    """What is done at home, by the last day for each: as on paper, the doing in one breath."""
    return tuple(
        Group(
            heading=part.heading,
            lead=part.lead,
            lines=tuple(
                Line(
                    item=(item := item_of(part.heading, *row.cells)),
                    what=row.cells[0],
                    figures=_columns(("takes",), row.cells[2:]),
                    notes=row.notes,
                    how=tuple(row.cells[1].split("\n")),
                    done=item in ticks,
                )
                for row in part.rows
            ),
        )
        for part in prep_sheet(one.prep).parts
    )


def _columns(heads: Sequence[str], cells: Sequence[str]) -> tuple[tuple[str, str], ...]:
    return tuple((head, cell) for head, cell in zip(heads, cells, strict=True) if cell)


def shopping(one: Provision, ticks: frozenset[str], units: Units) -> tuple[Group, ...]:
    """By place and section, in the reader's measures."""
    return tuple(
        Group(
            heading=capital(f"{place.name + ': ' if place.name else ''}"
                            f"{section.group.replace('-', ' ')}"),
            lines=tuple(_to_buy(row, place.name, ticks, units) for row in section.rows),
        )
        for place in one.shopping.places
        for section in place.sections
    )  # fmt: skip


def _to_buy(row: ShoppingRow, place: str, ticks: frozenset[str], units: Units) -> Line:
    item = item_of(place, row.food.id, print_mass(row.buy_g).text)
    packs = " + ".join(
        f"{one.count} × {one.pack.name or mass(one.pack.size_g, units)}" for one in row.packs
    )
    return Line(
        item=item,
        what=capital(row.food.name),
        figures=_columns(
            ("buy", "packs", "left over", "cost"),
            (
                _amount(row, units),
                packs,
                mass(row.spare_g, units) if row.spare_g else "",
                "" if row.cost is None else f"{row.cost:.2f}",
            ),
        ),
        notes=shopping_notes(row),
        done=item in ticks,
    )


def _amount(row: ShoppingRow, units: Units) -> str:
    if row.buy_g <= 0:
        return "some" if row.unmeasured else "nothing: it is at home"
    spoons = "" if row.amount is None or units == "metric" else row.amount.us_household
    return mass(row.buy_g, units) + (f" · {spoons}" if spoons else "")


def bags_by(one: Provision, by: View, ticks: frozenset[str], units: Units) -> tuple[Group, ...]:
    """Every bag under the headings of one view, with the grams that count there."""
    carrier = {n: c.name for leg in one.carrying for c in leg.carriers for n in c.bags}
    bags = {bag.number: bag for bag in one.bags}
    sizes = [day for parcel in one.parcels for day in parcel.days]
    groups = []
    for row in view(one.bags, by):
        lead = [f"{'at least ' if row.mass_unknown else ''}{mass(row.mass_g, units)} of food"]
        if by == "day":
            lead += [
                f"into {'' if day.count == 1 else f'{day.count} × '}{day.size}"
                + (f", from {day.stop}" if day.stop else "")
                for day in sizes
                if day.day == bags[row.bags[0]].day
            ]
        mine = [bags[number] for number in row.bags]
        groups.append(
            Group(
                heading=capital(row.key),
                lead=tuple(lead),
                lines=tuple(
                    _bag(bag, before, carrier.get(bag.number, ""), ticks, units)
                    for before, bag in zip((None, *mine), mine, strict=False)
                ),
            )
        )
    return tuple(groups)


def _bag(
    bag: PlannedBag, before: PlannedBag | None, carrier: str, ticks: frozenset[str], units: Units
) -> Line:
    item = item_of(f"bag {bag.number}", bag.name, bag.dish, print_mass(bag.mass_g).text)
    least = "at least " if bag.mass_unknown else ""
    held = ", ".join(
        f"{content.food.name} {mass(content.mass_g, units)}" for content in bag.contents
    )
    return Line(
        item=item,
        what=f"{bag.number}  {capital(bag.name)}",
        figures=_columns(
            ("weighs", "goes in", "for", "carried by"),
            (
                least + mass(bag.gross_g, units),
                goes_in(bag),
                ", ".join(bag.eaters),
                "" if bag.eaters == (carrier,) else carrier,
            ),
        ),
        notes=(*of_dish(bag, before), *((held,) if len(bag.contents) > 1 else ())),
        warns=(
            *(f"not for {name}" for name in bag.not_for),
            *(f"{name}: may hold traces, read the labels" for name in bag.read_labels),
        ),
        done=item in ticks,
    )


def found(groups: Iterable[Group], item: str) -> Line | None:
    """The line that says just this."""
    return next((line for group in groups for line in group.lines if line.item == item), None)
