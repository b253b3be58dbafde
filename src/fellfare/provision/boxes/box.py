"""One box: contents, masses, the list for customs, dates, and what does not belong in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from typing import Final

from msgspec import Struct

from fellfare.mistake import Finding
from fellfare.pantry.food import Food
from fellfare.pantry.swaps.trouble import melts
from fellfare.provision.bags.plan import PlannedBag, known_stop
from fellfare.provision.bags.tree import DayBag, Parcel, tree_of
from fellfare.provision.boxes.contents import (
    CustomsRow,
    across_a_border,
    customs_list,
    not_to_post,
)
from fellfare.provision.boxes.keeping import Used, form_for_the_wait, used
from fellfare.provision.boxes.posting import Post, Window, posted_outside, posting_window
from fellfare.provision.keep_by import Filling
from fellfare.provision.planned import date_of

#: Temperatures when nobody tells: at home, in a parcel and a store room in summer, in
#: the pack [°C].  Own judgement; vans and sheds in the sun get hotter.
HOME_C: Final = 21.0
BOX_C: Final = 30.0
PACK_C: Final = 25.0


class BoxSwap(Struct, frozen=True, kw_only=True):
    """A form that would keep, for one that does not or of which nobody knows."""

    food: Food
    mass_g: float
    why: str
    #: None = no other form of it is known to keep.
    stand_in: Food | None
    stand_in_g: float | None
    #: Water to add, below zero to leave out [mL].
    water_ml: float | None
    #: Allergens and hazards that come with it.
    minds: tuple[str, ...]


class Box(Struct, frozen=True, kw_only=True):
    """One box."""

    name: str
    leg: int
    days: tuple[DayBag, ...]
    bags: tuple[PlannedBag, ...]
    #: Things that are no food.
    things: tuple[str, ...]
    net_g: float
    gross_g: float
    mass_unknown: tuple[str, ...]
    #: Day on which it is opened, by the plan.
    opened_on: date | None
    window: Window | None
    #: Day on which the person means to post it; None = not told.
    posted: date | None
    #: How warm it lies, as reckoned with [°C].
    box_c: float
    #: From posting to opening, at the longest; None = not told.
    waits_days: float | None
    #: When its bags are filled, and how they lie until they are eaten.
    filling: Filling
    customs: tuple[CustomsRow, ...]
    life: tuple[Used, ...]
    swaps: tuple[BoxSwap, ...]
    findings: tuple[Finding, ...]


class BoxPlan(Struct, frozen=True, kw_only=True):
    """The person's own figures for one box."""

    post: Post | None = None
    #: Day on which it is to be posted; None = the earliest day of the window is reckoned with.
    posted: date | None = None
    #: Days by which the walkers may come earlier and later than planned.
    early_days: int = 0
    late_days: int = 0
    #: Days that the parcel is under way and waits, where no dates tell; None = not known.
    waits_days: float | None = None
    #: Days before posting on which the bags are filled.
    packed_days: int = 1
    box_c: float = BOX_C
    #: Cardboard and padding [g].
    carton_g: float = 0.0
    things: tuple[str, ...] = ()
    #: It crosses a border.
    abroad: bool = False


def boxes(
    bags: Sequence[PlannedBag],
    foods: Iterable[Food],
    *,
    first_day: date | None = None,
    plans: Mapping[str, BoxPlan] | None = None,
    shops_on_the_way: Iterable[str] = (),
    pack_c: float = PACK_C,
) -> tuple[Box, ...]:
    """Every box of the plan, in the order in which they are opened.

    Parameters
    ----------
    bags
        Of the whole plan; those with a stop travel in that stop's box.
    foods
        Among which forms that keep are sought.
    first_day
        Date of day 1; without it no posting dates.
    plans
        Figures by stop name.
    shops_on_the_way
        Stops whose food is bought there: no box.
    pack_c
        How warm the food lies when it is carried.

    Raises
    ------
    Mistake
        ``transit-out-of-range``, ``life-out-of-range``, ``unknown-stop``.
    """
    shops = set(shops_on_the_way)
    known_stop((*(plans or {}), *shops), bags)
    known = tuple(foods)
    return tuple(
        _box(parcel, known, first_day, (plans or {}).get(parcel.stop, BoxPlan()), pack_c)
        for parcel in tree_of(bags)
        if parcel.stop and parcel.stop not in shops
    )


