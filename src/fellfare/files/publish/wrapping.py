"""How is text broken into lines of so many columns?  Wide letters take two, marks none.

A word that is longer than the line (a name of 400 letters) is broken; nothing is lost.
"""

from __future__ import annotations

import unicodedata


def one_line(text: str) -> str:
    """The text on one line, without what cannot be printed."""
    return " ".join("".join(char if char.isprintable() else " " for char in text).split())


def columns_of(text: str) -> int:
    """Columns that a screen gives to the text."""
    return sum(_columns(char) for char in text)


def _columns(char: str) -> int:
    if unicodedata.combining(char) or unicodedata.category(char) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1


def wrapped(text: str, width: int, indent: str = "") -> list[str]:
    """Lines of at most ``width`` columns; all but the first open with ``indent``."""
    lines: list[str] = []
    line, used = "", 0
    for word in one_line(text).split(" "):
        gap = 1 if line.strip() else 0
        if used + gap + columns_of(word) <= width:
            line, used = line + " " * gap + word, used + gap + columns_of(word)
            continue
        if line.strip():
            lines.append(line)
            line, used = indent, len(indent)
        for char in word:
            if used + _columns(char) > width:
                lines.append(line)
                line, used = indent, len(indent)
            line, used = line + char, used + _columns(char)
    return [*lines, line] if line.strip() else lines
