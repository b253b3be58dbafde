"""The papers of all parties, and after a late change only those on which something else stands.

What stands on a paper is told by a mark of its words; those marked as printed are kept as ticks
of the season, so that they leave no revision and go along when the book is written out.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator, Mapping
from hashlib import blake2b
from threading import Lock
from typing import Any, Final
from urllib.parse import quote
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

import msgspec
from litestar import Response, get, post
from litestar.exceptions import NotFoundException
from litestar.params import FromPath, FromQuery, URLEncodedBody
from litestar.response import Redirect, Stream, Template
from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.paper.boxing import box_sheets
from fellfare.paper.buying import shopping_sheet
from fellfare.paper.carrying import carrying_sheet
from fellfare.paper.grid import read_grid
from fellfare.paper.kinds import KINDS
from fellfare.paper.packing import packing_sheets
from fellfare.paper.papers_of_trip import LabelSheet, Papers
from fellfare.paper.preparing import prep_sheet
from fellfare.provision.cards.allergen import allergen_card
from fellfare.provision.trip.provision import Provision
from fellfare.web.here import FromHere, Here
from fellfare.web.pages.kitchen.papers import size_of
from fellfare.web.pages.kitchen.provided import Provided
from fellfare.web.pages.kitchen.read import PAPERS
from fellfare.web.pages.season.opened import Opened, Supplied, open_season, supplied
from fellfare.web.pages.season.read import opened_page

Posted = URLEncodedBody[dict[str, Any]]

#: The list of ticks.
PRINTED: Final = "papers"
#: Paper → its name, in the order of the work; recipe cards belong to the kitchen.
OF_PARTY: Final = (*((key, words) for key, words in PAPERS if key != "cards"),
                   ("html", "Card for the phone"))  # fmt: skip
_BETWEEN: Final = " · "
_WHEN: Final = (1980, 1, 1, 0, 0, 0)
MOST_KEPT: Final = 200

_kept: OrderedDict[bytes, dict[str, str]] = OrderedDict()
_lock = Lock()


class Paper(Struct, frozen=True, kw_only=True):
    """One paper of one party."""

    kind: str
    words: str
    mark: str
    #: 'new' = never printed, 'changed', 'same'.
    fate: str


class PartyPapers(Struct, frozen=True, kw_only=True):
    """All papers of a party."""

    party: str
    #: Name of its menu: its kitchen goes by it.
    menu: str
    papers: tuple[Paper, ...]

    @property
    def due(self) -> tuple[Paper, ...]:
        """Those to be printed."""
        return tuple(one for one in self.papers if one.fate != "same")


def marks_of(there: Provided) -> dict[str, str]:
    """Paper → a mark of what stands on it; the same for the same words, on any machine."""
    with _lock:
        if there.key in _kept:
            _kept.move_to_end(there.key)
            return _kept[there.key]
    made = {kind: _mark(held) for kind, held in _held(there.one).items()}
    with _lock:
        _kept[there.key] = made
        while len(_kept) > MOST_KEPT:
            _kept.popitem(last=False)
    return made


def _held(one: Provision) -> dict[str, Any]:
    """Paper → all that is drawn on it."""
    title = one.plan.trip.title
    card = _papers(one, "a4").trail_card
    held: dict[str, Any] = {
        "shopping": shopping_sheet(one.shopping, title),
        "prep": prep_sheet(one.prep, title),
        "labels": (title, one.labels),
        "packing": (title, packing_sheets(one)),
        "carrying": (title, carrying_sheet(one)),
        "trail": card,
        "days": card,
        "allergens": (title, allergen_card(one.dishes)),
        "html": card,
    }
    if one.boxes:
        held["boxes"] = (title, box_sheets(one.boxes))
    return held


def _mark(held: Any) -> str:
    data = msgspec.json.encode(held, enc_hook=repr, order="deterministic")
    return blake2b(data, digest_size=6).hexdigest()


def _papers(one: Provision, size: str) -> Papers:
    sheet = size_of(size)
    grid = LabelSheet(grid=read_grid(None, sheet), skip=0, code="always", outline=False)
    return Papers(one, sheet, grid)


def papers_of(here: Here, opened: Opened, got: Supplied) -> tuple[PartyPapers, ...]:
    """Party by party, with what has become of each paper since it was printed."""
    printed: dict[tuple[str, str], str] = {}
    for item in here.book.ticks("season", opened.name, PRINTED):
        whose, kind, mark = item.rsplit(_BETWEEN, 2)
        printed[whose, kind] = mark
    made = []
    for party in got.parties:
        there = got.there[party.name]
        marks = marks_of(there)
        rows = []
        for kind, words in OF_PARTY:
            if kind in marks:
                before = printed.get((_key(party.name), kind))
                fate = "new" if before is None else "same" if before == marks[kind] else "changed"
                rows.append(Paper(kind=kind, words=words, mark=marks[kind], fate=fate))
        made.append(PartyPapers(party=party.name, menu=there.name, papers=tuple(rows)))
    return tuple(made)


def _key(party: str) -> str:
    """A party's name as ticks hold it: one printable line of at most 100 letters."""
    plain = "".join(letter for letter in party if letter.isprintable())
    if plain == party and len(party) <= 100:
        return party
    return f"{plain[:80]} {blake2b(party.encode(), digest_size=6).hexdigest()}"


