"""Which bag holds which delivery?  And who has the lot that is called back?

Lots are used up in the order of their best-before dates (first expired, first out: the trade's
rule), party by party in the order in which they set out, bag by bag in the order of eating.  Of a
party that is packed it is written down which lots went in: these come first, and keep what they
hold whatever comes later.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from typing import Final

from msgspec import Struct

from fellfare.mistake import Finding, Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.season.party import Party, by_date

#: Grams below which a rest of a lot is no rest.
_CRUMB_G: Final = 1e-6


class Lot(Struct, frozen=True, kw_only=True):
    """One delivery of one food."""

    number: str
    food: str
    mass_g: float
    received: date | None = None
    best_before: date | None = None
    supplier: str = ""


class Packed(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The bags of a party are filled, out of these lots and no others."""

    party: str
    lots: tuple[str, ...]
    on: date | None = None
    #: :attr:`fellfare.provision.season.party.Party.bags_mark` when they were filled; '' = not told.
    bags: str = ""


class Use(Struct, frozen=True, kw_only=True):
    """So much of a lot in one bag."""

    #: None = no lot was left: the bag was filled from something that nobody wrote down.
    lot: str | None
    food: str
    party: str
    #: The bag's number on its label, its dish, and its name.
    bag: int
    dish: str
    bag_name: str
    day: int
    #: On which it is eaten by the plan; None = the party has no date.
    eaten_on: date | None
    time: str
    #: '' = carried from the start; else the box in which it is posted.
    box: str
    eaters: tuple[str, ...]
    mass_g: float


class Ledger(Struct, frozen=True, kw_only=True):
    """Every use of every lot."""

    lots: tuple[Lot, ...]
    uses: tuple[Use, ...]
    findings: tuple[Finding, ...]

    def left_g(self, number: str) -> float:
        """What is left of a lot in the store room [g]."""
        lot = next(one for one in self.lots if one.number == number)
        used = sum(use.mass_g for use in self.uses if use.lot == number)
        return max(0.0, lot.mass_g - used)  # sums of parts may end a crumb above the whole

    def lots_of(self, party: str) -> tuple[str, ...]:
        """Numbers of the lots in a party's bags, in the order of use."""
        return tuple(dict.fromkeys(use.lot for use in self.uses if use.party == party and use.lot))


class Traced(Struct, frozen=True, kw_only=True):
    """One party that has something of a lot that is called back."""

    party: str
    #: 'to come', 'out', 'back', 'no date'.
    when: str
    eaters: tuple[str, ...]
    mass_g: float
    uses: tuple[Use, ...]
    #: First and last day of the walk; None = not fixed.
    sets_out: date | None
    is_back: date | None


def ledger_of(
    parties: Sequence[Party], lots: Sequence[Lot], pantry: Pantry, packed: Sequence[Packed] = ()
) -> Ledger:
    """Put the lots into the bags.

    ``packed`` in the order of packing; a party that it names takes of its own lots only.

    Raises
    ------
    Mistake
        ``lot-twice``, ``lot-out-of-range``, ``unknown-food``, ``party-twice``,
        ``packed-unknown-lot``.
    """
    _check(lots, pantry)
    filled = _filled(packed, lots)
    order = sorted(
        lots,
        key=lambda lot: (
            lot.best_before or date.max,
            lot.received or date.max,
            lot.number,
        ),
    )
    left = {lot.number: lot.mass_g for lot in order}
    of_food: dict[str, list[Lot]] = {}
    for lot in order:
        of_food.setdefault(lot.food, []).append(lot)
    uses: list[Use] = []
    late: dict[tuple[str, str], str] = {}
    short: dict[str, float] = {}
    dated = by_date(tuple(parties))
    first = [party for name in filled for party in dated if party.name == name]
    for party in (*first, *(one for one in dated if one.name not in filled)):
        for bag in party.home_bags:
            eaten = party.provision.plan.trip.date_of(bag.day)
            for content in bag.contents:
                want = content.mass_g or 0.0
                for lot in of_food.get(content.food.id, ()):
                    if want <= _CRUMB_G:
                        break
                    if lot.number not in filled.get(party.name, left):
                        continue
                    taken = min(want, left[lot.number])
                    if taken <= _CRUMB_G:
                        continue
                    left[lot.number] -= taken
                    want -= taken
                    uses.append(_use(lot.number, party, bag, content.food.id, taken))
                    if lot.best_before and eaten and eaten > lot.best_before:
                        late.setdefault((lot.number, party.name), content.food.name)
                if want > _CRUMB_G:
                    uses.append(_use(None, party, bag, content.food.id, want))
                    short[content.food.id] = short.get(content.food.id, 0.0) + want
    found = (*_changed(dated, packed), *_findings(late, short, pantry))
    return Ledger(lots=tuple(order), uses=tuple(uses), findings=found)


def _filled(packed: Sequence[Packed], lots: Sequence[Lot]) -> dict[str, set[str]]:
    """Party → the lots in its bags, in the order of packing; packed twice, both go in."""
    known = {lot.number for lot in lots}
    filled: dict[str, set[str]] = {}
    for at, one in enumerate(packed):
        for number in one.lots:
            if number not in known:
                raise Mistake(
                    "packed-unknown-lot",
                    f"the bags of {one.party!r} hold the lot {number!r}, which is not written down",
                    "write the lot down again: what is in bags must be followed",
                    f"packed[{at}].lots",
                )
        filled.setdefault(one.party, set()).update(one.lots)
    return filled