def _box(
    parcel: Parcel, foods: Sequence[Food], first_day: date | None, plan: BoxPlan, pack_c: float
) -> Box:
    bags = parcel.bags
    opening = min(bag.day for bag in bags)
    opened_on = date_of(opening, first_day)
    window = None
    if opened_on is not None and plan.post is not None:
        arrival = (
            date_of(opening - plan.early_days, first_day) or opened_on,
            date_of(opening + plan.late_days, first_day) or opened_on,
        )
        window = posting_window(arrival, plan.post, parcel.stop)
    waits = plan.waits_days if window is None else float(window.waits_days)
    if plan.posted is not None and opened_on is not None:
        last_day = opened_on + timedelta(days=plan.late_days)
        waits = float(max(0, (last_day - plan.posted).days))
    filling = _filling(plan, window, waits, pack_c)
    life = _life(bags, opening, plan, waits, pack_c)
    days = (waits or 0.0) + plan.packed_days + max(bag.day for bag in bags) - opening
    doubtful = [one for one in life if one.doubtful and not (one.share is None and one.food.is_dry)]
    swaps = tuple(_swap(one, bags, foods, days, plan.box_c) for one in doubtful)
    return Box(
        name=parcel.stop,
        leg=parcel.leg,
        days=parcel.days,
        bags=bags,
        things=plan.things,
        net_g=parcel.mass_g,
        gross_g=parcel.gross_g + plan.carton_g,
        mass_unknown=parcel.mass_unknown,
        opened_on=opened_on,
        window=window,
        posted=plan.posted,
        box_c=plan.box_c,
        waits_days=waits,
        filling=filling,
        customs=customs_list(bags),
        life=life,
        swaps=swaps,
        findings=(
            *(window.findings if window is not None else ()),
            *posted_outside(plan.posted, window, parcel.stop),
            *not_to_post(plan.things, bags),
            *_kept(parcel.stop, life, plan.box_c),
            *_melting(parcel.stop, bags, plan.box_c),
            *_wait_untold(parcel.stop, waits),
            *across_a_border(parcel.stop, bags, plan.abroad),
        ),
    )


def _filling(plan: BoxPlan, window: Window | None, waits: float | None, pack_c: float) -> Filling:
    """The same stays as those of the list; of a wait that nobody told, all at its warmest.

    The bags are filled before the posting day told, else before the latest; their life counts
    from the day with which the wait is reckoned.
    """
    closed = plan.posted or (None if window is None else window.latest)
    first = plan.posted
    if first is None and window is not None:
        first = window.earliest if window.possible else None
    home = timedelta(days=plan.packed_days)
    return Filling(
        packed_on=None if closed is None else closed - home,
        stays=() if waits is None else ((plan.packed_days, HOME_C), (waits, plan.box_c)),
        storage_c=max(pack_c, plan.box_c) if waits is None else pack_c,
        counted_from=None if first is None else first - home,
    )


def _life(
    bags: Sequence[PlannedBag], opening: int, plan: BoxPlan, waits: float | None, pack_c: float
) -> tuple[Used, ...]:
    """Every food at its longest: at home, in the box, and in the pack until it is eaten."""
    last: dict[str, tuple[Food, int]] = {}
    for bag in bags:
        for food in bag.foods:
            last[food.id] = (food, max(bag.day, last.get(food.id, (food, 0))[1]))
    return tuple(
        used(
            food,
            [(plan.packed_days, HOME_C), (waits or 0.0, plan.box_c), (day - opening, pack_c)],
        )
        for food, day in last.values()
    )


