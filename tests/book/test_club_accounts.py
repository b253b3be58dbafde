"""Who comes in, who may do what, and how they leave; on both engines."""

from __future__ import annotations

import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from sqlalchemy import select, text

from fellfare.book import Book, Member, Shelf, open_shelf
from fellfare.book.accounts import ROLES, may, passwords
from fellfare.book.accounts.accounts import INVITED_DAYS
from fellfare.book.accounts.limits import MOST_BY_ADDRESS, MOST_BY_NAME, WINDOW_MIN
from fellfare.book.accounts.sessions import IDLE_DAYS, SESSION_DAYS
from fellfare.book.tables import INVITATION, MEMBER, SESSION
from fellfare.mistake import Mistake

Refused = Callable[[Callable[[], object]], str]

PASSWORD = "heather stile lantern peat"


@pytest.fixture(autouse=True)
def quick_hashes(monkeypatch: pytest.MonkeyPatch) -> None:
    """The costs of a hash are the library's business: here the least it takes."""
    from argon2 import PasswordHasher

    hasher = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    monkeypatch.setattr(passwords, "hasher", lambda: hasher)
    passwords.nobodys_hash.cache_clear()


def join(shelf: Shelf, club: str, name: str, role: str) -> Member:
    token = shelf.accounts.invite(shelf.accounts.club(club).id, role, None)
    return shelf.accounts.sign_up(token, name, PASSWORD)


@pytest.fixture
def keeper(shelf: Shelf) -> Member:
    shelf.accounts.found_club("Moor Walkers")
    return join(shelf, "Moor Walkers", "Tansy", "keeper")


# -- coming in ------------------------------------------------------------------------------


def test_from_invitation_to_session(shelf: Shelf, keeper: Member) -> None:
    token = shelf.accounts.invite(keeper.club_id, "cook", keeper)
    cook = shelf.accounts.sign_up(token, "Corrie", PASSWORD)
    assert (cook.name, cook.role, cook.club_id) == ("Corrie", "cook", keeper.club_id)
    session = shelf.accounts.sign_in("moor walkers", "CORRIE", PASSWORD, "192.0.2.1")
    assert shelf.accounts.member_of(session.token) == cook == session.member
    assert shelf.accounts.members(keeper) == (cook, keeper)
    shelf.accounts.sign_out(session.token)
    assert shelf.accounts.member_of(session.token) is None
    assert shelf.accounts.member_of("") is None


def test_an_invitation_is_good_once_and_for_a_while(
    shelf: Shelf, keeper: Member, clock: Any, refused: Refused
) -> None:
    accounts = shelf.accounts
    token = accounts.invite(keeper.club_id, "reader", keeper)
    assert refused(lambda: accounts.sign_up(token, "tansy", PASSWORD)) == "member-name-taken"
    accounts.sign_up(token, "Rowan", PASSWORD)  # still good
    assert refused(lambda: accounts.sign_up(token, "Sorrel", PASSWORD)) == "invitation-not-valid"
    late = accounts.invite(keeper.club_id, "reader", keeper)
    clock.wait(days=INVITED_DAYS)
    assert refused(lambda: accounts.sign_up(late, "Sorrel", PASSWORD)) == "invitation-not-valid"
    assert refused(lambda: accounts.sign_up("guess", "Sorrel", PASSWORD)) == "invitation-not-valid"
    fresh = accounts.invite(keeper.club_id, "reader", keeper)
    former = refused(lambda: accounts.sign_up(fresh, "Former Member", PASSWORD))
    assert former == "member-name-taken"


def test_of_many_who_use_one_invitation_one_joins(address: str) -> None:
    with open_shelf(address) as shelf:
        club = shelf.accounts.found_club("Moor Walkers")
        token = shelf.accounts.invite(club.id, "cook", None)

        def use(which: int) -> bool:
            try:
                return bool(shelf.accounts.sign_up(token, f"walker {which}", PASSWORD))
            except Mistake as mistake:
                return mistake.code != "invitation-not-valid"

        with ThreadPoolExecutor(5) as pool:
            assert sum(pool.map(use, range(5))) == 1


