"""``fellfare book``: what is in the book, its history, and the ways in and out."""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any, Final

import click
from msgspec import to_builtins

from fellfare.cli.layout import heading, paragraph, plain, table
from fellfare.cli.told import tell_mistake
from fellfare.mistake import Mistake, Mistakes

if TYPE_CHECKING:  # the book costs half a second: it is opened where it is needed
    from fellfare.book import Book, Document, Entry, Shelf

#: What a book holds, in the order in which it is listed.
KINDS: Final = (
    "food", "recipe", "trip", "track", "provision", "menu", "log", "composition", "settings"
)  # fmt: skip

_book = click.option("--book", "place", metavar="FILE", help="Another book than your usual one.")
_club = click.option("--club", metavar="NAME", help="The book of this club, on a shared server.")
_by = click.option("--by", default="", metavar="NAME", help="Who does it, for the history.")
_json = click.option("--json", "as_json", is_flag=True, help="Print JSON.")
_kind = click.argument("kind", type=click.Choice(KINDS))
_name = click.argument("name")


def _here(command: Callable[..., Any]) -> Callable[..., Any]:
    """Every sub-command may be told which book is meant."""
    return _book(_club(command))


@click.group()
def command() -> None:
    """Documents with their whole history, in one file or in a database.

    The usual book lies in your data folder; --book FILE or the variable FELLFARE_BOOK
    names another file, or a database: postgresql+psycopg://user@host/name.
    """


@contextmanager
def _open(place: str | None, club: str | None) -> Iterator[Book]:
    from fellfare.book import Book

    with _open_shelf(place) as shelf:
        yield Book(shelf, shelf.own_club() if club is None else shelf.accounts.club(club).id)


def _open_shelf(place: str | None) -> Shelf:
    from fellfare.book import open_shelf, usual_place

    return open_shelf(place or usual_place())


# -- looking ----------------------------------------------------------------------------------


@command.command("list")
@click.argument("kind", type=click.Choice(KINDS), required=False)
@click.option("--deleted", is_flag=True, help="What was thrown away and can be taken back.")
@_here
@_json
def list_documents(
    kind: str | None, deleted: bool, place: str | None, club: str | None, as_json: bool
) -> None:
    """What is in the book; with a KIND only that."""
    with _open(place, club) as book:
        where = str(book.shelf.engine.url.render_as_string(hide_password=True))
        held = [
            entry for each in ([kind] if kind else KINDS) for entry in book.entries(each, deleted)
        ]
    if as_json:
        _print_json([to_builtins(entry) for entry in held])
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


@command.command()
@_kind
@_name
@click.option("--revision", type=int, metavar="N", help="An older revision than the newest.")
@_here
def show(kind: str, name: str, revision: int | None, place: str | None, club: str | None) -> None:
    """The text of a document, as it is kept."""
    with _open(place, club) as book:
        click.echo(book.get(kind, name, revision).text, nl=False)


@command.command()
@_kind
@_name
@_here
@_json
def history(kind: str, name: str, place: str | None, club: str | None, as_json: bool) -> None:
    """Every revision of a document, the newest first."""
    with _open(place, club) as book:
        revisions = book.history(kind, name)
    if as_json:
        _print_json([to_builtins(one) for one in revisions])
        return
    rows = [("rev.", "kept (UTC)", "what", "bytes", "name", "by")]
    rows += [
        (number, when, one.act, f"{len(one.text.encode()):,}", one.name, by)
        for one in revisions
        for number, when, by in (_told(one),)
    ]
    click.echo("\n".join(table(rows, (-4, 16, 8, -9, 28, 8))))


