"""The JSON API: the same core calls as the pages, described under ``/api/openapi.json``."""

from __future__ import annotations

from typing import Any, Final

from fellfare.web.api.documents import DOCUMENTS_API
from fellfare.web.api.foods import FOODS_API
from fellfare.web.api.menus import MENUS_API
from fellfare.web.api.provision import PROVISION_API
from fellfare.web.api.recipes import RECIPES_API
from fellfare.web.api.seasons import SEASONS_API
from fellfare.web.api.trips import TRIPS_API

#: What the app serves under ``/api``.
API: Final[list[Any]] = [
    *FOODS_API, *RECIPES_API, *TRIPS_API, *MENUS_API, *PROVISION_API, *SEASONS_API,
    *DOCUMENTS_API,
]  # fmt: skip
