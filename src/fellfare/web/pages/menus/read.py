"""Read menus: the list, one with its grid, its loads and its proof."""

from __future__ import annotations

from typing import Any, Final

import msgspec
from litestar import get
from litestar.params import FromPath, FromQuery
from litestar.response import Template
from msgspec import Struct

from fellfare.book import Document
from fellfare.menu.checking import Broken
from fellfare.menu.pool import Ban, Lock
from fellfare.menu.settling import SETTLED_KCAL
from fellfare.menu.telling import mass_of
from fellfare.menu.written import WrittenMenu
from fellfare.mistake import Mistake
from fellfare.web.documents import menu_of
from fellfare.web.drawing import page
from fellfare.web.errors import each_of
from fellfare.web.here import FromHere, Here
from fellfare.web.pages.menus.grid import grid, times_of
from fellfare.web.pages.menus.pictures import energy_pictures, load_picture
from fellfare.web.pages.menus.words import in_words
from fellfare.web.pages.trips.fields import FIRE_WORDS
from fellfare.web.work.asked import AskedHere, asked_of
from fellfare.web.work.menus_of import trip_of_menu
from fellfare.web.work.packs import packs_text
from fellfare.web.work.planned import Planned, planned
from fellfare.web.work.results import KINDS, Proof, job_of, proof_of, read_result
from fellfare.web.work.shown import key_of, shown
from fellfare.web.work.wishes import wishes_of, with_wishes


class Listed(Struct, frozen=True):
    """One menu of the list."""

    document: Document
    trip: str | None
    title: str
    mass_g: float | None
    days: int
    dishes: int
    mistake: Mistake | None


class Open(Struct, frozen=True, eq=False):
    """A menu with the trip that it belongs to."""

    document: Document
    written: WrittenMenu
    made: Planned
    asked: AskedHere


@get("/menus", sync_to_thread=True, include_in_schema=False)
def menus(here: FromHere, deleted: FromQuery[str] = "") -> Template:
    """Every menu of the book, and the trips that have none."""
    trips = here.book.names("trip")
    rows = [_listed(document, trips) for document in here.book.all("menu")]
    without = [name for name in trips if all(row.trip != name for row in rows)]
    thrown = here.book.names("menu", deleted=True)
    afoot = [
        (job.id, str(job.asked.get("trip", "")))
        for kind in KINDS
        for job in here.book.jobs.all(kind=kind)
        if not job.ended
    ]
    return page(
        here, "menus/menus.html", "menus", rows=rows, afoot=sorted(afoot),
        without=without, trips=trips, thrown=thrown,
        deleted=deleted if deleted in thrown else "",
    )  # fmt: skip


def _listed(document: Document, trips: tuple[str, ...]) -> Listed:
    trip = trip_of_menu(document.name, trips)
    try:
        menu = menu_of(document.text, document.name)
    except Mistake as mistake:
        title = document.name.replace("-", " ")
        return Listed(document, trip, title, None, 0, 0, each_of(mistake)[0])
    days = len({plate.day for plate in menu.plates})
    dishes = len({plate.dish for plate in menu.plates})
    return Listed(document, trip, menu.title, mass_of(menu.plates), days, dishes, None)


def open_menu(here: Here, name: str) -> Open:
    """The menu, its trip, and what the trip asks.

    Raises
    ------
    Mistake
        ``menu-without-trip``, or what is wrong with any of them.
    """
    document = here.book.get("menu", name)
    menu = menu_of(document.text, name)
    trip = trip_of_menu(name, here.book.names("trip"))
    if trip is None:
        raise Mistake(
            "menu-without-trip",
            f"the book holds no trip that the menu {name!r} belongs to",
            "a menu bears the name of its trip: rename one of them, or bring the trip in",
            name,
        )
    made = planned(here.book, here.book.get("trip", trip))
    asked = asked_of(made, here.foods, here.recipes, packs_text(here.book, trip))
    return Open(document, menu, made, asked)