@pytest.mark.parametrize(
    "password",
    ["", "short", "a" * 30, "abababababababababab", "Tansy Tansy Tansy 12", "moor walkers tansy"],
)
def test_a_password_that_is_easily_guessed_is_refused(
    shelf: Shelf, keeper: Member, refused: Refused, password: str
) -> None:
    token = shelf.accounts.invite(keeper.club_id, "cook", keeper)
    code = refused(lambda: passwords.read_password(password, "Tansy", "Moor Walkers"))
    assert code == "password-too-weak"
    assert refused(lambda: shelf.accounts.sign_up(token, "Corrie", "short")) == "password-too-weak"
    long = "word " * 60
    assert refused(lambda: shelf.accounts.sign_up(token, "Corrie", long)) == "password-too-long"


def test_a_password_may_hold_any_letter_however_it_is_typed(shelf: Shelf, keeper: Member) -> None:
    token = shelf.accounts.invite(keeper.club_id, "cook", keeper)
    shelf.accounts.sign_up(token, "Corrie", "cre\u0300me bru\u0302le\u0301e 漢字 tarn")
    typed = "cr\u00e8me br\u00fbl\u00e9e 漢字 tarn"
    assert shelf.accounts.sign_in("Moor Walkers", "Corrie", typed, "a").member.name == "Corrie"


# -- signing in -----------------------------------------------------------------------------


def test_a_wrong_club_name_or_password_gets_one_answer(
    shelf: Shelf, keeper: Member, refused: Refused
) -> None:
    tries = [("Moor Walkers", "Tansy", "wrong"), ("Moor Walkers", "Nobody", PASSWORD),
             ("No Club", "Tansy", PASSWORD), ("own", "Tansy", PASSWORD),
             ("Moor Walkers", "Tansy", "x" * 10_000), ("", "", ""),
             # What no database takes as text is just as wrong.
             ("Moor Walkers", "Tan\0sy", PASSWORD),
             ("Moor\ud800", "Tansy", "\ud800\0")]  # fmt: skip
    told = set()
    for club, name, password in tries:
        with pytest.raises(Mistake) as caught:
            shelf.accounts.sign_in(club, name, password, "192.0.2.1")
        told.add(str(caught.value))
    assert refused(lambda: shelf.accounts.club("a\0\ud800")) == "unknown-club"
    assert len(told) == 1
    assert "sign-in-refused" in told.pop()


def test_attempts_for_one_name_are_counted_over_all_processes(
    address: str, clock: Any, refused: Refused
) -> None:
    with open_shelf(address, clock=clock) as one, open_shelf(address, clock=clock) as other:
        one.accounts.found_club("Moor Walkers")
        join(one, "Moor Walkers", "Tansy", "keeper")

        def tried(shelf: Shelf, password: str, source: str = "192.0.2.1") -> str:
            return refused(
                lambda: shelf.accounts.sign_in("Moor Walkers", "Tansy", password, source)
            )

        for number in range(MOST_BY_NAME):
            shelf = (one, other)[number % 2]
            assert tried(shelf, "wrong", f"192.0.2.{number}") == "sign-in-refused"
        # Now even the right one must wait, wherever it is tried.
        assert tried(one, PASSWORD, "198.51.100.7") == "sign-in-too-often"
        assert tried(other, PASSWORD, "198.51.100.8") == "sign-in-too-often"
        clock.wait(minutes=WINDOW_MIN)
        assert one.accounts.sign_in("Moor Walkers", "Tansy", PASSWORD, "x").member.name == "Tansy"


