"""How does a folder of documents come in?"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterator
from pathlib import Path, PurePosixPath

import click
from msgspec import to_builtins

from fellfare.cli.book.opening import by_option, here, json_option, open_at, print_json
from fellfare.cli.layout import paragraph
from fellfare.cli.told import tell_mistake
from fellfare.mistake import Mistake, Mistakes


@click.command("import")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--strict", is_flag=True, help="Take nothing in when one document cannot be read.")
@by_option
@here
@json_option
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

    with open_at(place, club) as book:
        taken = book.import_folder(folder, by, check=check)
    if as_json:
        keys = ("code", "what", "mend", "where")
        data = to_builtins(taken)
        data["unread"] = [{key: getattr(one, key) for key in keys} for one in faults]
        print_json(data)
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
    from fellfare.book.folder import BESIDE_A_TRIP, path_of
    from fellfare.files.composition_toml import read_composition
    from fellfare.files.gpx import MOST_BYTES, read_gpx
    from fellfare.files.log_toml import read_log
    from fellfare.files.menu_toml import read_menu
    from fellfare.files.own_food import own_food_folders, read_own_food, read_own_foods
    from fellfare.files.provision_toml import read_own
    from fellfare.files.reading import read_bytes
    from fellfare.files.recipe_toml import read_recipe
    from fellfare.files.season_toml import read_season
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
        "season": read_season,
    }
    if kind in readers:
        path = folder / path_of(kind, name)
        if kind in BESIDE_A_TRIP and not path.exists():
            path = folder / f"{kind}.toml"
        if not path.exists():  # some systems write 'é' as two letters in the names of files
            path = path.with_name(unicodedata.normalize("NFD", path.name))
        readers[kind](path)
