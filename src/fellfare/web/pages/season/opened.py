"""A season of the book, with the trip, menu and log of each party as they stand."""

from __future__ import annotations

from collections import OrderedDict
from datetime import date, datetime, timedelta
from hashlib import blake2b
from pathlib import PurePosixPath
from threading import Lock
from typing import Final, Literal
from weakref import WeakKeyDictionary

from msgspec import Struct

from fellfare.book import Document, Shelf
from fellfare.book.jobs import Job
from fellfare.files.season_toml import PartyWord, SeasonFile
from fellfare.menu.written import WrittenMenu
from fellfare.mistake import Mistake
from fellfare.provision.season.party import Party
from fellfare.web.documents import menu_of, season_of
from fellfare.web.errors import each_of
from fellfare.web.here import Here
from fellfare.web.pages.kitchen.provided import Provided, provided
from fellfare.web.pages.menus.words import in_words
from fellfare.web.work.asked import asked_of
from fellfare.web.work.menus_of import menus_of, trip_of_menu
from fellfare.web.work.packs import packs_text
from fellfare.web.work.planned import Planned, planned
from fellfare.web.work.results import MENU, NEAR, about, read_result
from fellfare.web.work.shown import shown

State = Literal["there", "none", "out of date", "cannot be read"]
#: So many menus are kept at hand with what is wrong with them.
MOST_KEPT: Final = 200
#: (grave, other).
Faults = tuple[tuple[str, ...], tuple[str, ...]]
_kept: WeakKeyDictionary[Shelf, OrderedDict[bytes, Faults]] = WeakKeyDictionary()
_lock = Lock()
#: Wishes that nobody may give up, the gravest first.
_GRAVEST: Final = {"allergies": 0, "diets": 1}
#: (kind, name, when it was last kept).
Changes = tuple[tuple[str, str, datetime], ...]
#: States in which a menu is wanted.
WANTED: Final = ("none", "out of date")


class Row(Struct, frozen=True, kw_only=True, eq=False):
    """One party as the season names it."""

    #: Place in the document.
    at: int
    word: PartyWord
    #: Its trip in the book; None = there is none of that name.
    trip: str | None
    made: Planned | None
    menu: Document | None
    state: State
    #: Why it is out of date or cannot be read.
    why: tuple[str, ...]
    #: A search for its menu that runs, or that found none.
    job: Job | None = None

    @property
    def grave(self) -> bool:
        """Whether somebody would eat what they must not: nobody may eat by this menu."""
        return self.state == "out of date" and any(one.startswith("allergies") for one in self.why)

    @property
    def name(self) -> str:
        """The party's own."""
        return self.word.name

    @property
    def sets_out(self) -> date | None:
        """First day; None = not fixed, or the trip cannot be read."""
        return None if self.made is None else self.made.trip.start_date

    @property
    def days(self) -> int:
        """Of the walk; 0 where the trip cannot be read."""
        return 0 if self.made is None else len(self.made.plan.days)

    @property
    def is_back(self) -> date | None:
        """Last day."""
        first = self.sets_out
        return None if first is None else first + timedelta(days=self.days - 1)

    def when(self, today: date) -> str:
        """'to come', 'out', 'back'; '' without a date."""
        first, last = self.sets_out, self.is_back
        if first is None or last is None:
            return ""
        return "to come" if today < first else "out" if today <= last else "back"


class Opened(Struct, frozen=True, kw_only=True, eq=False):
    """A season that can be read."""

    document: Document
    file: SeasonFile
    #: In the order of setting out, those without a date last.
    rows: tuple[Row, ...]

    @property
    def name(self) -> str:
        """Of the document."""
        return self.document.name

    def wanted(self, today: date) -> tuple[Row, ...]:
        """Parties whose menu is to be planned: of those that are packed or gone nothing changes."""
        packed = {one.party for one in self.file.packed}
        return tuple(
            row
            for row in self.rows
            if row.state in WANTED
            and row.name not in packed
            and row.when(today) not in ("out", "back")
            and (row.job is None or row.job.ended)
        )


class Supplied(Struct, frozen=True, kw_only=True, eq=False):
    """What the parties with a menu ask of the store room."""

    parties: tuple[Party, ...]
    #: Party → all that is provided for it.
    there: dict[str, Provided]
    #: (party, why) of those that are left out.
    missing: tuple[tuple[str, str], ...]


def open_season(here: Here, name: str) -> Opened:
    """The season and its parties.

    Raises
    ------
    Mistake
        As :func:`fellfare.web.documents.season_of`; what is wrong with one party stands
        in its row.
    """
    document = here.book.get("season", name)
    file = season_of(document.text, name)
    trips, menus = here.book.names("trip"), here.book.names("menu")
    changes = _changes(here)
    rows = [_row(here, at, word, trips, menus, changes) for at, word in enumerate(file.parties)]
    rows.sort(key=lambda row: (row.sets_out is None, row.sets_out or date.max, row.name))
    return Opened(document=document, file=file, rows=tuple(rows))


def named(word: str, names: tuple[str, ...]) -> str | None:
    """The document that a season means; a path is taken for its folder or its file's name."""
    path = PurePosixPath(word.replace("\\", "/"))
    stem = path.name.removesuffix(".toml")
    found = (word, path.parent.name, stem) if stem in ("trip", "menu", "log") else (word, stem)
    return next((one for one in found if one in names), None)


