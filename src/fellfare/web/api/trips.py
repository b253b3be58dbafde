"""Trips as data: the list, and what a walk asks."""

from __future__ import annotations

from typing import Any, Final

from litestar import get
from litestar.params import FromPath

from fellfare.files.walk_json import walk_data
from fellfare.mistake import Mistake
from fellfare.web.api.refusals import Absent, Refused
from fellfare.web.documents import trip_of
from fellfare.web.errors import mistake_data
from fellfare.web.here import FromHere
from fellfare.web.work.menus_of import menus_of
from fellfare.web.work.planned import planned


@get("/api/trips", sync_to_thread=True, tags=["trips"], summary="Every trip of the book")
def list_trips(here: FromHere) -> dict[str, Any]:
    """Names, titles, people and menus; a draft that cannot be read says why."""
    menus = here.book.names("menu")
    rows = []
    for document in here.book.all("trip"):
        row: dict[str, Any] = {
            "name": document.name,
            "revision": document.revision,
            "title": None,
            "walkers": [],
            "menus": list(menus_of(document.name, menus)),
            "mistake": None,
        }
        try:
            trip = trip_of(document.text, document.name)
            row |= {"title": trip.title, "walkers": [one.name for one in trip.walkers]}
        except Mistake as mistake:
            row["mistake"] = mistake_data(mistake)
        rows.append(row)
    return {"trips": rows}


@get("/api/trips/{name:str}", sync_to_thread=True, tags=["trips"], responses=Absent | Refused,
     summary="What a trip asks of its walkers")  # fmt: skip
def one_trip(here: FromHere, name: FromPath[str]) -> dict[str, Any]:
    """Everything that ``fellfare walk --json`` prints, with the findings of all trip rules."""
    made = planned(here.book, here.book.get("trip", name))
    return walk_data(made.plan, made.findings)


TRIPS_API: Final[list[Any]] = [list_trips, one_trip]