@get("/menus/{name:str}", sync_to_thread=True, include_in_schema=False)
def menu(
    here: FromHere,
    name: FromPath[str],
    who: FromQuery[str] = "",
    job: FromQuery[int | None] = None,
    saved: FromQuery[str] = "",
    undone: FromQuery[str] = "",
    restored: FromQuery[str] = "",
    fixed: FromQuery[str] = "",
    wish: FromQuery[str] = "",
    of: FromQuery[int | None] = None,
) -> Template:
    """One menu: the grid, the loads, the proof, and what can be changed."""
    done = "saved" if saved else "undone" if undone else "restored" if restored else ""
    try:
        opened = open_menu(here, name)
    except Mistake as mistake:
        document = here.book.get("menu", name)
        trip = trip_of_menu(name, here.book.names("trip"))
        return page(
            here, "menus/unread.html", "menus", document=document, done=done, trip=trip,
            mistakes=each_of(mistake),
        )  # fmt: skip
    document, asked = opened.document, opened.asked.asked
    there = shown(opened.asked, document.text, opened.written)
    proof = proof_of(here.book, opened.made.name, name, key_of(opened.asked, document.text))
    kept = proof is not None and proof.keeps_all
    wishes = wishes_of(here.book, name)
    who = who if who in there.menu.walkers else ""
    rows = grid(asked, there.menu, wishes, who) if there.menu.days else ()
    standing = {
        place.at
        for row in rows
        for cell in row.cells
        for one in cell.dishes
        for place in one.places
    }
    return page(
        here, "menus/menu.html", "menus", document=document, made=opened.made, plan=asked.plan,
        menu=there.menu, lost=there.lost,
        broken=_gathered(() if kept else there.broken, len(asked.plan.days)),
        proof=proof, change=_change(here, job, document), who=who, rows=rows,
        times=times_of(asked, there.menu),
        load=load_picture(there.menu, here.units) if there.menu.days else None,
        load_narrow=load_picture(there.menu, here.units, 420, 230) if there.menu.days else None,
        energy=energy_pictures(asked.plan, there.menu, who) if there.menu.days else (),
        wishes=wishes, stale=with_wishes(asked.base, wishes)[1], standing=standing, done=done,
        titles={one.id: one.dish.title for one in asked.dishes}, fire_words=FIRE_WORDS,
        fixed=fixed, wish=wish, job=job, of=of, packed=packed_wish, in_words=in_words,
        priced=bool(asked.base.packs),
    )  # fmt: skip


def _gathered(broken: tuple[Broken, ...], days: int) -> tuple[tuple[str, str, str], ...]:
    """(wish, where, all that is wrong there), gravest first: an allergy before everything.

    What is off by no more than the kilocalorie a day to which a need is settled is kept.
    """
    places: dict[tuple[str, str], list[str]] = {}
    for one in broken:
        span = days if "whole walk" in one.wish else 1
        if one.unit == "kcal" and one.amount <= SETTLED_KCAL * span:
            continue
        place, _, what = one.what.rpartition(": ")
        by = f" by {one.amount:.0f} {one.unit}" if one.unit and one.amount >= 0.5 else ""
        places.setdefault((one.wish, place), []).append(what + by)
    told = [(wish, place, ", ".join(dict.fromkeys(each))) for (wish, place), each in places.items()]
    order = {"allergies": 0, "diets": 1}
    return tuple(sorted(told, key=lambda one: order.get(one[0], 2)))


def packed_wish(wish: Lock | Ban) -> str:
    """What a button says of a wish."""
    return msgspec.json.encode(wish).decode("utf-8")


def _change(here: Here, job: int | None, document: Document) -> Proof | None:
    """What the search that made this revision changed."""
    if job is None:
        return None
    try:
        found = read_result(job_of(here.book, job).result)
    except Mistake:
        return None
    proof = None if found is None else found.proof
    if proof is None or (proof.menu, proof.revision) != (document.name, document.revision):
        return None
    return proof


READING: Final[list[Any]] = [menus, menu]
