"""In what is each lot of food closed up, and what does that weigh empty?

The menu reckons packaging with it before there are bags, and the provision when it fills them:
both weigh the same bags.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from msgspec import Struct

from fellfare.pantry.food import Food
from fellfare.recipe.document import Bag, Packing
from fellfare.recipe.packing import BOTTLES, ZIP_BAGS, ZIP_FILL, bag_for
from fellfare.recipe.sheet import Sheet

#: A bottle or bag lies in its second bag with so much air: own judgement.
SECOND_BAG_ROOM: Final = 1.2


class Closed(Struct, frozen=True, kw_only=True):
    """What a lot of food is closed up in."""

    packing: Packing
    #: Smallest usual bag or bottle; None = larger than any, or volume unknown.
    size: str | None
    #: Empty mass with the second bag, where there is one [g]; None = unknown.
    tare_g: float | None
    #: Second bag around it, and why ('' = none).
    second: str
    why: str


def is_oil(food: Food) -> bool:
    """Fat without water, liquid or solid: it creeps into everything."""
    return food.form == "oil"


def needs_bottle(food: Food) -> bool:
    """What a zip bag does not hold: oils, and liquids that leak."""
    return is_oil(food) or (food.form in ("liquid", "paste") and "leaks" in food.traits)


def closed_up(bag: Bag, foods: Sequence[Food], volume_ml: float | None) -> Closed:
    """The bag or bottle for so much of these foods, and the second one around it.

    ``volume_ml`` of None = not known.  The author's own word on the empty bag counts.
    """
    packing = bag.packing
    if packing == "zip" and all(needs_bottle(food) for food in foods):
        packing = "screw"
    size, tare_g = (None, None) if volume_ml is None else bag_for(volume_ml, packing)
    tare_g = bag.tare_g if bag.tare_g is not None else tare_g
    second, second_g, why = _second_bag(foods, packing, size)
    return Closed(
        packing=packing,
        size=size,
        tare_g=None if tare_g is None else tare_g + second_g,
        second=second,
        why=why,
    )


def _second_bag(
    foods: Sequence[Food], packing: Packing, size: str | None
) -> tuple[str, float, str]:
    """(size, empty mass [g], why) of the bag around the bag; ('', 0, '') when it needs none."""
    if any(is_oil(food) or "leaks" in food.traits for food in foods):
        why = "oil and syrup leak"
    elif packing == "zip" and any("dusty" in food.traits for food in foods):
        why = "fine powder gets out of the seal"
    elif any("aromatic" in food.traits for food in foods):
        why = "its smell gets into other food"
    else:
        return "", 0.0, ""
    brims = {name: brim for name, brim, _ in (*ZIP_BAGS, *BOTTLES)}
    if size is None:
        return "a larger bag", 0.0, why
    outer, outer_g = bag_for(brims[size] * SECOND_BAG_ROOM * ZIP_FILL, "zip")
    return outer or "a larger bag", outer_g or 0.0, why


def lots_of(sheet: Sheet) -> tuple[tuple[Bag, tuple[int, ...]], ...]:
    """The bags of a dish with the lines (from 0) that lie in them.

    The author's bags; a line without one travels on its own.  Where no line has one, each
    liquid has its bottle and the rest one bag (the provision divides it by all its rules).
    """
    told = {bag.name: bag for bag in sheet.recipe.bags}
    some = any(line.line.bag for line in sheet.lines)
    groups: dict[str, list[int]] = {}
    for number, line in enumerate(sheet.lines):
        alone = some or needs_bottle(line.food)
        name = line.line.bag or (f"\0{number}" if alone else "")
        groups.setdefault(name, []).append(number)
    return tuple((told.get(name, Bag(name=name)), tuple(lines)) for name, lines in groups.items())


def tare_g(sheet: Sheet, servings: float) -> float:
    """Empty bags for so many servings filled together [g]; a lower bound where one is unknown."""
    total = 0.0
    for bag, lines in lots_of(sheet):
        some = [sheet.lines[number] for number in lines]
        loads = [(line.food, line.mass_g) for line in some]
        volume = _volume_ml(loads)
        if volume is not None:
            volume *= servings / sheet.eaters
        total += closed_up(bag, [food for food, _ in loads], volume).tare_g or 0.0
    return total


def _volume_ml(loads: Iterable[tuple[Food, float | None]]) -> float | None:
    """Of what was measured; None = the density of some of it is not known [mL]."""
    total = 0.0
    for food, grams in loads:
        if grams is None:
            continue
        if food.bulk_density_g_per_ml is None:
            return None
        total += grams / food.bulk_density_g_per_ml
    return total
