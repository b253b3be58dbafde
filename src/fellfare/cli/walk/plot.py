"""Heights as blocks, needs as bars: small drawings for a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from fellfare.cli.layout import WIDTH, number
from fellfare.trip.heights import Heights, heights_along
from fellfare.trip.plan import TripPlan

#: Rows of blocks; each has eight steps.
_ROWS: Final = 6
_BLOCKS: Final = " ▁▂▃▄▅▆▇█"
_LEFT: Final = 8


def height_plot(plan: TripPlan) -> list[str]:
    """Heights along the way over a line that says where the days end; [] when not known."""
    heights = heights_along(plan.profile, [day.stage for day in plan.days], WIDTH - _LEFT)
    if heights is None:
        return []
    low, high = float(heights.ele_m.min()), float(heights.ele_m.max())
    span = max(high - low, 1.0)
    steps = [1 + round((_ROWS * 8 - 1) * (float(m) - low) / span) for m in heights.ele_m]
    lines = []
    for row in reversed(range(_ROWS)):
        blocks = "".join(_BLOCKS[min(max(step - 8 * row, 0), 8)] for step in steps)
        label = number(high) if row == _ROWS - 1 else number(low) if row == 0 else ""
        lines.append(f"{label:>6} {blocks}".rstrip())
    return [*lines, " " * (_LEFT - 1) + _days(plan, heights)]


def _days(plan: TripPlan, heights: Heights) -> str:
    """The number of each day at its middle, a tick where it ends; crowded ones are left out."""
    columns = heights.at_m.size
    length = float(heights.at_m[-1]) or 1.0
    line = [" "] * columns
    begun = 0.0
    for day in plan.days:
        end = begun + day.stage.distance_m
        tick = min(round(end / length * columns), columns) - 1
        text = str(day.day)
        middle = round((begun + end) / 2 / length * columns) - len(text) // 2
        if day.stage.distance_m / length * columns >= len(text) + 2:
            line[middle : middle + len(text)] = text
        if day.day < len(plan.days) and 0 <= tick < columns:
            line[tick] = "╵"
        begun = end
    return "".join(line[:columns]).rstrip()


def band_bar(low: float, middle: float, high: float, most: float, width: int) -> str:
    """From zero to ``most``: solid up to the low end, a mark at the middle, light to the high."""
    at = [round(max(value, 0.0) / most * width) if most > 0 else 0 for value in (low, middle, high)]
    bar = ["█"] * at[0] + ["▒"] * (at[2] - at[0])
    if bar:
        bar[min(max(at[1] - 1, 0), len(bar) - 1)] = "┃"
    return "".join(bar[:width])


def load_line_text(loads: Sequence[float], most: float) -> str:
    """One block for each load, high for heavy."""
    return "".join(
        _BLOCKS[max(1, min(8, round(8 * load / most)))] if most > 0 else " " for load in loads
    )
