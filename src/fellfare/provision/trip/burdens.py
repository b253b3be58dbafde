"""Who carries what on which morning, and is it too much?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

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
    """The bags divided among the walkers, and who carries more than they should.

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
    return shared, tuple(found)


def _divided(
    bags: Sequence[PlannedBag],
    carriers: Sequence[Carrier],
    avoids: Mapping[str, Sequence[Allergen]],
) -> tuple[Assignment, ...]:
    """All bags of one dish on one back; what one eats alone on one's own, where that is fair.

    The bags of a pot above :data:`BIG_POT_G` go each their own way.

    Who would carry more than :data:`NEAR_G` above their part gives dishes to others; but the
    who avoids something keeps what is theirs alone on their own back, and carries nothing
    that contains it, as long as somebody else can.
    """
    dishes: dict[tuple[int, tuple[str, ...], int], list[PlannedBag]] = {}
    pot_g: dict[int, float] = {}
    for bag in bags:
        pot_g[bag.dish_number] = pot_g.get(bag.dish_number, 0.0) + bag.gross_g
    for bag in bags:
        alone = bag.eaters if len(bag.eaters) == 1 else ()
        apart = bag.number if not alone and pot_g[bag.dish_number] > BIG_POT_G else 0
        dishes.setdefault((bag.dish_number, alone, apart), []).append(bag)
    units = [
        replace(some[0], number=number, mass_g=sum(bag.gross_g for bag in some), tare_g=0.0)
        for number, some in enumerate(dishes.values())
    ]
    inside = [[bag.number for bag in some] for some in dishes.values()]
    able = {one.name for one in carriers if one.share is None or one.share > 0}
    owners = {
        unit.number: unit.eaters[0]
        for unit in units
        if len(unit.eaters) == 1 and unit.eaters[0] in able
    }
    kept = {n: who for n, who in owners.items() if who in avoids}
    kept |= _elsewhere(units, list(dishes.values()), carriers, avoids, kept)
    each = carrying(units, carriers, owners | kept)
    free = carrying(units, carriers, kept)
    chosen = [
        own if own.unfair_g <= max(NEAR_G, anyhow.unfair_g) else anyhow
        for own, anyhow in zip(each, free, strict=True)
    ]
    return tuple(
        replace(
            one,
            carriers=tuple(
                replace(c, bags=tuple(sorted(n for unit in c.bags for n in inside[unit])))
                for c in one.carriers
            ),
        )
        for one in chosen
    )


def _elsewhere(
    units: Sequence[PlannedBag],
    inside: Sequence[Sequence[PlannedBag]],
    carriers: Sequence[Carrier],
    avoids: Mapping[str, Sequence[Allergen]],
    kept: Mapping[int, str],
) -> dict[int, str]:
    """Who carries what holds something that another avoids: its eater, else who has least.

    Of those already given a bag here, the one who is furthest below their part comes first.
    """
    able = {one.name: one.body_kg if one.share is None else one.share for one in carriers}
    parts = {name: part for name, part in able.items() if part}
    held = dict.fromkeys(parts, 0.0)
    given: dict[int, str] = {}
    for unit, some in zip(units, inside, strict=True):
        if unit.number in kept:
            continue
        told = combine(food for bag in some for food in bag.foods)
        barred = {
            name
            for name, agents in avoids.items()
            if any(told.of(agent) == "contains" for agent in agents)
        }
        free = [name for name in parts if name not in barred]
        if not barred & set(parts) or not free:
            continue
        eating = [name for name in free if name in unit.eaters and len(unit.eaters) == 1]
        who = eating[0] if eating else min(free, key=lambda n: held[n] / (parts[n] or 1.0))
        given[unit.number] = who
        held[who] += unit.gross_g
    return given


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
