"""The composition document: what the composer is asked, as TOML."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import msgspec
from msgspec import Struct

from fellfare.files.reading import parse_document, place, read_text
from fellfare.measure.units import System
from fellfare.mistake import Mistake, Mistakes
from fellfare.pantry.food import Way
from fellfare.recipe.composing.question import Aim, Composition, Limit, Pairing, Part, checked

GUIDE: Final = "docs/compose.md"


class _Document(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The keys of the file; tables are named in the singular, one [[part]] each."""

    title: str
    way: Way = "hot-pour"
    meals: tuple[str, ...] = ()
    #: 'more energy_kcal_per_100g', 'less cost', with a step where wished: 'less mass_g by 10'.
    aims: tuple[str, ...] = ()
    avoid: tuple[str, ...] = ()
    tastes: tuple[str, ...] = ()
    kind: tuple[str, ...] = ()
    system: System = "us"
    #: Food → money for a kilogram.
    price: dict[str, float] = {}
    part: tuple[Part, ...] = ()
    pairing: tuple[Pairing, ...] = ()
    limit: tuple[Limit, ...] = ()


class CompositionFile(Struct, frozen=True):
    """A composition and the file it stands in, so that a mistake can name the line."""

    path: Path
    text: str
    asked: Composition

    def placed(self, mistake: Mistake) -> Mistake:
        """The mistake with file and line in front of its field."""
        if isinstance(mistake, Mistakes):
            return Mistakes(tuple(self.placed(one) for one in mistake.each))
        field = mistake.where.replace(" > ", ".")
        return Mistake(mistake.code, mistake.what, mistake.mend, place(self.path, self.text, field))


def read_composition(path: Path) -> CompositionFile:
    """The composition in one TOML file.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.reading.read_document`, ``aim-not-understood`` and those of
        :func:`fellfare.recipe.composing.question.checked`, with the line.
    """
    return composition_of_text(read_text(path), path)


def composition_of_text(text: str, path: Path) -> CompositionFile:
    """As :func:`read_composition`, of a text; ``path`` only names it in mistakes."""
    document = parse_document(text, path, _Document, GUIDE)
    file = CompositionFile(path, text, Composition(title="", parts=()))
    try:
        given = {} if not document.aims else {"aims": tuple(map(read_aim, document.aims))}
        asked = Composition(
            title=document.title,
            parts=document.part,
            pairings=document.pairing,
            limits=document.limit,
            way=document.way,
            avoid=document.avoid,
            tastes=document.tastes,
            price_per_kg=tuple(document.price.items()),
            kind=document.kind,
            meals=document.meals,
            system=document.system,
            **given,
        )
        checked(asked)
    except Mistake as mistake:
        raise file.placed(mistake) from None
    return CompositionFile(path, text, asked)


def composition_text(asked: Composition) -> str:
    """The composition as a TOML document; reading it again gives an equal value."""
    import tomlkit  # only writing needs it, and it is slow to import

    plain: dict[str, Any] = {"title": asked.title, "way": asked.way}
    for key, words in (
        ("meals", asked.meals),
        ("aims", tuple(map(aim_text, asked.aims))),
        ("avoid", asked.avoid),
        ("tastes", asked.tastes),
        ("kind", asked.kind),
    ):
        if words:
            plain[key] = list(words)
    if asked.system != "us":
        plain["system"] = asked.system
    if asked.price_per_kg:
        plain["price"] = dict(asked.price_per_kg)
    for key, rows in (("part", asked.parts), ("pairing", asked.pairings), ("limit", asked.limits)):
        if rows:
            plain[key] = msgspec.to_builtins(rows)
    return tomlkit.dumps(plain)


def aim_text(aim: Aim) -> str:
    """'less mass_g by 10', as :func:`read_aim` takes it."""
    step = "" if aim.step is None else f" by {aim.step!r}"
    return f"{aim.better} {aim.figure}{step}"


def read_aim(text: str) -> Aim:
    """An aim in words: 'more protein_g', 'less mass_g by 10'.

    Raises
    ------
    Mistake
        ``aim-not-understood``.
    """
    match text.split():
        case [("more" | "less") as better, figure]:
            return Aim(figure=figure, better=better)
        case [("more" | "less") as better, figure, "by", step]:
            try:
                return Aim(figure=figure, better=better, step=float(step))
            except ValueError:
                pass
    raise Mistake(
        "aim-not-understood",
        f"{text[:60]!r} is no aim",
        "write 'more protein_g' or 'less mass_g by 10'",
        "aims",
    )
