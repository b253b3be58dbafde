"""How do documents from outside come into the book?  All in one transaction, nothing lost."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final, Literal

from msgspec import Struct
from sqlalchemy import Connection, insert, select, update

from fellfare.book import finding, revising
from fellfare.book.history_file import Held, History, Past
from fellfare.book.names import KINDS, name_key, read_by
from fellfare.book.revising import Change
from fellfare.book.tables import DOCUMENT, REVISION
from fellfare.book.ticks import put
from fellfare.mistake import Mistake

if TYPE_CHECKING:
    from fellfare.book.shelf import Shelf

#: What became of a document: it is new to the book; nothing was new; a text was saved as one
#: more revision; its history went on; its history had parted from the book's, and what was
#: missing was put on top.
Fate = Literal["new", "same", "revised", "continued", "joined"]

#: Rows that are written at a time.
_AT_ONCE: Final = 500


class Found(Struct, frozen=True, kw_only=True):
    """A document as it stands in a folder."""

    kind: str
    name: str
    text: str


_Key = tuple[str, str]


def take_in(
    shelf: Shelf, club_id: int, found: Sequence[Found], history: History | None, by: str
) -> tuple[tuple[str, str, Fate], ...]:
    """Take documents in, with what the history knows of them; (kind, name, fate) of each."""
    files: dict[_Key, Found] = {}
    for one in found:
        key = (one.kind, name_key(one.name))
        if key in files:
            raise Mistake(
                "book-name-twice",
                f"two of a kind are called {one.name!r} and {files[key].name!r}",
                "names that differ only in capitals count as one: rename one of them",
                f"{one.kind} {one.name}",
            )
        files[key] = one
    pasts = {(one.kind, name_key(one.name)): one for one in (history.documents if history else ())}
    fates: dict[_Key, tuple[str, str, Fate]] = {}
    with shelf.writing() as connection:
        change = Change(by=read_by(by), at=shelf.clock())
        here = _here(connection, club_id)
        keys = sorted(files.keys() | pasts.keys(), key=lambda key: (KINDS.index(key[0]), key[1]))
        _lay_in(connection, club_id, [_held(files.get(key), pasts.get(key), change)
                                      for key in keys if key not in here])  # fmt: skip
        for key in keys:
            file, past = files.get(key), pasts.get(key)
            name = file.name if past is None and file is not None else past.name if past else ""
            fate: Fate = "new"
            if key in here:
                fate = _go_on(connection, club_id, here[key], file, past, change)
            fates[key] = (key[0], name, fate)
    return tuple(fates.values())


def _here(connection: Connection, club_id: int) -> dict[_Key, Any]:
    rows = select(DOCUMENT).where(DOCUMENT.c.club_id == club_id)
    return {(row.kind, row.name_key): row for row in connection.execute(rows)}


# -- documents that are new to the book -----------------------------------------------------


def _held(file: Found | None, past: Held | None, change: Change) -> Held:
    """The whole of a document: its history, and what the file says beyond it."""
    if past is None:
        assert file is not None
        past = Held(kind=file.kind, name=file.name, revisions=())
    elif file is None or (file.text == past.text and not past.deleted):
        return past
    said = Past(
        kind=past.kind,
        name=past.name,
        revision=len(past.revisions) + 1,
        act="save",
        text=file.text,
        saved_at=change.at,
        saved_by=change.by,
    )
    return Held(kind=past.kind, name=past.name, revisions=(*past.revisions, said), ticks=past.ticks)


def _lay_in(connection: Connection, club_id: int, documents: Sequence[Held]) -> None:
    """Many at once: a statement for each would take most of the time."""
    for some in _parts(documents):
        rows = [
            {
                "club_id": club_id,
                "kind": one.kind,
                "name": one.name,
                "name_key": name_key(one.name),
                "newest": len(one.revisions),
                "deleted": one.deleted,
            }
            for one in some
        ]
        made = insert(DOCUMENT).returning(DOCUMENT.c.id, sort_by_parameter_order=True)
        numbers = list(connection.scalars(made, rows))
        revisions = [
            _row(number, past, past.revision)
            for number, one in zip(numbers, some, strict=True)
            for past in one.revisions
        ]
        for part in _parts(revisions):
            connection.execute(insert(REVISION), part)
        for number, one in zip(numbers, some, strict=True):
            for tick in one.ticks:
                put(connection, number, tick.list_name, tick.item, tick.ticked_at, tick.ticked_by)


def _row(document: int, past: Past, number: int) -> dict[str, Any]:
    return {
        "document_id": document,
        "number": number,
        "act": past.act,
        "name": past.then or past.name,
        "deleted": past.deleted,
        "text_of": past.text_of or number,
        "back_to": past.back_to,
        "text": past.text,
        "saved_at": past.saved_at,
        "saved_by": past.saved_by,
    }


def _parts(rows: Sequence[Any]) -> Iterable[Any]:
    return (rows[start : start + _AT_ONCE] for start in range(0, len(rows), _AT_ONCE))


# -- documents that the book holds ----------------------------------------------------------


def _go_on(
    connection: Connection,
    club_id: int,
    here: Any,
    file: Found | None,
    past: Held | None,
    change: Change,
) -> Fate:
    """What is new on top of what the book has."""
    fate: Fate = "same"
    place = finding.spot(club_id, here.kind, here.name)
    newest = here.newest
    if past is not None:
        known = finding.history(connection, place)
        states = {_state(one.saved_at, one.text, one.deleted, one.name) for one in known}
        missing = [one for one in past.revisions if _of(past, one) not in states]
        if missing:
            of_past = {_of(past, one) for one in past.revisions}
            last = known[0]
            shared = _state(last.saved_at, last.text, last.deleted, last.name) in of_past
            fate = "continued" if shared else "joined"
            newest = _append(connection, here, past, missing)
            place = finding.spot(club_id, here.kind, missing[-1].then or past.name)
    beyond = file is not None and (past is None or past.deleted or file.text != past.text)
    if file is not None and beyond:
        before = finding.get(connection, place, newest)
        if before.deleted or before.text != file.text:
            revising.save(connection, place, file.text, newest, change)
            fate = "revised" if fate == "same" else fate
    return fate


def _state(at: datetime, text: str, deleted: bool, name: str) -> tuple[datetime, str, bool, str]:
    """By what two revisions are known to be one, even under two numbers."""
    return at, text, deleted, name


def _of(past: Held, one: Past) -> tuple[datetime, str, bool, str]:
    return _state(one.saved_at, past.text_at(one.revision), one.deleted, one.then or one.name)


def _append(connection: Connection, here: Any, past: Held, missing: Sequence[Past]) -> int:
    """The missing revisions with numbers of their own; the newest number then."""
    rows = []
    for number, one in enumerate(missing, here.newest + 1):
        row = _row(here.id, one, number)
        # Numbers inside it meant the other book's revisions.
        rows.append(row | {"text": past.text_at(one.revision), "text_of": number, "back_to": None})
    connection.execute(insert(REVISION), rows)
    last = missing[-1]
    newest: int = here.newest + len(missing)
    name = last.then or last.name
    done = connection.execute(
        update(DOCUMENT)
        .where(DOCUMENT.c.id == here.id, DOCUMENT.c.newest == here.newest)
        .values(newest=newest, deleted=last.deleted, name=name, name_key=name_key(name))
    )
    if done.rowcount != 1:
        raise Mistake(
            "book-busy",
            f"{here.name!r} was changed while the folder was read",
            "nothing was taken in; try again",
        )
    return newest
