"""Which lines of a dish may share a bag?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Final, Literal, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from fellfare.pantry.allergens import Combined, agent_name, combine
from fellfare.pantry.food import Food
from fellfare.provision.planned import Planned, Share, case_for
from fellfare.provision.stated import in_short
from fellfare.recipe.bagging import is_oil, needs_bottle
from fellfare.recipe.document import Bag
from fellfare.safety.case import Case, Part
from fellfare.safety.rules.bag import crisp_with_moist, mixed_bag
from fellfare.safety.rules.packing import fresh_in_oil

#: Fewest bags are found exactly up to so many lines, and greedily above.
EXACT_LINES: Final = 12

#: What keeps two lines apart, by rule of the safety room.
_RULES: Final = (mixed_bag, crisp_with_moist, fresh_in_oil)


class Apart(Struct, frozen=True):
    """Why two lines (from 0) must not share a bag: the first reason that was found."""

    one: int
    other: int
    why: str


def first_use(case: Case, part: Part) -> int:
    """Number of the first step in camp that acts on the part; after all of them if none does."""
    camp = [event for event in case.events if event.step.where == "camp"]
    found = (event.number for event in camp if event.has(part))
    return next(found, len(case.events) + 1)


def apart(dish: Planned) -> tuple[Apart, ...]:
    """Every pair of lines that should not lie in one bag, with a reason.

    Reasons: a food that one eater goes without; an allergen that one avoids; used in
    different steps; oil; a bottle; moisture, crispness and fresh food in oil by the rules of
    :mod:`fellfare.safety.rules`.
    """
    case = case_for(dish)
    found = []
    for one, other in combinations(range(len(case.parts)), 2):
        why = next(_reasons(dish, case, case.parts[one], case.parts[other]), None)
        if why is not None:
            found.append(Apart(one, other, why))
    return tuple(found)


def _reasons(dish: Planned, case: Case, one: Part, other: Part) -> Iterator[str]:
    """From the quickest to find to the slowest."""
    yield from _for_persons(dish, one.food, other.food)
    if _made_into_one(case, one, other):
        return
    if first_use(case, one) != first_use(case, other):
        yield "not used at the same time"
    if is_oil(one.food) != is_oil(other.food):
        yield "oil creeps into dry food"
    elif one.food.id != other.food.id and (needs_bottle(one.food) or needs_bottle(other.food)):
        yield "each liquid in a bottle of its own"
    bag = Bag(name="both")
    pair = replace(case, parts=tuple(replace(part, bag=bag) for part in (one, other)))
    for rule in _RULES:
        # A note about a moist neighbour (oats with milk powder) is no reason for two
        # bags; that crisp food goes soft is never more than a note, and is one.
        if any(one.severity != "note" or rule is crisp_with_moist for one in rule(pair)):
            yield _SAID[rule.id]


def _made_into_one(case: Case, one: Part, other: Part) -> bool:
    """Whether a step at home names both and makes them one thing: nuts toasted in oil."""
    return any(
        event.step.where == "home"
        and event.step.act in ("fry", "toast", "bake", "heat", "mix")
        and event.step.bags
        and event.has(one)
        and event.has(other)
        for event in case.events
    )


_SAID: Final = {
    "mixed-bag": "moist beside dry, or moisture not known",
    "crisp-with-moist": "crisp food goes soft beside it",
    "fresh-in-oil": "fresh food in oil",
}


#: What a food is to an eater: barred (what they avoid or their diet bars is in it, or nobody
#: knows), left out
#: of their serving, or theirs with a word on traces.
Grade: TypeAlias = Literal["", "traces", "without", "barred"]


def grade_of(eater: Share, food: Food) -> Grade:
    """What this food is to this eater; unknown counts like 'contains'."""
    told = combine((food,)) if eater.agents else Combined()
    answers = {told.of(agent) for agent in eater.agents}
    barred = bool(answers & {"contains", "unknown"}) or bool(eater.diet_says(food))
    if barred or ("may contain" in answers and eater.traces_barred):
        return "barred"
    if food.id in eater.without:
        return "without"
    return "traces" if "may contain" in answers else ""


def kept_from(dish: Planned, food: Food) -> tuple[str, ...]:
    """Names of the eaters from whose food this one is kept apart.

    They go without it, or avoid what it holds or may hold.  A lone eater has nobody to keep
    traces from: they are in the dish anyway.
    """
    return tuple(name for name, _ in kept_grades(dish, food))


def kept_grades(dish: Planned, food: Food) -> tuple[tuple[str, Grade], ...]:
    """The same eaters, each with what the food is to them: two bags for two grades."""
    alone = len(dish.eaters) == 1
    graded = [(eater.name, grade_of(eater, food)) for eater in dish.eaters]
    return tuple(one for one in graded if one[1] not in (("", "traces") if alone else ("",)))


def barred_from(dish: Planned, food: Food) -> tuple[str, ...]:
    """Names of those who must not eat this food, or go without it; of the whole party."""
    barred = [one.name for one in dish.eaters if grade_of(one, food) in ("barred", "without")]
    return (*barred, *(one.name for one in dish.others if grade_of(one, food) == "barred"))


def _for_persons(dish: Planned, one: Food, other: Food) -> list[str]:
    first, second = kept_grades(dish, one), kept_grades(dish, other)
    if first == second:
        return []
    names = sorted({name for name, _ in {*first} ^ {*second}})
    return [f"kept apart for {', '.join(names)}"]


def avoided(dish: Planned, food: Food) -> tuple[str, ...]:
    """'Ada: walnuts: contains walnut; may contain almond' for each eater whom it concerns."""
    return tuple(f"{name}: {food.name}: {why}" for name, why in why_avoided(dish, food).items())


def why_avoided(dish: Planned, food: Food) -> dict[str, str]:
    """Eater to 'contains walnut; may contain tree nuts', for each whom the food concerns."""
    told = ((eater.name, why_not(eater, food)) for eater in dish.eaters)
    return {name: why for name, why in told if why}


def why_not(eater: Share, food: Food) -> str:
    """'contains walnut; may contain tree nuts; not vegan'; '' where it does not concern them."""
    told = combine((food,))
    answers: dict[str, list[str]] = {}
    for agent in eater.agents:
        answers.setdefault(told.of(agent), []).append(agent_name(agent))
    parts = []
    for answer, word in _ANSWERS.items():
        if names := answers.get(answer):
            short = names if answer == "contains" else in_short(names)
            parts.append(f"{word} {', '.join(short)}")
    if diet := eater.diet_says(food):
        parts.append(diet)
    return "; ".join(parts)


_ANSWERS: Final = {
    "contains": "contains",
    "unknown": "not known whether it holds",
    "may contain": "may contain",
}


def grouped(
    lines: Sequence[int], conflicts: Sequence[Apart], exact: int = EXACT_LINES
) -> tuple[tuple[int, ...], ...]:
    """The lines in as few bags as the conflicts allow.

    Exact (branch and bound) up to ``exact`` lines; above, each line goes into
    the fullest bag that takes it, those with most conflicts first, which may
    need more bags than necessary.

    Returns
    -------
    tuple
        Groups of line numbers, each sorted, in the order of their first line.
    """
    foes: dict[int, set[int]] = {line: set() for line in lines}
    for pair in conflicts:
        if pair.one in foes and pair.other in foes:
            foes[pair.one].add(pair.other)
            foes[pair.other].add(pair.one)
    order = sorted(lines, key=lambda line: (-len(foes[line]), line))
    best = _greedy(order, foes)
    if len(order) <= exact:
        best = _fewest(order, foes, [], best)
    return tuple(sorted(tuple(sorted(group)) for group in best))


def _greedy(order: Sequence[int], foes: dict[int, set[int]]) -> list[list[int]]:
    groups: list[list[int]] = []
    for line in order:
        homes = [group for group in groups if not foes[line] & set(group)]
        if homes:
            max(homes, key=len).append(line)
        else:
            groups.append([line])
    return groups


def _fewest(
    order: Sequence[int], foes: dict[int, set[int]], groups: list[list[int]], best: list[list[int]]
) -> list[list[int]]:
    """The first smallest partition into groups without foes."""
    if len(groups) >= len(best):
        return best
    if not order:
        return [list(group) for group in groups]
    line, rest = order[0], order[1:]
    for place in sorted(range(len(groups)), key=lambda place: -len(groups[place])):
        group = groups[place]
        if not foes[line] & set(group):
            best = _fewest(
                rest, foes, [*groups[:place], [*group, line], *groups[place + 1 :]], best
            )
    return _fewest(rest, foes, [*groups, [line]], best)
