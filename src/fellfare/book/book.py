"""The door: everything that can be done with one club's book."""

from __future__ import annotations

from pathlib import Path
from types import TracebackType

from fellfare.book import finding, revising, ticks, undoing
from fellfare.book.accounts.roles import Role, may, must
from fellfare.book.backup import back_up
from fellfare.book.difference import DiffLine, compare_texts
from fellfare.book.document import Document, Entry
from fellfare.book.finding import Spot
from fellfare.book.folder import TakenIn, read_folder, write_folder
from fellfare.book.jobs import Jobs
from fellfare.book.names import KINDS, Check, read_by, read_kind, read_text
from fellfare.book.revising import Change
from fellfare.book.shelf import Clock, Shelf, now, open_shelf


class Book:
    """One club's documents with all their revisions.

    May be used by many threads and processes at once.  Every change is one transaction: when
    the call returns, it is kept; when it raises, nothing has changed.  Names are kept in
    Unicode NFC, and two that differ only in capitals are one.

    Parameters
    ----------
    by
        Whose name stands beside what is saved; a club's member cannot save under another.
    role
        What is allowed; else every change raises ``role-may-not``.
    """

    def __init__(self, shelf: Shelf, club_id: int, *, by: str = "", role: Role = "keeper") -> None:
        self.shelf, self.club_id, self.by, self.role = shelf, club_id, by, role
        self._stamps: dict[tuple[str, ...], tuple[tuple[int, int], int]] = {}

    # -- reading --------------------------------------------------------------------------

    def get(self, kind: str, name: str, revision: int | None = None) -> Document:
        """One document: the newest revision, or the one that is named (even a deleted one).

        Raises
        ------
        Mistake
            ``book-no-such-document`` (also for a deleted one), ``book-no-such-revision``,
            ``book-unknown-kind``, ``book-bad-name``.
        """
        place = self._spot(kind, name)
        with self.shelf.reading() as connection:
            return finding.get(connection, place, revision)

    def all(self, kind: str, deleted: bool = False) -> tuple[Document, ...]:
        """Every document of a kind as it stands, by name; ``deleted``: those thrown away."""
        kind = read_kind(kind)
        with self.shelf.reading() as connection:
            return tuple(finding.every(connection, self.club_id, kind, deleted))

    def names(self, kind: str, deleted: bool = False) -> tuple[str, ...]:
        """Only the names, in the same order."""
        kind = read_kind(kind)
        with self.shelf.reading() as connection:
            return tuple(finding.names(connection, self.club_id, kind, deleted))

    def entries(self, kind: str, deleted: bool = False) -> tuple[Entry, ...]:
        """The same without the texts: names, revisions, when and by whom."""
        kind = read_kind(kind)
        with self.shelf.reading() as connection:
            return tuple(finding.entries(connection, self.club_id, kind, deleted))

    def stamp(self, *kinds: str) -> int:
        """A number that changes whenever a document of these kinds does; cheap to ask for."""
        kinds = tuple(read_kind(kind) for kind in kinds) or KINDS
        version = self.shelf.moving.version()
        seen = self._stamps.get(kinds)
        if seen is not None and version is not None and seen[0] == version:
            return seen[1]
        with self.shelf.reading() as connection:
            found = finding.stamp(connection, self.club_id, kinds)
        if version is not None:  # asked before the tables were: what came between is seen later
            self._stamps[kinds] = version, found
        return found

    def history(self, kind: str, name: str) -> tuple[Document, ...]:
        """Every revision, the newest first; of a deleted document too."""
        place = self._spot(kind, name)
        with self.shelf.reading() as connection:
            return tuple(finding.history(connection, place))

    def compare(
        self, kind: str, name: str, a: int, b: int, context: int = 3
    ) -> tuple[tuple[DiffLine, ...], ...]:
        """Groups of lines in which revision ``b`` differs from ``a``; none = the same text."""
        place = self._spot(kind, name)
        with self.shelf.reading() as connection:
            first = finding.get(connection, place, a)
            second = finding.get(connection, place, b)
        return compare_texts(first.text, second.text, context)

    # -- changing -------------------------------------------------------------------------

    def save(
        self,
        kind: str,
        name: str,
        text: str,
        based_on: int | None,
        by: str = "",
        check: Check | None = None,
    ) -> Document:
        """Keep a text as a new revision.

        Parameters
        ----------
        based_on
            Revision that was edited; None for a new document (or in place of a deleted one,
            whose history then goes on).
        check
            Called with kind, name and text before anything is kept.

        Returns
        -------
        Document
            As it is kept.  The same text as the newest revision is no new one: that is
            returned.

        Raises
        ------
        ChangedMeanwhile
            ``book-changed-meanwhile``, with both texts, when another revision is the newest.
        Mistake
            ``book-text-too-large``, ``book-text-unkeepable``, as :meth:`get`, or of ``check``.
        """
        place, text = self._spot(kind, name), read_text(kind, text)
        change = self._change(by)
        if check is not None:
            check(place.kind, place.name, text)
        with self.shelf.writing() as connection:
            return revising.save(connection, place, text, based_on, change)

    def delete(self, kind: str, name: str, based_on: int | None = None, by: str = "") -> Document:
        """Throw a document away; its history stays, and :meth:`undelete` takes it back.

        With ``based_on`` only when that is still the newest revision, here and below.
        """
        place, change = self._spot(kind, name), self._change(by)
        with self.shelf.writing() as connection:
            return revising.set_deleted(connection, place, True, based_on, change)

    def undelete(self, kind: str, name: str, by: str = "") -> Document:
        """Take a deleted document back."""
        place, change = self._spot(kind, name), self._change(by)
        with self.shelf.writing() as connection:
            return revising.set_deleted(connection, place, False, None, change)

    def restore(
        self, kind: str, name: str, revision: int, by: str = "", based_on: int | None = None
    ) -> Document:
        """The text of an older revision, as a new one; a deleted document is back with it."""
        place, change = self._spot(kind, name), self._change(by)
        with self.shelf.writing() as connection:
            return revising.restore(connection, place, revision, based_on, change)

    def rename(
        self, kind: str, name: str, new_name: str, by: str = "", based_on: int | None = None
    ) -> Document:
        """Another name for the same document; ``book-name-taken`` when it is not free."""
        place, change = self._spot(kind, name), self._change(by)
        with self.shelf.writing() as connection:
            return revising.rename(connection, place, new_name, based_on, change)

    def undo_of(self, kind: str, name: str, by: str = "", based_on: int | None = None) -> Document:
        """Take the last change of a document back; again: the one before that, and so on.

        What was undone stays in the history, from where it can be restored.
        """
        place, change = self._spot(kind, name), self._change(by)
        with self.shelf.writing() as connection:
            return undoing.undo(connection, place, based_on, change)

    def undo(self, by: str = "") -> Document:
        """Take back the last change of the whole book, in a club: the last one of ``by``."""
        change = self._change(by)
        with self.shelf.writing() as connection:
            found = undoing.last_changed(connection, self.club_id, change.by or None)
            if found is None:
                raise undoing.nothing_to_undo()
            return undoing.undo(connection, self._spot(*found), None, change)

    # -- ticks and jobs -------------------------------------------------------------------

    def ticks(self, kind: str, name: str, list_name: str) -> frozenset[str]:
        """The items of a document's list ('shopping', 'prep', ...) that are ticked off."""
        place = self._spot(kind, name)
        with self.shelf.reading() as connection:
            return ticks.ticked(connection, place, list_name)

    def set_tick(
        self, kind: str, name: str, list_name: str, item: str, done: bool = True, by: str = ""
    ) -> None:
        """Tick an item off, or take its tick away; no revision, only the present state.

        Raises
        ------
        Mistake
            ``book-no-such-document``, ``book-bad-tick``, ``book-too-many-ticks``.
        """
        place, change = self._spot(kind, name), self._change(by)
        with self.shelf.writing() as connection:
            ticks.set_tick(connection, place, list_name, item, done, change)

    def clear_ticks(self, kind: str, name: str, list_name: str) -> None:
        """Take every tick of a list away."""
        must(self.role, "write")
        place = self._spot(kind, name)
        with self.shelf.writing() as connection:
            ticks.clear(connection, place, list_name)

    @property
    def jobs(self) -> Jobs:
        """Long work that this club has asked for."""
        return Jobs(self.shelf, self.club_id, by=self.by, may_ask=may(self.role, "write"))

    # -- in and out -----------------------------------------------------------------------

    def export_folder(self, folder: str | Path, *, replace: bool = False) -> int:
        """Write the whole book as a folder of documents; how many.  See ``book/folder.py``."""
        return write_folder(self.shelf, self.club_id, Path(folder), replace=replace)

    def import_folder(
        self, folder: str | Path, by: str = "", check: Check | None = None
    ) -> TakenIn:
        """Take a folder of documents in, all of them or none; what became of each."""
        must(self.role, "write")
        by = read_by(self.by or by)
        return read_folder(self.shelf, self.club_id, Path(folder), by=by, check=check)

    def backup(self, path: str | Path, *, replace: bool = False) -> Path:
        """Copy the book into one file while it is in use; the copy is a book itself."""
        must(self.role, "keep")
        return back_up(self.shelf, self.club_id, Path(path), replace=replace)

    # -- the rest -------------------------------------------------------------------------

    def close(self) -> None:
        """Let go of the database."""
        self.shelf.close()

    def __enter__(self) -> Book:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def _spot(self, kind: str, name: str) -> Spot:
        return finding.spot(self.club_id, kind, name)

    def _change(self, by: str) -> Change:
        must(self.role, "write")
        return Change(by=read_by(self.by or by), at=self.shelf.clock())


def open_book(address: str | Path, *, clock: Clock = now) -> Book:
    """The book in a file (made when it is not there) or at the address of a database.

    Raises
    ------
    Mistake
        As :func:`fellfare.book.shelf.open_shelf`.
    """
    shelf = open_shelf(address, clock=clock)
    return Book(shelf, shelf.own_club())
