"""Read a season: the list, its parties, the one purchase, lots, a recall, what came back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any, Final

from litestar import get
from litestar.params import FromPath, FromQuery
from litestar.response import Template
from msgspec import Struct

from fellfare.book import Document
from fellfare.learn.home import eaten_of
from fellfare.learn.lessons import items_of_plates
from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.provision.season.buying import Purchase, purchase_of
from fellfare.provision.season.lots import doubtful, ledger_of, recall
from fellfare.provision.season.party import Party
from fellfare.provision.season.returned import CameBack, Returned, returned_of
from fellfare.web.documents import log_of, season_of
from fellfare.web.drawing import page
from fellfare.web.errors import each_of
from fellfare.web.here import FromHere, Here
from fellfare.web.pages.menus.jobs import SECONDS, STAGES
from fellfare.web.pages.season.form import TABLES, Rows, rows_of_cases, rows_of_lots, rows_of_store
from fellfare.web.pages.season.opened import (
    Opened,
    Supplied,
    day_of,
    named,
    open_season,
    supplied,
)
from fellfare.web.pages.season.pictures import calendar


class Listed(Struct, frozen=True):
    """One season of the list."""

    document: Document
    title: str
    parties: int
    lots: int
    mistake: Mistake | None


@get("/season", sync_to_thread=True, include_in_schema=False)
def seasons(here: FromHere, deleted: FromQuery[str] = "") -> Template:
    """Every season of the book."""
    return list_page(here, deleted)


def list_page(here: Here, deleted: str = "", status: int = 200, **given: Any) -> Template:
    """The list, with the form that begins one."""
    rows = []
    for document in here.book.all("season"):
        try:
            file = season_of(document.text, document.name)
        except Mistake as mistake:
            plain = document.name.replace("-", " ")
            rows.append(Listed(document, plain, 0, 0, each_of(mistake)[0]))
            continue
        rows.append(Listed(document, file.title, len(file.parties), len(file.lots), None))
    thrown = here.book.names("season", deleted=True)
    more = {"faults": {}, "title": "", "currency": ""} | given
    return page(
        here, "season/seasons.html", "season", status=status, rows=rows, thrown=thrown,
        deleted=deleted if deleted in thrown else "", **more,
    )  # fmt: skip


def opened_page(
    here: Here,
    name: str,
    template: str,
    tab: str,
    given: Callable[[Opened], dict[str, Any]],
    status: int = 200,
) -> Template:
    """A page of a season; or why it cannot be read, with its text to mend."""
    document = here.book.get("season", name)
    try:
        opened = open_season(here, name)
        more = given(opened)
    except Mistake as mistake:
        return page(here, "season/unread.html", "season", document=document, name=name,
                    mistakes=each_of(mistake))  # fmt: skip
    return page(
        here, template, "season", status=status, opened=opened, name=name, tab=tab,
        file=opened.file, document=opened.document, **more,
    )  # fmt: skip


@get("/season/{name:str}", sync_to_thread=True, include_in_schema=False)
def season(
    here: FromHere,
    name: FromPath[str],
    saved: FromQuery[str] = "",
    undone: FromQuery[str] = "",
    restored: FromQuery[str] = "",
    on: FromQuery[str] = "",
    waiting: FromQuery[int] = 0,
) -> Template:
    """Who walks when, and how each menu stands."""
    done = "saved" if saved else "undone" if undone else "restored" if restored else ""
    return parties_page(here, name, on, done=done, waiting=waiting)


def parties_page(here: Here, name: str, on: str = "", status: int = 200, **given: Any) -> Template:
    """The parties, with the form that adds one."""

    def more(opened: Opened) -> dict[str, Any]:
        today = day_of(on)
        busy = [row for row in opened.rows if row.job is not None and not row.job.ended]
        kept = {"done": "", "waiting": 0, "faults": {}, "asked": {}}
        return kept | given | {
            "today": today,
            "out": sum(row.when(today) == "out" for row in opened.rows),
            "busy": busy, "wanted": opened.wanted(today), "stages": STAGES, "seconds": SECONDS,
            "trips": trips_of(here), "picture": calendar(opened.rows, today),
        }  # fmt: skip

    return opened_page(here, name, "season/parties.html", "", more, status)


def trips_of(here: Here) -> list[tuple[str, str]]:
    """(name, title) of every trip that a party may walk."""
    return [(name, name.replace("-", " ")) for name in here.book.names("trip")]


@get("/season/{name:str}/buy", sync_to_thread=True, include_in_schema=False)
def buy(here: FromHere, name: FromPath[str], saved: FromQuery[str] = "") -> Template:
    """One purchase in whole cases."""
    return buy_page(here, name, saved=saved)


def buy_page(
    here: Here, name: str, status: int = 200, rows: Rows | None = None, **given: Any
) -> Template:
    """The purchase, with the form of cases and store room."""

    def more(opened: Opened) -> dict[str, Any]:
        got = supplied(here, opened)
        told: tuple[Mistake, ...] = ()
        purchase: Purchase | None = None
        coming: list[Party] = []
        try:
            purchase, coming = purchase_for(here, opened, got, day_of(""))
        except Mistake as mistake:
            told = each_of(opened.file.placed(mistake))
        filled = rows or Rows.of(cases=rows_of_cases(opened.file), store=rows_of_store(opened.file))
        kept = {"faults": {}, "saved": "", "dry": ", ".join(opened.file.dry_at_home),
                "currency": opened.file.currency}  # fmt: skip
        return kept | given | {
            "purchase": purchase, "filled": sorted({one.party for one in opened.file.packed}),
            "coming": coming, "got": got,
            "mistakes": told,
            "form": filled, "tables": TABLES,
            "foods": foods_of(here.pantry, got), "spread": spread_of,
        }  # fmt: skip

    return opened_page(here, name, "season/buy.html", "buy", more, status)


def purchase_for(
    here: Here, opened: Opened, got: Supplied, today: date
) -> tuple[Purchase, list[Party]]:
    """The purchase, and the parties that are still to be packed: it is for them.

    Raises
    ------
    Mistake
        As :func:`fellfare.provision.season.buying.purchase_of`.
    """
    file = opened.file
    packed = {one.party for one in file.packed}
    coming = [
        one
        for one in got.parties
        if one.when(today) in ("to come", "no date") and one.name not in packed
    ]
    purchase = purchase_of(
        coming, here.pantry, cases=file.cases, in_store=file.in_store,
        dry_at_home=file.dry_at_home, currency=file.currency,
    )  # fmt: skip
    return purchase, coming


def spread_of(purchase: Purchase, food: str) -> list[tuple[str, float]]:
    """(party, grams in its bags) of one food."""
    return [(party, grams) for (one, party), grams in purchase.parts.items() if one == food]


def foods_of(pantry: Pantry, got: Supplied) -> list[tuple[str, str]]:
    """(id, name) of what the parties eat, by name: offered in the fields."""
    used = {content.food.id for party in got.parties for bag in party.provision.bags
            for content in bag.contents}  # fmt: skip
    return sorted(((one, pantry.food(one).name) for one in used), key=lambda pair: pair[1])


@get("/season/{name:str}/lots", sync_to_thread=True, include_in_schema=False)
def lots(
    here: FromHere, name: FromPath[str], saved: FromQuery[str] = "", food: FromQuery[str] = ""
) -> Template:
    """Deliveries, what is left of them, and what no lot covers."""
    return lots_page(here, name, saved=saved, begin=food)


def lots_page(
    here: Here, name: str, status: int = 200, rows: Rows | None = None, **given: Any
) -> Template:
    """The lots, with the form that takes their labels down."""

    def more(opened: Opened) -> dict[str, Any]:
        got = supplied(here, opened)
        told: tuple[Mistake, ...] = ()
        ledger = None
        try:
            ledger = ledger_of(got.parties, opened.file.lots, here.pantry, opened.file.packed)
        except Mistake as mistake:
            told = each_of(opened.file.placed(mistake))
        inside: dict[str, tuple[str, ...]] = {}
        if ledger is not None:
            inside = {party.name: ledger.lots_of(party.name) for party in got.parties}
        short: dict[str, float] = {}
        for use in () if ledger is None else ledger.uses:
            if use.lot is None:
                short[use.food] = short.get(use.food, 0.0) + use.mass_g
        begin = str(given.get("begin", ""))
        filled = rows or Rows.of(lots=rows_of_lots(opened.file, begin if begin in short else ""))
        kept = {"faults": {}, "saved": "", "begin": ""}
        return kept | given | {
            "ledger": ledger, "got": got, "inside": inside,
            "packed": {one.party: one for one in opened.file.packed}, "mistakes": told,
            "form": filled, "tables": TABLES,
            "foods": foods_of(here.pantry, got), "pantry": here.pantry,
            "short": sorted(short.items(), key=lambda pair: (-pair[1], pair[0])),
        }  # fmt: skip

    return opened_page(here, name, "season/lots.html", "lots", more, status)


@get("/season/{name:str}/recall", sync_to_thread=True, include_in_schema=False)
def traced(
    here: FromHere, name: FromPath[str], lot: FromQuery[str] = "", on: FromQuery[str] = ""
) -> Template:
    """Who has something of a lot, those now out first."""

    def more(opened: Opened) -> dict[str, Any]:
        got = supplied(here, opened)
        today = day_of(on)
        known = [one.number for one in opened.file.lots]
        ledger = ledger_of(got.parties, opened.file.lots, here.pantry, opened.file.packed)
        wanted = lot if lot in known else ""
        found = recall(ledger, got.parties, wanted, today) if wanted else ()
        maybe = doubtful(ledger, got.parties, wanted, today) if wanted else ()
        the_lot = next((one for one in ledger.lots if one.number == wanted), None)
        return {
            "lot": the_lot, "asked": lot, "known": known, "found": found, "maybe": maybe,
            "today": today,
            "got": got, "ledger": ledger, "pantry": here.pantry,
        }  # fmt: skip

    return opened_page(here, name, "season/recall.html", "recall", more)


@get("/season/{name:str}/back", sync_to_thread=True, include_in_schema=False)
def back(here: FromHere, name: FromPath[str], on: FromQuery[str] = "") -> Template:
    """What each party brought home again."""

    def more(opened: Opened) -> dict[str, Any]:
        got = supplied(here, opened)
        told, without, unread = returned(here, opened, got)
        gone = {row.name for row in opened.rows if row.when(day_of(on)) != "to come"}
        without = [pair for pair in without if pair[0] in gone]
        titles = {row.name: row.title for row in here.recipes.all()}
        return {"told": told, "without": without, "unread": unread, "titles": titles}

    return opened_page(here, name, "season/back.html", "back", more)


def returned(
    here: Here, opened: Opened, got: Supplied
) -> tuple[tuple[Returned, ...], list[tuple[str, str]], list[tuple[str, str, str]]]:
    """By party; (party, log) of those without one; (party, log, why) of what cannot be read."""
    logs = here.book.names("log")
    came: dict[str, list[CameBack]] = {}
    without: list[tuple[str, str]] = []
    unread: list[tuple[str, str, str]] = []
    for row in opened.rows:
        if row.name not in got.there or row.menu is None:
            continue
        name = named(row.word.log, logs) if row.word.log else None
        name = name or next((one for one in (row.menu.name, row.trip) if one in logs), None)
        if name is None:
            without.append((row.name, row.menu.name))
            continue
        try:
            log = log_of(here.book.get("log", name).text, name).log
            items = eaten_of(log, items_of_plates(got.there[row.name].written.plates))
        except Mistake as mistake:
            unread.append((row.name, name, each_of(mistake)[0].what))
            continue
        came[row.name] = [
            CameBack(dish=item.dish, carried_g=item.carried_g, home_g=item.home_g) for item in items
        ]
    return returned_of(came), without, unread


READING: Final[list[Any]] = [seasons, season, buy, lots, traced, back]
