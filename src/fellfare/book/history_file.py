"""Every revision of a book as lines of JSON: how it is written, and read with care.

The first line says what the file is; then one line for each revision, document by document,
the oldest first, and one for each tick.  A revision without a text has the text of the one
that ``text_of`` names.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from itertools import groupby
from pathlib import Path
from typing import Any, Final

import msgspec
from msgspec import Struct
from sqlalchemy import Connection, select

from fellfare.book.document import Act
from fellfare.book.names import MOST_TRACK_BYTES, name_key, read_by, read_kind, read_name, read_text
from fellfare.book.tables import DOCUMENT, REVISION, TICK
from fellfare.mistake import Mistake

#: Name of the file in the folder.
HISTORY: Final = "history.jsonl"
#: Documents that are fetched at a time: tracks may be large.
_AT_ONCE: Final = 50
VERSION: Final = 1


class Head(Struct, frozen=True, kw_only=True, tag="fellfare-history", tag_field="line"):
    """What the file is."""

    version: int
    written_at: datetime


class Past(Struct, frozen=True, kw_only=True, tag="revision", tag_field="line", omit_defaults=True):
    """One revision."""

    kind: str
    #: The document's name today.
    name: str
    revision: int
    act: Act
    #: Its name at that time, when that was another.
    then: str = ""
    deleted: bool = False
    text: str | None = None
    text_of: int | None = None
    back_to: int | None = None
    saved_at: datetime
    saved_by: str = ""


class Ticked(Struct, frozen=True, kw_only=True, tag="tick", tag_field="line", omit_defaults=True):
    """One tick."""

    kind: str
    name: str
    list_name: str
    item: str
    ticked_at: datetime
    ticked_by: str = ""


class Held(Struct, frozen=True, kw_only=True):
    """One document with everything that was ever kept of it."""

    kind: str
    name: str
    revisions: tuple[Past, ...]
    ticks: tuple[Ticked, ...] = ()

    def text_at(self, number: int) -> str:
        """The text of one of its revisions."""
        one = self.revisions[number - 1]
        text = self.revisions[(one.text_of or number) - 1].text
        assert text is not None
        return text

    @property
    def text(self) -> str:
        """As it stands."""
        return self.text_at(len(self.revisions))

    @property
    def deleted(self) -> bool:
        """Whether it was thrown away."""
        return self.revisions[-1].deleted


class History(Struct, frozen=True, kw_only=True):
    """A whole file."""

    documents: tuple[Held, ...]


# -- out ------------------------------------------------------------------------------------


def write_history(
    connection: Connection, club_id: int, at: datetime, path: Path, each: Callable[[Held], None]
) -> int:
    """Write the history of every document; ``each`` is given the living ones.  How many live."""
    count = 0
    encode = msgspec.json.Encoder().encode
    with path.open("xb") as file:
        file.write(encode(Head(version=VERSION, written_at=at)) + b"\n")
        for held in _all_held(connection, club_id):
            for line in (*held.revisions, *held.ticks):
                file.write(encode(line) + b"\n")
            if not held.deleted:
                each(held)
                count += 1
    return count


def _all_held(connection: Connection, club_id: int) -> Iterator[Held]:
    documents = connection.execute(
        select(DOCUMENT.c.id, DOCUMENT.c.kind, DOCUMENT.c.name).where(DOCUMENT.c.club_id == club_id)
    ).all()
    ordered = sorted(documents, key=lambda one: (one.kind, name_key(one.name)))
    for start in range(0, len(ordered), _AT_ONCE):
        some = ordered[start : start + _AT_ONCE]
        ids = [row.id for row in some]
        revisions: dict[int, list[Any]] = {number: [] for number in ids}
        ticks: dict[int, list[Any]] = {number: [] for number in ids}
        rows = select(REVISION).where(REVISION.c.document_id.in_(ids)).order_by(REVISION.c.number)
        for one in connection.execute(rows):
            revisions[one.document_id].append(one)
        for one in connection.execute(select(TICK).where(TICK.c.document_id.in_(ids))):
            ticks[one.document_id].append(one)
        for row in some:
            yield Held(
                kind=row.kind,
                name=row.name,
                revisions=tuple(_past(row, one) for one in revisions[row.id]),
                ticks=tuple(
                    Ticked(
                        kind=row.kind,
                        name=row.name,
                        list_name=one.list_name,
                        item=one.item,
                        ticked_at=one.ticked_at,
                        ticked_by=one.ticked_by,
                    )
                    for one in sorted(ticks[row.id], key=lambda one: (one.list_name, one.item))
                ),
            )


def _past(document: Any, row: Any) -> Past:
    return Past(
        kind=document.kind,
        name=document.name,
        revision=row.number,
        act=row.act,
        then="" if row.name == document.name else row.name,
        deleted=row.deleted,
        text=row.text,
        text_of=None if row.text_of == row.number else row.text_of,
        back_to=row.back_to,
        saved_at=row.saved_at,
        saved_by=row.saved_by,
    )


# -- in -------------------------------------------------------------------------------------

_Line = Head | Past | Ticked


def read_history(path: Path) -> History:
    """The history that a file holds; every figure and name in it is looked at.

    Raises
    ------
    Mistake
        ``book-history-unread`` with the line.
    """
    decode = msgspec.json.Decoder(_Line).decode
    lines: list[tuple[int, Past | Ticked]] = []
    number = 0
    try:
        with path.open("rb") as file:
            while data := file.readline(2 * MOST_TRACK_BYTES + 10_000):
                number += 1
                line = decode(data)
                if number == 1 or isinstance(line, Head):
                    _head(line, number)
                    continue
                lines.append((number, line))
        if not number:
            raise ValueError("the file is empty")
        return History(documents=tuple(_documents(lines)))
    except _LineError as bad:
        raise _unread(path, bad.number, bad.why) from bad
    except Mistake as mistake:
        raise _unread(path, number, mistake.what) from mistake
    except (msgspec.MsgspecError, ValueError, RecursionError) as error:
        raise _unread(path, number, str(error)[:200]) from error
    except OSError as error:
        raise _unread(path, number, error.strerror or type(error).__name__) from error


class _LineError(Exception):
    def __init__(self, number: int, why: str) -> None:
        super().__init__(number, why)
        self.number, self.why = number, why


def _unread(path: Path, number: int, why: str) -> Mistake:
    return Mistake(
        "book-history-unread",
        f"the history cannot be read ({why})",
        "export the book again; or take the file away, and the documents come in without "
        "their history",
        f"{path}:{number or 1}",
    )


def _head(line: _Line, number: int) -> None:
    if number != 1 or not isinstance(line, Head):
        raise ValueError("the first line, and no other, says 'fellfare-history'")
    if line.version != VERSION:
        raise ValueError(f"version {line.version} is of a later Fellfare")


def _documents(lines: list[tuple[int, Past | Ticked]]) -> Iterator[Held]:
    seen: set[tuple[str, str]] = set()
    for (kind, name), group in groupby(lines, key=lambda pair: (pair[1].kind, pair[1].name)):
        numbered = list(group)
        key = (kind, name_key(name))
        if key in seen:
            raise _LineError(numbered[0][0], f"{kind} {name!r} comes twice")
        seen.add(key)
        revisions: list[Past] = []
        ticks: list[Ticked] = []
        for number, line in numbered:
            try:
                if isinstance(line, Past):
                    revisions.append(_checked(line, revisions))
                else:
                    ticks.append(_checked_tick(line))
            except (Mistake, ValueError) as error:
                why = error.what if isinstance(error, Mistake) else str(error)
                raise _LineError(number, why) from error
        if not revisions:
            raise _LineError(numbered[0][0], f"{kind} {name!r} has no revision")
        yield Held(kind=kind, name=name, revisions=tuple(revisions), ticks=tuple(ticks))


def _checked(line: Past, before: list[Past]) -> Past:
    """Refuses what the book itself would never have written."""
    here = len(before) + 1
    for name in (line.name, line.then or line.name):
        if read_name(name) != name:
            raise ValueError("the name is not in Unicode NFC")
    read_by(line.saved_by)
    if line.revision != here:
        raise ValueError(f"revision {line.revision} where {here} is due")
    if line.saved_at.tzinfo is None:
        raise ValueError("a time without a zone")
    if line.text is not None:
        read_text(read_kind(line.kind), line.text)
    if (line.text is None) == (line.text_of is None):
        raise ValueError("either a text, or the revision that has it")
    if line.text_of is not None and (
        not 1 <= line.text_of < here or before[line.text_of - 1].text is None
    ):
        raise ValueError(f"revision {line.text_of} has no text of its own")
    if line.back_to is not None and not (
        0 <= line.back_to < here and (line.back_to == 0 or before[line.back_to - 1].back_to is None)
    ):
        raise ValueError(f"an undo cannot go back to {line.back_to}")
    return line


def _checked_tick(line: Ticked) -> Ticked:
    if line.ticked_at.tzinfo is None:
        raise ValueError("a time without a zone")
    for text, most in ((line.list_name, 60), (line.item, 200)):
        if not text or len(text) > most or not text.isprintable():
            raise ValueError("a tick is one short line")
    read_by(line.ticked_by)
    return line
