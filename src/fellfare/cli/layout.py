"""Eighty columns of plain text: rules, wrapped paragraphs, small tables and bars."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from textwrap import wrap
from typing import Final

WIDTH: Final = 80


def plain(text: str) -> str:
    """One line that a terminal shows as it stands: no control characters, no escapes."""
    return "".join(char if char.isprintable() else " " for char in text)


def shown_width(text: str) -> int:
    """Columns that a terminal gives to the text (wide letters take two)."""
    return sum(
        0 if unicodedata.combining(char) else 2 if unicodedata.east_asian_width(char) in "WF" else 1
        for char in text
    )


def fit(text: str, width: int, *, right: bool = False) -> str:
    """Exactly ``width`` columns: padded, or cut with '…'."""
    text = plain(text)
    if shown_width(text) > width:
        while text and shown_width(text) > width - 1:
            text = text[:-1]
        text += "…"
    pad = " " * (width - shown_width(text))
    return pad + text if right else text + pad


def heading(text: str) -> list[str]:
    """A blank line and a heading that is drawn out to the full width."""
    return ["", f"{text} {'─' * (WIDTH - shown_width(text) - 1)}"]


def paragraph(text: str, indent: str = "  ", first: str | None = None) -> list[str]:
    """Wrapped to the width; ``first`` opens the first line instead of ``indent``."""
    first = indent if first is None else plain(first)
    words = plain(text).split()
    narrow = all(shown_width(word) == len(word) for word in words)
    if narrow:
        return wrap(
            " ".join(words),
            WIDTH,
            initial_indent=first,
            subsequent_indent=indent,
            break_on_hyphens=False,
        )
    return _wrap_wide(words, indent, first)


def _wrap_wide(words: Sequence[str], indent: str, first: str) -> list[str]:
    """Wrapped by columns where letters take two of them or none."""
    lines: list[str] = []
    line, room = first, WIDTH - len(first)
    for word in words:
        gap = " " if line.strip() and not line.endswith(" ") else ""
        if shown_width(gap + word) > room and line.strip():
            lines.append(line)
            line, room, gap = indent, WIDTH - len(indent), ""
        for char in gap + word:
            if shown_width(char) > room:
                lines.append(line)
                line, room = indent, WIDTH - len(indent)
            line += char
            room -= shown_width(char)
    return [*lines, line] if words else []


def table(rows: Iterable[Sequence[str]], widths: Sequence[int]) -> list[str]:
    """Rows in columns of these widths; a negative width is set flush right.

    A figure is never cut: columns that are flush right widen to what they hold, and the
    widest text column gives way.
    """
    rows = tuple(rows)
    held = [max((shown_width(row[at]) for row in rows), default=0) for at in range(len(widths))]
    fitted = [
        max(-width, most) if width < 0 else width for width, most in zip(widths, held, strict=True)
    ]
    texts = [at for at, width in enumerate(widths) if width > 0]
    if sum(fitted) + len(fitted) - 1 > WIDTH:
        for at in texts:
            fitted[at] = min(fitted[at], held[at])
    while sum(fitted) + len(fitted) - 1 > WIDTH and texts:
        widest = max(texts, key=lambda at: fitted[at])
        if fitted[widest] <= 1:
            break
        fitted[widest] -= 1
    return [
        " ".join(
            fit(cell, width, right=asked < 0)
            for cell, width, asked in zip(row, fitted, widths, strict=True)
        ).rstrip()
        for row in rows
    ]


def columns(left: Sequence[str], right: Sequence[str], gap: int = 2) -> list[str]:
    """Two blocks of lines side by side."""
    width = (WIDTH - gap) // 2
    height = max(len(left), len(right))
    pairs = zip(
        [*left, *[""] * (height - len(left))], [*right, *[""] * (height - len(right))], strict=True
    )
    return [f"{fit(one, width)}{' ' * gap}{two}".rstrip() for one, two in pairs]


def bar(share: float, width: int = 20) -> str:
    """A share of 0 to 1 as a bar of full and eighth blocks."""
    eighths = round(max(0.0, min(1.0, share)) * width * 8)
    return "█" * (eighths // 8) + " ▏▎▍▌▋▊▉"[eighths % 8].strip()


def number(value: float) -> str:
    """A whole number with thin groups of thousands: '1 240'."""
    return f"{value:,.0f}".replace(",", " ")