def stamp_of(papers: tuple[PartyPapers, ...]) -> str:
    """A mark of all papers together: what was before one's eyes when the button was pressed."""
    return _mark([(one.party, [paper.mark for paper in one.papers]) for one in papers])


@get("/season/{name:str}/papers", sync_to_thread=True, include_in_schema=False)
def papers(here: FromHere, name: FromPath[str], printed: FromQuery[int] = 0) -> Template:
    """What is to be printed, and what is as it was."""

    def more(opened: Opened) -> dict[str, Any]:
        got = supplied(here, opened)
        rows = papers_of(here, opened, got)
        return {
            "got": got, "rows": rows, "stamp": stamp_of(rows), "printed": printed,
            "due": [one for one in rows if one.due],
            "some": any(paper.fate != "new" for one in rows for paper in one.papers),
            "size": size_of("", here.units),
        }  # fmt: skip

    return opened_page(here, name, "season/papers.html", "papers", more)


@post("/season/{name:str}/papers", sync_to_thread=True, include_in_schema=False)
def mark_printed(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """These papers are printed: of one party, or of all; or nothing is (``forget``)."""
    opened = open_season(here, name)
    if "forget" in data:
        here.book.clear_ticks("season", name, PRINTED)
        return Redirect(f"/season/{quote(name, safe='')}/papers", status_code=303)
    rows = papers_of(here, opened, supplied(here, opened))
    if str(data.get("stamp", "")) != stamp_of(rows):
        raise Mistake(
            "papers-changed",
            "something changed since this page was loaded, and with it some papers",
            "load the page again, and print what it asks for",
        )
    told = str(data.get("party", ""))
    before = here.book.ticks("season", name, PRINTED)
    count = 0
    for one in rows:
        if told and one.party != told:
            continue
        for paper in one.due:
            opening = f"{_key(one.party)}{_BETWEEN}{paper.kind}{_BETWEEN}"
            for item in before:
                if item.startswith(opening):
                    here.book.set_tick("season", name, PRINTED, item, False, by=here.by)
            here.book.set_tick("season", name, PRINTED, opening + paper.mark, True, by=here.by)
            count += 1
    return Redirect(f"/season/{quote(name, safe='')}/papers?printed={count}", status_code=303)


@get("/season/{name:str}/papers/{which:str}", sync_to_thread=True, include_in_schema=False)
def download(
    here: FromHere,
    name: FromPath[str],
    which: FromPath[str],
    party: FromQuery[str] = "",
    size: FromQuery[str] = "",
) -> Response[Any]:
    """One file with a folder for each party: 'all' papers, or what is 'due'."""
    if which not in ("all", "due"):
        raise NotFoundException
    opened = open_season(here, name)
    got = supplied(here, opened)
    wanted = {
        one.party: [paper.kind for paper in (one.papers if which == "all" else one.due)]
        for one in papers_of(here, opened, got)
        if not party or one.party == party
    }
    if not any(wanted.values()):
        raise NotFoundException
    held = {one: got.there[one].one for one, kinds in wanted.items() if kinds}
    sheet = size_of(size, here.units)
    plain = "".join(one if one.isascii() and one.isalnum() else "-" for one in party or name)
    return Stream(
        _zipped(held, wanted, sheet),
        media_type="application/zip",
        headers={"content-disposition": f'attachment; filename="{plain}-papers.zip"'},
    )


def _zipped(
    held: Mapping[str, Provision], wanted: Mapping[str, list[str]], size: str
) -> Iterator[bytes]:
    """Party by party, so that the file begins to come before the last paper is drawn."""
    pipe = _Pipe()
    with ZipFile(pipe, "w", ZIP_DEFLATED) as whole:
        for party, one in held.items():
            for file, data in sorted(_papers(one, size).made(wanted[party]).items()):
                place = ZipInfo(f"{_folder(party)}/{file}", _WHEN)
                whole.writestr(place, data, ZIP_DEFLATED)
                yield pipe.taken()
    yield pipe.taken()


def _folder(party: str) -> str:
    """A name that leads nowhere else when the file is unpacked."""
    plain = "".join(one if one.isprintable() and one not in '/\\:*?"<>|' else "-" for one in party)
    return plain.strip(" .") or "party"


class _Pipe:
    """Takes what a zip writes and hands it on; nobody can go back in it."""

    def __init__(self) -> None:
        self._held = bytearray()

    def write(self, data: bytes, /) -> int:
        self._held += data
        return len(data)

    def flush(self) -> None:
        pass

    def close(self) -> None:
        pass

    def taken(self) -> bytes:
        data = bytes(self._held)
        self._held.clear()
        return data


assert {kind for kind, _ in OF_PARTY} == set(KINDS) - {"cards", "csv"}

PRINTING: Final[list[Any]] = [papers, mark_printed, download]
