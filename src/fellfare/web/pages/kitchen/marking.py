"""A tick is set, taken away, or all of them are."""

from __future__ import annotations

import re
from typing import Any, Final
from urllib.parse import quote

from litestar import Response, post
from litestar.exceptions import NotFoundException
from litestar.params import FromPath, FromQuery, URLEncodedBody
from litestar.response import Redirect

from fellfare.mistake import Mistake
from fellfare.web.drawing import page
from fellfare.web.here import FromHere, is_ours
from fellfare.web.pages.kitchen.provided import provided
from fellfare.web.pages.kitchen.ticks import LISTS, found, lists_of, ticked

Posted = URLEncodedBody[dict[str, Any]]

#: Places of lines on a page.
_PLACE: Final = re.compile(r"line(-\d{1,4}){1,3}")


@post("/kitchen/{name:str}/ticks/{what:str}", sync_to_thread=True, include_in_schema=False)
def tick(
    here: FromHere, name: FromPath[str], what: FromPath[str], data: Posted, at: FromQuery[str] = ""
) -> Response[Any]:
    """Tick a line (``done``) or take its tick away (``undo``); ``at`` is its place on the page."""
    if what not in LISTS:
        raise NotFoundException
    done = "done" in data
    item = str(data.get("done" if done else "undo", ""))
    there = provided(here, name)
    line = found(lists_of(there.one, what, frozenset((item,)), here.units), item)
    if line is None and done:
        raise Mistake(
            "line-is-gone",
            "that line is not on the list any more",
            "load the page again: menu, recipes or cupboard have changed meanwhile",
        )
    here.book.set_tick("menu", name, what, item, done, by=here.by)
    place = at if _PLACE.fullmatch(at) else ""
    if here.fragment and place and line is not None:
        return page(
            here, "kitchen/ticked.html", "kitchen", name=name, what=what, item=item, done=done,
            place=place, far=ticked(here.book, name, there.one, what, here.units),
        )  # fmt: skip
    back = str(data.get("back", ""))
    back = back if is_ours(back) else f"/kitchen/{quote(name, safe='')}"
    return Redirect(f"{back}#{place}" if place else back, status_code=303)


@post("/kitchen/{name:str}/ticks/{what:str}/clear", sync_to_thread=True, include_in_schema=False)
def clear(here: FromHere, name: FromPath[str], what: FromPath[str], data: Posted) -> Redirect:
    """Take every tick of a list away."""
    if what not in LISTS:
        raise NotFoundException
    here.book.clear_ticks("menu", name, what)
    back = str(data.get("back", ""))
    return Redirect(back if is_ours(back) else f"/kitchen/{quote(name, safe='')}", status_code=303)


MARKING: Final[list[Any]] = [tick, clear]
