"""A season: many parties over shared recipes, one purchase, lots and recalls, papers."""

from __future__ import annotations

from typing import Any, Final

from fellfare.web.pages.season.papers import PRINTING
from fellfare.web.pages.season.planning import PLANNING
from fellfare.web.pages.season.read import READING
from fellfare.web.pages.season.write import WRITING

#: Every page of the season.
SEASON: Final[list[Any]] = [*READING, *WRITING, *PLANNING, *PRINTING]
