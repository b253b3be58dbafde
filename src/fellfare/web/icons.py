"""Small pictures beside words, by the names of the Lucide set (ISC licence)."""

from __future__ import annotations

from functools import cache

from lucide.jinja import lucide
from markupsafe import Markup


@cache
def icon(name: str, size: int = 18) -> Markup:
    """An icon as inline SVG: ``{{ icon('soup') }}``.

    It stands beside words and says nothing that they do not, so readers aloud skip it.
    """
    more = {"class": "icon", "aria_hidden": "true", "focusable": "false", "stroke_width": 1.6}
    return Markup(lucide(name, size=size, **more))  # drawn by the package, never by a reader
