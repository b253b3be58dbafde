"""Which book is meant, and how is it opened?  What the sub-commands share."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final

import click

if TYPE_CHECKING:  # the book costs half a second: it is opened where it is needed
    from fellfare.book import Book, Shelf

#: What a book holds, in the order in which it is listed.
KINDS: Final = (
    "food", "recipe", "trip", "track", "provision", "menu", "log", "composition", "season",
    "settings",
)  # fmt: skip

book_option = click.option(
    "--book", "place", metavar="FILE", help="Another book than your usual one."
)
_club_option = click.option(
    "--club", metavar="NAME", help="The book of this club, on a shared server."
)
by_option = click.option("--by", default="", metavar="NAME", help="Who does it, for the history.")
json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON.")
kind_argument = click.argument("kind", type=click.Choice(KINDS))
name_argument = click.argument("name")


def here(command: Callable[..., Any]) -> Callable[..., Any]:
    """Every sub-command may be told which book is meant."""
    return book_option(_club_option(command))


@contextmanager
def open_at(place: str | None, club: str | None) -> Iterator[Book]:
    from fellfare.book import Book

    with open_shelf_at(place) as shelf:
        yield Book(shelf, shelf.own_club() if club is None else shelf.accounts.club(club).id)


def open_shelf_at(place: str | None) -> Shelf:
    from fellfare.book import open_shelf, usual_place

    return open_shelf(place or usual_place())


def print_json(data: object) -> None:
    click.echo(json.dumps(data, ensure_ascii=False, indent=1))
