"""What the recipes ask for at home; then cutting, weighing and bagging."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Final

from fellfare.mistake import Finding
from fellfare.provision.bags.plan import Content, PlannedBag
from fellfare.provision.bags.short import key_said, short_advice
from fellfare.provision.label import SAID
from fellfare.provision.planned import Planned
from fellfare.provision.prep.heaps import Heap, acted_on, heaps_of, last_heaps
from fellfare.provision.prep.task import LEAD, Clock, Kind, Task
from fellfare.recipe.document import Act

#: Notes that ask for a knife or a grater; others ('toasted', 'unsalted') say what to buy.
_CUT: Final = re.compile(
    r"\b(chop|cut|dic|slic|minc|grat|shred|crush|crumbl|cub|halv|quarter|strip|rub|snip|torn|tear"
    r"|ston|pit|peel|break|broken|ground|grind)"
)

#: Acts at home that are kitchen work of their own.
_COOKS: Final = ("boil", "simmer", "fry", "bake", "heat", "steep", "soak")


def kitchen_tasks(
    plan: Sequence[Planned],
    bags: Sequence[PlannedBag],
    clock: Clock,
    said: Sequence[tuple[Finding, ...]],
) -> list[Task]:
    """The home steps of every recipe, once for each place it is packed for."""
    tasks = []
    for (stop, title), places in _by_dish(plan).items():
        dish = plan[places[0]]
        mine = [bag for bag in bags if bag.dish_number in places]
        if not mine:
            continue  # bought on the way: nothing is done at home
        found = said[places[0]]
        heaps = heaps_of(dish, mine)
        for number, (step, heap) in enumerate(zip(dish.sheet.steps, heaps, strict=True), 1):
            if step.where != "home":
                continue
            here = acted_on(step, dish, mine)
            inside = [content for _, content in here]
            into = dict.fromkeys(bag.number for bag, _ in here)
            grams = sum(content.mass_g or 0.0 for content in inside)
            names = tuple(dict.fromkeys(content.food.name for content in inside))
            kind = _kind(step.act)
            factor = sum(plan[place].servings for place in places) / dish.sheet.eaters
            water = f", water {step.water_ml * factor:.0f} ml" if step.water_ml else ""
            text = step.text or f"{SAID[step.act].capitalize()}: {', '.join(names)}"
            tasks.append(
                Task(
                    kind=kind,
                    text=f"{text} ({grams:.0f} g in all{water}{_amounts(inside) if heap else ''})"
                    + _divided(heap),
                    dish=title,
                    stop=stop,
                    foods=names,
                    in_g=grams,
                    out_g=None,
                    days_before=LEAD[kind],
                    latest=clock.latest(stop, LEAD[kind]),
                    earliest=clock.earliest(
                        (content.food for content in inside), max(bag.day for bag in mine), stop
                    ),
                    minutes=step.minutes,
                    bags=tuple(into),
                    findings=tuple(f for f in found if f"step {number} ({step.act})" in f.about),
                )
            )
    return tasks


def _by_dish(plan: Sequence[Planned]) -> dict[tuple[str, str], list[int]]:
    """Places in the plan by the stop that a dish is packed for, and its name."""
    groups: dict[tuple[str, str], list[int]] = {}
    for place, dish in enumerate(plan):
        groups.setdefault((dish.stop, dish.dish), []).append(place)
    return groups


def _amounts(inside: Sequence[Content]) -> str:
    """': almonds 178 g, salt 2.4 g' where more than one food goes in."""
    grams: dict[str, float] = {}
    for one in inside:
        grams[one.food.name] = grams.get(one.food.name, 0.0) + (one.mass_g or 0.0)
    if len(grams) < 2:
        return ""
    said = (
        f"{name} {f'{round(mass, 1):g} g' if mass else 'to taste'}" for name, mass in grams.items()
    )
    return f": {', '.join(said)}"


def _divided(heap: Heap | None) -> str:
    """How a heap is divided among several bags."""
    if heap is None or len(heap.parts) < 2:
        return ""
    said = ", ".join(f"bag {number} {heap.part_said(number)}" for number in heap.parts)
    if heap.same_mass:
        return f"\nThen weigh out of the heap: {said}."
    return f"\nIt weighs other than what went in: weigh the heap, and give of it: {said}."


def cutting_tasks(plan: Sequence[Planned], bags: Sequence[PlannedBag], clock: Clock) -> list[Task]:
    """What the notes of the lines ask for: 'finely chopped'; once for each dish and place."""
    groups: dict[tuple[str, str], list[PlannedBag]] = {}
    for bag in bags:
        groups.setdefault((bag.stop, plan[bag.dish_number].dish), []).append(bag)
    tasks = []
    for (stop, title), mine in groups.items():
        mine = [bag for bag in mine if any(_CUT.search(one.note) for one in bag.contents)]
        noted = [content for bag in mine for content in bag.contents if _CUT.search(content.note)]
        if not noted:
            continue
        grams: dict[tuple[str, str], float] = {}
        for content in noted:
            key = (content.food.name, content.note)
            grams[key] = grams.get(key, 0.0) + (content.mass_g or 0.0)
        said = "; ".join(f"{name}, {mass:.0f} g: {note}" for (name, note), mass in grams.items())
        tasks.append(
            Task(
                kind="dice",
                text=f"Cut and prepare for {title}: {said}",
                dish=title,
                stop=stop,
                foods=tuple(dict.fromkeys(name for name, _ in grams)),
                in_g=sum(grams.values()),
                out_g=None,
                days_before=LEAD["dice"],
                latest=clock.latest(stop, LEAD["dice"]),
                earliest=None,
                bags=tuple(bag.number for bag in mine),
            )
        )
    return tasks


def bag_tasks(
    plan: Sequence[Planned],
    bags: Sequence[PlannedBag],
    clock: Clock,
    said: Sequence[tuple[Finding, ...]],
) -> list[Task]:
    """Weigh and bag: one task for each dish and place, with the findings about its lines."""
    tasks = []
    heaps: dict[int, Heap] = {}
    for places in _by_dish(plan).values():
        mine = [bag for bag in bags if bag.dish_number in places]
        heaps |= last_heaps(heaps_of(plan[places[0]], mine)) if mine else {}
    groups: dict[tuple[str, int, bool], list[PlannedBag]] = {}
    for bag in bags:
        groups.setdefault((bag.stop, bag.dish_number, bool(kept_from(plan, [bag]))), []).append(bag)
    told: set[int] = set()
    for (stop, place, _), mine in groups.items():
        dish = plan[place]
        foods = [food for bag in mine for food in bag.foods]
        lines = "".join(f"\n{_filled(bag, heaps.get(bag.number))}" for bag in mine)
        tasks.append(
            Task(
                kind="weigh",
                text=f"Weigh for day {dish.day} {dish.time}, {dish.dish}:{lines}",
                dish=dish.dish,
                stop=stop,
                foods=tuple(dict.fromkeys(food.name for food in foods)),
                in_g=sum(bag.mass_g for bag in mine),
                out_g=sum(bag.mass_g for bag in mine),
                days_before=0,
                latest=clock.latest(stop, 0),
                earliest=clock.earliest(foods, dish.day, stop),
                bags=tuple(bag.number for bag in mine),
                findings=tuple(
                    finding
                    for finding in said[place]
                    if place not in told
                    and finding.severity != "note"
                    and any(a.startswith("line") for a in finding.about)
                ),
            )
        )
        told.add(place)
    tasks += [_closing(stop, bags, clock) for stop in dict.fromkeys(bag.stop for bag in bags)]
    return tasks


def kept_from(plan: Sequence[Planned], bags: Iterable[PlannedBag]) -> tuple[str, ...]:
    """Those with an allergy whom some of these bags are not for."""
    names: dict[str, None] = {}
    for bag in bags:
        dish = plan[bag.dish_number]
        allergic = {one.name for one in (*dish.eaters, *dish.others) if one.avoids}
        names |= dict.fromkeys(name for name in bag.not_for if name in allergic)
    return tuple(names)


def _filled(bag: PlannedBag, heap: Heap | None) -> str:
    """'bag 17 oats (for Ada), 60 g in all: 40 g of the heap, walnuts 20 g.  In: snack bag'."""
    heaped = [c for c in bag.contents if heap is not None and c.line in heap.lines]
    parts = []
    if heap is not None and heaped:
        part = "all" if len(heap.parts) == 1 else heap.part_said(bag.number)
        parts.append(f"{part} of the heap")
    rest = [c for c in bag.contents if c not in heaped]
    parts += [_contents(rest)] if rest else []
    words = [bag.size or "a bag by eye", *short_advice(bag)]
    total = f"{'at least ' if bag.mass_unknown else ''}{round(bag.mass_g, 1):g} g in all"
    if heap is not None and not heap.same_mass:
        total += ", as weighed in"
    said = f"bag {bag.number} {bag.name} (for {', '.join(bag.eaters)}), {total}"
    return f"{said}: {', '.join(parts)}.  In: {'; '.join(words)}"


def _contents(some: Iterable[Content]) -> str:
    return ", ".join(
        f"{c.food.name} {'to taste' if c.mass_g is None else f'{round(c.mass_g, 1):g} g'}"
        for c in some
    )


def _closing(stop: str, bags: Sequence[PlannedBag], clock: Clock) -> Task:
    """One task for all bags of one place."""
    mine = [bag for bag in bags if bag.stop == stop]
    double = sum(1 for bag in mine if bag.second_bag)
    why = dict.fromkeys(bag.second_why for bag in mine if bag.second_bag)
    text = f"Label, fill, press the air out, close: {len(mine)} bags"
    if double:
        text += f", {double} of them in a second bag ({'; '.join(why)})"
    key = key_said({word for bag in mine for word in short_advice(bag)})
    return Task(
        kind="bag",
        text=f"{text}.  Tick them off on the packing list.  {key}".rstrip(),
        dish="",
        stop=stop,
        foods=(),
        in_g=None,
        out_g=sum(bag.gross_g for bag in mine),
        days_before=0,
        latest=clock.latest(stop, 0),
        earliest=None,
        bags=tuple(bag.number for bag in mine),
    )


def _kind(act: Act) -> Kind:
    if act in _COOKS:
        return "cook"
    plain: dict[str, Kind] = {"toast": "toast", "dry": "dry", "pack": "bag", "drain": "cook"}
    return plain.get(act, "mix")
