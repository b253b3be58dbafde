"""Grids of labels: what '3x8' means, and which grids no sheet can hold."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Mistake
from fellfare.paper.grid import COMMON, checked, read_grid
from fellfare.paper.press import PAGES


@pytest.mark.parametrize("grid", COMMON, ids=lambda grid: f"{grid.size}, {grid.said}")
def test_common_grids_lie_on_their_sheets_and_in_the_middle(grid: Any) -> None:
    width, height = PAGES[grid.size]
    across = grid.columns * grid.width_mm + (grid.columns - 1) * grid.gap_across_mm
    down = grid.rows * grid.height_mm + (grid.rows - 1) * grid.gap_down_mm
    # Sheets on sale have equal margins left and right, top and bottom, to half a millimetre.
    assert width - across == pytest.approx(2 * grid.margin_left_mm, abs=0.5)
    assert height - down == pytest.approx(2 * grid.margin_top_mm, abs=0.5)


@pytest.mark.parametrize("text", ["3x8", "3 x 8", "3×8", "3*8", " 3X8 "])
def test_a_grid_is_columns_by_rows(text: str) -> None:
    assert read_grid(text, "a4").said == "3 × 8, 70 × 36 mm"


def test_an_uncommon_grid_divides_the_sheet_evenly() -> None:
    # 210 / 2 and 297 / 3.
    assert read_grid("2x3", "a4").said == "2 × 3, 105 × 99 mm"


def test_figures_given_are_kept_and_the_rest_is_centred() -> None:
    grid = read_grid("3x7", "a4", width_mm=60.0, gap_across_mm=3.0, margin_top_mm=10.0)
    assert (grid.width_mm, grid.gap_across_mm, grid.margin_top_mm) == (60.0, 3.0, 10.0)
    assert grid.margin_left_mm == pytest.approx((210 - 3 * 60 - 2 * 3) / 2)
    assert grid.height_mm == pytest.approx((297 - 2 * 10) / 7)


@pytest.mark.parametrize(
    ("text", "figures", "code"),
    [
        ("eight", {}, "unreadable-grid"),
        ("0x8", {}, "unreadable-grid"),
        ("13x2", {}, "unreadable-grid"),
        ("2x-4", {}, "unreadable-grid"),
        ("12x40", {}, "label-too-small"),
        ("3x8", {"width_mm": 80.0}, "grid-off-the-sheet"),
        ("3x8", {"width_mm": 65.0, "margin_left_mm": 40.0}, "grid-off-the-sheet"),
        ("3x8", {"gap_down_mm": float("nan")}, "grid-out-of-range"),
        ("3x8", {"height_mm": float("nan")}, "label-too-small"),
        ("3x8", {"height_mm": float("inf")}, "grid-off-the-sheet"),
        ("3x8", {"width_mm": 0.0}, "label-too-small"),
        ("3x8", {"height_mm": 0.0}, "label-too-small"),
        ("3x8", {"margin_left_mm": 104.0}, "grid-out-of-range"),
        ("3x8", {"margin_left_mm": -1.0}, "grid-out-of-range"),
    ],
)
def test_a_grid_that_cannot_be_is_refused(text: str, figures: dict[str, float], code: str) -> None:
    with pytest.raises(Mistake) as caught:
        read_grid(text, "a4", **figures)
    assert caught.value.code == code


@given(
    columns=st.integers(1, 12),
    rows=st.integers(1, 40),
    margin=st.floats(0, 30),
    gap=st.floats(0, 10),
    size=st.sampled_from(["a4", "letter"]),
)
def test_whatever_is_accepted_lies_on_the_sheet(
    columns: int, rows: int, margin: float, gap: float, size: Any
) -> None:
    try:
        grid = read_grid(f"{columns}x{rows}", size, margin_left_mm=margin, gap_across_mm=gap)
    except Mistake:  # any other error fails
        return
    right = grid.margin_left_mm + columns * grid.width_mm + (columns - 1) * grid.gap_across_mm
    assert right <= PAGES[grid.size][0] + 0.3
    assert checked(grid) == grid


def test_a_label_of_no_width_blames_its_width_and_no_margin() -> None:
    with pytest.raises(Mistake) as caught:
        read_grid("3x8", "a4", width_mm=0.0)
    assert "0.0 mm wide" in caught.value.what
    assert "margin" not in str(caught.value)
