"""For whoever runs a server: clubs, and who may come in."""

from __future__ import annotations

import click

from fellfare.cli.book.opening import book_option, open_shelf_at
from fellfare.cli.layout import paragraph


@click.command("club")
@click.argument("name")
@book_option
def found_club(name: str, place: str | None) -> None:
    """Found a club with a book of its own.

    Prints an invitation for its first keeper.
    """
    with open_shelf_at(place) as shelf:
        club = shelf.accounts.found_club(name)
        token = shelf.accounts.invite(club.id, "keeper", None)
    click.echo(token)
    _say_invitation(club.name, "keeper")


@click.command()
@click.argument("name", metavar="CLUB")
@click.option(
    "--role",
    type=click.Choice(["reader", "cook", "keeper"]),
    default="cook",
    show_default=True,
    help="A reader reads, a cook saves, a keeper also invites and removes.",
)
@book_option
def invite(name: str, role: str, place: str | None) -> None:
    """Print an invitation to a CLUB.

    It is good for one person and fourteen days.
    """
    with open_shelf_at(place) as shelf:
        club = shelf.accounts.club(name)
        token = shelf.accounts.invite(club.id, role, None)
    click.echo(token)
    _say_invitation(club.name, role)


def _say_invitation(club: str, role: str) -> None:
    said = (
        f"One person can join {club!r} with it as {role}, within fourteen days. It is kept "
        "nowhere and will not be shown again: hand it on by a way that others cannot read."
    )
    click.echo("\n".join(paragraph(said, "")), err=True)
