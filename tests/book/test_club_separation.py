"""Two clubs in one database never see, change or count anything of each other."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from sqlalchemy import select

from fellfare.book import KINDS, Accounts, Book, Jobs, Member, Shelf, open_book
from fellfare.book.accounts import passwords
from fellfare.book.jobs import MOST_OPEN
from fellfare.book.tables import INVITATION

Refused = Callable[[Callable[[], object]], str]
PASSWORD = "heather stile lantern peat"


@pytest.fixture
def members(shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> tuple[Member, Member]:
    """A keeper in each of two clubs, of the same name."""
    from argon2 import PasswordHasher

    hasher = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    monkeypatch.setattr(passwords, "hasher", lambda: hasher)
    passwords.nobodys_hash.cache_clear()
    found = []
    for name in ("Moor Walkers", "Fell Club"):
        club = shelf.accounts.found_club(name)
        token = shelf.accounts.invite(club.id, "keeper", None)
        found.append(shelf.accounts.sign_up(token, "Tansy", PASSWORD))
    return found[0], found[1]


@pytest.fixture
def books(shelf: Shelf, members: tuple[Member, Member]) -> tuple[Book, Book]:
    """A full book, and an empty one of the other club."""
    ours, theirs = (shelf.accounts.book(one) for one in members)
    for kind in KINDS:
        ours.save(kind, "moor", f"ours, {kind}", None)
    ours.set_tick("trip", "moor", "shopping", "bulgur")
    ours.save("recipe", "gone", "ours", None)
    ours.delete("recipe", "gone")
    return ours, theirs


def test_nothing_of_the_other_is_to_be_seen(books: tuple[Book, Book], refused: Refused) -> None:
    _, theirs = books
    for kind in KINDS:
        assert theirs.names(kind) == theirs.names(kind, deleted=True) == ()
        assert theirs.all(kind) == ()
        assert theirs.entries(kind) == ()
        for look in (
            partial(theirs.get, kind, "moor"),
            partial(theirs.get, kind, "moor", 1),
            partial(theirs.history, kind, "moor"),
        ):
            assert refused(look) == "book-no-such-document"
    assert theirs.stamp() == 0
    assert refused(lambda: theirs.ticks("trip", "moor", "shopping")) == "book-no-such-document"
    assert refused(lambda: theirs.compare("trip", "moor", 1, 1)) == "book-no-such-document"


def test_nothing_of_the_other_can_be_changed(books: tuple[Book, Book], refused: Refused) -> None:
    ours, theirs = books
    before = {kind: ours.history(kind, "moor") for kind in KINDS}
    calls: list[Callable[[], object]] = [
        lambda: theirs.save("recipe", "moor", "x", 1),
        lambda: theirs.delete("recipe", "moor"),
        lambda: theirs.undelete("recipe", "gone"),
        lambda: theirs.restore("recipe", "moor", 1),
        lambda: theirs.rename("recipe", "moor", "x"),
        lambda: theirs.undo_of("recipe", "moor"),
        lambda: theirs.set_tick("trip", "moor", "shopping", "x"),
        lambda: theirs.clear_ticks("trip", "moor", "shopping"),
    ]
    assert {refused(call) for call in calls} == {"book-no-such-document"}
    assert refused(theirs.undo) == "book-nothing-to-undo"
    # The same names are free to them, and lead to documents of their own.
    assert theirs.save("recipe", "moor", "theirs", None).revision == 1
    assert theirs.save("recipe", "gone", "theirs", None).revision == 1
    assert theirs.undo().name == "gone"
    assert {kind: ours.history(kind, "moor") for kind in KINDS} == before
    assert ours.ticks("trip", "moor", "shopping") == {"bulgur"}


def test_export_and_backup_hold_one_club_only(books: tuple[Book, Book], tmp_path: Path) -> None:
    ours, theirs = books
    theirs.save("recipe", "stew", "theirs", None)
    assert theirs.export_folder(tmp_path / "out") == 1
    for path in (tmp_path / "out").rglob("*.*"):
        assert b"ours" not in path.read_bytes()
    copy = theirs.backup(tmp_path / "copy")
    assert b"ours" not in copy.read_bytes()
    assert b"argon2" not in copy.read_bytes()
    with open_book(copy) as opened:
        assert opened.names("recipe") == ("stew",)
    theirs.import_folder(tmp_path / "out")
    assert ours.names("recipe") == ("moor",)
    ours.export_folder(tmp_path / "ours")
    fates = theirs.import_folder(tmp_path / "ours").fates
    assert {fate for _, _, fate in fates} == {"new"}  # what the other has under the name is nothing
    assert len(ours.history("recipe", "moor")) == 1


def test_jobs_are_each_clubs_own(books: tuple[Book, Book], refused: Refused) -> None:
    ours, theirs = books
    job = ours.jobs.add("menu", {"secret": 1})
    assert theirs.jobs.all() == ()
    assert refused(lambda: theirs.jobs.get(job.id)) == "job-not-found"
    assert refused(lambda: theirs.jobs.ask_stop(job.id)) == "job-not-found"
    assert theirs.jobs.claim("w") is None
    taken = Jobs(ours.shelf, None).claim("w")  # a worker of the server serves all of them
    assert taken is not None
    assert not theirs.jobs.report(job.id, "w")
    assert not theirs.jobs.finish(job.id, "w", "x")
    assert not theirs.jobs.hand_back(job.id, "w")
    assert not theirs.jobs.fail(job.id, "w", "x")
    assert theirs.jobs.forget(0) == 0
    assert ours.jobs.get(job.id) == taken
    for _ in range(MOST_OPEN):
        theirs.jobs.add("menu", {})
    ours.jobs.add("menu", {})  # theirs are not counted among ours


def test_a_keeper_keeps_one_club(
    shelf: Shelf, members: tuple[Member, Member], refused: Refused
) -> None:
    ours, theirs = members
    accounts = shelf.accounts
    assert accounts.members(theirs) == (theirs,)
    assert refused(lambda: accounts.invite(ours.club_id, "reader", theirs)) == "role-may-not"
    assert refused(lambda: accounts.set_role(theirs, ours.id, "reader")) == "unknown-member"
    assert refused(lambda: accounts.remove(theirs, ours.id)) == "unknown-member"
    assert accounts.member_of(accounts.sign_in("fell club", "tansy", PASSWORD, "x").token) == theirs


def test_ones_own_data_is_of_ones_own_club(
    shelf: Shelf, books: tuple[Book, Book], members: tuple[Member, Member], refused: Refused
) -> None:
    ours, theirs = members
    assert len(shelf.accounts.own_data(ours)["revisions"]) == len(KINDS) + 2
    empty = shelf.accounts.own_data(theirs)
    assert [key for key, value in empty.items() if value] == ["member"]
    books[0].jobs.add("menu", {})
    invitation = shelf.accounts.invite(ours.club_id, "keeper", ours)
    assert shelf.accounts.own_data(theirs) == empty
    for one in members:  # each the only keeper of their own club
        assert refused(partial(shelf.accounts.remove, one, one.id)) == "last-keeper"
    token = shelf.accounts.invite(theirs.club_id, "keeper", theirs)
    second = shelf.accounts.sign_up(token, "Rowan", PASSWORD)
    shelf.accounts.remove(second, theirs.id)  # a Tansy leaves, not the other one
    assert books[0].get("recipe", "moor").saved_by == "Tansy"
    assert books[0].jobs.all()[0].asked_by == "Tansy"
    assert [one["role"] for one in shelf.accounts.own_data(ours)["invitations"]] == ["keeper"]
    shelf.accounts.sign_up(invitation, "Sorrel", PASSWORD)
    with shelf.reading() as connection:
        used = connection.scalars(select(INVITATION.c.used_by).where(INVITATION.c.used_by != ""))
        assert sorted(used) == ["Rowan", "Sorrel", "Tansy", "former member"]
    assert [one.name for one in shelf.accounts.members(ours)] == ["Sorrel", "Tansy"]


def test_this_page_tries_every_door_of_a_book() -> None:
    """A method that is added to the book must be tried above as well."""
    page = Path(__file__).read_text(encoding="utf-8")
    for door in (Book, Jobs):
        names = [name for name, _ in inspect.getmembers(door, inspect.isfunction) if name[0] != "_"]
        assert [name for name in names if f".{name}" not in page and name != "close"] == []
    names = [name for name, _ in inspect.getmembers(Accounts, inspect.isfunction) if name[0] != "_"]
    with_a_member = {"members", "invite", "set_role", "remove", "own_data", "book"}
    assert with_a_member <= set(names)


def test_two_clubs_of_one_name_cannot_be(shelf: Shelf, refused: Refused) -> None:
    shelf.accounts.found_club("Moor Walkers")
    assert refused(lambda: shelf.accounts.found_club("MOOR walkers")) == "club-name-taken"
    assert refused(lambda: shelf.accounts.found_club("../x")) == "book-bad-name"
    assert refused(lambda: shelf.accounts.club("none")) == "unknown-club"
    shelf.own_club()
    assert refused(lambda: shelf.accounts.found_club("Own")) == "club-name-taken"
