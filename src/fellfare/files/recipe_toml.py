"""The recipe document: TOML in, TOML out, nothing lost on the way."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec
from msgspec import Struct

from fellfare.files.reading import place, read_document
from fellfare.measure.reading import read_amount
from fellfare.measure.units import System
from fellfare.mistake import Mistake, Mistakes
from fellfare.recipe.document import Bag, Line, Recipe, Step


class _Document(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """The keys of the file; tables are named in the singular, one [[line]] each."""

    title: str
    serves: int = 1
    meals: tuple[str, ...] = ()
    tags: tuple[str, ...] = ()
    about: str = ""
    origin: str = ""
    system: System = "us"
    hold_minutes: float | None = None
    air_c: float | None = None
    line: tuple[Line, ...] = ()
    step: tuple[Step, ...] = ()
    bag: tuple[Bag, ...] = ()


class RecipeFile(Struct, frozen=True):
    """A recipe and the file it stands in, so that a mistake can name the line."""

    path: Path
    text: str
    recipe: Recipe

    def placed(self, mistake: Mistake) -> Mistake:
        """The mistake with file and line in front of its field (``line[2].food``)."""
        if isinstance(mistake, Mistakes):
            return Mistakes(tuple(self.placed(one) for one in mistake.each))
        field = mistake.where.replace(" > ", ".")
        return Mistake(mistake.code, mistake.what, mistake.mend, place(self.path, self.text, field))


def read_recipe(path: Path) -> RecipeFile:
    """The recipe in one TOML file.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.reading.read_document`; ``empty-recipe``,
        ``serves-out-of-range``, ``minutes-out-of-range``; amounts are read
        here too, so that a wrong one is told with its line in the file.
    """
    document, text = read_document(path, _Document)
    faults = [mistake.at(place(path, text, field)) for field, mistake in _faults(document)]
    if faults:
        raise faults[0] if len(faults) == 1 else Mistakes(tuple(faults))
    return RecipeFile(path, text, _recipe(document))


def _faults(document: _Document) -> list[tuple[str, Mistake]]:
    faults: list[tuple[str, Mistake]] = []
    if not document.line:
        faults.append((
            "title",
            Mistake(
                "empty-recipe",
                f"the recipe {document.title[:60]!r} has no line",
                'add at least one [[line]] with food = "…" and amount = "…"',
            ),
        ))  # fmt: skip
    if not 1 <= document.serves <= 10_000:
        faults.append((
            "serves",
            Mistake(
                "serves-out-of-range", f"serves = {document.serves}", "a whole number from 1"
            ),
        ))  # fmt: skip
    for number, line in enumerate(document.line):
        try:
            read_amount(line.amount, document.system)
        except Mistake as mistake:
            faults.append((f"line[{number}].amount", mistake))
    for number, step in enumerate(document.step):
        minutes = step.minutes
        if minutes is not None and not 0 <= minutes <= 100_000:
            said = Mistake(
                "minutes-out-of-range", f"minutes = {minutes:g}", "minutes, 0 to 100 000"
            )
            faults.append((f"step[{number}].minutes", said))
        if step.water is not None:
            try:
                read_amount(step.water, document.system)
            except Mistake as mistake:
                faults.append((f"step[{number}].water", mistake))
    return faults


def _recipe(document: _Document) -> Recipe:
    return Recipe(
        title=document.title,
        serves=document.serves,
        meals=document.meals,
        tags=document.tags,
        about=document.about,
        origin=document.origin,
        system=document.system,
        hold_minutes=document.hold_minutes,
        air_c=document.air_c,
        lines=document.line,
        steps=document.step,
        bags=document.bag,
    )


def recipe_text(recipe: Recipe) -> str:
    """The recipe as a TOML document; reading it again gives an equal value."""
    import tomlkit  # only writing needs it, and it is slow to import

    document = _Document(
        title=recipe.title,
        serves=recipe.serves,
        meals=recipe.meals,
        tags=recipe.tags,
        about=recipe.about,
        origin=recipe.origin,
        system=recipe.system,
        hold_minutes=recipe.hold_minutes,
        air_c=recipe.air_c,
        line=recipe.lines,
        step=recipe.steps,
        bag=recipe.bags,
    )
    plain: dict[str, Any] = {"title": recipe.title, "serves": recipe.serves}
    plain |= msgspec.to_builtins(document)
    for key in ("line", "step", "bag"):
        if not plain.get(key):
            plain.pop(key, None)
    return tomlkit.dumps(plain)
