"""Dishes that were fixed on a menu by hand, and dishes that were left out.

They are kept beside the menu document as ticks, so that a new search keeps to them; what a
trip itself fixes or never wants stands in the trip.
"""

from __future__ import annotations

from typing import Final

import msgspec
from msgspec import Struct

from fellfare.book import Book
from fellfare.menu.changing import with_ban, with_lock
from fellfare.menu.pool import Ban, Lock, Question
from fellfare.mistake import Mistake

FIXED: Final = "fixed by hand"
LEFT_OUT: Final = "left out by hand"


class Ticked(Struct, frozen=True, kw_only=True):
    """A wish that was said or taken back, so that it can be undone."""

    #: :data:`FIXED` or :data:`LEFT_OUT`.
    of: str
    item: str
    done: bool


class Wishes(Struct, frozen=True):
    """What somebody has said about a menu."""

    locks: tuple[Lock, ...] = ()
    bans: tuple[Ban, ...] = ()


def wishes_of(book: Book, menu: str) -> Wishes:
    """As they stand; none for a menu that is not in the book yet."""
    try:
        fixed = book.ticks("menu", menu, FIXED)
        gone = book.ticks("menu", menu, LEFT_OUT)
    except Mistake:
        return Wishes()
    locks = tuple(msgspec.json.decode(item, type=Lock) for item in sorted(fixed))
    bans = tuple(msgspec.json.decode(item, type=Ban) for item in sorted(gone))
    return Wishes(locks, bans)


def set_lock(book: Book, menu: str, lock: Lock, done: bool, by: str = "") -> tuple[Ticked, ...]:
    """Fix a dish, or let it go; what that changed."""
    return _set(book, menu, Ticked(of=FIXED, item=_packed(lock), done=done), by)


def set_ban(book: Book, menu: str, ban: Ban, done: bool, by: str = "") -> tuple[Ticked, ...]:
    """Leave a dish out, or let it come again; what that changed."""
    return _set(book, menu, Ticked(of=LEFT_OUT, item=_packed(ban), done=done), by)


def say_again(book: Book, menu: str, ticked: tuple[Ticked, ...], by: str = "") -> None:
    """Wishes that were undone hold again."""
    for one in ticked:
        _set(book, menu, one, by)


def unsay(book: Book, menu: str, ticked: tuple[Ticked, ...], by: str = "") -> None:
    """Wishes as they stood before these were said."""
    for one in reversed(ticked):
        _set(book, menu, Ticked(of=one.of, item=one.item, done=not one.done), by)


def _set(book: Book, menu: str, one: Ticked, by: str) -> tuple[Ticked, ...]:
    if (one.item in book.ticks("menu", menu, one.of)) == one.done:
        return ()
    book.set_tick("menu", menu, one.of, one.item, one.done, by=by)
    return (one,)


def _packed(value: Lock | Ban) -> str:
    return msgspec.json.encode(value).decode("utf-8")


def with_wishes(question: Question, wishes: Wishes) -> tuple[Question, tuple[Lock | Ban, ...]]:
    """The question with them; and those that mean nothing any more."""
    stale: list[Lock | Ban] = []
    for lock in wishes.locks:
        try:
            question = with_lock(question, lock.day, lock.time, lock.dish, lock.walker)
        except Mistake:
            stale.append(lock)
    for ban in wishes.bans:
        try:
            question = with_ban(question, ban.dish, ban.day, ban.time, ban.walker)
        except Mistake:
            stale.append(ban)
    return question, tuple(stale)
