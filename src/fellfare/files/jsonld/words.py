"""What do the strings of a page say?  Without mark-up, entities and what cannot be printed."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from typing import Final

_BREAK: Final = re.compile(r"<(?:br|/p|/li|/div|/h[1-6])\b[^<>]{0,200}>", re.I)
_TAG: Final = re.compile(r"</?[a-zA-Z][^<>]{0,2000}>|<!--[^<>]{0,2000}-->")
#: Longest string that is looked at [characters]: a whole method, told at length.
MOST_TEXT: Final = 100_000


def text_of(value: object) -> str | None:
    """A string or a number, or a list of just one, as text; None for anything else."""
    if isinstance(value, list) and len(value) == 1:
        (value,) = value
    if isinstance(value, bool):
        return None
    if isinstance(value, int) and abs(value) < 10**12:
        return str(value)
    if isinstance(value, float) and abs(value) < 1e12:
        return f"{value:g}"
    return value[:MOST_TEXT] if isinstance(value, str) else None


def lines_of(text: str) -> list[str]:
    """The lines of a text that may hold mark-up; entities are resolved, twice if need be."""
    text = html.unescape(html.unescape(text[:MOST_TEXT]))
    text = _TAG.sub(" ", _BREAK.sub("\n", text))
    return [line for line in map(printable, text.splitlines()) if line]


def one_line_of(value: object) -> str:
    """Text on one line; '' when there is none."""
    text = text_of(value)
    return "" if text is None else " ".join(lines_of(text))


def shown(value: object) -> str:
    """A short form for messages."""
    return one_line_of(value)[:80] or "(no name)"


def sentences(text: str, most: int) -> Iterator[str]:
    """A long line in pieces of at most ``most`` characters, broken after sentences only.

    A single sentence that is longer comes whole: it is for the reader to refuse.
    """
    if len(text) <= most:
        yield text
        return
    line = ""
    for sentence in re.split(r"(?<=[.!?])\s+", text):
        if line and len(line) + 1 + len(sentence) > most:
            yield line
            line = ""
        line = f"{line} {sentence}".strip()
    if line:
        yield line


def printable(line: str) -> str:
    """The text on one line without controls, lone surrogates and odd white space."""
    kept = (char if char.isprintable() else " " for char in line)
    return " ".join("".join(kept).split())
