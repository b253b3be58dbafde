"""What is ticked off?  Small marks on a document's lists that stay, without a revision."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sqlalchemy import Connection, delete, insert, select
from sqlalchemy.exc import IntegrityError

from fellfare.book.finding import Spot, number_of
from fellfare.book.revising import Change
from fellfare.book.tables import TICK
from fellfare.mistake import Mistake

#: Longest name of a list, and longest item [letters].
MOST_LIST: Final = 60
MOST_ITEM: Final = 200
#: Most ticks on one list.
MOST_TICKS: Final = 5_000


def ticked(connection: Connection, place: Spot, list_name: str) -> frozenset[str]:
    """The items that are ticked."""
    _fits("list", list_name, MOST_LIST)
    document = number_of(connection, place)
    rows = select(TICK.c.item).where(TICK.c.document_id == document, TICK.c.list_name == list_name)
    return frozenset(connection.scalars(rows))


def set_tick(
    connection: Connection, place: Spot, list_name: str, item: str, done: bool, change: Change
) -> None:
    """Tick an item, or take the tick away; twice is once."""
    _fits("list", list_name, MOST_LIST)
    _fits("item", item, MOST_ITEM)
    document = number_of(connection, place)
    if not done:
        connection.execute(
            delete(TICK).where(
                TICK.c.document_id == document,
                TICK.c.list_name == list_name,
                TICK.c.item == item,
            )
        )
        return
    if len(ticked(connection, place, list_name)) >= MOST_TICKS:
        raise Mistake(
            "book-too-many-ticks",
            f"the list {list_name!r} has {MOST_TICKS:,} ticks",
            "clear the list; ticks of items that are gone stay until then",
            place.where,
        )
    put(connection, document, list_name, item, change.at, change.by)


def put(
    connection: Connection, document: int, list_name: str, item: str, at: datetime, by: str
) -> None:
    """One tick on the document with this number."""
    try:
        with connection.begin_nested():
            connection.execute(
                insert(TICK).values(
                    document_id=document,
                    list_name=list_name,
                    item=item,
                    ticked_at=at,
                    ticked_by=by,
                )
            )
    except IntegrityError:
        pass  # it is ticked already


def clear(connection: Connection, place: Spot, list_name: str) -> None:
    """Take every tick of a list away."""
    _fits("list", list_name, MOST_LIST)
    document = number_of(connection, place)
    connection.execute(
        delete(TICK).where(TICK.c.document_id == document, TICK.c.list_name == list_name)
    )


def _fits(what: str, text: str, most: int) -> None:
    if not text or len(text) > most or not text.isprintable():
        raise Mistake(
            "book-bad-tick",
            f"{text[:40]!r} is no name of {'an item' if what == 'item' else 'a list'}",
            f"give one line of 1 to {most} letters",
            what,
        )
