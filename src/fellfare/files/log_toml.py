"""The log of a trip: TOML in, TOML out; and an empty one to fill in."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final, get_args

import msgspec
from msgspec import Struct

from fellfare.files.reading import parse_document, place, read_text
from fellfare.learn.log import (
    Boiled,
    Day,
    Felt,
    Item,
    Left,
    Liked,
    Soaked,
    TripLog,
    Walked,
    Weighed,
)
from fellfare.mistake import Mistake, Mistakes
from fellfare.pantry.food import Way

GUIDE: Final = "docs/learn.md"
#: Keys that take one of a few words.
_CHOICES: Final[dict[str, tuple[str, ...]]] = {"felt": get_args(Felt), "way": get_args(Way)}


class _Document(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """The keys of the file; tables are named in the singular, one [[left]] each."""

    title: str = ""
    rest_eaten: bool = True
    left: tuple[Left, ...] = ()
    day: tuple[Day, ...] = ()
    liked: tuple[Liked, ...] = ()
    weighed: tuple[Weighed, ...] = ()
    walked: tuple[Walked, ...] = ()
    boiled: tuple[Boiled, ...] = ()
    soaked: tuple[Soaked, ...] = ()


class LogFile(Struct, frozen=True):
    """A log and the file it stands in, so that a mistake can name the line."""

    path: Path
    text: str
    log: TripLog

    def placed(self, mistake: Mistake) -> Mistake:
        """The mistake with file and line in front of its field (``left[0].home_g``)."""
        if isinstance(mistake, Mistakes):
            return Mistakes(tuple(self.placed(one) for one in mistake.each))
        field = mistake.where.replace(" > ", ".")
        return Mistake(mistake.code, mistake.what, mistake.mend, place(self.path, self.text, field))


def read_log(path: Path) -> LogFile:
    """The log in one TOML file; it is held against its trip by :mod:`fellfare.learn.log`.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.reading.read_document`.
    """
    return log_of_text(read_text(path), path)


def log_of_text(text: str, path: Path) -> LogFile:
    """As :func:`read_log`, of a text; ``path`` only names it in mistakes."""
    try:
        document = parse_document(text, path, _Document, GUIDE)
    except Mistake as mistake:
        raise _with_choices(mistake) from None
    return LogFile(
        path,
        text,
        TripLog(
            title=document.title,
            rest_eaten=document.rest_eaten,
            left=document.left,
            days=document.day,
            liked=document.liked,
            weighed=document.weighed,
            walked=document.walked,
            boiled=document.boiled,
            soaked=document.soaked,
        ),
    )


def _with_choices(mistake: Mistake) -> Mistake:
    """A word that is none of a few, with the few."""
    key = mistake.where.rpartition(".")[2]
    if mistake.code != "wrong-shape" or "enum" not in mistake.what or key not in _CHOICES:
        return mistake
    told = mistake.what.rpartition(" value ")[2]
    return Mistake(
        mistake.code,
        f"{key} = {told} is none of its words",
        "one of: " + ", ".join(_CHOICES[key]),
        mistake.where,
    )


def log_text(log: TripLog) -> str:
    """The log as a TOML document; reading it again gives an equal value."""
    import tomlkit  # only writing needs it, and it is slow to import

    plain: dict[str, Any] = msgspec.to_builtins(
        _Document(
            title=log.title,
            rest_eaten=log.rest_eaten,
            left=log.left,
            day=log.days,
            liked=log.liked,
            weighed=log.weighed,
            walked=log.walked,
            boiled=log.boiled,
            soaked=log.soaked,
        )
    )
    return tomlkit.dumps(plain)


def empty_log(title: str, items: tuple[Item, ...]) -> str:
    """A log to print or fill in: one line for every item, all of it commented out."""
    lines = [
        f"# What came home: {title}".replace("\n", " "),
        "# Copy a block from the end for each thing that you noted, without the #.",
        "# What is not listed counts as eaten up; if it was not noted at all, say",
        "# rest_eaten = false",
        "",
        "# Planned, to compare with:",
    ]
    for item in items:
        dish = f", {item.dish}" if item.dish else ""
        lines.append(f"# {item.walker}, day {item.day}, {item.eating}{dish}: {item.mass_g:.0f} g")
    lines += [
        "",
        "# [[left]]",
        '# walker = "…"',
        "# day = 1",
        '# eating = "lunch"',
        "# home_g = 40",
        "",
        "# [[day]]            # too much, enough, hungry, very hungry",
        '# walker = "…"',
        "# day = 1",
        '# felt = "hungry"',
        "",
        "# [[liked]]          # 1 never again to 5 gladly",
        '# walker = "…"',
        '# dish = "…"',
        "# mark = 4",
        "",
        "# [[weighed]]        # same scale, mornings; error 0.9 kg, or 0.3 for several mornings",
        '# walker = "…"',
        "# before_kg = 70.0",
        "# after_kg = 69.2",
        "",
        "# [[walked]]         # hours on the move, without pauses",
        '# walker = "…"',
        "# day = 1",
        "# hours = 6.5",
        "",
        "# [[boiled]]         # one weighed boil; the kitchen's place in the trip document",
        "# kitchen = 1",
        "# water_g = 500",
        "# from_c = 12",
        "# fuel_g = 9",
        "",
        "# [[soaked]]         # one soak test",
        '# food = "bulgur"',
        "# water_c = 8",
        "# done_minutes = 70",
    ]
    return "\n".join(lines) + "\n"
