"""Who is served first out of a common pot, and before what goes in?"""

from __future__ import annotations

from typing import Final

from fellfare.pantry.food import Food
from fellfare.provision.acts import both
from fellfare.provision.bags.together import Grade, grade_of
from fellfare.provision.planned import Planned, Share
from fellfare.recipe.document import Act

#: What goes in by these, after the cooking, can wait until somebody is served.
_AT_THE_END: Final[tuple[Act, ...]] = ("mix", "serve")
_SAID: Final[dict[Grade, str]] = {"traces": " (may hold traces)"}


#: What is boxed on every paper.
NOT_FOR: Final = "NOT FOR"


def serve_first(dish: Planned) -> tuple[str, ...]:
    """What each of a common pot who avoids a part of it is served, and when.

    'serve Ada first, before the walnuts go in; own spoon', where all that Ada avoids goes in
    when nothing is cooked or left standing any more, after something else.  It counts when it
    contains what the eater avoids, may contain it, when nobody knows, or when the eater goes
    without it, as :func:`~fellfare.provision.bags.together.grade_of` grades.  Where one goes in
    before, it is no pot for Ada: her part is made apart, or she does not eat of it.  (Of mere
    traces that go in before, the bag that holds them tells.)
    Common practice of group kitchens, no source; it makes no pot free of traces.
    """
    if dish.apart or len(dish.eaters) < 2:
        return ()
    late = _late(dish)
    return tuple(said for eater in dish.eaters if (said := _served(dish, eater, late)))


def _served(dish: Planned, eater: Share, late: frozenset[str]) -> str:
    foods = {line.food.id: line.food for line in dish.sheet.lines}
    grades = {name: grade_of(eater, food) for name, food in foods.items()}
    early = [
        name
        for name, grade in grades.items()
        if grade in ("barred", "without") and name not in late
    ]
    last = [
        f"the {foods[name].name}{_SAID.get(grade, '')}"
        for name, grade in grades.items()
        if grade and name in late
    ]
    if not early:
        if not last:
            return ""
        return f"serve {eater.name} first, before {both(last)} go in; own spoon"
    short = _short(foods)
    lead = f"{NOT_FOR} {eater.name} out of this pot, because of {both(short[n] for n in early)}"
    if _is_most_of_it(dish, frozenset(early), late):
        return f"{lead}; {eater.name} eats something else"
    without = [
        short[name] for name, grade in grades.items() if name in early or (grade and name in late)
    ]
    return (
        f"{lead}. Make {eater.name}’s part apart, without {both(without)}, in a clean pot "
        f"and with an own spoon, or {eater.name} does not eat of it"
    )


def _short(foods: dict[str, Food]) -> dict[str, str]:
    """'the milk powder', or the whole name where two foods begin alike."""
    stems = {name: food.name.partition(",")[0] for name, food in foods.items()}
    alone = [*stems.values()]
    return {
        name: f"the {stem}" if alone.count(stem) == 1 else f"‘{foods[name].name}’"
        for name, stem in stems.items()
    }


def _is_most_of_it(dish: Planned, early: frozenset[str], late: frozenset[str]) -> bool:
    """Whether half or more of the known mass cooked is avoided: nothing is left to make apart."""
    cooked = [line for line in dish.sheet.lines if line.food.id not in late]
    if all(line.food.id in early for line in cooked):
        return True
    barred = sum(line.mass_g or 0.0 for line in cooked if line.food.id in early)
    return 2 * barred >= sum(line.mass_g or 0.0 for line in cooked) > 0.0


def _late(dish: Planned) -> frozenset[str]:
    """Foods of which no line is in the pot before the last mixing and serving."""
    steps = [step for step in dish.sheet.recipe.steps if step.where == "camp"]
    begins = len(steps)
    while begins and steps[begins - 1].act in _AT_THE_END:
        begins -= 1
    if not begins or not any(step.bags for step in steps[:begins]):
        return frozenset()
    early = {name for step in steps[:begins] for name in step.bags}
    after = {name for step in steps[begins:] for name in step.bags}
    late: dict[str, bool] = {}
    for each in dish.sheet.lines:
        names = {each.food.id, each.line.bag}
        late[each.food.id] = late.get(each.food.id, True) and (
            bool(names & after) and not names & early
        )
    return frozenset(food for food, waits in late.items() if waits)
