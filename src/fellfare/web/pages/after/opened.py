"""A log of the book, beside the trip and the menu that it is about."""

from __future__ import annotations

from msgspec import Struct

from fellfare.book import Document
from fellfare.files.log_toml import LogFile
from fellfare.learn.lessons import Lessons, items_of_plan, items_of_plates, lessons_of
from fellfare.learn.log import Item, TripLog
from fellfare.learn.next_trip import NextTrip, next_trip
from fellfare.mistake import Mistake
from fellfare.web.documents import log_of, menu_of
from fellfare.web.here import Here
from fellfare.web.work.menus_of import trip_of_menu
from fellfare.web.work.planned import Planned, planned


class Opened(Struct, frozen=True, kw_only=True, eq=False):
    """What a log is about; it bears the name of the menu, or of the trip where there is none."""

    name: str
    #: None = nothing is written down yet.
    document: Document | None
    file: LogFile | None
    trip: Document
    made: Planned
    #: Dish by dish, or by eating times where there is no menu.
    items: tuple[Item, ...]
    by_dish: bool
    #: Dish → its title.
    titles: dict[str, str]

    @property
    def walkers(self) -> tuple[str, ...]:
        """Names, in the order of the trip."""
        return tuple(walker.name for walker in self.made.trip.walkers)

    @property
    def log(self) -> TripLog:
        """What is written down so far."""
        return TripLog(title=self.made.trip.title) if self.file is None else self.file.log


def open_log(here: Here, name: str) -> Opened:
    """The log called ``name``, or where it would stand.

    Raises
    ------
    Mistake
        ``log-without-trip``; what is wrong with log, trip, track or menu.
    """
    trip_name = trip_of_menu(name, here.book.names("trip"))
    if trip_name is None:
        raise Mistake(
            "log-without-trip",
            f"the book holds no trip that the log {name!r} belongs to",
            "a log bears the name of its menu or trip: rename one of them, or bring the trip in",
            name,
        )
    trip = here.book.get("trip", trip_name)
    made = planned(here.book, trip)
    document = here.book.get("log", name) if name in here.book.names("log") else None
    file = None if document is None else log_of(document.text, name)
    by_dish = name in here.book.names("menu")
    if by_dish:
        items = items_of_plates(menu_of(here.book.get("menu", name).text, name).plates)
    else:
        items = items_of_plan(made.plan)
    titles = {row.name: row.title for row in here.recipes.all()}
    return Opened(
        name=name, document=document, file=file, trip=trip, made=made, items=items,
        by_dish=by_dish, titles=titles,
    )  # fmt: skip


def learnt(here: Here, opened: Opened, log: TripLog) -> Lessons:
    """What a log teaches of its trip.

    Raises
    ------
    Mistake
        As :func:`fellfare.learn.lessons.lessons_of`.
    """
    items = opened.items if opened.by_dish else None
    return lessons_of(log, opened.made.plan, here.pantry, items, opened.titles)


def next_of(opened: Opened, lessons: Lessons) -> NextTrip:
    """The trip of the log with its lessons put in.

    Raises
    ------
    Mistake
        As :func:`fellfare.learn.next_trip.next_trip`.
    """
    return next_trip(opened.made.trip, lessons, opened.made.ground)
