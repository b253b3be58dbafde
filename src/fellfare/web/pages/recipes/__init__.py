"""Recipes: read, write, bring in, publish."""

from __future__ import annotations

from typing import Any, Final

from fellfare.web.pages.recipes.edit import EDITING
from fellfare.web.pages.recipes.paste import BRINGING
from fellfare.web.pages.recipes.publish import PUBLISHING
from fellfare.web.pages.recipes.read import READING

#: Every page of recipes.
RECIPES: Final[list[Any]] = [*READING, *EDITING, *BRINGING, *PUBLISHING]
