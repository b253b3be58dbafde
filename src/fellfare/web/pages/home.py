"""The first page, the reader's units, and what always holds."""

from __future__ import annotations

from typing import Any, Final

from litestar import Response, get, post
from litestar.datastructures import Cookie, State
from litestar.params import URLEncodedBody
from litestar.response import Redirect, Template

from fellfare.book import Accounts
from fellfare.safety import standing_findings
from fellfare.web.drawing import page
from fellfare.web.figures import read_units
from fellfare.web.here import UNITS_COOKIE, FromGuest, FromHere, is_ours

#: A year: a habit, no secret [s].
_LASTING: Final = 31_536_000
#: Kinds of document in the order of the first page: kind, one, many, address, what it is for.
_KINDS: Final = (
    ("food", "own food", "own foods", "/foods/own", "What the shipped table lacks, by its label."),
    ("recipe", "recipe", "recipes", "/recipes", "Dishes, weighed line by line."),
    ("composition", "composition", "compositions", "/compose",
     "Parts of a dish, in every combination."),
    ("trip", "trip", "trips", "/trips", "Who walks where, and what they need each day."),
    ("menu", "menu", "menus", "/menus", "What is eaten when."),
    ("log", "log", "logs", "/after", "What came home again."),
    ("season", "season", "seasons", "/season", "Many parties, one store room."),
)  # fmt: skip


@get("/", sync_to_thread=True, include_in_schema=False)
def home(here: FromHere) -> Template:
    """What is in the book, and how to begin."""
    opened = {address for _, _, address, _ in here.rooms}
    counts = [
        (len(here.book.names(kind)), one, many, address, what)
        for kind, one, many, address, what in _KINDS
        if address in opened or address == "/foods/own"
    ]
    return page(here, "home/home.html", counts=counts, foods=len(here.pantry))


@post("/demo", sync_to_thread=True, include_in_schema=False)
def lay_in(here: FromHere) -> Redirect:
    """Lay the invented demo into the book; what is there under the same names stays."""
    from fellfare.web.demo import lay_in_demo  # its track is made with numpy

    laid = lay_in_demo(here.book, here.by)
    return Redirect(f"/recipes?laid={laid}", status_code=303)


@get("/cautions", sync_to_thread=True, include_in_schema=False)
def cautions(guest: FromGuest) -> Template:
    """Everything that is always said, with its sources."""
    return page(guest, "home/cautions.html", notes=standing_findings())


@post("/units", sync_to_thread=True, include_in_schema=False)
def choose_units(
    guest: FromGuest, state: State, data: URLEncodedBody[dict[str, Any]]
) -> Response[None]:
    """Remember whose measures the reader wants, with the account and in this browser; go back."""
    units = read_units(str(data.get("units", "")))
    accounts: Accounts | None = state.desks.accounts
    if accounts is not None and guest.member is not None:
        accounts.set_measures(guest.member, units)
    back = str(data.get("back", "/"))
    cookie = Cookie(UNITS_COOKIE, value=units, max_age=_LASTING, httponly=True, samesite="lax")
    return Redirect(back if is_ours(back) else "/", status_code=303, cookies=[cookie])


HOME: Final[list[Any]] = [home, lay_in, cautions, choose_units]
