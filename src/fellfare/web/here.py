"""Who asks, for what, in which units?  What every handler is given, under the name ``here``."""

from __future__ import annotations

from typing import Any, TypeAlias

from litestar import Request
from litestar.datastructures import State
from litestar.di import NamedDependency
from msgspec import Struct

from fellfare.book import Book
from fellfare.pantry.pantry import Pantry
from fellfare.web.figures import Units, read_units
from fellfare.web.foods_at_hand import FoodsAtHand
from fellfare.web.recipes_at_hand import RecipesAtHand

#: The cookie that remembers the reader's units; it holds nothing else.
UNITS_COOKIE = "units"


class Here(Struct, frozen=True):
    """One request, as far as a handler minds it."""

    book: Book
    foods: FoodsAtHand
    recipes: RecipesAtHand
    units: Units
    #: The address asked for, to come back to.
    path: str
    #: Asked by htmx: a fragment is wanted, not a page.
    fragment: bool
    #: Rooms that this app serves: key, name, address, what is there.
    rooms: tuple[tuple[str, str, str, str], ...] = ()
    #: Name of the person who saves; empty on one's own machine.
    by: str = ""

    @property
    def pantry(self) -> Pantry:
        """Shipped foods and the book's own."""
        return self.foods.pantry()


#: How a handler asks for it: ``def page(here: FromHere)``.
FromHere: TypeAlias = NamedDependency[Here]


def make_here(request: Request[Any, Any, Any], state: State) -> Here:
    """Put together what one request brings along."""
    told = request.query_params.get("units")
    kept = read_units(request.cookies.get(UNITS_COOKIE))
    return Here(
        book=state.book,
        foods=state.foods,
        recipes=state.recipes,
        units=read_units(told, kept),
        path=request.url.path,
        fragment=request.headers.get("hx-request") == "true",
        rooms=state.rooms,
    )
