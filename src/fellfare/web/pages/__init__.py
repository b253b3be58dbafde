"""Every page, one module or folder per family; each ends in a list of its handlers."""

from __future__ import annotations

from typing import Any, Final

from fellfare.web.pages.after import AFTER
from fellfare.web.pages.book import BOOK
from fellfare.web.pages.club import CLUB
from fellfare.web.pages.compose import COMPOSING
from fellfare.web.pages.foods import FOODS
from fellfare.web.pages.home import HOME
from fellfare.web.pages.keeping import KEEPING
from fellfare.web.pages.kitchen import KITCHEN
from fellfare.web.pages.menus import MENUS
from fellfare.web.pages.own_food import OWN_FOODS
from fellfare.web.pages.recipes import RECIPES
from fellfare.web.pages.season import SEASON
from fellfare.web.pages.trail import TRAIL
from fellfare.web.pages.trips import TRIPS

#: What the app serves.  A new family of pages adds its list here.
PAGES: Final[list[Any]] = [
    *HOME,
    *CLUB,
    *FOODS,
    *OWN_FOODS,
    *RECIPES,
    *COMPOSING,
    *TRIPS,
    *MENUS,
    *KITCHEN,
    *TRAIL,
    *AFTER,
    *SEASON,
    *BOOK,
    *KEEPING,
]
