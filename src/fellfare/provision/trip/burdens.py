"""Who carries what on which morning, and is it too much?"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.mistake import Finding
from fellfare.pantry.allergens import combine
from fellfare.pantry.food import Allergen
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.bags.tree import tree_of
from fellfare.provision.carrying import LIMIT_SHARE, Assignment, Carrier, carrying
from fellfare.provision.trip.own import Own, OwnCarrier
from fellfare.trip.plan import TripPlan

#: So much above the fair part is borne for the sake of one's own food on one's own back
#: [g]: own judgement, a small bottle of water.
NEAR_G: Final = 400.0

#: A pot for a whole group is too much for one back [g]: own judgement.
BIG_POT_G: Final = 800.0


def assigned(
    plan: TripPlan, bags: Sequence[PlannedBag], own: Own
) -> tuple[tuple[Assignment, ...], tuple[Finding, ...]]:
    """The bags divided among the walkers, and who carries more or else than they should.

    The pack is the walker's own without food, the kit of the plan (stove, fuel, jar) and all
    bags that are still to be eaten, of whichever carry; water comes on top.

    Raises
    ------
    Mistake
        As :func:`fellfare.provision.carrying.carrying`.
    """
    said = {
        walker.name: own.carriers.get(walker.name, OwnCarrier()) for walker in plan.trip.walkers
    }
    carriers = [
        Carrier(name=walker.name, body_kg=walker.mass_kg, share=said[walker.name].share)
        for walker in plan.trip.walkers
    ]
    shared = _divided(bags, carriers, {w.name: w.avoids for w in plan.trip.walkers if w.avoids})
    found = []
    for place, walker in enumerate(plan.trip.walkers):
        limit = said[walker.name].limit_share or plan.trip.rules.most_load_share or LIMIT_SHARE
        mornings = morning_g(shared, bags, walker.name, len(plan.days))
        kit_g = [1000.0 * kit for kit in _kit_kg(plan, place)]
        packs = [
            (1000.0 * walker.base_pack_kg + kit + food, day)
            for day, (food, kit) in enumerate(zip(mornings, kit_g, strict=True), 1)
        ]
        heaviest_g, day = max(packs)
        most_g = 1000.0 * limit * walker.mass_kg
        if heaviest_g > most_g:
            found.append(
                Finding(
                    severity="caution",
                    rule="pack-too-heavy",
                    text=f"{walker.name} carries {heaviest_g / 1000:.1f} kg on the morning of day "
                    f"{day}, {heaviest_g / walker.mass_kg / 10:.0f} % of body mass; the limit set "
                    f"is {limit:.0%} ({most_g / 1000:.1f} kg).  Water comes on top.",
                    source="the limit is the person's own; a fifth is common practice, no source",
                    about=(walker.name,),
                )
            )
    return shared, (*found, *_not_for_the_carrier(shared, bags))


class _Units(Struct, frozen=True, kw_only=True):
    """What is carried as one thing: dishes, or parts of them."""

    units: tuple[PlannedBag, ...]
    #: Numbers of the bags in each.
    inside: tuple[tuple[int, ...], ...]
    #: Number of a unit to those whom a bag in it is not for; to those who avoid what it contains.
    not_for: dict[int, frozenset[str]]
    contains: dict[int, frozenset[str]]


def _divided(
    bags: Sequence[PlannedBag],
    carriers: Sequence[Carrier],
    avoids: Mapping[str, Sequence[Allergen]],
) -> tuple[Assignment, ...]:
    """All bags of one dish on one back; what one eats alone on one's own, where that is fair.

    The bags of a pot above :data:`BIG_POT_G` go each their own way.

    Who would carry more than :data:`NEAR_G` above their part gives dishes to others; but
    who avoids something keeps what is theirs alone on their own back, and nobody carries a bag
    that is not for them, as long as somebody else can.  Where that would
    make the loads less fair by more than :data:`NEAR_G`, first the bags of a dish that are not
    for somebody go apart from the rest; then only what contains what one avoids stays off one's
    back.
    """
    whole, apart = _units(bags, avoids, apart=False), _units(bags, avoids, apart=True)
    able = {one.name for one in carriers if one.share is None or one.share > 0}
    tried = [_fairest(whole, carriers, able, avoids, whole.not_for)]
    if any(one.unfair_g > NEAR_G for one in tried[0]):
        tried.append(_fairest(apart, carriers, able, avoids, apart.not_for))
        tried.append(_fairest(whole, carriers, able, avoids, whole.contains))
    return tuple(_near(legs) for legs in zip(*tried, strict=True))


def _near(tried: Sequence[Assignment]) -> Assignment:
    """The first that is near to the last and freest in fairness."""
    most_g = tried[-1].unfair_g + NEAR_G
    return next(one for one in tried if one.unfair_g <= most_g)


def _units(
    bags: Sequence[PlannedBag], avoids: Mapping[str, Sequence[Allergen]], *, apart: bool
) -> _Units:
    dishes: dict[tuple[object, ...], list[PlannedBag]] = {}
    pot_g: dict[int, float] = {}
    for bag in bags:
        pot_g[bag.dish_number] = pot_g.get(bag.dish_number, 0.0) + bag.gross_g
    for bag in bags:
        alone = bag.eaters if len(bag.eaters) == 1 else ()
        single = bag.number if not alone and pot_g[bag.dish_number] > BIG_POT_G else 0
        key = (bag.dish_number, alone, single, bag.not_for if apart else ())
        dishes.setdefault(key, []).append(bag)
    units = tuple(
        replace(some[0], number=number, mass_g=sum(bag.gross_g for bag in some), tare_g=0.0)
        for number, some in enumerate(dishes.values())
    )
    holds = [combine(food for bag in some for food in bag.foods) for some in dishes.values()]
    return _Units(
        units=units,
        inside=tuple(tuple(bag.number for bag in some) for some in dishes.values()),
        not_for={
            number: frozenset(name for bag in some for name in bag.not_for)
            for number, some in enumerate(dishes.values())
        },
        contains={
            number: frozenset(
                name
                for name, agents in avoids.items()
                if any(told.of(agent) == "contains" for agent in agents)
            )
            for number, told in enumerate(holds)
        },
    )


def _fairest(
    of: _Units,
    carriers: Sequence[Carrier],
    able: Collection[str],
    avoids: Collection[str],
    barred: Mapping[int, Collection[str]],
) -> tuple[Assignment, ...]:
    """Each leg divided: everybody their own where that is fair, else as is fairest."""
    owners = {
        unit.number: unit.eaters[0]
        for unit in of.units
        if len(unit.eaters) == 1 and unit.eaters[0] in able
    }
    kept = {n: who for n, who in owners.items() if who in avoids}
    each = carrying(of.units, carriers, owners, barred)
    free = carrying(of.units, carriers, kept, barred)
    chosen = [
        own if own.unfair_g <= max(NEAR_G, anyhow.unfair_g) else anyhow
        for own, anyhow in zip(each, free, strict=True)
    ]
    return tuple(
        replace(
            one,
            carriers=tuple(
                replace(c, bags=tuple(sorted(n for unit in c.bags for n in of.inside[unit])))
                for c in one.carriers
            ),
        )
        for one in chosen
    )


def _not_for_the_carrier(
    shared: Sequence[Assignment], bags: Sequence[PlannedBag]
) -> tuple[Finding, ...]:
    """Who carries bags that are not for them, as nobody else could or not fairly."""
    numbered = {bag.number: bag for bag in bags}
    held: dict[str, list[int]] = {}
    for one in shared:
        for carrier in one.carriers:
            held.setdefault(carrier.name, []).extend(
                number
                for number in carrier.bags
                if carrier.name in numbered[number].not_for
                and numbered[number].eaters != (carrier.name,)
            )
    return tuple(
        Finding(
            severity="caution",
            rule="carries-what-is-not-for-them",
            text=f"{name} carries {'a bag that is' if len(some) == 1 else 'bags that are'} not "
            f"for {name}: {', '.join(map(str, some))}.  Nobody else can, or the loads would be "
            f"less fair by more than {NEAR_G:.0f} g.  Put them in a closed second bag, apart "
            f"from {name}'s own food, or trade them for others.",
            source="own judgement: what must not be eaten is best not within reach",
            about=(name,),
        )
        for name, some in held.items()
        if some
    )


def morning_g(
    shared: Sequence[Assignment], bags: Sequence[PlannedBag], name: str, days: int
) -> tuple[float, ...]:
    """Food with its bags on this back every morning before breakfast [g].

    The bag that holds all of a day's food is borne by those who carry of it, in proportion.
    What is taken up in the course of a day counts from the next morning; where nobody tells
    when it is taken up, from the first day of its carry on which something is eaten.
    """
    mine = {n for one in shared for c in one.carriers if c.name == name for n in c.bags}
    first = {leg: min(bag.day for bag in bags if bag.leg == leg) for leg in {b.leg for b in bags}}
    outer = _day_bag_parts(bags)
    held = [
        (
            bag.first_morning or (1 if bag.leg == 1 else first[bag.leg]),
            bag.day,
            bag.gross_g + outer.get(bag.number, 0.0),
        )
        for bag in bags
        if bag.number in mine
    ]
    return tuple(
        sum(gross_g for begins, ends, gross_g in held if begins <= day <= ends)
        for day in range(1, days + 1)
    )


def _day_bag_parts(bags: Sequence[PlannedBag]) -> dict[int, float]:
    """Number of a bag to its part of the day bag that it lies in [g]."""
    parts: dict[int, float] = {}
    for parcel in tree_of(bags):
        for day in parcel.days:
            inside_g = sum(bag.gross_g for bag in day.bags)
            empty_g = day.gross_g - inside_g
            parts |= {
                bag.number: empty_g * bag.gross_g / inside_g if inside_g > 0 else 0.0
                for bag in day.bags
            }
    return parts


def _kit_kg(plan: TripPlan, walker: int) -> list[float]:
    """Shared kit on one back on the first stretch of each day [kg]."""
    found: dict[int, float] = {}
    for stretch, day in enumerate((plan.stretches.day + 1).tolist()):
        found.setdefault(int(day), float(plan.kit_kg[walker, stretch]))
    last = 0.0
    out = []
    for day in range(1, len(plan.days) + 1):
        last = found.get(day, last)
        out.append(last)
    return out
