"""Sentences of the sheet, broken where no figure is parted from its unit."""

from __future__ import annotations

import re
from typing import Final

from fellfare.cli.layout import paragraph

#: Blanks at which no line is broken: inside '9 318', before a unit, beside '×'.
GLUED: Final = re.compile(r"(?<=\d) (?=\d{3}\b|%|×|(?:kcal|kg|km|g|L|m|°C|h|min)\b)|(?<=×) | (?=×)")
#: Stands for such a blank while lines are broken; no name holds it.
GLUE: Final = "‿"


def said(text: str, indent: str = "  ", first: str | None = None) -> list[str]:
    """A paragraph in which no figure is parted from its thousands or its unit."""
    lines = paragraph(GLUED.sub(GLUE, text), indent, first)
    return [line.replace(GLUE, " ") for line in lines]
