"""Read trips: the list, and one with everything that follows from it."""

from __future__ import annotations

from typing import Any, Final

from litestar import Response, get
from litestar.params import FromPath, FromQuery
from litestar.response import Redirect, Template
from msgspec import Struct

from fellfare.book import Document
from fellfare.mistake import Mistake
from fellfare.trip.trip import Trip
from fellfare.web.documents import trip_of
from fellfare.web.drawing import page
from fellfare.web.errors import each_of
from fellfare.web.figures import Units
from fellfare.web.here import FromHere
from fellfare.web.pages.trips.fields import FIRE_WORDS
from fellfare.web.pages.trips.pictures import heights, need_picture, sketch
from fellfare.web.pages.trips.words import rules_in_words
from fellfare.web.work.menus_of import menus_of
from fellfare.web.work.planned import Planned, planned


class Listed(Struct, frozen=True):
    """One trip of the list; without a ``trip``, ``mistake`` says why."""

    document: Document
    title: str
    trip: Trip | None
    menus: tuple[str, ...]
    mistake: Mistake | None


@get("/trips", sync_to_thread=True, include_in_schema=False)
def trips(here: FromHere, deleted: FromQuery[str] = "") -> Template:
    """Every trip of the book."""
    rows = []
    menus = here.book.names("menu")
    for document in here.book.all("trip"):
        trip, told = None, None
        try:
            trip = trip_of(document.text, document.name)
        except Mistake as mistake:
            told = each_of(mistake)[0]
        title = document.name.replace("-", " ") if trip is None else trip.title
        rows.append(Listed(document, title, trip, menus_of(document.name, menus), told))
    thrown = here.book.names("trip", deleted=True)
    return page(
        here, "trips/trips.html", "trips", rows=rows, thrown=thrown,
        deleted=deleted if deleted in thrown else "",
    )  # fmt: skip


@get("/trips/{name:str}", sync_to_thread=True, include_in_schema=False)
def trip(
    here: FromHere,
    name: FromPath[str],
    saved: FromQuery[str] = "",
    undone: FromQuery[str] = "",
    restored: FromQuery[str] = "",
) -> Template:
    """One trip: the way, the days, the need, what to mind."""
    document = here.book.get("trip", name)
    done = "saved" if saved else "undone" if undone else "restored" if restored else ""
    given: dict[str, Any] = {
        "document": document, "done": done, "menus": menus_of(name, here.book.names("menu")),
    }  # fmt: skip
    try:
        made = planned(here.book, document)
    except Mistake as mistake:
        return page(here, "trips/unread.html", "trips", mistakes=each_of(mistake), **given)
    return page(here, "trips/trip.html", "trips", **given, **drawn(made, here.units))


def drawn(made: Planned, units: Units) -> dict[str, Any]:
    """What the page of a plan draws."""
    plan = made.plan
    most = max((day.high_kcal for one in plan.walkers for day in one.need.days), default=1.0)
    mornings = {
        one.walker: [1000 * step.start_kg for step in one.load if step.from_m == 0]
        for one in plan.walkers
    }
    return {
        "plan": plan,
        "made": made,
        "heights": heights(plan, units),
        "heights_narrow": heights(plan, units, 420, 230),
        "sketch": sketch(plan, made.ground.places, units),
        "needs": [need_picture(one, most) for one in plan.walkers],
        "mornings": mornings,
        "rules": rules_in_words(plan.trip, units),
        "fires": _fires(made),
    }


def _fires(made: Planned) -> list[tuple[str, list[int]]]:
    """What may burn, in words, and on which days; the first day's rule first."""
    found: dict[str, list[int]] = {}
    for day in made.plan.days:
        words = "nobody has asked" if day.fire is None else FIRE_WORDS[day.fire]
        found.setdefault(words, []).append(day.day)
    return list(found.items())


@get("/tracks/{name:str}", sync_to_thread=True, include_in_schema=False)
def track(here: FromHere, name: FromPath[str]) -> Response[Any]:
    """A track is shown with its trip; without one, its history is."""
    here.book.get("track", name)
    for document in here.book.all("trip"):
        if document.name == name:
            return Redirect(f"/trips/{name}", status_code=303)
    return Redirect(f"/book/track/{name}/history", status_code=303)


READING: Final[list[Any]] = [trips, trip, track]
