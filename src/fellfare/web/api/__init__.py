"""The JSON API: the same core calls as the pages, described under ``/api/openapi.json``."""

from __future__ import annotations

from typing import Any, Final

#: What the app serves under ``/api``.
API: Final[list[Any]] = []
