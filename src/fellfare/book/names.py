"""What may a book hold, under which name, and how large?"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from typing import Final, Literal, get_args

from fellfare.mistake import Mistake

#: What kinds of document there are.
Kind = Literal[
    "food",
    "recipe",
    "trip",
    "track",
    "provision",
    "menu",
    "log",
    "composition",
    "season",
    "settings",
]
KINDS: Final[tuple[str, ...]] = get_args(Kind)

#: Reads a text and raises a Mistake when it is not fit to be kept: (kind, name, text).
Check = Callable[[str, str, str], object]

#: Longest name, in letters and as UTF-8: it must do as a file name everywhere.
MOST_NAME_LETTERS: Final = 120
MOST_NAME_BYTES: Final = 200
#: A document that a person writes is a few kB; a track of a long walk a few MB.
MOST_TEXT_BYTES: Final = 2_000_000
MOST_TRACK_BYTES: Final = 20_000_000
#: Longest name of whoever saves.
MOST_BY_LETTERS: Final = 120

#: Letters that no file system of today takes, or that would lead out of a folder.
_FORBIDDEN: Final = frozenset('/\\:*?"<>|')
#: Names that mean a device on some systems, with or without an ending.
_DEVICES: Final = frozenset(
    ["con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))]
)


def read_kind(kind: str) -> str:
    """The kind, if it is one.

    Raises
    ------
    Mistake
        ``book-unknown-kind``.
    """
    if kind not in KINDS:
        raise Mistake(
            "book-unknown-kind",
            f"a book holds no {str(kind)[:40]!r}",
            f"say one of {', '.join(KINDS)}",
            "kind",
        )
    return kind


def read_name(name: str) -> str:
    """A document's name as the book keeps it: Unicode NFC, fit to be a file name.

    Raises
    ------
    Mistake
        ``book-bad-name`` when it is empty, too long, holds what no file name can hold, or
        would lead out of a folder.
    """
    kept = unicodedata.normalize("NFC", name)
    fault = _fault(kept)
    if fault:
        raise Mistake(
            "book-bad-name",
            f"the name {name[:60]!r} {fault}",
            f"give 1 to {MOST_NAME_LETTERS} letters, figures, spaces, '-' or '_', such as "
            "'bulgur-pepper-walnut'",
            "name",
        )
    return kept


def _fault(name: str) -> str:
    if not name:
        return "is empty"
    if len(name) > MOST_NAME_LETTERS:
        return f"has {len(name)} letters"
    for char in name:
        if char in _FORBIDDEN:
            return f"holds {char!r}"
        if not char.isprintable():  # control letters, line ends, odd spaces, half a pair
            return f"holds {char!a}"
    if len(name.encode("utf-8")) > MOST_NAME_BYTES:
        return f"takes more than {MOST_NAME_BYTES} bytes"
    if name[0] in ". " or name[-1] in ". ":
        return "begins or ends with a dot or a space"
    if name.split(".")[0].strip().casefold() in _DEVICES:
        return "means a device on some systems"
    return ""


def name_key(name: str) -> str:
    """What two names share that differ only in capitals: they would be one file somewhere."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


def key_or_none(name: str) -> str | None:
    """What a name is looked up by; None when nothing can be called so."""
    try:
        return name_key(read_name(name))
    except Mistake:
        return None


def read_text(kind: str, text: str) -> str:
    """The text, if the book can keep it letter by letter.

    Raises
    ------
    Mistake
        ``book-text-too-large``, or ``book-text-unkeepable`` when it holds what is no text.
    """
    most = MOST_TRACK_BYTES if kind == "track" else MOST_TEXT_BYTES
    try:
        size = len(text.encode("utf-8"))
    except UnicodeEncodeError as error:
        raise _unkeepable(text, error.start, "half of a letter") from None
    if size > most:
        raise Mistake(
            "book-text-too-large",
            f"the text takes {size / 1e6:.1f} MB; {most / 1e6:g} MB are kept at most",
            "a document is text of a few kB; is it the right one?",
        )
    if "\0" in text:
        raise _unkeepable(text, text.index("\0"), "a null")
    return text


def read_by(by: str) -> str:
    """The name of whoever saves, in one line.

    Raises
    ------
    Mistake
        ``book-bad-name``.
    """
    kept = unicodedata.normalize("NFC", by)
    if len(kept) > MOST_BY_LETTERS or not kept.isprintable():
        raise Mistake(
            "book-bad-name",
            f"{by[:60]!r} is no name of a person",
            f"give one line of at most {MOST_BY_LETTERS} letters",
            "by",
        )
    return kept


def _unkeepable(text: str, at: int, what: str) -> Mistake:
    return Mistake(
        "book-text-unkeepable",
        f"the text holds {what}",
        "take the letter out; is the file text, and UTF-8?",
        f"line {text.count(chr(10), 0, at) + 1}",
    )
