"""Begin a season, add and take out parties, say what the trade sells and what was delivered."""

from __future__ import annotations

from datetime import date
from typing import Any, Final
from urllib.parse import quote

import tomlkit
from litestar import Response, post
from litestar.params import FromPath, URLEncodedBody
from litestar.response import Redirect

from fellfare.book import ChangedMeanwhile
from fellfare.mistake import Mistake, Mistakes
from fellfare.provision.season.lots import ledger_of
from fellfare.trip.faults import START_YEARS
from fellfare.web.documents import season_of, trip_of
from fellfare.web.errors import each_of
from fellfare.web.fields import Faults, put
from fellfare.web.here import FromHere, Here
from fellfare.web.names import free_name
from fellfare.web.pages.season.form import (
    TABLES,
    read_rows,
    rows_from,
    with_names,
    with_rows,
    with_store,
    with_words,
    without_row,
)
from fellfare.web.pages.season.opened import day_of, named, open_season, supplied
from fellfare.web.pages.season.read import buy_page, list_page, lots_page, parties_page
from fellfare.web.saving import save_or_show_both
from fellfare.web.work.menus_of import menus_of

Posted = URLEncodedBody[dict[str, Any]]


@post("/season", sync_to_thread=True, include_in_schema=False)
def begin(here: FromHere, data: Posted) -> Response[Any]:
    """A season with a title and no party yet."""
    title, currency = _line(data, "title"), _line(data, "currency")
    if not title:
        faults: Faults = {}
        put(faults, "title", Mistake("season-untitled", "a season has a title", "give it one"))
        return list_page(here, status=422, faults=faults, title=title, currency=currency)
    text = with_words(f"title = {tomlkit.item(title).as_string()}\n", currency=currency)
    name = free_name(here.book, "season", title)
    season_of(text, name)
    return save_or_show_both(here, "season", name, text, None)


