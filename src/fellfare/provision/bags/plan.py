"""What is in each bag, how heavy, how big, and how is it closed?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.mistake import Mistake
from fellfare.pantry.food import Food
from fellfare.provision.bags.together import (
    Grade,
    apart,
    barred_from,
    grade_of,
    grouped,
    kept_grades,
)
from fellfare.provision.planned import Planned, Share, in_order
from fellfare.recipe.bagging import closed_up, needs_bottle
from fellfare.recipe.document import Bag, Packing

#: Hot water in a bag: common practice of the trade; softening of polyethylene near
#: 105-115 °C from memory.  The maker's word on the bag counts.
HOT_POUR: Final = (
    "Hot water only in a bag that its maker declares for boiling water: let the boil rest one to "
    "two minutes, pour below 95 °C, stand the bag in a mug or cozy, never boil the bag itself.  "
    "A lidded pot or mug does as well."
)


class Content(Struct, frozen=True):
    """One line of the recipe inside one bag."""

    #: Place of the line in the recipe, from 0.
    line: int
    food: Food
    note: str
    #: None = not measured [g].
    mass_g: float | None
    #: Who eats how much of it [g]; None = not measured.
    portions: tuple[tuple[str, float | None], ...]
    #: The author dried or made it at home.
    home_made: bool = False


class PlannedBag(Struct, frozen=True, kw_only=True):
    """One bag filled at home; it carries one label."""

    #: From 1, in eating order over the whole plan.
    number: int
    #: Place of the dish in the plan, from 0.
    dish_number: int
    dish: str
    #: The author's name of the bag, or what lies in it.
    name: str
    day: int
    time: str
    leg: int
    stop: str
    #: Names of those who eat from it.
    eaters: tuple[str, ...]
    contents: tuple[Content, ...]
    packing: Packing
    kept: str
    #: Net mass of what was measured [g], and the foods nobody measured.
    mass_g: float
    mass_unknown: tuple[str, ...]
    #: As it lies in the bag [mL]; a lower bound with foods in ``volume_unknown``.
    volume_ml: float
    volume_unknown: tuple[str, ...]
    #: Smallest usual bag or bottle; None = larger than any, or volume unknown.
    size: str | None
    #: Empty mass with the second bag, where there is one [g]; None = unknown.
    tare_g: float | None
    #: Second bag around it, and why ('' = none).
    second_bag: str = ""
    second_why: str = ""
    advice: tuple[str, ...] = ()
    #: Who must never eat from it.
    not_for: tuple[str, ...] = ()
    #: Who eats from it and is to read its labels for traces of what they avoid.
    read_labels: tuple[str, ...] = ()
    #: As :class:`~fellfare.provision.planned.Planned` says.
    taken_on: int | None = None
    first_morning: int | None = None

    @property
    def foods(self) -> tuple[Food, ...]:
        """Foods in it, in the order of the lines."""
        return tuple(content.food for content in self.contents)

    @property
    def gross_g(self) -> float:
        """With the empty bag, as far as that is known [g]."""
        return self.mass_g + (self.tare_g or 0.0)


def bags_of(dishes: Iterable[Planned], *, regroup: bool = False) -> tuple[PlannedBag, ...]:
    """Every bag of the plan, in eating order.

    The author's bags stand, but what an eater goes without or avoids is taken
    out of a bag that holds other food.  A recipe without any bag, or
    ``regroup``, is divided into the fewest bags that
    :func:`~fellfare.provision.bags.together.apart` allows.  A line without a
    bag in a recipe that has bags travels on its own.

    Raises
    ------
    Mistake
        As :func:`~fellfare.provision.planned.in_order`.
    """
    bags: list[PlannedBag] = []
    for place, dish in enumerate(in_order(dishes)):
        for who in [(eater,) for eater in dish.eaters] if dish.apart else [dish.eaters]:
            for bag, lines in _groups(replace(dish, eaters=who), regroup):
                made = _fill(dish, place, bag, lines, who, len(bags) + 1)
                if made is not None:
                    bags.append(made)
    return tuple(bags)


def known_stop(names: Iterable[str], bags: Iterable[PlannedBag]) -> None:
    """Refuse the name of a stop at which nothing is taken up; '' is the start.

    Raises
    ------
    Mistake
        ``unknown-stop``.
    """
    stops = dict.fromkeys(["", *(bag.stop for bag in bags)])
    for name in names:
        if name not in stops:
            raise Mistake(
                "unknown-stop",
                what=f"nothing is taken up at {name[:80]!r}",
                mend="name one of the plan's stops: " + (", ".join(filter(None, stops)) or "none"),
            )


def _groups(dish: Planned, regroup: bool) -> list[tuple[Bag, tuple[int, ...]]]:
    """Every bag of one dish with its lines (from 0)."""
    lines = dish.sheet.lines
    if regroup or not any(line.line.bag for line in lines):
        return [
            (Bag(name=_name_of([lines[number].food for number in group])), group)
            for group in grouped(range(len(lines)), apart(dish))
        ]
    told = {bag.name: bag for bag in dish.sheet.recipe.bags}
    groups: dict[tuple[str, tuple[tuple[str, Grade], ...]], list[int]] = {}
    for number, line in enumerate(lines):
        name = line.line.bag or f"\0{number}"
        groups.setdefault((name, kept_grades(dish, line.food)), []).append(number)
    names = [name for name, _ in groups]
    made = []
    for (name, _), group in groups.items():
        foods = [lines[number].food for number in group]
        if name.startswith("\0"):
            bag = Bag(name=_name_of(foods))
        else:
            known = told.get(name, Bag(name=name))
            said = f"{name}: {_name_of(foods)}" if names.count(name) > 1 else name
            bag = Bag(name=said, packing=known.packing, kept=known.kept, tare_g=known.tare_g)
        if all(needs_bottle(food) for food in foods) and name not in told:
            bag = Bag(name=bag.name, packing="screw")
        made.append((bag, tuple(group)))
    return made


def _name_of(foods: Sequence[Food]) -> str:
    names = list(dict.fromkeys(food.name for food in foods))
    return names[0] if len(names) == 1 else f"{names[0]} and {len(names) - 1} more"


def _fill(
    dish: Planned,
    place: int,
    bag: Bag,
    lines: tuple[int, ...],
    who: tuple[Share, ...],
    number: int,
) -> PlannedBag | None:
    """The bag for these eaters; None when none of them eats from it."""
    contents = []
    for line in lines:
        of = dish.sheet.lines[line]
        eaters = [eater for eater in who if dish.eats(eater, of.food)]
        if not eaters:
            continue
        portions = tuple((eater.name, dish.mass_g(line, eater)) for eater in eaters)
        known = [grams for _, grams in portions if grams is not None]
        mass_g = None if of.mass_g is None else sum(known)
        home_made = of.line.home_made is True
        contents.append(Content(line, of.food, of.line.note, mass_g, portions, home_made))
    if not contents:
        return None
    mass_g, volume_ml = 0.0, 0.0
    mass_unknown: list[str] = []
    volume_unknown: list[str] = []
    size_known = True
    for content in contents:
        if content.mass_g is None:
            mass_unknown.append(content.food.id)
            volume_unknown.append(content.food.id)
            continue
        mass_g += content.mass_g
        if content.food.bulk_density_g_per_ml is None:
            volume_unknown.append(content.food.id)
            size_known = False
        else:
            volume_ml += content.mass_g / content.food.bulk_density_g_per_ml
    foods = [content.food for content in contents]
    closed = closed_up(bag, foods, volume_ml if size_known else None)
    names = dict.fromkeys(name for content in contents for name, _ in content.portions)
    return PlannedBag(
        number=number,
        dish_number=place,
        dish=dish.dish,
        name=bag.name,
        day=dish.day,
        time=dish.time,
        leg=dish.leg,
        stop=dish.stop,
        taken_on=dish.taken_on,
        first_morning=dish.first_morning,
        eaters=tuple(names),
        contents=tuple(contents),
        packing=closed.packing,
        kept=bag.kept,
        mass_g=mass_g,
        mass_unknown=tuple(mass_unknown),
        volume_ml=volume_ml,
        volume_unknown=tuple(volume_unknown),
        size=closed.size,
        tare_g=closed.tare_g,
        second_bag=closed.second,
        second_why=closed.why,
        advice=_advice(dish, bag, foods, closed.packing),
        not_for=tuple(dict.fromkeys(name for food in foods for name in barred_from(dish, food))),
        read_labels=tuple(
            eater.name
            for eater in dish.eaters
            if eater.name in names and any(grade_of(eater, food) == "traces" for food in foods)
        ),
    )


def _advice(dish: Planned, bag: Bag, foods: Sequence[Food], packing: Packing) -> tuple[str, ...]:
    said: list[str] = []
    if packing == "screw":
        said.append("screw cap, a little headspace, upright and away from clothes")
    elif any(needs_bottle(food) for food in foods):
        said.append("holds something that leaks: a screw bottle, or two bags")
    if any("crushes" in food.traits for food in foods):
        said.append("crushes: on top, or in a box")
    if any("melts" in food.traits for food in foods):
        said.append("melts: deep in the pack, out of the sun")
    if any("freezes" in food.traits for food in foods):
        said.append("goes solid in the cold: near the body")
    if bag.kept == "cold":
        said.append("at or under 5 °C until it is used")
    steeped = {
        name
        for step in dish.sheet.steps
        if step.act == "steep"
        for name in (*step.bags, *step.foods)
    }
    if packing == "zip" and (bag.name in steeped or steeped & {food.id for food in foods}):
        said.append(HOT_POUR)
    return tuple(said)
