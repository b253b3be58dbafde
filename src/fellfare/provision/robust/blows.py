"""What can go wrong, and what is left to eat then.

Each blow leaves so much food for so many days.  The food left is spread evenly over those
days, and the worst-off walker's share of the need is told.  From 80 % on the plan stands, from
55 % on it is thin (days of hunger, slower walking), below that it does not stand, unless it is
over within the day: that is a hungry day, on which one walks out.  Judgements, no source; short
gaps are borne, long ones cost strength (Murphy 2018 gives totals, see walk).
"""

from __future__ import annotations

from typing import Final, Literal

from msgspec import Struct

from fellfare.provision.robust.eaten import Packs, bag_kcal, packs_of
from fellfare.provision.trip.provision import Provision
from fellfare.trip.fuelling import FuelLeg

Kind = Literal["bag", "day-bag", "extra-day", "storm-day", "storm-fuel", "dry-source", "box"]
Verdict = Literal["stands", "thin", "hungry day", "does not stand", "unknown"]

STANDS_FROM: Final = 0.80
THIN_FROM: Final = 0.55
#: Over so many last days an extra day's food is spread: one knows of it late.
LATE_DAYS: Final = 3


class Left(Struct, frozen=True):
    """What one walker has left after a blow; of fuel, what one kitchen has."""

    name: str
    #: Over the days of the blow [kcal]; of fuel [g].
    need: float
    left: float

    def short_of(self, share: float) -> float:
        """What is missing to this share of the need, in its own unit; 0 when nothing is."""
        return max(0.0, share * self.need - self.left)


class Blow(Struct, frozen=True, kw_only=True):
    """One thing that goes wrong."""

    kind: Kind
    #: In words: 'the bag with Lentil soup of day 3 is lost'.
    what: str
    #: Days over which what is left must last; the first and the last.
    first_day: int
    last_day: int
    #: Worst-off walker, and what is left of that one's need over those days, 0 to 1 and above.
    walker: str
    share: float | None
    #: Energy that the worst-off walker lacks over those days [kcal]; 0 when nothing.
    lacking_kcal: float
    verdict: Verdict
    #: What is left, in words, where it is not food.
    told: str = ""
    #: Everybody whom it meets, not the worst-off alone; empty for water.
    each: tuple[Left, ...] = ()

    @property
    def percent(self) -> int | None:
        """The share in whole per cent, never above it: 79.6 is no 80 and does not look like it."""
        return None if self.share is None else int(100.0 * self.share + 1e-9)


def verdict_of(share: float | None, days: int) -> Verdict:
    """In a word; below the thin, a single day is a hungry one, more of them do not stand."""
    if share is None:
        return "unknown"
    if share >= STANDS_FROM:
        return "stands"
    if share >= THIN_FROM:
        return "thin"
    return "hungry day" if days <= 1 else "does not stand"


def blows_of(one: Provision) -> tuple[Blow, ...]:
    """Every blow that this plan is tried with, the worst of each kind of bag alone."""
    packs = packs_of(one)
    found = [
        *_lost_bags(one, packs),
        *_longer(packs),
        *_storms(packs),
        *(_fuel(leg, one) for leg in one.fuel),
        *_dry(one),
        *_boxes(packs),
    ]
    return tuple(blow for blow in found if blow is not None)


def _worst(
    packs: Packs,
    kind: Kind,
    what: str,
    first: int,
    last: int,
    lost: dict[str, float],
    more_need: dict[str, float] | None = None,
) -> Blow:
    """The worst-off walker over days first..last when so much is lost and so much more needed."""
    days = range(first, last + 1)
    each = []
    for name in packs.walkers:
        need = sum(packs.need_kcal[name, day] for day in days) + (more_need or {}).get(name, 0.0)
        food = sum(packs.food_kcal.get((name, day), 0.0) for day in days)
        left = max(food - lost.get(name, 0.0), 0.0) + packs.spare_kcal[name]
        if need > 0:
            each.append(Left(name, need, left))
    worst = min(each, key=lambda one: one.left / one.need, default=Left("", 1.0, 1.0))
    share = worst.left / worst.need
    return Blow(
        kind=kind,
        what=what,
        first_day=first,
        last_day=last,
        walker=worst.name,
        share=share,
        lacking_kcal=worst.short_of(1.0),
        verdict=verdict_of(share, last - first + 1),
        each=tuple(each),
    )


