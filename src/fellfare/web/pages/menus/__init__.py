"""Menus: what is eaten when, worked out, looked over, changed."""

from __future__ import annotations

from typing import Any, Final

from fellfare.web.pages.menus.change import CHANGING
from fellfare.web.pages.menus.jobs import WORKING
from fellfare.web.pages.menus.read import READING

#: Every page of menus.
MENUS: Final[list[Any]] = [*WORKING, *READING, *CHANGING]
