"""What the recipes ask for at home; then cutting, weighing and bagging."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from fellfare.mistake import Finding
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.bags.short import key_said, short_advice
from fellfare.provision.label import SAID
from fellfare.provision.planned import Planned
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
    groups: dict[tuple[str, str], list[int]] = {}
    for place, dish in enumerate(plan):
        groups.setdefault((dish.stop, dish.dish), []).append(place)
    for (stop, title), places in groups.items():
        dish = plan[places[0]]
        mine = [bag for bag in bags if bag.dish_number in places]
        if not mine:
            continue  # bought on the way: nothing is done at home
        found = said[places[0]]
        for number, step in enumerate(dish.sheet.steps, 1):
            if step.where != "home":
                continue
            inside = [
                content
                for bag in mine
                for content in bag.contents
                if not step.foods or content.food.id in step.foods
            ]
            grams = sum(content.mass_g or 0.0 for content in inside)
            names = tuple(dict.fromkeys(content.food.name for content in inside))
            kind = _kind(step.act)
            factor = sum(plan[place].servings for place in places) / dish.sheet.eaters
            water = f", water {step.water_ml * factor:.0f} ml" if step.water_ml else ""
            text = step.text or f"{SAID[step.act].capitalize()}: {', '.join(names)}"
            tasks.append(
                Task(
                    kind=kind,
                    text=f"{text} ({grams:.0f} g in all{water})",
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
                    bags=tuple(bag.number for bag in mine),
                    findings=tuple(f for f in found if f"step {number} ({step.act})" in f.about),
                )
            )
    return tasks


def cutting_tasks(plan: Sequence[Planned], bags: Sequence[PlannedBag], clock: Clock) -> list[Task]:
    """What the notes of the lines ask for: 'finely chopped'; once for each dish and place."""
    groups: dict[tuple[str, str], list[PlannedBag]] = {}
    for bag in bags:
        groups.setdefault((bag.stop, plan[bag.dish_number].dish), []).append(bag)
    tasks = []
    for (stop, title), mine in groups.items():
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
    groups: dict[tuple[str, int], list[PlannedBag]] = {}
    for bag in bags:
        groups.setdefault((bag.stop, bag.dish_number), []).append(bag)
    for (stop, place), mine in groups.items():
        dish = plan[place]
        foods = [food for bag in mine for food in bag.foods]
        lines = "".join(f"\n{_filled(bag)}" for bag in mine)
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
                    if finding.severity != "note"
                    and any(a.startswith("line") for a in finding.about)
                ),
            )
        )
    tasks += [_closing(stop, bags, clock) for stop in dict.fromkeys(bag.stop for bag in bags)]
    return tasks


def _filled(bag: PlannedBag) -> str:
    """'bag 17 oats (for Ada), snack bag: rolled oats 60 g, walnuts to taste'."""
    inside = ", ".join(
        f"{c.food.name} {'to taste' if c.mass_g is None else f'{round(c.mass_g, 1):g} g'}"
        for c in bag.contents
    )
    words = [bag.size or "a bag by eye", *short_advice(bag)]
    return (
        f"bag {bag.number} {bag.name} (for {', '.join(bag.eaters)}): {inside}.  "
        f"In: {'; '.join(words)}"
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