def _lost_bags(one: Provision, packs: Packs) -> list[Blow]:
    single: list[Blow] = []
    days: dict[tuple[str, int, int], float] = {}
    for bag in one.bags:
        lost = bag_kcal(bag)
        _, last = packs.carry_of(bag.leg, bag.day)
        what = f"the bag '{bag.name}' of {bag.dish}, day {bag.day}, is lost"
        single.append(_worst(packs, "bag", what, bag.day, last, lost))
        for name, kcal in lost.items():
            key = (name, bag.day, bag.leg)
            days[key] = days.get(key, 0.0) + kcal
    from_ = {take.leg: take.name or "the start" for take in one.takes}
    legs = {day: {leg for _, at, leg in days if at == day} for _, day, _ in days}
    whole = []
    for (name, day, leg), kcal in days.items():
        part = "" if len(legs[day]) == 1 else f" from {from_[leg]}"
        what = f"all of {name}'s food of day {day}{part} is lost"
        last = packs.carry_of(leg, day)[1]
        whole.append(_worst(packs, "day-bag", what, day, last, {name: kcal}))
    return [
        min(blows, key=lambda blow: (blow.share or 0.0, blow.first_day))
        for blows in (single, whole)
        if blows
    ]


def _longer(packs: Packs) -> list[Blow]:
    made = []
    for first, last, _ in packs.legs:
        begin = max(first, last - LATE_DAYS + 1)
        more = {name: packs.need_kcal[name, last] for name in packs.walkers}
        what = f"the carry of days {first} to {last} takes a day more"
        made.append(_worst(packs, "extra-day", what, begin, last, {}, more))
    return made


def _storms(packs: Packs) -> list[Blow]:
    """A day in the tent in the middle of each carry."""
    made = []
    for first, last, _ in packs.legs:
        middle = (first + last) // 2
        more = {name: packs.rest_kcal[name, middle] for name in packs.walkers}
        what = f"a storm holds the party on day {middle} for a day"
        made.append(_worst(packs, "storm-day", what, middle, last, {}, more))
    return made


def _fuel(leg: FuelLeg, one: Provision) -> Blow | None:
    if leg.boils == 0:
        return None
    ends = [stop.from_day for stop in one.fuel if stop.kitchen == leg.kitchen]
    later = [day for day in ends if day > leg.from_day]
    last = min(later) if later else len(one.plan.days)
    days = max(1, last - leg.from_day + 1)
    more = leg.fuel_g / days
    share = leg.filled_g / (leg.fuel_g + more) if leg.fuel_g else None
    verdict: Verdict = "stands" if share is not None and share >= 1.0 else "does not stand"
    told = (
        f"{leg.filled_g:.0f} g are carried, {leg.fuel_g + more:.0f} g would be burnt "
        f"({more:.0f} g of them on the day in the tent)"
    )
    who = ", ".join(one.plan.trip.kitchens[leg.kitchen].walkers)
    return Blow(
        kind="storm-fuel",
        what=f"fuel of {who} from {leg.from_name}, with a day in the tent",
        first_day=leg.from_day,
        last_day=last,
        walker=who,
        share=share,
        lacking_kcal=0.0,
        verdict=verdict,
        told=told,
        each=(Left(who, leg.fuel_g + more, leg.filled_g),),
    )


def _dry(one: Provision) -> list[Blow]:
    """The counted source that would be missed most."""
    cases = [case for case in one.plan.dry if case.counted]
    if not cases:
        return []
    worst = max(cases, key=lambda case: case.if_dry_ml)
    holds = one.plan.trip.way.bottles_ml
    share = holds / worst.if_dry_ml if worst.if_dry_ml else None
    return [
        Blow(
            kind="dry-source",
            what=f"{worst.name} is dry",
            first_day=worst.day,
            last_day=worst.day,
            walker="",
            share=share,
            lacking_kcal=0.0,
            verdict="stands" if share is None or share >= 1.0 else "does not stand",
            told=f"day {worst.day} from {worst.from_name}: {worst.if_dry_ml / 1000:.1f} L on each "
            f"back instead of {worst.if_runs_ml / 1000:.1f} L; the bottles hold "
            f"{holds / 1000:.1f} L",
        )
    ]


def _boxes(packs: Packs) -> list[Blow]:
    made = []
    for first, last, take in packs.legs:
        if not take.box:
            continue
        lost = {name: packs.leg_kcal.get((name, take.leg), 0.0) for name in packs.walkers}
        made.append(_worst(packs, "box", f"the box at {take.name} is lost", first, last, lost))
    return made
