"""Lists as CSV: the lines of a sheet, foods that were found.

Comma-separated, every line ended by CR LF, quoted where needed [RFC-4180].  UTF-8; with
``bom`` the text opens with a byte-order mark, by which spreadsheets know it.  The first
line names the columns; the unit ends the name.  An unknown figure is an empty cell, never
0.

A cell of *text* that a spreadsheet could take for a formula (it opens with ``=``, ``+``,
``-`` or ``@``, with white space before it or none, or with a tab or a line end) gets an
apostrophe in front, which spreadsheets hide and programs see.  Figures are never touched:
-5 stays -5.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Final

from fellfare.measure.units import OUNCE_G
from fellfare.pantry.food import Food
from fellfare.pantry.nutrients import NUTRIENTS
from fellfare.recipe.household import household
from fellfare.recipe.sheet import Sheet

Cell = str | float | int | bool | None

#: Opens a formula in one spreadsheet or another.
_FORMULA: Final = frozenset("=+-@＝＋－＠")
_OUNCE_G: Final = float(OUNCE_G)
#: Figures are rounded here, at the printing end.
_PLACES: Final = 3


def csv_text(head: Sequence[str], rows: Iterable[Sequence[Cell]], *, bom: bool = False) -> str:
    """A list as CSV text; write it without changing its line ends."""
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer, lineterminator="\r\n", quoting=csv.QUOTE_MINIMAL)
    writer.writerow([_cell(name) for name in head])
    writer.writerows([_cell(cell) for cell in row] for row in rows)
    return ("\ufeff" if bom else "") + buffer.getvalue()


def _cell(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, (int, float)):
        return f"{round(cell, _PLACES):.12g}"
    text = cell.replace("\x00", "")
    opens = text.lstrip()[:1]
    return f"'{text}" if (opens and opens in _FORMULA) or text[:1] in {"\t", "\r", "\n"} else text


def sheet_lines_csv(sheet: Sheet, *, bom: bool = False) -> str:
    """The lines of a sheet, for its eaters together."""
    head = (
        "line", "food", "name", "amount", "note", "optional", "bag", "mass_g", "mass_oz",
        "us_measure", "energy_kcal", "measure", "trust", "source",
    )  # fmt: skip
    rows = []
    for number, line in enumerate(sheet.lines, 1):
        measure = None if line.mass_g is None else household(line.food, line.mass_g, "us")
        rows.append(
            (
                number, line.food.id, line.food.name, line.line.amount, line.line.note,
                line.line.optional, line.line.bag or "", line.mass_g,
                None if line.mass_g is None else line.mass_g / _OUNCE_G,
                "" if measure is None else measure.text, line.energy_kcal, line.weighed.measure,
                line.weighed.trust, line.food.source.ref,
            )
        )  # fmt: skip
    return csv_text(head, rows, bom=bom)


def foods_csv(foods: Iterable[Food], *, bom: bool = False) -> str:
    """Foods with their composition per 100 g."""
    head = ("food", "name", "group", "form", *(f"{name}_per_100g" for name in NUTRIENTS), "source")
    rows = (
        (food.id, food.name, food.group, food.form, *food.per_100g.in_order, food.source.ref)
        for food in foods
    )
    return csv_text(head, rows, bom=bom)
