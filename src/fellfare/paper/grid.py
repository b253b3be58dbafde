"""How are the labels laid out on the sheet?"""

from __future__ import annotations

import re
from math import inf, isfinite
from typing import Final

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.paper.press import Size, page_of

#: Sheets with more cells than this are no label sheets.
MOST_ACROSS: Final = 12
MOST_DOWN: Final = 40

#: A label smaller than this cannot hold a name and a day [mm]: own judgement.
LEAST_WIDTH_MM: Final = 30.0
LEAST_HEIGHT_MM: Final = 15.0

#: A cell may stick out of the sheet by this much, for inches that were rounded [mm].
SLACK_MM: Final = 0.3

_GRID: Final = re.compile(r"(\d{1,3})\s*[x×X*]\s*(\d{1,3})")


class Grid(Struct, frozen=True, kw_only=True):
    """Columns and rows of labels, by their millimetres."""

    size: Size
    columns: int
    rows: int
    width_mm: float
    height_mm: float
    margin_left_mm: float = 0.0
    margin_top_mm: float = 0.0
    gap_across_mm: float = 0.0
    gap_down_mm: float = 0.0

    @property
    def cells(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.rows

    @property
    def said(self) -> str:
        """'3 × 8, 70 × 36 mm'."""
        return f"{self.columns} × {self.rows}, {self.width_mm:g} × {self.height_mm:g} mm"


def _common(size: Size, *figures: float) -> Grid:
    columns, rows, width, height, left, top, across, down = figures
    return Grid(
        size=size,
        columns=int(columns),
        rows=int(rows),
        width_mm=width,
        height_mm=height,
        margin_left_mm=left,
        margin_top_mm=top,
        gap_across_mm=across,
        gap_down_mm=down,
    )


#: Geometries that sheets on sale often have; common practice, no source.  Measure yours.
#: Columns, rows, width, height, left and top margin, gap across and down [mm].
COMMON: Final[tuple[Grid, ...]] = (
    _common("a4", 2, 4, 99.1, 67.7, 4.65, 13.1, 2.5, 0.0),
    _common("a4", 2, 7, 99.1, 38.1, 4.65, 15.15, 2.5, 0.0),
    _common("a4", 3, 7, 63.5, 38.1, 7.25, 15.15, 2.5, 0.0),
    _common("a4", 3, 8, 70.0, 36.0, 0.0, 4.5, 0.0, 0.0),
    _common("letter", 2, 3, 101.6, 84.67, 3.97, 12.7, 4.76, 0.0),
    _common("letter", 2, 5, 101.6, 50.8, 3.97, 12.7, 4.76, 0.0),
    _common("letter", 3, 10, 66.68, 25.4, 4.76, 12.7, 3.18, 0.0),
)

#: What is taken when nobody says which.
DEFAULT: Final = "2x4"


def read_grid(
    text: str | None,
    size: Size,
    *,
    width_mm: float | None = None,
    height_mm: float | None = None,
    margin_left_mm: float | None = None,
    margin_top_mm: float | None = None,
    gap_across_mm: float | None = None,
    gap_down_mm: float | None = None,
) -> Grid:
    """The grid that '3x8' means on this paper, or that the single figures say.

    Without any figure, a :data:`COMMON` grid of so many columns and rows is
    taken, else the sheet is divided evenly.  With figures, what is left out is
    reckoned so that the labels sit in the middle of the sheet.

    Raises
    ------
    Mistake
        ``unreadable-grid``, and as :func:`checked`.
    """
    page_width_mm, page_height_mm = page_of(size)
    columns, rows = _counted(text or DEFAULT)
    told = (width_mm, height_mm, margin_left_mm, margin_top_mm, gap_across_mm, gap_down_mm)
    if all(figure is None for figure in told):
        known = next(
            (
                grid
                for grid in COMMON
                if (grid.size, grid.columns, grid.rows) == (size, columns, rows)
            ),
            None,
        )
        if known is not None:
            return checked(known)
    _large_enough(
        inf if width_mm is None else width_mm,
        inf if height_mm is None else height_mm,
        "measure the label again",
        f"{columns} × {rows}",
    )
    across, left, width = _one_way(columns, page_width_mm, width_mm, margin_left_mm, gap_across_mm)
    down, top, height = _one_way(rows, page_height_mm, height_mm, margin_top_mm, gap_down_mm)
    return checked(
        Grid(
            size=size,
            columns=columns,
            rows=rows,
            width_mm=width,
            height_mm=height,
            margin_left_mm=left,
            margin_top_mm=top,
            gap_across_mm=across,
            gap_down_mm=down,
        )
    )


def checked(grid: Grid) -> Grid:
    """The grid, if its cells are large enough and lie on the sheet.

    Raises
    ------
    Mistake
        ``grid-out-of-range``: a figure below zero or no number; ``label-too-small``;
        ``grid-off-the-sheet``.
    """
    page_width_mm, page_height_mm = page_of(grid.size)
    margins = {
        "left margin": grid.margin_left_mm,
        "top margin": grid.margin_top_mm,
        "gap across": grid.gap_across_mm,
        "gap down": grid.gap_down_mm,
    }
    for name, figure in margins.items():
        if not (isfinite(figure) and 0 <= figure <= 100):
            raise Mistake(
                "grid-out-of-range", f"{name} of {figure:g} mm", "give 0 to 100 mm", grid.said
            )
    _large_enough(grid.width_mm, grid.height_mm, "fewer columns or rows", grid.said)
    right = (
        grid.margin_left_mm + grid.columns * grid.width_mm + (grid.columns - 1) * grid.gap_across_mm
    )
    bottom = grid.margin_top_mm + grid.rows * grid.height_mm + (grid.rows - 1) * grid.gap_down_mm
    if not (right <= page_width_mm + SLACK_MM and bottom <= page_height_mm + SLACK_MM):
        raise Mistake(
            "grid-off-the-sheet",
            f"the labels reach {right:.1f} × {bottom:.1f} mm, "
            f"the sheet is {page_width_mm:g} × {page_height_mm:g} mm",
            "measure the sheet again: margins, labels and gaps must add up",
            grid.said,
        )
    return grid


def _large_enough(width_mm: float, height_mm: float, mend: str, where: str) -> None:
    """Nothing, or ``label-too-small``."""
    if not (width_mm >= LEAST_WIDTH_MM and height_mm >= LEAST_HEIGHT_MM):
        sides = (("wide", width_mm), ("high", height_mm))
        said = " and ".join(f"{side:.1f} mm {way}" for way, side in sides if isfinite(side))
        raise Mistake(
            "label-too-small",
            f"a label {said or 'of no size'}",
            f"at least {LEAST_WIDTH_MM:g} × {LEAST_HEIGHT_MM:g} mm: {mend}",
            where,
        )


def _counted(text: str) -> tuple[int, int]:
    """Columns and rows of '3x8'."""
    found = _GRID.fullmatch(text.strip())
    columns, rows = (int(found[1]), int(found[2])) if found else (0, 0)
    if not (1 <= columns <= MOST_ACROSS and 1 <= rows <= MOST_DOWN):
        raise Mistake(
            "unreadable-grid",
            f"{text[:40]!r} is no grid of labels",
            "say columns x rows, as '3x8' for three across and eight down; "
            f"at most {MOST_ACROSS} x {MOST_DOWN}",
        )
    return columns, rows


def _one_way(
    count: int,
    page_mm: float,
    label_mm: float | None,
    margin_mm: float | None,
    gap_mm: float | None,
) -> tuple[float, float, float]:
    """(gap, margin before, label) along one side of the sheet [mm]."""
    gap = gap_mm or 0.0
    if label_mm is None:
        margin = margin_mm or 0.0
        return gap, margin, (page_mm - 2 * margin - (count - 1) * gap) / count
    if margin_mm is None:
        margin_mm = max(0.0, (page_mm - count * label_mm - (count - 1) * gap) / 2)
    return gap, margin_mm, label_mm
