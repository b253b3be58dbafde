"""What does somebody see when it cannot be done?  Never a stack trace, always a way on."""

from __future__ import annotations

import logging
import traceback
from secrets import token_hex
from typing import Any, Final
from urllib.parse import quote

from litestar import MediaType, Request, Response
from litestar.exceptions import HTTPException
from litestar.response import Redirect, Template

from fellfare.mistake import Mistake, Mistakes
from fellfare.web.here import Guest, is_ours, make_guest

_log = logging.getLogger("fellfare.web")

Asked = Request[Any, Any, Any]

#: Status → (heading, what to do), for what the framework refuses.
_REFUSALS: Final = {
    400: ("That could not be read", "Go back, look the address or the form over, and try again."),
    403: (
        "This form has gone stale",
        "Nothing was saved. Go back (what you typed is still there), reload the page in a second "
        "tab if need be, and send it again.",
    ),
    404: ("There is nothing here", "The address leads nowhere, or it was deleted or renamed."),
    405: ("That is not done here", "Go back and use the buttons of the page."),
    413: (
        "That is too large",
        "A document is text of a few kB, a saved page or track under 10 MB.",
    ),
    429: ("Too many at once", "Wait a minute and try again."),
}
_UNREADABLE: Final = ("That could not be done", "Go back and try again.")

#: Mistakes that mean: there is no such document.
_ABSENT: Final = frozenset({
    "book-no-such-document", "book-no-such-revision", "book-unknown-kind", "book-bad-name",
    "job-not-found",
})  # fmt: skip


def mistake_data(mistake: Mistake) -> dict[str, Any]:
    """A mistake as the API tells it."""
    one = {key: getattr(mistake, key) for key in ("code", "what", "mend", "where")}
    return one | {"each": [mistake_data(each) for each in each_of(mistake)[1:]]}


def each_of(mistake: Mistake) -> tuple[Mistake, ...]:
    """The single mistakes of it, in the order of the document."""
    return mistake.each if isinstance(mistake, Mistakes) else (mistake,)


def mistake_page(request: Asked, mistake: Mistake) -> Response[Any]:
    """Whatever no handler has told beside a field ends here."""
    status = 404 if mistake.code in _ABSENT else 422
    status = {"book-changed-meanwhile": 409, "role-may-not": 403}.get(mistake.code, status)
    if _wants_data(request):
        return Response(mistake_data(mistake), status_code=status, media_type=MediaType.JSON)
    here = _here(request)
    name = "said/mistakes.html" if here.fragment else "said/mistake_page.html"
    typed = request.method != "GET"
    return _drawn(here, name, status, mistakes=each_of(mistake), typed=typed)


def refused(request: Asked, error: HTTPException) -> Response[Any]:
    """What the framework refuses: wrong address, method, size, form token."""
    status = error.status_code
    if status >= 500:
        return failed(request, error)
    heading, way_on = _REFUSALS.get(status, _UNREADABLE)
    if _wants_data(request):
        data = {"code": f"http-{status}", "what": heading, "mend": way_on, "where": "", "each": []}
        return Response(data, status_code=status, media_type=MediaType.JSON)
    return _drawn(_here(request), "said/refused.html", status, heading=heading, way_on=way_on)


def failed(request: Asked, error: Exception) -> Response[Any]:
    """Our own fault: a page with a number, and a line in the log without personal data."""
    number = token_hex(4)
    frames = traceback.extract_tb(error.__traceback__)[-6:]
    spots = " < ".join(f"{frame.filename}:{frame.lineno}" for frame in reversed(frames))
    handler = request.scope.get("route_handler")
    # Neither the address, the form nor the exception's words: they may hold names.
    _log.error("fault %s: %s in %s at %s", number, type(error).__name__, handler, spots)
    if _wants_data(request):
        data = {"code": "our-fault", "what": f"our fault, number {number}",
                "mend": "try again; tell us the number", "where": "", "each": []}  # fmt: skip
        return Response(data, status_code=500, media_type=MediaType.JSON)
    return _drawn(_here(request), "said/failed.html", 500, number=number)


def _wants_data(request: Asked) -> bool:
    return request.url.path.startswith("/api")


def sign_in_wanted(request: Asked, _: Exception) -> Response[Any]:
    """Nobody is signed in: to the door, and back here afterwards."""
    if _wants_data(request):
        data = {"code": "sign-in-wanted", "what": "nobody is signed in", "mend": "sign in first",
                "where": "", "each": []}  # fmt: skip
        return Response(data, status_code=401, media_type=MediaType.JSON)
    back = request.url.path if request.method == "GET" and is_ours(request.url.path) else "/"
    door = f"/sign-in?back={quote(back, safe='')}"
    if request.headers.get("hx-request") == "true":  # the whole page goes there, not a piece
        return Response("", status_code=200, headers={"hx-redirect": door})
    return Redirect(door, status_code=303)


def _here(request: Asked) -> Guest:
    return make_guest(request, request.app.state)


def _drawn(here: Guest, name: str, status: int, **given: Any) -> Template:
    context = {"here": here, "units": here.units, "room": ""} | given
    return Template(template_name=name, context=context, status_code=status)
