"""The recipe document: TOML in, TOML out, nothing lost on the way."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import msgspec
from msgspec import Struct

from fellfare.files.reading import parse_document, place, read_text
from fellfare.measure.reading import read_amount
from fellfare.measure.units import System
from fellfare.mistake import Mistake, Mistakes
from fellfare.recipe.document import Bag, Line, Recipe, Step
from fellfare.recipe.scaling import MOST_EATERS


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
        ``no-title``, ``…-out-of-range``, ``unknown-bag``, ``bag-twice``; amounts are read
        here too, so that a wrong one is told with its line in the file.
    """
    return recipe_of_text(read_text(path), path)


def recipe_of_text(text: str, path: Path) -> RecipeFile:
    """As :func:`read_recipe`, of a text; ``path`` only names it in mistakes."""
    document = parse_document(text, path, _Document)
    faults = [mistake.at(place(path, text, field)) for field, mistake in _faults(document)]
    if faults:
        raise faults[0] if len(faults) == 1 else Mistakes(tuple(faults))
    return RecipeFile(path, text, _recipe(document))


#: Figures of the document: code, least, most, what they are.  Outside, it is a slip.
_RANGES: Final = {
    "serves": ("serves-out-of-range", 1, MOST_EATERS, "a whole number of eaters"),
    "hold_minutes": ("minutes-out-of-range", 0, 100_000, "minutes"),
    "minutes": ("minutes-out-of-range", 0, 100_000, "minutes"),
    "air_c": ("temperature-out-of-range", -60, 60, "degrees Celsius"),
    "at_c": ("temperature-out-of-range", -60, 350, "degrees Celsius"),
    "tare_g": ("tare-out-of-range", 0, 10_000, "grams"),
    "scale_exponent": (
        "exponent-out-of-range", 0, 2, "1 grows with the eaters, 0 not at all; a number"
    ),
}  # fmt: skip


def _faults(document: _Document) -> list[tuple[str, Mistake]]:
    """Everything that is wrong with the values, each with its field."""
    faults: list[tuple[str, Mistake]] = []
    if not document.title.strip():
        mend = 'give the dish a name: title = "…"'
        faults.append(("title", Mistake("no-title", "the title is empty", mend)))
    if not document.line:
        what = f"the recipe {document.title[:60]!r} has no line"
        mend = 'add at least one [[line]] with food = "…" and amount = "…"'
        faults.append(("title", Mistake("empty-recipe", what, mend)))
    for key in ("serves", "hold_minutes", "air_c"):
        _check(faults, key, getattr(document, key), "")
    for number, line in enumerate(document.line):
        field = f"line[{number}]"
        _read(faults, f"{field}.amount", line.amount, document.system)
        _check(faults, "scale_exponent", line.scale_exponent, field)
    for number, step in enumerate(document.step):
        field = f"step[{number}]"
        _check(faults, "minutes", step.minutes, field)
        _check(faults, "at_c", step.at_c, field)
        if step.water is not None:
            _read(faults, f"{field}.water", step.water, document.system)
    faults += _bag_faults(document)
    return faults


def _check(faults: list[tuple[str, Mistake]], key: str, value: float | None, table: str) -> None:
    code, least, most, what = _RANGES[key]
    if value is None or least <= value <= most:  # NaN is in no range
        return
    field = f"{table}.{key}".lstrip(".")
    faults.append((field, Mistake(code, f"{key} = {value:g}", f"{what} from {least} to {most}")))


def _read(faults: list[tuple[str, Mistake]], field: str, text: str, system: System) -> None:
    try:
        read_amount(text, system)
    except Mistake as mistake:
        faults.append((field, mistake))


def _bag_faults(document: _Document) -> list[tuple[str, Mistake]]:
    """A [[bag]] that no line goes into would lose its word ('cold') unseen."""
    faults: list[tuple[str, Mistake]] = []
    used = {line.bag for line in document.line if line.bag}
    seen: set[str] = set()
    for number, bag in enumerate(document.bag):
        field = f"bag[{number}]"
        _check(faults, "tare_g", bag.tare_g, field)
        if bag.name in seen:
            what = f"the bag {bag.name[:60]!r} is described twice"
            mistake = Mistake("bag-twice", what, "put all of it into one [[bag]]")
            faults.append((f"{field}.name", mistake))
        elif bag.name not in used:
            bags = ", ".join(sorted(used)) or "none yet"
            what = f"no line goes into the bag {bag.name[:60]!r}"
            mistake = Mistake("unknown-bag", what, f"name a bag of the lines ({bags})")
            faults.append((f"{field}.name", mistake))
        seen.add(bag.name)
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
