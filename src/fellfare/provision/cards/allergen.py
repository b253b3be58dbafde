"""Who must not eat what?  The allergen card of a plan, by both laws."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from fellfare.pantry.allergens import Declared, agent_name, combine, eu_name, us_name
from fellfare.pantry.food import Food
from fellfare.provision.planned import Planned, in_order


class AllergenRow(Struct, frozen=True, kw_only=True):
    """One agent in one dish."""

    #: 'walnut'.
    agent: str
    #: 'contains', 'may contain', 'unknown'.
    answer: str
    #: Names of the foods that bring it.
    foods: tuple[str, ...]
    #: As each law names it; '' = that law does not list it.
    us: str
    eu: str


class AllergenDish(Struct, frozen=True, kw_only=True):
    """One dish of the plan, with everything that it declares."""

    dish: str
    #: 'day 3 dinner', every time it is eaten.
    when: tuple[str, ...]
    rows: tuple[AllergenRow, ...]
    #: A mix of which no part is told is in it: every other allergen is unknown.
    all_unknown: bool


class AllergenPerson(Struct, frozen=True, kw_only=True):
    """One eater who avoids something, or keeps a diet."""

    name: str
    #: In their own words, and agent by agent.
    avoids: tuple[str, ...]
    agents: tuple[str, ...]
    diets: tuple[str, ...]
    #: Dishes that they are to eat and that concern them: 'day 3 dinner, Porridge:
    #: walnut (contains: walnut)'.
    minds: tuple[str, ...]
    #: 'walnut: left out of day 1 breakfast, Porridge'.
    goes_without: tuple[str, ...]


class AllergenCard(Struct, frozen=True, kw_only=True):
    """All dishes, and all who avoid something or keep a diet."""

    people: tuple[AllergenPerson, ...]
    dishes: tuple[AllergenDish, ...]
    standing: tuple[str, ...]


STANDING = (
    "'Not declared' does not mean 'free from': recipes and labels change, and spoons, boards and "
    "pots are shared.  Read every pack.  Keep the allergic eater's food, pot and spoon apart.",
    "US list: FALCPA 2004 and FASTER Act 2021.  EU list: Regulation (EU) No 1169/2011, Annex II.",
)


def allergen_card(dishes: Iterable[Planned]) -> AllergenCard:
    """The card of a plan; each recipe stands once, with all its times."""
    plan = in_order(dishes)
    rows: dict[tuple[str, tuple[str, ...]], list[Planned]] = {}
    for one in plan:
        foods = tuple(line.food.id for line in one.sheet.lines)
        rows.setdefault((one.dish, foods), []).append(one)
    names = dict.fromkeys(
        eater.name for one in plan for eater in one.eaters if eater.avoids or eater.diets
    )
    return AllergenCard(
        people=tuple(_person(name, plan) for name in names),
        dishes=tuple(_dish(group) for group in rows.values()),
        standing=STANDING,
    )


def allergen_rows(foods: Iterable[Food]) -> tuple[AllergenRow, ...]:
    """Everything that the foods declare, the gravest answer first."""
    foods = tuple(foods)
    names = {food.id: food.name for food in foods}
    told = combine(foods)
    return tuple(
        _row(declared, answer, names)
        for answer, found in (
            ("contains", told.contains),
            ("may contain", told.may_contain),
            ("unknown", told.unknown),
        )
        for declared in found
    )


def _row(declared: Declared, answer: str, names: dict[str, str]) -> AllergenRow:
    return AllergenRow(
        agent=agent_name(declared.agent),
        answer=answer,
        foods=tuple(names[food] for food in declared.foods),
        us=us_name(declared.agent) or "",
        eu=eu_name(declared.agent) or "",
    )


def _dish(group: list[Planned]) -> AllergenDish:
    foods = [line.food for line in group[0].sheet.lines]
    return AllergenDish(
        dish=group[0].dish,
        when=tuple(f"day {one.day} {one.time}" for one in group),
        rows=allergen_rows(foods),
        all_unknown=any(food.allergens.open_mix for food in foods),
    )


def _person(name: str, plan: tuple[Planned, ...]) -> AllergenPerson:
    avoids: dict[str, None] = {}
    agents: dict[str, None] = {}
    diets: dict[str, None] = {}
    minds, without = [], []
    for one in plan:
        for eater in one.eaters:
            if eater.name != name:
                continue
            avoids |= dict.fromkeys(eater.avoids)
            diets |= dict.fromkeys(eater.diets)
            agents |= dict.fromkeys(agent_name(agent) for agent in eater.agents)
            when = f"day {one.day} {one.time}, {one.dish}"
            for line in one.sheet.lines:
                if not one.eats(eater, line.food):
                    without.append(f"{line.food.name}: left out of {when}")
                    continue
                told = combine((line.food,))
                minds += [
                    f"{when}: {agent_name(agent)} ({told.of(agent)}: {line.food.name})"
                    for agent in eater.agents
                    if told.of(agent) != "not declared"
                ]
                if why := eater.diet_says(line.food):
                    minds.append(f"{when}: {line.food.name}: {why}")
    return AllergenPerson(
        name=name,
        avoids=tuple(avoids),
        agents=tuple(agents),
        diets=tuple(diets),
        minds=tuple(dict.fromkeys(minds)),
        goes_without=tuple(dict.fromkeys(without)),
    )