def _row(
    here: Here,
    at: int,
    word: PartyWord,
    trips: tuple[str, ...],
    menus: tuple[str, ...],
    changes: Changes,
) -> Row:
    trip = named(word.trip, trips)
    made, menu, state = None, None, "cannot be read"
    why: tuple[str, ...] = ()
    job: Job | None = None
    if trip is None:
        why = (f"the book holds no trip {word.trip!r}",)
    else:
        job = _job(here, trip)
        try:
            made = planned(here.book, here.book.get("trip", trip))
            menu = _menu(here, word, trip, menus)
            state, why = ("none", ()) if menu is None else _state(here, trip, made, menu, changes)
        except Mistake as mistake:
            why = (each_of(mistake)[0].what,)
    told: State = next(one for one in _STATES if one == state)
    if job is not None and job.ended and (told == "there" or not _in_vain(job)):
        job = None
    return Row(at=at, word=word, trip=trip, made=made, menu=menu, state=told, why=why, job=job)


_STATES: Final[tuple[State, ...]] = ("there", "none", "out of date", "cannot be read")


def _menu(here: Here, word: PartyWord, trip: str, menus: tuple[str, ...]) -> Document | None:
    if word.menu:
        name = named(word.menu, menus)
        if name is None or trip_of_menu(name, (trip,)) != trip:
            raise Mistake(
                "party-without-menu",
                f"the menu {word.menu!r} is none of the trip {trip!r}",
                "name a menu of the trip, or leave the key out",
                word.name,
            )
    else:
        name = next(iter(menus_of(trip, menus)), None)
    return None if name is None else here.book.get("menu", name)


def _state(
    here: Here, trip: str, made: Planned, menu: Document, changes: Changes
) -> tuple[str, tuple[str, ...]]:
    """A menu is held against its trip as it stands.

    Of one that is younger than all it hangs on only what is grave counts: somebody has seen
    and taken it so, and a wish that gave for it alone is no fault.
    """
    written = menu_of(menu.text, menu.name)
    hangs_on = {("trip", made.name), *(("recipe", plate.dish) for plate in written.plates)}
    older = any(
        at > menu.saved_at and (kind in ("food", "track") or (kind, name) in hangs_on)
        for kind, name, at in changes
    )
    grave, other = _faults(here, trip, made, menu, written)
    why = (*grave, *other) if older else grave
    return ("out of date", why) if why else ("there", ())


def _faults(here: Here, trip: str, made: Planned, menu: Document, written: WrittenMenu) -> Faults:
    """What is grave, and what else is not kept; reckoned once for the same texts."""
    packs = packs_text(here.book, trip)
    stamp = here.book.stamp("recipe", "food")
    digest = blake2b(made.key, digest_size=20)
    for text in (menu.text, packs, f"{here.book.club_id} {stamp}"):
        data = text.encode("utf-8", "surrogatepass")
        digest.update(len(data).to_bytes(8, "little") + data)
    key = digest.digest()
    with _lock:
        kept = _kept.setdefault(here.book.shelf, OrderedDict())
        if key in kept:
            kept.move_to_end(key)
            return kept[key]
    there = shown(asked_of(made, here.foods, here.recipes, packs), menu.text, written)
    broken = sorted(there.broken, key=lambda one: _GRAVEST.get(one.wish, 2))
    faults = (
        (
            *(f"{in_words(one.wish)}: {one.what}" for one in broken if one.wish in _GRAVEST),
            *(f"not possible any more: {one}" for one in there.lost),
        ),
        tuple(f"{in_words(one.wish)}: {one.what}" for one in broken if one.wish not in _GRAVEST),
    )
    with _lock:
        kept[key] = faults
        while len(kept) > MOST_KEPT:
            kept.popitem(last=False)
    return faults


def _changes(here: Here) -> Changes:
    """When each document that a menu may hang on was last changed or thrown away."""
    return tuple(
        (kind, entry.name, entry.saved_at)
        for kind in ("trip", "recipe", "food", "track")
        for deleted in (False, True)
        for entry in here.book.entries(kind, deleted=deleted)
    )


def _job(here: Here, trip: str) -> Job | None:
    """The last search for a menu of this trip."""
    jobs = here.book.jobs.all(about=about(trip)[:200])
    return next((job for job in jobs if job.kind in (MENU, NEAR)), None)


def _in_vain(job: Job) -> bool:
    """Whether an ended search brought no menu."""
    result = read_result(job.result) if job.state in ("done", "stopped") else None
    return result is None or result.proof is None


def supplied(here: Here, opened: Opened) -> Supplied:
    """All parties with a menu, provided for."""
    parties: list[Party] = []
    there: dict[str, Provided] = {}
    missing: list[tuple[str, str]] = []
    for row in opened.rows:
        if row.menu is None or row.made is None:
            missing.append((row.name, row.why[0] if row.why else "it has no menu yet"))
            continue
        try:
            one = provided(here, row.menu.name)
        except Mistake as mistake:
            missing.append((row.name, each_of(mistake)[0].what))
            continue
        there[row.name] = one
        parties.append(Party(name=row.name, provision=one.one))
    return Supplied(parties=tuple(parties), there=there, missing=tuple(missing))


def day_of(told: str) -> date:
    """The day that a reader asks for, else the clock's own."""
    try:
        return date.fromisoformat(told.strip())
    except ValueError:
        return date.today()  # noqa: DTZ011 - the person's own day