@command.command()
@_kind
@_name
@click.argument("a", type=int)
@click.argument("b", type=int)
@_here
def compare(kind: str, name: str, a: int, b: int, place: str | None, club: str | None) -> None:
    """The lines in which revision B differs from A."""
    with _open(place, club) as book:
        groups = book.compare(kind, name, a, b)
    if not groups:
        click.echo(f"revisions {a} and {b} have the same text")
    for group in groups:
        first = next((line.number_a or line.number_b for line in group), 1)
        click.echo("\n".join(heading(f"line {first}")[1:]))
        for line in group:
            click.echo(f"{line.sign} {plain(line.text.rstrip(chr(10)))}")


# -- taking back ------------------------------------------------------------------------------


@command.command()
@_kind
@_name
@click.argument("revision", type=int)
@_by
@_here
def restore(
    kind: str, name: str, revision: int, by: str, place: str | None, club: str | None
) -> None:
    """Let an older REVISION hold again, as a new one.

    A deleted document is back with it.
    """
    with _open(place, club) as book:
        _say_kept(book.restore(kind, name, revision, by))


@command.command()
@_kind
@_name
@_by
@_here
def delete(kind: str, name: str, by: str, place: str | None, club: str | None) -> None:
    """Throw a document away; 'undelete' takes it back."""
    with _open(place, club) as book:
        _say_kept(book.delete(kind, name, by=by))


@command.command()
@_kind
@_name
@_by
@_here
def undelete(kind: str, name: str, by: str, place: str | None, club: str | None) -> None:
    """Take a deleted document back."""
    with _open(place, club) as book:
        _say_kept(book.undelete(kind, name, by))


@command.command()
@_by
@_here
def undo(by: str, place: str | None, club: str | None) -> None:
    """Take back the last change of the book.

    Again: the one before it.
    """
    with _open(place, club) as book:
        _say_kept(book.undo(by))


# -- in and out -------------------------------------------------------------------------------


@command.command("import")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--strict", is_flag=True, help="Take nothing in when one document cannot be read.")
@_by
@_here
@_json
def take_in(
    folder: Path, strict: bool, by: str, place: str | None, club: str | None, as_json: bool
) -> None:
    """Take a FOLDER of documents in.

    Their history comes along if there is one.  Nothing in the book is lost by it: what is
    new in a document comes as a further revision.  A document that cannot be read is kept
    as it is, and told.
    """
    faults: list[Mistake] = []

    def check(kind: str, name: str, text: str) -> None:
        try:
            _read(folder, kind, name)
        except Mistake as mistake:
            if strict:
                raise
            faults.extend(mistake.each if isinstance(mistake, Mistakes) else (mistake,))

    with _open(place, club) as book:
        taken = book.import_folder(folder, by, check=check)
    if as_json:
        keys = ("code", "what", "mend", "where")
        data = to_builtins(taken)
        data["unread"] = [{key: getattr(one, key) for key in keys} for one in faults]
        _print_json(data)
    else:
        for line in _import_lines(taken.fates, taken.left_out):
            click.echo(line)
        if faults:
            tell_mistake(Mistakes(tuple(faults)))
    raise SystemExit(1 if faults else 0)


def _import_lines(
    fates: tuple[tuple[str, str, str], ...], left_out: tuple[tuple[str, str], ...]
) -> Iterator[str]:
    words = {
        "new": "new in the book",
        "same": "nothing new",
        "revised": "kept as a further revision",
        "continued": "went on with the history that came along",
        "joined": "two histories joined: what was missing lies on top",
    }
    for fate, said in words.items():
        names = [f"{kind} {name}" for kind, name, one in fates if one == fate]
        if names:
            shown = ", ".join(names[:8]) + (f" and {len(names) - 8} more" if names[8:] else "")
            yield from paragraph(f"{shown}", " " * 6, f"{len(names):>4}  {said}: ")
    alone: dict[tuple[str, str], list[str]] = {}
    for name, why in left_out:
        alone.setdefault((str(PurePosixPath(name).parent), why), []).append(name)
    for (inside, why), names in alone.items():
        shown = ", ".join(names) if len(names) <= 3 else f"{len(names)} files in {inside!r}"
        yield from paragraph(f"{shown} ({why})", " " * 6, "      left alone: ")


