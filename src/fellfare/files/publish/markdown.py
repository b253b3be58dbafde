"""The recipe as Markdown: headings and lists of CommonMark, nothing beyond it.

Marks in the author's words are escaped, so that they print as written.  The ingredient
lines read back.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from fellfare.files.publish.told import WEIGH, Told

#: What CommonMark could take for a mark inside a line, or at its start.
_MARKS: Final = re.compile(r"([\\`*_\[\]<>|~&]|^[#+=-])")
_NUMBERED: Final = re.compile(r"^(\d+)([.)])(?=\s|$)")


def markdown(told: Told) -> str:
    """The whole publication; ends in one line feed."""
    lines = [f"# {_escaped(told.title)}", ""]
    for stop in told.stops:
        lines += [f"**STOP. Do not make it as written:** {_escaped(stop)}", ""]
    if told.about:
        lines += [_escaped(told.about), ""]
    lines += _items([f"Serves {told.serves}", *told.facts])
    if WEIGH[told.measures]:
        lines += ["", WEIGH[told.measures]]
    lines += ["", "## Ingredients"]
    for group in told.groups:
        lines += ["", f'### Bag "{_escaped(group.bag)}"', ""] if group.bag else [""]
        lines += _items(group.lines)
    number = 0
    for heading, steps in (("At home", told.home), ("In camp", told.camp)):
        if steps:
            lines += ["", f"## {heading}", ""]
        for step in steps:
            number += 1
            lines.append(f"{number}. {_escaped(step)}")
    for heading, paragraphs in (
        ("Nutrition", told.nutrition),
        ("Allergens", told.allergens),
        ("Packing", told.packing),
        ("Please mind", (*told.cautions, *told.notes, *told.standing)),
    ):
        if paragraphs:
            lines += ["", f"## {heading}", "", *_items(paragraphs)]
    if told.origin:
        lines += ["", f"Origin: {_escaped(told.origin)}"]
    return "\n".join(lines) + "\n"


def _items(texts: Iterable[str]) -> list[str]:
    return [f"- {_escaped(text)}" for text in texts]


def _escaped(text: str) -> str:
    return _NUMBERED.sub(r"\1\\\2", _MARKS.sub(r"\\\1", text))