def _swap(
    one: Used, bags: Sequence[PlannedBag], foods: Sequence[Food], days: float, box_c: float
) -> BoxSwap:
    mass_g = sum(
        content.mass_g or 0.0
        for bag in bags
        for content in bag.contents
        if content.food.id == one.food.id
    )
    options = form_for_the_wait(one.food, mass_g, foods, days, box_c)
    fit = next((o for o in options if o.fits and o.swap is not None), None)
    swap = None if fit is None else fit.swap
    minds: tuple[str, ...] = ()
    if swap is not None:
        told = swap.difference
        minds = (
            *(f"contains {agent}" for agent in told.contains),
            *(f"may contain {agent}" for agent in told.may_contain),
            *(f"not known: {agent}" for agent in told.unknown),
            *told.hazards_new,
        )
    return BoxSwap(
        food=one.food,
        mass_g=mass_g,
        why=one.why if one.share is None else f"{one.share:.0%} of its life used: {one.why}",
        stand_in=None if swap is None else swap.stand_in,
        stand_in_g=None if swap is None else swap.low_g,
        water_ml=None if swap is None else swap.water_ml,
        minds=minds,
    )


def _kept(name: str, life: Iterable[Used], box_c: float) -> tuple[Finding, ...]:
    spent = [one for one in life if one.share is not None and one.doubtful]
    unknown = [one for one in life if one.share is None and not one.food.is_dry]
    found = []
    if spent:
        said = ", ".join(
            f"{one.food.name} ({'needs cold' if one.share == float('inf') else f'{one.share:.0%}'})"
            for one in spent
        )
        found.append(
            Finding(
                severity="caution",
                rule="box-life",
                text=f"{name}: more than 80 % of its life is used when it is eaten, reckoned at "
                f"{box_c:.0f} °C: {said}.  Smell and taste before packing on; swaps stand beside.",
                source="each food's own keeping figure; Q10 of 2 to 3 (Labuza 1982) [LABUZA-1982]",
                about=tuple(one.food.id for one in spent),
            )
        )
    if unknown:
        said = ", ".join(one.food.name for one in unknown)
        found.append(
            Finding(
                severity="caution",
                rule="box-life",
                text=f"{name}: nobody has told how long these keep: {said}.",
                source="own judgement: what is not known is not harmless",
                about=tuple(one.food.id for one in unknown),
            )
        )
    return tuple(found)


#: From here on what melts goes soft in a box [°C]: chocolate softens near 27 °C (walkers'
#: reports), cocoa butter melts near 34 °C (from memory).
SOFT_C: Final = 27.0


def _melting(name: str, bags: Sequence[PlannedBag], box_c: float) -> tuple[Finding, ...]:
    foods = {food.id: food.name for bag in bags for food in bag.foods if melts(food)}
    if not foods or box_c < SOFT_C:
        return ()
    return (
        Finding(
            severity="caution",
            rule="box-melts",
            text=f"{name}: at {box_c:.0f} °C these go soft or run: {', '.join(foods.values())}.  "
            "Post what does not melt, pack each in a closed bag away from the rest, or ask for a "
            "cool shelf.",
            source="chocolate softens near 27 °C (walkers' reports), cocoa butter melts near 34 °C "
            "(from memory)",
            about=tuple(foods),
        ),
    )


def _wait_untold(name: str, waits: float | None) -> tuple[Finding, ...]:
    if waits is not None:
        return ()
    return (
        Finding(
            severity="caution",
            rule="box-wait-unknown",
            text=f"{name}: nobody has told how long the box waits; its life is reckoned without "
            "that time.  Give dates and days in the post, or waits_days.",
            source="own judgement: what is not known is not nothing",
            about=(name,),
        ),
    )
