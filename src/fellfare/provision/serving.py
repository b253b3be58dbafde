"""Who is served first out of a common pot, and before what goes in?"""

from __future__ import annotations

from typing import Final

from fellfare.provision.bags.together import Grade, grade_of
from fellfare.provision.planned import Planned
from fellfare.recipe.document import Act

#: What goes in by these, after the cooking, can wait until somebody is served.
_AT_THE_END: Final[tuple[Act, ...]] = ("mix", "serve")
_SAID: Final[dict[Grade, str]] = {"traces": " (may hold traces)"}


def serve_first(dish: Planned) -> tuple[str, ...]:
    """'serve Ada first, before the walnuts go in; own spoon', for each who avoids an add-in.

    An add-in goes in when nothing is cooked or left standing any more, after something else.
    It counts when it contains what the eater avoids, may contain it, when nobody knows, or when
    the eater goes without it, as :func:`~fellfare.provision.bags.together.grade_of` grades.
    Common practice of group kitchens, no source; it makes no pot free of traces.
    """
    if dish.apart or len(dish.eaters) < 2:
        return ()
    late = _late(dish)
    found: dict[str, dict[str, None]] = {}
    for eater in dish.eaters:
        for line in dish.sheet.lines:
            food = line.food
            grade = grade_of(eater, food)
            if grade and food.id in late:
                said = f"the {food.name}{_SAID.get(grade, '')}"
                found.setdefault(eater.name, {})[said] = None
    return tuple(
        f"serve {name} first, before {' and '.join(foods)} go in; own spoon"
        for name, foods in found.items()
    )


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
