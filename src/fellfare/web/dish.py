"""What does a recipe come to?  Its sheet and what the rules say, by the calls the commands make."""

from __future__ import annotations

import re
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.mistake import Finding, Mistake, Mistakes
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.density import Pull, Shares, energy_shares, pulls
from fellfare.recipe.document import Recipe
from fellfare.recipe.sheet import Sheet, make_sheet
from fellfare.safety import check
from fellfare.safety.dish import case_of_dish

_PLACE: Final = re.compile(r"(line|step)\[(\d+)\]")


class Dish(Struct, frozen=True):
    """A recipe with everything that its page shows."""

    sheet: Sheet
    findings: tuple[Finding, ...]
    pulls: tuple[Pull, ...]
    shares: Shares | None


def dish_of(
    recipe: Recipe, pantry: Pantry, said: tuple[Finding, ...] = (), eaters: int | None = None
) -> Dish:
    """The dish for ``eaters``.

    Parameters
    ----------
    recipe, pantry, eaters
        As :func:`fellfare.recipe.sheet.make_sheet`.
    said
        What is odd about own foods; told when the recipe uses them.

    Raises
    ------
    Mistake
        As :func:`fellfare.recipe.sheet.make_sheet`.
    """
    sheet = make_sheet(recipe, pantry, eaters)
    used = {line.food.id for line in sheet.lines}
    findings = (
        *(finding for finding in said if used & set(finding.about)),
        *check(case_of_dish(sheet, pantry)),
    )
    return Dish(sheet, findings, pulls(sheet), energy_shares(sheet))


class Partial(Struct, frozen=True):
    """As much of a recipe as can be reckoned while it is being written."""

    dish: Dish | None
    #: Places (from 0, in the recipe as given) of the lines that are in it.
    lines: tuple[int, ...]
    mistakes: tuple[Mistake, ...]


def as_far_as_it_goes(recipe: Recipe, pantry: Pantry, said: tuple[Finding, ...] = ()) -> Partial:
    """The dish without the lines and steps that cannot be read, and why they cannot."""
    lines, steps = list(range(len(recipe.lines))), list(range(len(recipe.steps)))
    mistakes: list[Mistake] = []
    while lines:
        part = replace(
            recipe,
            lines=tuple(recipe.lines[place] for place in lines),
            steps=tuple(recipe.steps[place] for place in steps),
        )
        try:
            return Partial(dish_of(part, pantry, said), tuple(lines), tuple(mistakes))
        except Mistake as mistake:
            found = [_placed(one, lines, steps) for one in _each(mistake)]
            mistakes += [one for one, _, _ in found]
            bad = {(table, place) for _, table, place in found if table}
            if not bad:
                break
            lines = [place for place in lines if ("line", place) not in bad]
            steps = [place for place in steps if ("step", place) not in bad]
    return Partial(None, (), tuple(mistakes))


def _each(mistake: Mistake) -> tuple[Mistake, ...]:
    return mistake.each if isinstance(mistake, Mistakes) else (mistake,)


def _placed(mistake: Mistake, lines: list[int], steps: list[int]) -> tuple[Mistake, str, int]:
    """The mistake with its place in the whole recipe, not in what was left of it."""
    found = _PLACE.search(mistake.where)
    if found is None:
        return mistake, "", 0
    table = found.group(1)
    place = (lines if table == "line" else steps)[int(found.group(2))]
    where = mistake.where.replace(found.group(0), f"{table}[{place}]", 1)
    return Mistake(mistake.code, mistake.what, mistake.mend, where), table, place