def _changed(parties: Sequence[Party], packed: Sequence[Packed]) -> Iterator[Finding]:
    """Filled bags of which trip, menu or a recipe says something else by now."""
    last = {one.party: one for one in packed}
    for party in parties:
        one = last.get(party.name)
        if one is None or not one.bags or one.bags == party.bags_mark:
            continue
        since = "" if one.on is None else f" on {one.on}"
        yield Finding(
            severity="caution",
            rule="packed-changed-since",
            text=f"The bags of {party.name} were filled{since}, and trip, menu, cupboard or a "
            "recipe was changed since: what is told of them is not what lies in them. Go by the "
            "papers that were printed then, or pack anew and say so.",
            source="common practice of traceability (what went in is what counts)",
            about=(party.name,),
        )


def _use(lot: str | None, party: Party, bag: PlannedBag, food: str, mass_g: float) -> Use:
    return Use(
        lot=lot,
        food=food,
        party=party.name,
        bag=bag.number,
        dish=bag.dish,
        bag_name=bag.name,
        day=bag.day,
        eaten_on=party.provision.plan.trip.date_of(bag.day),
        time=bag.time,
        box=bag.stop,
        eaters=bag.eaters,
        mass_g=mass_g,
    )


def _findings(
    late: Mapping[tuple[str, str], str], short: Mapping[str, float], pantry: Pantry
) -> tuple[Finding, ...]:
    found = [
        Finding(
            severity="caution",
            rule="lot-past-its-date",
            text=f"{party} eats {food} of lot {lot} after its best-before date: have a fresher "
            "delivery, or judge by the label and the law of the place.",
            source="the date on the pack; best before is of quality, use by of safety",
            about=(lot, party),
        )
        for (lot, party), food in sorted(late.items())
    ]
    if short:
        names = sorted((-grams, pantry.food(food).name) for food, grams in short.items())
        told = ", ".join(name + f" {-grams:,.0f} g".replace(",", " ") for grams, name in names[:6])
        more = f" and {len(names) - 6} more" if len(names) > 6 else ""
        found.append(
            Finding(
                severity="caution",
                rule="lot-not-written-down",
                text=f"No lot is written down for {told}{more}: a recall of these could not be "
                "followed.",
                source="common practice of traceability (one step back, one step forward)",
                about=tuple(sorted(short)) if len(short) <= 6 else (),
            )
        )
    return tuple(found)


def recall(
    ledger: Ledger, parties: Sequence[Party], number: str, today: date | None
) -> tuple[Traced, ...]:
    """Who has something of this lot, those now out first.

    Raises
    ------
    Mistake
        ``lot-unknown``.
    """
    _lot(ledger, number)
    return _traced(ledger, parties, today, lambda use: use.lot == number)


def doubtful(
    ledger: Ledger, parties: Sequence[Party], number: str, today: date | None
) -> tuple[Traced, ...]:
    """Who has the same food of no lot that is written down: it may be of this one.

    Raises
    ------
    Mistake
        ``lot-unknown``.
    """
    food = _lot(ledger, number).food
    return _traced(ledger, parties, today, lambda use: use.lot is None and use.food == food)


def _lot(ledger: Ledger, number: str) -> Lot:
    for lot in ledger.lots:
        if lot.number == number:
            return lot
    raise Mistake(
        "lot-unknown",
        f"no lot is called {number!r}",
        "one of: " + ", ".join(lot.number for lot in ledger.lots[:12]),
    )


def _traced(
    ledger: Ledger, parties: Sequence[Party], today: date | None, of: Callable[[Use], bool]
) -> tuple[Traced, ...]:
    order = {"out": 0, "no date": 1, "to come": 2, "back": 3}
    traced = []
    for party in parties:
        uses = tuple(use for use in ledger.uses if use.party == party.name and of(use))
        if uses:
            traced.append(
                Traced(
                    party=party.name,
                    when=party.when(today),
                    eaters=tuple(dict.fromkeys(name for use in uses for name in use.eaters)),
                    mass_g=sum(use.mass_g for use in uses),
                    uses=uses,
                    sets_out=party.sets_out,
                    is_back=party.is_back,
                )
            )
    return tuple(sorted(traced, key=lambda one: (order[one.when], one.party)))


def _check(lots: Sequence[Lot], pantry: Pantry) -> None:
    seen: set[str] = set()
    for at, lot in enumerate(lots):
        where = f"lot[{at}]"
        if lot.number in seen or not lot.number.strip():
            raise Mistake(
                "lot-twice",
                f"the lot {lot.number!r} has no number of its own",
                "give every delivery its number; the same food twice on one number: add them up",
                f"{where}.number",
            )
        seen.add(lot.number)
        if not 0.0 < lot.mass_g <= 1e8:
            raise Mistake(
                "lot-out-of-range", f"a lot of {lot.mass_g:g} g", "give grams", f"{where}.mass_g"
            )
        try:
            pantry.food(lot.food)
        except Mistake as mistake:
            raise mistake.at(f"{where}.food") from None
