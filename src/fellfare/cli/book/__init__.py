"""``fellfare book``: what is in the book, its history, and the ways in and out."""

from __future__ import annotations

import click

from fellfare.cli.book.club import found_club, invite
from fellfare.cli.book.coming_in import take_in
from fellfare.cli.book.going_out import backup, write_out
from fellfare.cli.book.looking import compare, history, list_documents, show
from fellfare.cli.book.taking_back import delete, restore, undelete, undo


@click.group()
def command() -> None:
    """Documents with their whole history, in one file or in a database.

    The usual book lies in your data folder; --book FILE or the variable FELLFARE_BOOK
    names another file, or a database: postgresql+psycopg://user@host/name.
    """


for _each in (
    list_documents, show, history, compare, restore, delete, undelete, undo, take_in, write_out,
    backup, found_club, invite,
):  # fmt: skip
    command.add_command(_each)
