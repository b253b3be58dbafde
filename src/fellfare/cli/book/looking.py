"""What is in the book, and what was it before?"""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click
from msgspec import to_builtins

from fellfare.cli.book.opening import (
    KINDS,
    here,
    json_option,
    kind_argument,
    name_argument,
    open_at,
    print_json,
)
from fellfare.cli.layout import heading, paragraph, plain, table

if TYPE_CHECKING:
    from fellfare.book import Document, Entry


@click.command("list")
@click.argument("kind", type=click.Choice(KINDS), required=False)
@click.option("--deleted", is_flag=True, help="What was thrown away and can be taken back.")
@here
@json_option
def list_documents(
    kind: str | None, deleted: bool, place: str | None, club: str | None, as_json: bool
) -> None:
    """What is in the book; with a KIND only that."""
    with open_at(place, club) as book:
        where = str(book.shelf.engine.url.render_as_string(hide_password=True))
        held = [
            entry for each in ([kind] if kind else KINDS) for entry in book.entries(each, deleted)
        ]
    if as_json:
        print_json([to_builtins(entry) for entry in held])
        return
    rows = [("kind", "name", "rev.", "kept (UTC)", "by")]
    rows += [(one.kind, one.name, *_told(one)) for one in held]
    if held:
        click.echo("\n".join(table(rows, (11, 36, -4, 16, 8))))
    what = f"{'deleted ' * deleted}document{'s' * (len(held) != 1)}"
    click.echo(f"{len(held)} {what} in {where.removeprefix('sqlite:///')}")
    if not held and not deleted:
        mend = "'fellfare demo --out demo' and 'fellfare book import demo' lay the demo in"
        click.echo("\n".join(paragraph(mend)))


@click.command()
@kind_argument
@name_argument
@click.option("--revision", type=int, metavar="N", help="An older revision than the newest.")
@here
def show(kind: str, name: str, revision: int | None, place: str | None, club: str | None) -> None:
    """The text of a document, as it is kept."""
    with open_at(place, club) as book:
        click.echo(book.get(kind, name, revision).text, nl=False)


@click.command()
@kind_argument
@name_argument
@here
@json_option
def history(kind: str, name: str, place: str | None, club: str | None, as_json: bool) -> None:
    """Every revision of a document, the newest first."""
    with open_at(place, club) as book:
        revisions = book.history(kind, name)
    if as_json:
        print_json([to_builtins(one) for one in revisions])
        return
    rows = [("rev.", "kept (UTC)", "what", "bytes", "name", "by")]
    rows += [
        (number, when, one.act, f"{len(one.text.encode()):,}", one.name, by)
        for one in revisions
        for number, when, by in (_told(one),)
    ]
    click.echo("\n".join(table(rows, (-4, 16, 8, -9, 28, 8))))


@click.command()
@kind_argument
@name_argument
@click.argument("a", type=int)
@click.argument("b", type=int)
@here
def compare(kind: str, name: str, a: int, b: int, place: str | None, club: str | None) -> None:
    """The lines in which revision B differs from A."""
    with open_at(place, club) as book:
        groups = book.compare(kind, name, a, b)
    if not groups:
        click.echo(f"revisions {a} and {b} have the same text")
    for group in groups:
        first = next((line.number_a or line.number_b for line in group), 1)
        click.echo("\n".join(heading(f"line {first}")[1:]))
        for line in group:
            click.echo(f"{line.sign} {plain(line.text.rstrip(chr(10)))}")


def _told(one: Document | Entry) -> tuple[str, str, str]:
    return str(one.revision), _minute(one.saved_at), one.saved_by


def _minute(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%d %H:%M")