def test_attempts_from_one_address_are_counted(
    shelf: Shelf, keeper: Member, refused: Refused
) -> None:
    def tried(name: str, source: str) -> str:
        return refused(lambda: shelf.accounts.sign_in("Moor Walkers", name, "x", source))

    for number in range(MOST_BY_ADDRESS):
        # RFC 3849 and 4291: one household has all addresses of a /64.
        assert tried(f"n{number}", f"2001:db8:0:1::{number:x}") == "sign-in-refused"
    assert tried("n", "2001:db8:0:1:ffff::1") == "sign-in-too-often"
    assert tried("n", "2001:db8:0:2::1") == "sign-in-refused"


def test_who_signs_in_well_is_never_made_to_wait(shelf: Shelf, keeper: Member) -> None:
    for _ in range(MOST_BY_ADDRESS + 5):
        shelf.accounts.sign_in("Moor Walkers", "Tansy", PASSWORD, "192.0.2.1")


def test_a_session_ends_by_itself(shelf: Shelf, keeper: Member, clock: Any) -> None:
    def begin() -> str:
        return shelf.accounts.sign_in("Moor Walkers", "Tansy", PASSWORD, "x").token

    idle = begin()
    clock.wait(days=IDLE_DAYS + 1)
    assert shelf.accounts.member_of(idle) is None
    used = begin()
    for _ in range(SESSION_DAYS // 3):
        assert shelf.accounts.member_of(used) == keeper
        clock.wait(days=3)
    assert shelf.accounts.member_of(used) is None


def test_a_new_password_ends_every_session(shelf: Shelf, keeper: Member, refused: Refused) -> None:
    accounts, new = shelf.accounts, "another four plain words"
    old = accounts.sign_in("Moor Walkers", "Tansy", PASSWORD, "x").token
    assert refused(lambda: accounts.change_password(keeper, "wrong", new)) == "sign-in-refused"
    fresh = accounts.change_password(keeper, PASSWORD, new)
    assert accounts.member_of(old) is None
    assert accounts.member_of(fresh.token) == keeper
    assert refused(lambda: accounts.sign_in("Moor Walkers", "Tansy", PASSWORD, "x")) == (
        "sign-in-refused"
    )
    accounts.sign_in("Moor Walkers", "Tansy", new, "x")
    for _ in range(MOST_BY_NAME):
        refused(lambda: accounts.change_password(keeper, "wrong", new))
    assert refused(lambda: accounts.change_password(keeper, new, new)) == "sign-in-too-often"


def test_no_secret_stands_in_the_database(shelf: Shelf, keeper: Member) -> None:
    invitation = shelf.accounts.invite(keeper.club_id, "cook", keeper)
    session = shelf.accounts.sign_in("Moor Walkers", "Tansy", PASSWORD, "192.0.2.77").token
    everything = []
    with shelf.reading() as connection:
        for table in ("member", "invitation", "session", "attempt"):
            everything += [str(row) for row in connection.execute(text(f"SELECT * FROM {table}"))]
        (kept,) = connection.scalars(select(MEMBER.c.password_hash))
        for column in (INVITATION.c.token_hash, SESSION.c.token_hash):
            assert all(len(one) == 64 for one in connection.scalars(select(column)))
    assert everything
    for secret in (invitation, session, PASSWORD, "192.0.2.77"):
        assert not any(secret in row for row in everything)
    assert kept.startswith("$argon2id$")


def test_an_older_hash_is_made_anew(shelf: Shelf, keeper: Member, monkeypatch: Any) -> None:
    from argon2 import PasswordHasher

    dearer = PasswordHasher(time_cost=2, memory_cost=16, parallelism=1)
    monkeypatch.setattr(passwords, "hasher", lambda: dearer)
    shelf.accounts.sign_in("Moor Walkers", "Tansy", PASSWORD, "x")
    with shelf.reading() as connection:
        assert "$m=16,t=2,p=1$" in str(connection.scalar(select(MEMBER.c.password_hash)))
    shelf.accounts.sign_in("Moor Walkers", "Tansy", PASSWORD, "x")


def test_without_the_extra_it_is_said(monkeypatch: pytest.MonkeyPatch, refused: Refused) -> None:
    monkeypatch.undo()  # the real one
    passwords.hasher.cache_clear()
    monkeypatch.setitem(sys.modules, "argon2", None)
    assert refused(lambda: passwords.make_hash(PASSWORD)) == "club-extra-missing"


# -- roles ----------------------------------------------------------------------------------


def test_what_each_role_may_do() -> None:
    told = {role: [deed for deed in ("read", "write", "keep") if may(role, deed)] for role in ROLES}
    assert told == {
        "reader": ["read"], "cook": ["read", "write"], "keeper": ["read", "write", "keep"]
    }  # fmt: skip
    assert not may("stranger", "read")


def test_a_reader_changes_nothing(shelf: Shelf, keeper: Member, tmp_path: Any) -> None:
    reader = join(shelf, "Moor Walkers", "Rowan", "reader")
    ours = shelf.accounts.book(keeper)
    ours.save("recipe", "soup", "x", None)
    ours.export_folder(tmp_path / "out")
    book = shelf.accounts.book(reader)
    assert book.get("recipe", "soup").text == "x"
    assert book.export_folder(tmp_path / "mine") == 1
    changes: list[Callable[[Book], object]] = [
        lambda b: b.save("recipe", "soup", "y", 1),
        lambda b: b.delete("recipe", "soup"),
        lambda b: b.undelete("recipe", "soup"),
        lambda b: b.restore("recipe", "soup", 1),
        lambda b: b.rename("recipe", "soup", "stew"),
        lambda b: b.undo_of("recipe", "soup"),
        lambda b: b.undo(),
        lambda b: b.set_tick("recipe", "soup", "a", "b"),
        lambda b: b.clear_ticks("recipe", "soup", "a"),
        lambda b: b.import_folder(tmp_path / "out"),
        lambda b: b.jobs.add("menu", {}),
        lambda b: b.jobs.ask_stop(1),
        lambda b: b.backup(tmp_path / "copy"),
    ]
    for change in changes:
        with pytest.raises(Mistake, match="role-may-not"):
            change(book)
    assert len(ours.history("recipe", "soup")) == 1
    cook = shelf.accounts.book(join(shelf, "Moor Walkers", "Corrie", "cook"))
    with pytest.raises(Mistake, match="role-may-not"):
        cook.backup(tmp_path / "copy")


def test_nobody_saves_under_another_name(shelf: Shelf, keeper: Member) -> None:
    book = shelf.accounts.book(keeper)
    assert book.save("recipe", "soup", "x", None, by="Corrie").saved_by == "Tansy"
    assert book.jobs.add("menu", {}, by="Corrie").asked_by == "Tansy"


def test_only_keepers_invite_and_give_roles(shelf: Shelf, keeper: Member, refused: Refused) -> None:
    accounts = shelf.accounts
    cook = join(shelf, "Moor Walkers", "Corrie", "cook")
    assert refused(lambda: accounts.invite(cook.club_id, "cook", cook)) == "role-may-not"
    assert refused(lambda: accounts.set_role(cook, cook.id, "keeper")) == "role-may-not"
    assert refused(lambda: accounts.remove(cook, keeper.id)) == "role-may-not"
    assert refused(lambda: accounts.invite(cook.club_id, "chef", keeper)) == "unknown-role"
    assert accounts.set_role(keeper, cook.id, "keeper").role == "keeper"
    accounts.set_role(keeper, keeper.id, "reader")
    # What was a keeper's session is a reader's from now on, whatever it still holds.
    assert refused(lambda: accounts.invite(cook.club_id, "cook", keeper)) == "role-may-not"
    assert accounts.book(keeper).role == "reader"


def test_a_club_is_never_without_a_keeper(shelf: Shelf, keeper: Member, refused: Refused) -> None:
    assert refused(lambda: shelf.accounts.set_role(keeper, keeper.id, "cook")) == "last-keeper"
    assert refused(lambda: shelf.accounts.remove(keeper, keeper.id)) == "last-keeper"
    second = join(shelf, "Moor Walkers", "Corrie", "keeper")

    def leave(one: Member) -> bool:
        try:
            shelf.accounts.remove(one, one.id)
        except Mistake as mistake:
            return mistake.code != "last-keeper"
        return True

    with ThreadPoolExecutor(2) as pool:  # both at once
        assert sorted(pool.map(leave, (keeper, second))) == [False, True]


# -- leaving --------------------------------------------------------------------------------


def test_own_data_is_all_of_it_and_nothing_of_others(shelf: Shelf, keeper: Member) -> None:
    cook = join(shelf, "Moor Walkers", "Corrie", "cook")
    ours, theirs = shelf.accounts.book(keeper), shelf.accounts.book(cook)
    ours.save("recipe", "soup", "Tansy's secret", None)
    theirs.save("recipe", "soup", "Corrie's words", 1)
    theirs.restore("recipe", "soup", 1)
    theirs.save("trip", "round", "t", None)
    theirs.set_tick("trip", "round", "shopping", "bulgur")
    theirs.jobs.add("menu", {"days": 9})
    shelf.accounts.sign_in("Moor Walkers", "Corrie", PASSWORD, "x")
    data = shelf.accounts.own_data(cook)
    assert data["member"]["name"] == "Corrie"
    assert [one["text"] for one in data["revisions"]] == ["Corrie's words", None, "t"]
    assert [one["item"] for one in data["ticks"]] == ["bulgur"]
    assert [one["asked"] for one in data["jobs"]] == ['{"days":9}']
    assert len(data["sessions"]) == 1
    assert "secret" not in str(data)
    assert "argon2" not in str(data)
    assert len(shelf.accounts.own_data(keeper)["revisions"]) == 1


def test_who_leaves_is_gone_and_what_they_cooked_stays(
    shelf: Shelf, keeper: Member, refused: Refused
) -> None:
    cook = join(shelf, "Moor Walkers", "Corrie", "cook")
    book = shelf.accounts.book(cook)
    book.save("recipe", "soup", "x", None)
    book.set_tick("recipe", "soup", "shopping", "bulgur")
    book.jobs.add("menu", {})
    session = shelf.accounts.sign_in("Moor Walkers", "Corrie", PASSWORD, "x")
    shelf.accounts.remove(cook, cook.id)
    assert shelf.accounts.member_of(session.token) is None
    assert refused(lambda: shelf.accounts.book(cook)) == "unknown-member"
    ours = shelf.accounts.book(keeper)
    assert ours.get("recipe", "soup").saved_by == "former member"
    assert ours.ticks("recipe", "soup", "shopping") == {"bulgur"}
    assert ours.jobs.all()[0].asked_by == "former member"
    with shelf.reading() as connection:
        for table in ("member", "revision", "tick", "job", "invitation"):
            rows = [str(row) for row in connection.execute(text(f"SELECT * FROM {table}"))]
            assert not any("Corrie" in row for row in rows), table
    again = join(shelf, "Moor Walkers", "Corrie", "reader")
    assert shelf.accounts.own_data(again)["revisions"] == []


def test_measures_are_kept_with_the_account(shelf: Shelf, keeper: Member, refused: Refused) -> None:
    cook = join(shelf, "Moor Walkers", "Corrie", "reader")
    session = shelf.accounts.sign_in("Moor Walkers", "Corrie", PASSWORD, "x")
    assert session.member.measures == ""
    assert shelf.accounts.set_measures(cook, "us").measures == "us"
    again = shelf.accounts.member_of(session.token)
    assert again is not None
    assert again.measures == "us"
    assert refused(lambda: shelf.accounts.set_measures(cook, "furlongs")) == "unknown-measures"
    assert shelf.accounts.member_of(session.token) == again
    assert all(one.measures == "" for one in shelf.accounts.members(keeper) if one.id == keeper.id)
