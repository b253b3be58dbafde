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


def set_lock(book: Book, menu: str, lock: Lock, done: bool, by: str = "") -> None:
    """Fix a dish, or let it go."""
    book.set_tick("menu", menu, FIXED, _packed(lock), done, by=by)


def set_ban(book: Book, menu: str, ban: Ban, done: bool, by: str = "") -> None:
    """Leave a dish out, or let it come again."""
    book.set_tick("menu", menu, LEFT_OUT, _packed(ban), done, by=by)


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