def _read(folder: Path, kind: str, name: str) -> None:
    """Read one document of the folder as the commands would."""
    from fellfare.book.folder import path_of
    from fellfare.files.composition_toml import read_composition
    from fellfare.files.gpx import MOST_BYTES, read_gpx
    from fellfare.files.log_toml import read_log
    from fellfare.files.menu_toml import read_menu
    from fellfare.files.own_food import own_food_folders, read_own_food, read_own_foods
    from fellfare.files.provision_toml import read_own
    from fellfare.files.reading import read_bytes
    from fellfare.files.recipe_toml import read_recipe
    from fellfare.files.shipped import shipped_pantry
    from fellfare.files.trip_toml import read_trip

    def read_track(path: Path) -> object:
        try:
            return read_gpx(read_bytes(path, MOST_BYTES))
        except Mistake as mistake:
            raise mistake.at(str(path)) from None

    def read_provision(path: Path) -> object:
        own, _ = read_own_foods(own_food_folders(path))
        return read_own(path, shipped_pantry().with_foods(own))

    readers: dict[str, Callable[[Path], object]] = {
        "food": read_own_food,
        "recipe": read_recipe,
        "trip": read_trip,
        "track": read_track,
        "provision": read_provision,
        "menu": read_menu,
        "log": read_log,
        "composition": read_composition,
    }
    if kind in readers:
        path = folder / path_of(kind, name)
        if not path.exists():  # some systems write 'é' as two letters in the names of files
            path = path.with_name(unicodedata.normalize("NFD", path.name))
        readers[kind](path)


@command.command("export")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--replace", is_flag=True, help="In place of an older export that nobody changed.")
@_here
def write_out(folder: Path, replace: bool, place: str | None, club: str | None) -> None:
    """Write the whole book into FOLDER.

    The documents are such as every command reads; history.jsonl holds all revisions.
    """
    with _open(place, club) as book:
        count = book.export_folder(folder, replace=replace)
    click.echo(f"wrote {count} documents and the whole history into {folder}", err=True)


@command.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--replace", is_flag=True, help="Write over an older file.")
@_here
def backup(file: Path, replace: bool, place: str | None, club: str | None) -> None:
    """Copy the book into FILE while it is in use.

    The copy is a book itself: --book FILE opens it.
    """
    with _open(place, club) as book:
        book.backup(file, replace=replace)
    click.echo(f"wrote {file}; '--book {file}' opens it", err=True)


# -- for whoever runs a server ----------------------------------------------------------------


@command.command("club")
@click.argument("name")
@_book
def found_club(name: str, place: str | None) -> None:
    """Found a club with a book of its own.

    Prints an invitation for its first keeper.
    """
    with _open_shelf(place) as shelf:
        club = shelf.accounts.found_club(name)
        token = shelf.accounts.invite(club.id, "keeper", None)
    click.echo(token)
    _say_invitation(club.name, "keeper")


@command.command()
@click.argument("name", metavar="CLUB")
@click.option(
    "--role",
    type=click.Choice(["reader", "cook", "keeper"]),
    default="cook",
    show_default=True,
    help="A reader reads, a cook saves, a keeper also invites and removes.",
)
@_book
def invite(name: str, role: str, place: str | None) -> None:
    """Print an invitation to a CLUB.

    It is good for one person and fourteen days.
    """
    with _open_shelf(place) as shelf:
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


# -- the pieces -------------------------------------------------------------------------------


def _told(one: Document | Entry) -> tuple[str, str, str]:
    return str(one.revision), _minute(one.saved_at), one.saved_by


def _minute(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%d %H:%M")


def _say_kept(document: Document) -> None:
    state = "deleted" if document.deleted else "holds"
    click.echo(f"{document.kind} {document.name}: revision {document.revision}, {state}", err=True)


def _print_json(data: object) -> None:
    click.echo(json.dumps(data, ensure_ascii=False, indent=1))
