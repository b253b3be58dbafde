"""How often may somebody try to sign in?  Counted in the database, for all processes alike."""

from __future__ import annotations

from datetime import datetime, timedelta
from ipaddress import IPv6Address, ip_address
from math import ceil
from typing import TYPE_CHECKING, Final

from sqlalchemy import delete, func, insert, select

from fellfare.book.accounts.tokens import kept
from fellfare.book.tables import ATTEMPT
from fellfare.mistake import Mistake

if TYPE_CHECKING:
    from fellfare.book.shelf import Shelf

#: Over so many minutes …
WINDOW_MIN: Final = 15
#: … so many attempts in vain for one name, and from one address.
MOST_BY_NAME: Final = 10
MOST_BY_ADDRESS: Final = 30


def keys_of(club: str, name: str, address: str) -> tuple[str, str]:
    """What the attempts are counted under: hashes, so that no list of names comes of it."""
    return kept(f"name {club}/{name}"), kept(f"address {_network(address)}")


def _network(address: str) -> str:
    """One household has many IPv6 addresses: the first half tells it."""
    try:
        found = ip_address(address.partition("%")[0])
    except ValueError:
        return address[:100]
    if isinstance(found, IPv6Address):
        if found.ipv4_mapped is not None:
            return str(found.ipv4_mapped)
        return found.exploded[:19]
    return str(found)


def count_attempt(shelf: Shelf, keys: tuple[str, str]) -> tuple[int, ...]:
    """Put one more attempt down, and refuse it when there were too many; its numbers.

    It is put down before the password is looked at: many who try at once all count.

    Raises
    ------
    Mistake
        ``sign-in-too-often``, with the minutes to wait.
    """
    now = shelf.clock()
    since = now - timedelta(minutes=WINDOW_MIN)
    with shelf.writing() as connection:
        connection.execute(delete(ATTEMPT).where(ATTEMPT.c.tried_at < since))
        made = []
        for key in keys:
            row = connection.execute(insert(ATTEMPT).values(key_hash=key, tried_at=now))
            assert row.inserted_primary_key is not None
            made.append(int(row.inserted_primary_key[0]))
    wait = [_wait(shelf, key, most, now) for key, most in _limits(keys)]
    if any(wait):
        forget(shelf, tuple(made))  # refused unseen: it does not make the wait longer
        raise Mistake(
            "sign-in-too-often",
            "there were too many attempts to sign in",
            f"wait {max(wait)} minutes; if it was not you, tell a keeper of the club",
        )
    return tuple(made)


def _limits(keys: tuple[str, str]) -> tuple[tuple[str, int], ...]:
    return ((keys[0], MOST_BY_NAME), (keys[1], MOST_BY_ADDRESS))


def _wait(shelf: Shelf, key: str, most: int, now: datetime) -> int:
    """Minutes until one more is allowed; 0 = now."""
    with shelf.reading() as connection:
        mine = ATTEMPT.c.key_hash == key
        since = now - timedelta(minutes=WINDOW_MIN)
        rows = select(func.count()).where(mine, ATTEMPT.c.tried_at >= since)
        if (connection.scalar(rows) or 0) <= most:
            return 0
        oldest = connection.scalar(
            select(func.min(ATTEMPT.c.tried_at)).where(mine, ATTEMPT.c.tried_at >= since)
        )
    if oldest is None:
        return 0
    left: timedelta = oldest + timedelta(minutes=WINDOW_MIN) - now
    return max(1, ceil(left.total_seconds() / 60))


def forget(shelf: Shelf, numbers: tuple[int, ...], name_key: str | None = None) -> None:
    """Take attempts off the list: these, and after a success all for the name."""
    with shelf.writing() as connection:
        connection.execute(delete(ATTEMPT).where(ATTEMPT.c.id.in_(numbers)))
        if name_key is not None:
            connection.execute(delete(ATTEMPT).where(ATTEMPT.c.key_hash == name_key))
