"""How is something taken back?"""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from fellfare.cli.book.opening import by_option, here, kind_argument, name_argument, open_at

if TYPE_CHECKING:
    from fellfare.book import Document


@click.command()
@kind_argument
@name_argument
@click.argument("revision", type=int)
@by_option
@here
def restore(
    kind: str, name: str, revision: int, by: str, place: str | None, club: str | None
) -> None:
    """Let an older REVISION hold again, as a new one.

    A deleted document is back with it.
    """
    with open_at(place, club) as book:
        _say_kept(book.restore(kind, name, revision, by))


@click.command()
@kind_argument
@name_argument
@by_option
@here
def delete(kind: str, name: str, by: str, place: str | None, club: str | None) -> None:
    """Throw a document away; 'undelete' takes it back."""
    with open_at(place, club) as book:
        _say_kept(book.delete(kind, name, by=by))


@click.command()
@kind_argument
@name_argument
@by_option
@here
def undelete(kind: str, name: str, by: str, place: str | None, club: str | None) -> None:
    """Take a deleted document back."""
    with open_at(place, club) as book:
        _say_kept(book.undelete(kind, name, by))


@click.command()
@by_option
@here
def undo(by: str, place: str | None, club: str | None) -> None:
    """Take back the last change of the book.

    Again: the one before it.
    """
    with open_at(place, club) as book:
        _say_kept(book.undo(by))


def _say_kept(document: Document) -> None:
    state = "deleted" if document.deleted else "holds"
    click.echo(f"{document.kind} {document.name}: revision {document.revision}, {state}", err=True)