@post("/season/{name:str}/head", sync_to_thread=True, include_in_schema=False)
def head(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """Another title."""
    document = here.book.get("season", name)
    title = _line(data, "title") or season_of(document.text, name).title
    return _keep(here, name, with_words(document.text, title=title), data)


@post("/season/{name:str}/parties", sync_to_thread=True, include_in_schema=False)
def add_party(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """One more party; with a date of its own it gets a copy of the trip and its menu."""
    document = here.book.get("season", name)
    file = season_of(document.text, name)
    asked = {key: _line(data, key) for key in ("party", "trip", "start")}
    faults: Faults = {}
    trips = here.book.names("trip")
    trip = asked["trip"] if asked["trip"] in trips else None
    if trip is None:
        put(faults, "trip", Mistake("trip-unknown", "the book holds no such trip",
                                    "choose one of the list"))  # fmt: skip
    start: date | None = None
    if asked["start"]:
        try:
            start = date.fromisoformat(asked["start"])
        except ValueError:
            put(faults, "start", Mistake("not-a-date", f"{asked['start'][:40]!r} is no date",
                                         "write year, month and day: 2031-06-15"))  # fmt: skip
    if start is not None and not START_YEARS[0] <= start.year <= START_YEARS[1]:
        put(faults, "start", Mistake(
            "start-out-of-range", f"the walk would begin in the year {start.year}",
            f"give a year from {START_YEARS[0]} to {START_YEARS[1]}",
        ))  # fmt: skip
    party = asked["party"] or _party_name(trip or "", start, {one.name for one in file.parties})
    if "/" in party or party.startswith(".") or any(one.name == party for one in file.parties):
        put(faults, "party", Mistake(
            "party-twice", f"the party {party!r} has no name of its own",
            "give each a name of its own that can be a folder's, too",
        ))  # fmt: skip
    if faults or trip is None:
        return parties_page(here, name, status=422, faults=faults, asked=asked)
    taken = {named(one.trip, trips) for one in file.parties}
    walks = _with_own_date(here, trip, party, start, trip in taken)
    row = {"name": party, "trip": walks}
    return _keep(here, name, with_rows(document.text, "party", [*_held(document.text), row]), data)


def _held(text: str) -> list[dict[str, Any] | None]:
    rows: list[dict[str, Any] | None] = tomlkit.parse(text).unwrap().get("party", [])
    return rows


def _party_name(trip: str, start: date | None, taken: set[str]) -> str:
    """'moor', or 'moor 15 Jun'; with a number where that is taken."""
    plain = trip if start is None else f"{trip} {start.day} {start:%b}"
    made, number = plain, 2
    while made in taken:
        made, number = f"{plain} {number}", number + 1
    return made


def _with_own_date(here: Here, trip: str, party: str, start: date | None, taken: bool) -> str:
    """The trip itself, or a copy with this date, and of its menu and cupboard, too."""
    document = here.book.get("trip", trip)
    planned_on = trip_of(document.text, trip).start_date
    if not taken and (start is None or start == planned_on):
        return trip
    copy: Any = tomlkit.parse(document.text)
    if start is not None:
        copy["start_date"] = start
    title = f"{copy.get('title', trip)}: {party}"
    copy["title"] = title
    made = free_name(here.book, "trip", party)
    if made in here.book.names("menu") or made in here.book.names("track"):
        made = free_name(here.book, "trip", title)
    gpx = str(copy.get("walk", {}).get("gpx", ""))
    if gpx and trip in here.book.names("track") and trip not in gpx:
        copy["walk"]["gpx"] = f"{trip}.gpx"
    text = tomlkit.dumps(copy)
    trip_of(text, made)
    here.book.save("trip", made, text, None, by=here.by)
    if trip in here.book.names("provision"):
        own = here.book.get("provision", trip).text
        here.book.save("provision", made, own, None, by=here.by)
    for menu in menus_of(trip, here.book.names("menu"))[:1]:
        here.book.save("menu", made, here.book.get("menu", menu).text, None, by=here.by)
    return made


@post("/season/{name:str}/parties/out", sync_to_thread=True, include_in_schema=False)
def take_out(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """A party leaves the season; its trip, menu and log stay in the book."""
    document = here.book.get("season", name)
    told = _line(data, "party")
    names = [one.name for one in season_of(document.text, name).parties]
    if told not in names:
        raise Mistake("party-unknown", f"no party is called {told!r}", "load the page again")
    return _keep(here, name, without_row(document.text, "party", names.index(told)), data)


@post("/season/{name:str}/buy", sync_to_thread=True, include_in_schema=False)
def keep_cases(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """What the trade sells, and what lies in the store room."""
    document = here.book.get("season", name)
    rows = rows_from(data, "case", "store")
    faults: Faults = {}
    cases = read_rows(rows, "case", here.pantry, faults)
    store = read_rows(rows, "store", here.pantry, faults)
    dry = [word for word in (one.strip() for one in _line(data, "dry").split(",")) if word]
    for one in dry:
        try:
            here.pantry.food(one)
        except Mistake as mistake:
            put(faults, "dry", mistake)
    currency = _line(data, "currency")
    if faults:
        return buy_page(here, name, 422, rows, faults=faults, dry=", ".join(dry),
                        currency=currency)  # fmt: skip
    text = with_words(document.text, currency=currency)
    text = with_rows(with_store(with_names(text, "dry_at_home", dry), store), "case", cases)
    return _keep(here, name, text, data, "buy")


@post("/season/{name:str}/lots", sync_to_thread=True, include_in_schema=False)
def keep_lots(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """Deliveries as their labels say."""
    document = here.book.get("season", name)
    rows = rows_from(data, "lot")
    faults: Faults = {}
    lots = read_rows(rows, "lot", here.pantry, faults)
    if not faults:
        text = with_rows(document.text, "lot", lots)
        try:
            file = season_of(text, name)
            ledger_of((), file.lots, here.pantry, file.packed)
        except Mistake as mistake:
            _beside(mistake, [at for at, row in enumerate(lots) if row is not None], faults)
    if faults:
        return lots_page(here, name, 422, rows, faults=faults)
    return _keep(here, name, text, data, "lots")


@post("/season/{name:str}/packed", sync_to_thread=True, include_in_schema=False)
def pack(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """The bags of a party are filled: which lots went in is written down; or it is taken back."""
    opened = open_season(here, name)
    told = _line(data, "party") or _line(data, "unpack")
    got = supplied(here, opened)
    if told not in {party.name for party in got.parties}:
        raise Mistake("party-unknown", f"no party with a menu is called {told!r}",
                      "load the page again")  # fmt: skip
    text = opened.document.text
    rows: list[dict[str, Any] | None] = tomlkit.parse(text).unwrap().get("packed", [])
    if "unpack" in data:
        kept = [None if row and row.get("party") == told else row for row in rows]
        return _keep(here, name, with_rows(text, "packed", kept), data, "lots")
    file = opened.file
    ledger = ledger_of(got.parties, file.lots, here.pantry, file.packed)
    (mark,) = (party.bags_mark for party in got.parties if party.name == told)
    row = {"party": told, "on": day_of(_line(data, "on")), "lots": list(ledger.lots_of(told)),
           "bags": mark}  # fmt: skip
    return _keep(here, name, with_rows(text, "packed", [*rows, row]), data, "lots")


def _beside(mistake: Mistake, places: list[int], faults: Faults) -> None:
    """From 'lot[2].mass_g' to the field of the row in which it stands."""
    for one in mistake.each if isinstance(mistake, Mistakes) else (mistake,):
        opening, _, key = one.where.partition("].")
        at = opening.rpartition("[")[2]
        place = places[int(at)] if at.isdigit() and int(at) < len(places) else 0
        known = [field for field, *_ in TABLES["lot"]]
        put(faults, f"lot-{place}-{key.split(' ')[0] if key in known else 'number'}", one)


def _keep(here: Here, name: str, text: str, data: dict[str, Any], tab: str = "") -> Response[Any]:
    """Keep the season, and go back to the page on which it was changed."""
    told = str(data.get("based_on", ""))
    based_on = int(told) if told.isascii() and told.isdigit() and len(told) < 10 else 0
    document = here.book.get("season", name)
    at = f"/season/{quote(name, safe='')}" + (f"/{tab}" if tab else "")
    if text == document.text:
        return Redirect(at, status_code=303)
    try:
        season_of(text, name)
    except Mistake as mistake:
        raise each_of(mistake)[0] from None
    try:
        kept = here.book.save("season", name, text, based_on, by=here.by)
    except ChangedMeanwhile:
        return save_or_show_both(here, "season", name, text, based_on)
    return Redirect(f"{at}?saved={kept.revision}", status_code=303)


def _line(data: dict[str, Any], key: str) -> str:
    return " ".join(str(data.get(key) or "").split())[:200]


WRITING: Final[list[Any]] = [begin, head, add_party, take_out, keep_cases, keep_lots, pack]
