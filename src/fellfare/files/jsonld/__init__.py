"""A recipe from a saved web page or file: schema.org JSON-LD, read into a pasted recipe.

Ingredients and steps go through the reader of pasted text, with the same refusals line by
line.  What is on the page and not taken over is listed by name; nothing is guessed, and no
claim about diet or nutrition is believed.  The vocabulary is [SCHEMA-ORG]; see
``docs/publishing.md``.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.files.jsonld.page import MOST_CHARACTERS, Unread, found_recipe, looks_like_page
from fellfare.files.jsonld.parts import Collector, Told
from fellfare.files.jsonld.words import one_line_of
from fellfare.files.reading import MOST_BYTES, read_bytes, read_text
from fellfare.measure.units import System
from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.pasted import MOST_LINE, Kind, Pasted, ReadLine, read_pasted

__all__ = ["ReadPage", "Unread", "looks_like_page", "read_jsonld", "read_saved"]

_MEALS: Final = frozenset({"breakfast", "lunch", "snack", "dinner", "drink", "sweet"})
_TAKEN: Final = frozenset({
    "@context", "@type", "@id", "name", "description", "author", "creditText", "url",
    "recipeYield", "yield", "recipeIngredient", "ingredients", "recipeInstructions", "step",
    "steps", "recipeCategory", "prepTime", "cookTime", "performTime", "totalTime",
})  # fmt: skip
_WHY: Final = {
    "nutrition": "reckoned anew from the foods",
    "suitableForDiet": "a claim; what the foods declare counts",
    "keywords": "may hold claims about diet: write your own tags",
    "image": "pictures are not kept", "video": "pictures are not kept",
    "thumbnailUrl": "pictures are not kept", "aggregateRating": "opinions are not kept",
    "review": "opinions are not kept",
}  # fmt: skip
_NO_PLACE: Final = "no place for it in a recipe document"


class ReadPage(Struct, frozen=True, kw_only=True):
    """A recipe from a page: as pasted text would give it, and what was not taken over."""

    pasted: Pasted
    unread: tuple[Unread, ...]


def read_saved(path: Path) -> str:
    """The text of a file: a page of up to 10 MB, any other text as usual.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.reading.read_text`.
    """
    data = read_bytes(path, MOST_CHARACTERS)
    if len(data) > MOST_BYTES and looks_like_page(data[:400].decode("utf-8", "replace")):
        try:
            return data.decode("utf-8-sig")
        except UnicodeDecodeError:
            pass  # told with its line below
    return read_text(path)


def read_jsonld(text: str, pantry: Pantry, system: System = "us") -> ReadPage:
    """The recipe of a saved page (HTML with JSON-LD scripts) or of a JSON-LD file.

    Parameters
    ----------
    text
        The whole file.
    pantry
        Foods that may be named.
    system
        Whose cup and spoon are meant.

    Raises
    ------
    Mistake
        ``page-too-large``, ``not-json``, ``no-recipe-found``, ``several-recipes``,
        ``page-too-odd``, ``text-too-long``.  A line that is not understood is no error here: see
        :attr:`fellfare.recipe.pasted.Pasted.refused`.
    """
    recipe, by_id, unread = found_recipe(text)
    things = Collector(by_id)
    things.ingredients(recipe.get("recipeIngredient", recipe.get("ingredients", [])))
    ingredients = tuple(things.lines)
    things.lines.clear()
    steps_key = next((key for key in ("recipeInstructions", "step", "steps") if key in recipe), "")
    things.instructions(recipe.get(steps_key, []))
    eaters = things.eaters(recipe.get("recipeYield", recipe.get("yield", [])))
    pasted = _through_reader(eaters, ingredients, tuple(things.lines), pantry, system)
    pasted = _with_head(pasted, recipe, things)
    for key in sorted(recipe.keys() - _TAKEN):
        things.leave(key[:60], _WHY.get(key, _NO_PLACE))
    left = sorted(things.unread, key=lambda one: one.what)
    return ReadPage(pasted=pasted, unread=(*left, *unread))


#: Lines that read as headings and the like; a recipe has one or two.
MOST_MISREAD: Final = 12
#: Kinds of line that the reader may make of each part.
_FITTING: Final[dict[str, frozenset[Kind]]] = {
    "recipeYield": frozenset({"serves", "refused"}),
    "recipeIngredient": frozenset({"ingredient", "refused"}),
    "recipeInstructions": frozenset({"step", "refused"}),
}
#: Said by the reader of a heading that does no harm.
_HARMLESS: Final = ("what follows goes into the bag", "a heading among the steps")


def _through_reader(
    eaters: int | str | None,
    ingredients: tuple[Told, ...],
    steps: tuple[Told, ...],
    pantry: Pantry,
    system: System,
) -> Pasted:
    """The lines as one pasted text, read; each line keeps the place where it stood."""
    rows = [Told("Title", "")]
    if eaters is not None:
        rows.append(Told(f"Serves {eaters}", "recipeYield"))
    rows += [Told("Ingredients", ""), *ingredients]
    headings = {None: "Method", "home": "At home", "camp": "In camp"}
    for number, step in enumerate(steps):
        if not number or step.place != steps[number - 1].place:
            rows.append(Told(headings[step.place], ""))
        rows.append(step)
    # What the reader would take for a heading ('Notes') would swallow what follows it:
    # such a row is taken out, refused, and the rest is read again.
    misread: dict[int, str] = {}
    while True:
        gone = {*misread, *(at for at, row in enumerate(rows) if len(row.text) > MOST_LINE)}
        # A blank line keeps the numbers.
        text = "\n".join("" if at in gone else row.text for at, row in enumerate(rows))
        pasted = read_pasted(text, pantry, system)
        read = {line.number - 1: line for line in pasted.lines}
        wrong = next((at for at, line in read.items() if not _fits(line, rows[at])), None)
        if wrong is None:
            break
        misread[wrong] = read[wrong].kind
        if len(misread) > MOST_MISREAD:
            raise Mistake(
                "page-too-odd",
                f"more than {MOST_MISREAD} lines of the recipe are no ingredients and no steps",
                "copy the recipe's text from the page and give that instead",
            )
    lines: list[ReadLine] = []
    for at, row in enumerate(rows):
        if row.where:
            lines.append(_placed(read.get(at), row, misread.get(at), len(lines) + 1))
    return replace(pasted, lines=tuple(lines))


def _fits(line: ReadLine, row: Told) -> bool:
    """Whether the reader took a row for what it stands for."""
    part = row.where.partition("[")[0]
    water = part == "recipeIngredient" and line.kind == "step" and "not carried" in line.understood
    return (
        not part
        or line.mistake is not None
        or line.kind in _FITTING[part]
        or line.understood.startswith(_HARMLESS)
        or water
    )


def _placed(line: ReadLine | None, row: Told, misread: str | None, number: int) -> ReadLine:
    """What the reader said of a row, with the place where the row stood."""
    if line is not None and line.mistake is None:
        return replace(line, number=number)
    text = row.text[:MOST_LINE]
    if line is not None and line.mistake is not None:
        told = line.mistake
        inner = told.where.partition(" > ")[2]
        where = f"{row.where} > {inner}" if inner else row.where
        mistake = Mistake(told.code, told.what, told.mend, where)
    elif misread is not None:
        what = f"{row.text[:60]!r} reads as {misread}, not as what it should be here"
        mend = "copy the lines into a text file, put this one right, and read that"
        mistake = Mistake("line-out-of-place", what, mend, row.where)
    else:
        what, mend = f"holds {len(row.text)} characters", f"break it into lines of {MOST_LINE}"
        mistake = Mistake("line-too-long", what, mend, row.where)
    return ReadLine(number=number, text=text, kind="refused", mistake=mistake)


def _with_head(pasted: Pasted, recipe: dict[str, Any], things: Collector) -> Pasted:
    """Title, words about the dish, meals and source, which the reader need not guess at."""
    title = one_line_of(recipe.get("name"))[:MOST_LINE]
    head: list[ReadLine] = []

    def say(text: str, kind: Kind, understood: str) -> None:
        head.append(ReadLine(number=0, text=text[:MOST_LINE], kind=kind, understood=understood))

    if title:
        say(title, "title", "the title")
    else:
        mistake = Mistake("no-title", "the recipe has no name", 'give it a "name"', "name")
        head.append(ReadLine(number=0, text="", kind="refused", mistake=mistake))
    about = one_line_of(recipe.get("description"))[:2000]
    if "description" in recipe and not about:
        things.leave("description", "is no text")
    about = " ".join(part for part in (about, things.durations(recipe)) if part)
    if about:
        say(about, "about", "about the dish")
    meals = _meals(recipe, things)
    if meals:
        say(", ".join(meals), "about", "eaten as")
    origin = things.source(recipe)
    if origin:
        say(origin, "about", "where it is from")
    lines = (*head, *pasted.lines)
    made = replace(pasted.recipe, title=title, about=about, meals=tuple(meals), origin=origin)
    return replace(
        pasted,
        recipe=made,
        lines=tuple(replace(line, number=number) for number, line in enumerate(lines, 1)),
    )


def _meals(recipe: dict[str, Any], things: Collector) -> list[str]:
    told = recipe.get("recipeCategory", [])
    words = []
    for one in told if isinstance(told, list) else [told]:
        words += [word.strip() for word in one_line_of(one).split(",")]
    for word in words:
        if word and word.casefold() not in _MEALS:
            things.leave("recipeCategory", f"{word[:40]!r} is none of our meals")
    meals = (word.casefold() for word in words)
    return list(dict.fromkeys(word for word in meals if word in _MEALS))
