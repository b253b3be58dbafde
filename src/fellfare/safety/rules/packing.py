"""Does the way of packing invite botulism?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fellfare.mistake import Severity
from fellfare.safety.case import Case, Part
from fellfare.safety.reading import (
    carried_aw,
    carried_water_percent,
    carried_wet,
    dry_again_after,
    hazards,
    is_cold,
    names,
    said,
    short,
    wets,
)
from fellfare.safety.rule import Hit, rule

#: Shelf stable with air kept out only up to here [USDA-FSIS-JERKY; 21 CFR 113, 114].
MOST_AW: Final = 0.85
#: For storage without oxygen: about 10 % moisture and low fat (extension services).
MOST_WATER_PERCENT: Final = 10.0
#: What counts as rich in fat here: own judgement, the sources say 'low fat' [g/100 g].
FAT_RICH_G: Final = 10.0
#: Nothing grows below it [BEUCHAT-1981].
DRY_AW: Final = 0.60


@rule(
    "fresh-in-oil",
    "error",
    "[NCHFP-GARLIC-OIL] 2015 after Nummer et al. 2011: 4 days at most, at or under 4 °C; "
    "[FDA-FOOD-CODE] 1-201.10(B)",
    "Fresh garlic, herbs or vegetables packed together with oil.",
)
def fresh_in_oil(case: Case) -> Iterator[Hit]:
    groups = [parts for _, parts in case.bags()]
    groups += [e.parts for e in case.events if e.step.where == "home"]
    told: set[int] = set()
    for group in groups:
        oils = [p for p in group if p.food.form == "oil" or p.food.group == "oil"]
        fresh = [
            p
            for p in group
            if "fresh-aromatic" in hazards(p.food)
            and not dry_again_after(case, p)
            and p.number not in told
        ]
        if not oils or not fresh:
            continue
        told |= {p.number for p in fresh}
        if all(is_cold(case, p) for p in (*oils, *fresh)):
            yield Hit(
                "caution",
                f"{names(fresh)} in oil: 4 days at most, at or under 4 °C all the time; agencies "
                "differ, this is the shortest.  Botulism toxin has no smell.",
                said(*fresh, *oils),
            )
        else:
            yield Hit(
                "error",
                f"{names(fresh)} in oil without cold: Clostridium botulinum grows there and its "
                "toxin has no smell.  Carry them apart, or take the dried kind.",
                said(*fresh, *oils),
            )


@rule(
    "reduced-oxygen",
    "error",
    "extension services on vacuum packing and dry storage without oxygen (Penn State, Utah State; "
    "seen in public copies); aw 0.85: 21 CFR 113 and 114 [CFR-114]",
    "A vacuum bag or oxygen absorber with food that is moist, rich in fat, or of unknown moisture.",
)
def reduced_oxygen(case: Case) -> Iterator[Hit]:
    for bag, parts in case.bags():
        if bag.packing not in ("vacuum", "oxygen-absorber"):
            continue
        how = "under vacuum" if bag.packing == "vacuum" else "with an oxygen absorber"
        for part in parts:
            yield from _without_oxygen(case, part, how)


def _without_oxygen(case: Case, part: Part, how: str) -> Iterator[Hit]:
    aw = carried_aw(case, part)
    water = carried_water_percent(case, part)
    name = short(part.food)
    oil = part.food.form == "oil"
    undried = part.food.form == "fresh" and not dry_again_after(case, part)
    cold = is_cold(case, part)
    moist = aw is None and (undried or (water is not None and water > MOST_WATER_PERCENT))
    if moist or (aw is not None and aw[1] > MOST_AW):
        yield Hit(
            "caution" if cold else "error",
            f"{name} is moist and packed {how}: "
            + (
                "it must stay at or under 5 °C all the time, or frozen."
                if cold
                else "Clostridium botulinum can grow without air, unseen.  Dry it, keep it "
                "cold, or let air in."
            ),
            said(part),
        )
    elif aw is None and not oil:
        yield Hit(
            "caution",
            f"{name} is packed {how} and its water activity is not known: only snap-dry food, "
            "about 10 % moisture or less.",
            said(part),
        )
    elif aw is not None and (aw[1] > DRY_AW or (water is not None and water > MOST_WATER_PERCENT)):
        severity: Severity = "caution" if aw[1] > DRY_AW else "note"
        yield Hit(
            severity,
            f"{name} is not dry enough for long storage {how}: the advice is about 10 % "
            "moisture or less.",
            said(part),
        )
    fat = part.food.per_100g.fat_g
    if fat is None or fat > FAT_RICH_G:
        yield Hit(
            "caution",
            f"{name} is {'rich in fat' if fat is not None else 'of unknown fat'}: the advice for "
            f"storage {how} is low-fat dry food; nuts, granola, jerky, dried egg and whole flour "
            "are named as unfit.",
            said(part),
        )


@rule(
    "absorber-in-the-pot",
    "caution",
    "common practice, no source: maker's directions of oxygen absorbers",
    "Water is poured into a bag that holds an oxygen absorber.",
)
def absorber_in_the_pot(case: Case) -> Iterator[Hit]:
    for bag, parts in case.bags():
        if bag.packing != "oxygen-absorber":
            continue
        wet = [e for e in case.events if wets(e) and any(e.has(part) for part in parts)]
        if wet:
            yield Hit(
                "caution",
                f"Take the oxygen absorber out of bag '{bag.name}' before water goes in.",
                said(wet[0]),
            )


@rule(
    "perishable",
    "error",
    "[USDA-FSIS-OUTDOORS] 2 h, 1 h above 32 °C (90 °F); [FDA-FOOD-CODE] 3-501.16, 5 °C",
    "Food that needs cold is carried without it beyond 2 h, 1 h above 32 °C.",
)
def perishable(case: Case) -> Iterator[Hit]:
    for part in case.parts:
        if not _needs_cold(case, part) or dry_again_after(case, part):
            continue
        if is_cold(case, part):
            yield Hit(
                "caution",
                f"{short(part.food)} must stay at or under 5 °C until it is cooked or eaten; say "
                "how, for the whole time.",
                said(part),
            )
            continue
        minutes, air_c = case.carried_minutes, case.air_c
        limit = 60.0 if air_c is not None and air_c > HOT_AIR_C else 120.0
        if minutes is None or not minutes <= limit:
            long = "for a time not told" if minutes is None else f"for {minutes:g} min"
            yield Hit(
                "error",
                f"{short(part.food)} needs cold and is carried without it {long}; the limit is "
                "2 h, 1 h above 32 °C.",
                said(part),
            )
        elif air_c is None and minutes > 60.0:
            yield Hit(
                "caution",
                f"{short(part.food)} is carried {minutes:g} min without cold in air of unknown "
                "warmth; above 32 °C the limit is 1 h.",
                said(part),
            )


def _needs_cold(case: Case, part: Part) -> bool:
    """Perishable by its nature, or prone to Listeria and moist enough for it to grow."""
    found = set(hazards(part.food))
    if found & set(NEEDS_COLD):
        return True
    aw = carried_aw(case, part)
    return "listeria-prone" in found and (aw is None or aw[1] > LISTERIA_AW)


#: Listeria grows from here on [BEUCHAT-1981], table B of [FDA-FOOD-CODE]; dry
#: sausage and dry-cured ham lie below.
LISTERIA_AW: Final = 0.92
#: USDA FSIS: above 90 °F one hour instead of two [°C].
HOT_AIR_C: Final = 32.0
NEEDS_COLD: Final = (
    "perishable", "raw-meat", "raw-fish", "raw-egg", "raw-milk", "sprouts",
)  # fmt: skip


@rule(
    "carried-wet",
    "error",
    "[FDA-FOOD-CODE] 1-201.10(B): cooked plant food needs time and temperature control; "
    "[USDA-FSIS-OUTDOORS]",
    "Food is wetted or cooked at home, not dried again, and carried without a time limit.",
)
def wetted_at_home(case: Case) -> Iterator[Hit]:
    if case.recipe.hold_minutes is not None:
        return  # then the clock of 'wet-hold' has it
    wet = [part for part in case.parts if carried_wet(case, part) is not None]
    warm = [part for part in wet if not is_cold(case, part)]
    if warm:
        yield Hit(
            "error",
            f"{names(warm)}: wetted or cooked at home and not dried again, then carried without "
            "cold.  Dry it, keep it at or under 5 °C, or say hold_minutes.",
            said(*warm),
        )
    elif wet:
        yield Hit(
            "caution",
            f"{names(wet)}: wetted or cooked at home; it must stay at or under 5 °C all the time.",
            said(*wet),
        )
