"""How does the book go out: as a folder, or as a copy?"""

from __future__ import annotations

from pathlib import Path

import click

from fellfare.cli.book.opening import here, open_at


@click.command("export")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--replace", is_flag=True, help="In place of an older export that nobody changed.")
@here
def write_out(folder: Path, replace: bool, place: str | None, club: str | None) -> None:
    """Write the whole book into FOLDER.

    The documents are such as every command reads; history.jsonl holds all revisions.
    """
    with open_at(place, club) as book:
        count = book.export_folder(folder, replace=replace)
    click.echo(f"wrote {count} documents and the whole history into {folder}", err=True)


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--replace", is_flag=True, help="Write over an older file.")
@here
def backup(file: Path, replace: bool, place: str | None, club: str | None) -> None:
    """Copy the book into FILE while it is in use.

    The copy is a book itself: --book FILE opens it.
    """
    with open_at(place, club) as book:
        book.backup(file, replace=replace)
    click.echo(f"wrote {file}; '--book {file}' opens it", err=True)
