"""How heavy and how big is each bag?

Volumes come from each food's bulk density; a food without one is named, and
the volume is then a lower bound.  Bag sizes and their empty masses are common
practice of the trade, no source: weigh your own.
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.pantry.food import Food
from fellfare.recipe.document import Bag, Line, Packing, Recipe

#: Mass known or not: one line with its food [g].
Load = tuple[Line, Food, float | None]

#: Name, volume when brim-full [mL], empty mass [g] (common practice, no source).
ZIP_BAGS: Final = (
    ("powder bag, 5 × 7 cm", 40.0, 0.5),
    ("snack bag, 8 × 13 cm", 180.0, 1.5),
    ("sandwich bag, 16 × 15 cm", 480.0, 2.0),
    ("1-litre freezer bag", 950.0, 6.5),
    ("2-litre freezer bag", 1900.0, 8.5),
    ("4-litre freezer bag", 3800.0, 10.5),
)
BOTTLES: Final = (
    ("15 mL bottle", 15.0, 5.0),
    ("30 mL bottle", 30.0, 7.0),
    ("60 mL bottle", 60.0, 10.0),
    ("120 mL bottle", 120.0, 15.0),
    ("250 mL bottle", 250.0, 25.0),
    ("500 mL bottle", 500.0, 35.0),
)
#: A zip bag closes and can be kneaded up to this share of its volume; a bottle
#: wants a little headspace.
ZIP_FILL: Final = 0.70
BOTTLE_FILL: Final = 0.95


#: What goes into water need not stay whole on the way there.
_WET: Final = frozenset({"soak", "steep", "boil", "simmer"})


class PackedBag(Struct, frozen=True):
    """One bag of the recipe; ``name`` is '' for lines that travel unbagged."""

    name: str
    packing: Packing
    kept: str
    #: Numbers of the lines in it, from 1.
    lines: tuple[int, ...]
    foods: tuple[str, ...]
    mass_g: float
    #: Foods in it that nobody measured.
    mass_unknown: tuple[str, ...]
    volume_ml: float
    #: Foods in it whose bulk density (or mass) is unknown.
    volume_unknown: tuple[str, ...]
    #: Smallest usual bag or bottle that closes; None = larger than any, unbagged, or
    #: the volume of a measured food is unknown.
    size: str | None
    tare_g: float | None
    #: What the packer should mind.
    advice: tuple[str, ...]

    @property
    def volume_told_ml(self) -> float | None:
        """The volume of what is known of; None when nothing is."""
        return None if set(self.foods) <= set(self.volume_unknown) else self.volume_ml


def bag_for(volume_ml: float, packing: Packing) -> tuple[str | None, float | None]:
    """(size, empty mass [g]) of the smallest usual bag or bottle that closes."""
    sizes, fill = (BOTTLES, BOTTLE_FILL) if packing == "screw" else (ZIP_BAGS, ZIP_FILL)
    for name, brim_ml, tare_g in sizes:
        if volume_ml <= brim_ml * fill:
            return name, tare_g
    return None, None


def packed(recipe: Recipe, loads: tuple[Load, ...]) -> tuple[PackedBag, ...]:
    """The bags in the order in which the lines name them; unbagged lines last."""
    groups: dict[str, list[int]] = {}
    for number, (line, _, _) in enumerate(loads):
        groups.setdefault(line.bag or "", []).append(number)
    known = {bag.name: bag for bag in recipe.bags}
    names = sorted(groups, key=lambda name: name == "")
    wetted = {name for step in recipe.steps if step.act in _WET for name in step.bags}
    return tuple(
        _pack(known.get(name, Bag(name=name)), groups[name], loads, wetted) for name in names
    )


def _pack(bag: Bag, numbers: list[int], loads: tuple[Load, ...], wetted: set[str]) -> PackedBag:
    mass_g = volume_ml = 0.0
    mass_unknown: list[str] = []
    volume_unknown: list[str] = []
    advice: list[str] = []
    size_known = bool(bag.name)
    for number in numbers:
        _, food, grams = loads[number]
        if grams is None:
            mass_unknown.append(food.id)
            volume_unknown.append(food.id)
            continue
        mass_g += grams
        if food.bulk_density_g_per_ml is None:
            volume_unknown.append(food.id)
            size_known = False
        else:
            volume_ml += grams / food.bulk_density_g_per_ml
        if "leaks" in food.traits and bag.packing == "zip" and bag.name:
            advice.append(f"{food.id} leaks: a screw bottle, or two bags")
        if "crushes" in food.traits and not {bag.name, food.id} & wetted:
            advice.append(f"{food.id} crushes: on top, or in a box")
        if "melts" in food.traits:
            advice.append(f"{food.id} melts: deep in the pack")
    # A pinch that nobody measured does not change the bag; a measured food of unknown
    # volume does.
    size, tare_g = bag_for(volume_ml, bag.packing) if size_known else (None, None)
    return PackedBag(
        name=bag.name,
        packing=bag.packing,
        kept=bag.kept,
        lines=tuple(number + 1 for number in numbers),
        foods=tuple(loads[number][1].id for number in numbers),
        mass_g=mass_g,
        mass_unknown=tuple(dict.fromkeys(mass_unknown)),
        volume_ml=volume_ml,
        volume_unknown=tuple(dict.fromkeys(volume_unknown)),
        size=size,
        tare_g=bag.tare_g if bag.tare_g is not None else tare_g,
        advice=tuple(dict.fromkeys(advice)),
    )
