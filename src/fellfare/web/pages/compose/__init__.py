"""Compose: every combination of a few parts, scored; the best of them become recipes."""

from __future__ import annotations

from typing import Any, Final

from fellfare.web.pages.compose.pages import COMPOSE_PAGES

#: Every page of the composer.
COMPOSING: Final[list[Any]] = COMPOSE_PAGES
