"""Eighty columns of plain text: rules, wrapped paragraphs, small tables and bars."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from textwrap import wrap
from typing import Final

WIDTH: Final = 80


def shown_width(text: str) -> int:
    """Columns that a terminal gives to the text (wide letters take two)."""
    return sum(
        0 if unicodedata.combining(char) else 2 if unicodedata.east_asian_width(char) in "WF" else 1
        for char in text
    )


def fit(text: str, width: int, *, right: bool = False) -> str:
    """Exactly ``width`` columns: padded, or cut with '…'."""
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
    return wrap(
        " ".join(text.split()),
        WIDTH,
        initial_indent=indent if first is None else first,
        subsequent_indent=indent,
        break_on_hyphens=False,
    )


def table(rows: Iterable[Sequence[str]], widths: Sequence[int]) -> list[str]:
    """Rows in fixed columns; a negative width is set flush right."""
    return [
        " ".join(
            fit(cell, abs(width), right=width < 0) for cell, width in zip(row, widths, strict=True)
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
