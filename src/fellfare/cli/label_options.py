"""The options of label sheets, alike wherever labels are printed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, TypeVar

import click

F = TypeVar("F", bound=Callable[..., Any])

_MM: Final = click.FloatRange(min=0)
_OPTIONS: Final = (
    click.option("--grid", metavar="CxR", help="Labels across and down: 3x8.  [2x4]"),
    click.option("--label-width", "width_mm", type=_MM, metavar="MM", help="Width of a label."),
    click.option("--label-height", "height_mm", type=_MM, metavar="MM", help="Height of a label."),
    click.option("--margin-left", "margin_left_mm", type=_MM, metavar="MM",
                 help="Left of the first."),
    click.option("--margin-top", "margin_top_mm", type=_MM, metavar="MM",
                 help="Above the first."),
    click.option("--gap-across", "gap_across_mm", type=_MM, metavar="MM",
                 help="Between columns."),
    click.option("--gap-down", "gap_down_mm", type=_MM, metavar="MM", help="Between rows."),
    click.option("--skip", type=int, default=0, metavar="N",
                 help="Labels used on the first sheet."),
    click.option("--outline", is_flag=True,
                 help="Draw the edge of each label, to cut plain paper."),
)  # fmt: skip


def label_options(command: F) -> F:
    """Give a command the options of :func:`fellfare.paper.grid.read_grid` and its sheet."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command
