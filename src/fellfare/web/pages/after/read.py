"""Read logs: the list, and what one teaches."""

from __future__ import annotations

from typing import Any, Final

from litestar import get
from litestar.params import FromPath, FromQuery
from litestar.response import Template
from msgspec import Struct

from fellfare.book import compare_texts
from fellfare.learn.bounds import STATEMENT
from fellfare.learn.said import said_of
from fellfare.mistake import Mistake
from fellfare.web.documents import log_of
from fellfare.web.drawing import page
from fellfare.web.errors import each_of
from fellfare.web.here import FromHere
from fellfare.web.pages.after.next_trip import corrected
from fellfare.web.pages.after.opened import learnt, next_of, open_log
from fellfare.web.pages.after.pictures import bands
from fellfare.web.work.menus_of import menus_of, trip_of_menu


class Listed(Struct, frozen=True):
    """One log of the list."""

    name: str
    title: str
    trip: str | None
    #: Items, days, marks and the like that are noted.
    notes: int
    mistake: Mistake | None


@get("/after", sync_to_thread=True, include_in_schema=False)
def logs(here: FromHere, deleted: FromQuery[str] = "") -> Template:
    """Every log, and the menus and trips of which nothing is written down yet."""
    trips, menus = here.book.names("trip"), here.book.names("menu")
    rows = []
    for document in here.book.all("log"):
        trip = trip_of_menu(document.name, trips)
        try:
            log = log_of(document.text, document.name).log
        except Mistake as mistake:
            plain = document.name.replace("-", " ")
            rows.append(Listed(document.name, plain, trip, 0, each_of(mistake)[0]))
            continue
        notes = sum(map(len, (log.left, log.days, log.liked, log.weighed, log.walked, log.boiled,
                              log.soaked)))  # fmt: skip
        title = log.title or document.name.replace("-", " ")
        rows.append(Listed(document.name, title, trip, notes, None))
    known = {row.name for row in rows}
    open_ = [name for trip in trips for name in (menus_of(trip, menus) or (trip,))
             if name not in known]  # fmt: skip
    thrown = here.book.names("log", deleted=True)
    return page(
        here, "after/logs.html", "after", rows=rows, open=open_, thrown=thrown,
        deleted=deleted if deleted in thrown else "",
    )  # fmt: skip


@get("/after/{name:str}", sync_to_thread=True, include_in_schema=False)
def lessons(
    here: FromHere,
    name: FromPath[str],
    saved: FromQuery[str] = "",
    undone: FromQuery[str] = "",
    restored: FromQuery[str] = "",
) -> Template:
    """What came home, what it teaches, and what the next trip would change."""
    document = here.book.get("log", name)
    done = "saved" if saved else "undone" if undone else "restored" if restored else ""
    given: dict[str, Any] = {"document": document, "done": done, "name": name}
    try:
        opened = open_log(here, name)
        found = learnt(here, opened, opened.log)
        made = next_of(opened, found)
        after = corrected(opened.trip.text, made)
    except Mistake as mistake:
        return page(here, "after/unread.html", "after", mistakes=each_of(mistake), **given)
    return page(
        here, "after/lessons.html", "after", opened=opened, trip=opened.made.trip, lessons=found,
        said={one.walker: said_of(one, made) for one in found.walkers},
        bands={one.walker: bands(one, made.of(one.walker)) for one in found.walkers},
        moved={
            one.walker: {meal.eating: meal.change for meal in one.meals} for one in made.walkers
        },
        statement=STATEMENT,
        changes=compare_texts(opened.trip.text, after) if after != opened.trip.text else (),
        **given,
    )  # fmt: skip


READING: Final[list[Any]] = [logs, lessons]
