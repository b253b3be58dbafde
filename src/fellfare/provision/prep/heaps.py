"""What is mixed or cooked at home in one heap, and how is it divided among the bags?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from msgspec import Struct

from fellfare.provision.bags.plan import Content, PlannedBag
from fellfare.provision.bags.whole import apportion
from fellfare.provision.planned import Planned
from fellfare.recipe.document import Act
from fellfare.recipe.watering import WateredStep

#: What is done to food without making one heap of it.
_NO_HEAP: Final[tuple[Act, ...]] = ("pack", "dry", "serve", "drain")
#: After these a heap weighs as much as what went in.
_SAME_MASS: Final[tuple[Act, ...]] = ("mix", "rest")


class Heap(Struct, frozen=True, kw_only=True):
    """What one step at home makes of the same lines of several bags."""

    #: Number of the bag to what went in for it [g], in the order of the bags.
    parts: Mapping[int, float]
    #: Places of its lines in the recipe, from 0.
    lines: frozenset[int]
    #: It weighs what went in: nothing cooked or toasted off.
    same_mass: bool

    @property
    def mass_g(self) -> float:
        """What went in [g]."""
        return sum(self.parts.values())

    def part_said(self, number: int) -> str:
        """'44 g', or '20.3 %' of a heap that weighs less or more than what went in."""
        if self.same_mass:
            return f"{round(self.parts[number], 1):g} g"
        tenths = apportion(list(self.parts.values()), 1000)
        return f"{tenths[list(self.parts).index(number)] / 10:g} %"


def acted_on(
    step: WateredStep, dish: Planned, bags: Iterable[PlannedBag]
) -> list[tuple[PlannedBag, Content]]:
    """What lies in these bags of the dish of what a step at home acts on."""
    lines = dish.sheet.recipe.lines
    if step.bags:
        names = set(step.bags)
        return [
            (bag, content)
            for bag in bags
            for content in bag.contents
            if {lines[content.line].bag, content.food.id} & names
        ]
    return [
        (bag, content)
        for bag in bags
        for content in bag.contents
        if not step.foods or content.food.id in step.foods
    ]


def heaps_of(dish: Planned, bags: Sequence[PlannedBag]) -> tuple[Heap | None, ...]:
    """The heap of each step of the dish; None = it makes none, or not one to be divided.

    Of a step that acts on several bags of one eater nobody knows what becomes of them: the
    author's own words say it.
    """
    changed: set[int] = set()
    out: list[Heap | None] = []
    for step in dish.sheet.steps:
        if step.where != "home" or step.act in _NO_HEAP:
            out.append(None)
            continue
        found = acted_on(step, dish, bags)
        lines = frozenset(content.line for _, content in found)
        if step.act not in _SAME_MASS or step.water_ml or step.water_unknown:
            changed |= lines
        parts: dict[int, float] = {}
        for bag, content in found:
            parts[bag.number] = parts.get(bag.number, 0.0) + (content.mass_g or 0.0)
        owners = [(bag.dish_number, bag.eaters) for bag in bags if bag.number in parts]
        whole = len(owners) == len(set(owners)) and len(lines) > 0 and sum(parts.values()) > 0.0
        alone = len(lines) == 1 and not lines & changed
        same = not lines & changed
        heap = Heap(parts=parts, lines=lines, same_mass=same)
        out.append(heap if whole and not alone else None)
    return tuple(out)


def last_heaps(heaps: Iterable[Heap | None]) -> dict[int, Heap]:
    """Number of a bag to the last heap out of which it is filled."""
    return {number: heap for heap in heaps if heap is not None for number in heap.parts}
