"""Lists to tick off: what to buy, to prepare, to put in a box."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Any, Final

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.paper.press import Size, press

#: Letters of a row that is never broken over two pages.
_SHORT: Final = 700
#: Lines of a part that is never broken over two pages; a page has about 50.
_KEPT: Final = 24
#: Letters of a line over the whole width, at the least.
_ACROSS: Final = 80


class Row(Struct, frozen=True, kw_only=True):
    """One line with its box to tick."""

    #: As many as the part's head has columns.
    cells: tuple[str, ...]
    #: Small print under the first cell.
    notes: tuple[str, ...] = ()


class Part(Struct, frozen=True, kw_only=True):
    """One table under its own heading."""

    heading: str
    head: tuple[str, ...]
    #: Share of the width for each column.
    widths: tuple[float, ...]
    rows: tuple[Row, ...]
    lead: tuple[str, ...] = ()
    #: A box to tick before every row.
    ticks: bool = True


class Sheet(Struct, frozen=True, kw_only=True):
    """A whole list."""

    title: str
    parts: tuple[Part, ...]
    lead: tuple[str, ...] = ()
    foot: tuple[str, ...] = ()


def list_pdf(sheet: Sheet, size: Size) -> bytes:
    """The list as a PDF; long lists go on over the pages with their heads repeated.

    Raises
    ------
    Mistake
        ``empty-list``, ``no-glyph``.
    """
    return lists_pdf((sheet,), size, sheet.title)


def lists_pdf(sheets: Sequence[Sheet], size: Size, title: str) -> bytes:
    """Several lists in one PDF, each from a new page.

    Raises
    ------
    Mistake
        ``empty-list`` when there is nothing on any of them, ``no-glyph``.
    """
    told = [_told(sheet) for sheet in sheets]
    told = [one for one in told if one["parts"]]
    if not told:
        raise Mistake("empty-list", "there is nothing on the list", "plan at least one dish")
    return press("list.typ", {"sheets": told}, size, title)


def _told(sheet: Sheet) -> dict[str, Any]:
    parts = [part for part in sheet.parts if part.rows]
    for part in parts:
        if {len(part.head), len(part.widths), *(len(row.cells) for row in part.rows)} != {
            len(part.head)
        }:
            raise TypeError(f"part {part.heading!r}: rows and head differ in their columns")
    return {
        "title": sheet.title or "Untitled",
        "lead": list(sheet.lead),
        "foot": list(sheet.foot),
        "parts": [
            {
                "heading": part.heading,
                "lead": list(part.lead),
                "head": list(part.head),
                "widths": list(part.widths),
                "ticks": part.ticks,
                "short": _lines(part) <= _KEPT,
                "rows": [
                    {"cells": list(row.cells), "notes": list(row.notes), "short": _short(row)}
                    for row in part.rows
                ],
            }
            for part in parts
        ],
    }


def _short(row: Row) -> bool:
    """Whether it may be kept together: far less than a page, even in one narrow column."""
    return sum(map(len, (*row.cells, *row.notes))) + 40 * len(row.notes) < _SHORT


def _lines(part: Part) -> int:
    """About how many lines it takes, rather too many than too few."""
    whole = sum(part.widths)
    count = 2 + len(part.lead)
    for row in part.rows:
        wide = [max(1.0, _ACROSS * width / whole) for width in part.widths]
        high = [ceil(len(cell) / letters) for cell, letters in zip(row.cells, wide, strict=True)]
        high[0] += sum(ceil(len(note) / wide[0]) for note in row.notes)
        count += max(1, *high)
    return count
