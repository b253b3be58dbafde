"""Who asks, for what, in which units?  What every handler is given, under the name ``here``."""

from __future__ import annotations

from functools import cached_property
from typing import Any, TypeAlias

from litestar import Request
from litestar.concurrency import sync_to_thread
from litestar.datastructures import State
from litestar.di import NamedDependency
from msgspec import Struct

from fellfare.book import Book, Member, may
from fellfare.pantry.pantry import Pantry
from fellfare.web.desks import SESSION_COOKIE, Desks
from fellfare.web.figures import Units, read_units
from fellfare.web.foods_at_hand import FoodsAtHand
from fellfare.web.recipes_at_hand import RecipesAtHand
from fellfare.web.rooms import Room

#: The cookie that remembers the units of this browser; it holds nothing else.
UNITS_COOKIE = "units"


class Guest(Struct, frozen=True):
    """One request of anybody: what a page without a book minds of it."""

    units: Units
    #: The address asked for, to come back to.
    path: str
    #: Asked by htmx: a fragment is wanted, not a page.
    fragment: bool
    #: Rooms that this app serves to them: key, name, address, what is there.
    rooms: tuple[Room, ...] = ()
    #: Who is signed in; None on one's own machine, and before signing in.
    member: Member | None = None

    @property
    def may_write(self) -> bool:
        """Whether buttons that change something make sense to them."""
        return self.member is None or may(self.member.role, "write")


class Here(Guest, frozen=True, kw_only=True, dict=True):
    """One request of somebody who has a book before them."""

    book: Book
    foods: FoodsAtHand
    recipes: RecipesAtHand

    @property
    def by(self) -> str:
        """Name of the person who saves; empty on one's own machine."""
        return "" if self.member is None else self.member.name

    @cached_property
    def pantry(self) -> Pantry:
        """Shipped foods and the book's own, as they stood when this request first asked."""
        return self.foods.pantry()


class SignInWanted(Exception):  # noqa: N818 - an ask, no error
    """Nobody is signed in, and this page belongs to a club."""


#: How a handler asks for it: ``def page(here: FromHere)``.
FromHere: TypeAlias = NamedDependency[Here]
#: The same for a page that anybody may see: ``def page(guest: FromGuest)``.
FromGuest: TypeAlias = NamedDependency[Guest]


def make_here(request: Request[Any, Any, Any], state: State) -> Here:
    """Put together what one request brings along.

    Raises
    ------
    SignInWanted
        In a club, when nobody is signed in.
    """
    desks: Desks = state.desks
    desk = desks.desk(request.cookies.get(SESSION_COOKIE))
    if desk is None:
        raise SignInWanted
    return Here(
        book=desk.book,
        foods=desk.foods,
        recipes=desk.recipes,
        member=desk.member,
        units=_units(request, desk.member),
        path=request.url.path,
        fragment=_fragment(request),
        rooms=state.rooms,
    )


def make_guest(request: Request[Any, Any, Any], state: State) -> Guest:
    """The same without a book; whoever is signed in sees the way all the same."""
    desks: Desks = state.desks
    accounts = desks.accounts
    token = request.cookies.get(SESSION_COOKIE)
    member = accounts.member_of(token) if accounts is not None and token else None
    known = accounts is None or member is not None
    return Guest(
        units=_units(request, member),
        path=request.url.path,
        fragment=_fragment(request),
        rooms=state.rooms if known else (),
        member=member,
    )


async def provide_here(request: Request[Any, Any, Any], state: State) -> Here:
    """The same for the framework: outside of its loop only where a session must be looked up."""
    if state.desks.accounts is None:
        return make_here(request, state)
    return await sync_to_thread(make_here, request, state)


async def provide_guest(request: Request[Any, Any, Any], state: State) -> Guest:
    """As :func:`provide_here`."""
    if state.desks.accounts is None:
        return make_guest(request, state)
    return await sync_to_thread(make_guest, request, state)


def is_ours(address: str) -> bool:
    """A plain path of this app, to come back to: no other host can hide in it."""
    plain = address.isprintable() and "\\" not in address
    return plain and address.startswith("/") and not address.startswith("//")


def _units(request: Request[Any, Any, Any], member: Member | None) -> Units:
    """The page's own word first, then the account's, then the browser's."""
    kept = read_units(request.cookies.get(UNITS_COOKIE))
    if member is not None:
        kept = read_units(member.measures, kept)
    return read_units(request.query_params.get("units"), kept)


def _fragment(request: Request[Any, Any, Any]) -> bool:
    return request.headers.get("hx-request") == "true"
