"""How do the clauses of a method become steps?

Each clause is one act; but 'pour on boiling water; cover for 5 minutes' is one
steep of five minutes, and 'add the noodles and simmer 3 minutes' one simmer.
"""

from __future__ import annotations

import re
from typing import Final

from msgspec.structs import replace

from fellfare.recipe.document import Act, Step
from fellfare.recipe.method_line import brings_to_the_boil, heat_of_water

_A_LITTLE: Final = re.compile(r"\b(?:splash|little|more|bit|extra|drop)\b[^,.]*\bwater", re.I)
#: Water on the fire, or water that food stands in.
WATERY: Final[tuple[Act, ...]] = ("soak", "steep", "boil", "simmer")


def joined(step: Step, earlier: list[Step], *, same_sentence: bool) -> list[Step]:
    """All steps once ``step`` has come after ``earlier``: as one more, or as part of the last.

    Parameters
    ----------
    step
        The next clause.
    earlier
        What was done before it; not changed.
    same_sentence
        Whether both stand in one sentence.
    """
    if not earlier or earlier[-1].where != step.where:
        return [*earlier, step]
    last, sep = earlier[-1], ", " if same_sentence else ". "
    text = f"{last.text}{sep}{step.text}"
    bare = not step.bags and step.water is None
    same_foods = step.water is None and set(step.bags) <= set(last.bags)
    before = earlier[-2] if len(earlier) > 1 else None
    if step.act == "rest" and same_foods and _waits(last, before):
        act = last.act
        if step.minutes is not None or "overnight" in step.text.casefold():
            act = _standing(last, before)
        return [*earlier[:-1], replace(last, act=act, minutes=step.minutes, text=text)]
    if _stirred_in(last, before) and before and step.act == "rest" and bare and step.minutes:
        bags = tuple(dict.fromkeys((*before.bags, *last.bags))) if before.bags else ()
        text = f"{before.text}, {text}"
        act = _standing(before, earlier[-3] if len(earlier) > 2 else None)
        made = replace(before, act=act, bags=bags, minutes=step.minutes, text=text)
        return [*earlier[:-2], made]
    trivial = bare and step.minutes is None and step.act in ("mix", "rest", "serve", "pack")
    if trivial and (
        same_sentence
        or (step.act in ("mix", "pack") and _waits(last, before) and last.act != "rest")
    ):
        return [*earlier[:-1], replace(last, text=text)]
    if bare and same_sentence and _brought(last, step):
        return [*earlier[:-1], replace(last, act=step.act, minutes=step.minutes, text=text)]
    if bare and same_sentence and step.act in ("boil", "simmer", "fry", "toast") and (
        last.act == "mix" and last.minutes is None and last.bags and not _foods_in(earlier[:-1])
    ):  # fmt: skip
        return [*earlier[:-1], replace(last, act=step.act, minutes=step.minutes, text=text)]
    return [*earlier, step]


def _foods_in(steps: list[Step]) -> bool:
    return any(step.bags for step in steps)


def _waits(step: Step, before: Step | None) -> bool:
    """Whether the step has no time yet and may get one from a wait after it."""
    if step.minutes is not None:
        return False
    if step.act in ("soak", "steep", "rest"):
        return True
    return step.act == "mix" and (_wets(step) or _into_the_pot(step, before))


def _stirred_in(step: Step, before: Step | None) -> bool:
    """'Pour on boiling water, stir in the spices': what stands so has no time yet."""
    return (
        before is not None
        and before.where == step.where
        and before.act != "rest"
        and _waits(before, None)
        and step.act == "mix"
        and step.minutes is None
        and step.water is None
    )


def _wets(step: Step) -> bool:
    """'Add 200 ml cold water' and 'add the noodles to the boiling water'."""
    return heat_of_water(step.text) in ("boiling", "cold")


def _into_the_pot(step: Step, before: Step | None) -> bool:
    """'Bring 200 ml water to the boil.  Stir in the couscous': it stands in boiling water."""
    return (
        bool(step.bags)
        and before is not None
        and before.act == "heat"
        and not before.bags
        and heat_of_water(before.text) is not None
    )


def _standing(step: Step, before: Step | None) -> Act:
    """Food and water that stand together: a steep in boiling water, else a soak."""
    if step.act != "mix":
        return step.act
    boiling = heat_of_water(step.text) == "boiling" or _into_the_pot(step, before)
    return "steep" if boiling else "soak"


def _brought(last: Step, step: Step) -> bool:
    """'Bring to the boil and simmer 15 minutes' is one simmer."""
    return (
        last.act in ("boil", "heat")
        and last.minutes is None
        and step.act in ("boil", "simmer")
        and brings_to_the_boil(last.text)
    )


def poured_once(steps: list[Step]) -> list[Step]:
    """'Boil 200 ml water.  Pour the boiling water over …': the water is added once."""
    steps = list(steps)
    for place, step in enumerate(steps):
        if step.act == "heat" and step.water is not None and not step.bags:
            taker = taker_of_water(steps, place + 1)
            if taker is not None:
                steps[taker] = replace(steps[taker], water=step.water)
                steps[place] = replace(step, water=None)
    return steps


def taker_of_water(steps: list[Step], first: int = 0) -> int | None:
    """The first step from ``first`` on that takes water and has none yet.

    A step that speaks of water ('add the water and knead') goes before one that does not.
    """
    dry = [place for place in range(first, len(steps)) if steps[place].water is None]
    watery = [place for place in dry if steps[place].act in WATERY]
    spoken = [
        place
        for place in dry
        if steps[place].act in (*WATERY, "mix")
        and heat_of_water(steps[place].text)
        and not _A_LITTLE.search(steps[place].text)
    ]
    heated = [
        place for place in dry if steps[place].act == "heat" and heat_of_water(steps[place].text)
    ]
    return next(iter(spoken or watery or heated), None)
