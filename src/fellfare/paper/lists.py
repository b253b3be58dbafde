"""Lists to tick off: what to buy, to prepare, to put in a box."""

from __future__ import annotations

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.paper.press import Size, press


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
    parts = [part for part in sheet.parts if part.rows]
    if not parts:
        raise Mistake("empty-list", "there is nothing on the list", "plan at least one dish")
    for part in parts:
        if {len(part.head), len(part.widths), *(len(row.cells) for row in part.rows)} != {
            len(part.head)
        }:
            raise TypeError(f"part {part.heading!r}: rows and head differ in their columns")
    data = {
        "lead": list(sheet.lead),
        "foot": list(sheet.foot),
        "parts": [
            {
                "heading": part.heading,
                "lead": list(part.lead),
                "head": list(part.head),
                "widths": list(part.widths),
                "rows": [{"cells": list(row.cells), "notes": list(row.notes)} for row in part.rows],
            }
            for part in parts
        ],
    }
    return press("list.typ", data, size, sheet.title)
