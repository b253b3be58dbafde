"""The whole book as a folder of documents, and a folder of documents as a book.

    trip.toml  walk.gpx        trips, and beside them the tracks that they name
    provision.toml             what is bought and packed for them; others NAME.provision.toml
    recipes/  foods/  menus/  logs/  compositions/  seasons/  settings/   one TOML document each
    history.jsonl              every revision of everything, and the ticks

The documents are ordinary: every command reads them.  ``history.jsonl`` (JSON Lines, our own
keys) makes the way back lossless; a folder without it is read as it stands.
"""

from __future__ import annotations

import os
import tempfile
import tomllib
from collections.abc import Iterator
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Final, Literal

from msgspec import Struct

from fellfare.book.history_file import HISTORY, Held, read_history, write_history
from fellfare.book.names import MOST_TEXT_BYTES, MOST_TRACK_BYTES, Check, read_name, read_text
from fellfare.book.taking_in import Fate, Found, take_in
from fellfare.files.reading import read_bytes
from fellfare.files.reading import read_text as read_file
from fellfare.mistake import Mistake, Mistakes

if TYPE_CHECKING:
    from fellfare.book.shelf import Shelf

#: Kind → (its folder, ending of its files).
PLACES: Final = {
    "trip": ("", ".toml"),
    "track": ("", ".gpx"),
    "provision": ("", ".provision.toml"),
    "recipe": ("recipes", ".toml"),
    "food": ("foods", ".toml"),
    "menu": ("menus", ".toml"),
    "log": ("logs", ".toml"),
    "composition": ("compositions", ".toml"),
    "season": ("seasons", ".toml"),
    "settings": ("settings", ".toml"),
}
#: Without the kinds of several dots, which are told by the name.
_KINDS: Final = {place: kind for kind, place in PLACES.items() if place[1].count(".") == 1}
#: A document of this name stands where the commands look for it.
_PROVISION: Final = "provision"
#: Most documents that are taken in at once.
MOST_DOCUMENTS: Final = 20_000

#: Documents that bear the name of their kind beside the one trip that they belong to.
BESIDE_A_TRIP: Final = ("menu", "log")
#: Keys of which a trip document has one at least; other TOML at the top is no document.
_OF_TRIPS: Final = frozenset({"walk", "walker", "stage", "day"})

#: Why a file was left alone.
Reason = Literal[
    "no place for documents", "another ending", "hidden", "no plain file", "not a trip"
]


class TakenIn(Struct, frozen=True, kw_only=True):
    """What became of a folder."""

    #: (kind, name, what became of it), in the order of kinds and names.
    fates: tuple[tuple[str, str, Fate], ...]
    #: (file, why) of what was left alone.
    left_out: tuple[tuple[str, Reason], ...]


# -- out ------------------------------------------------------------------------------------


def path_of(kind: str, name: str) -> PurePosixPath:
    """Where in the folder a document stands."""
    folder, ending = PLACES[kind]
    if kind == name == _PROVISION:
        return PurePosixPath("provision.toml")
    return PurePosixPath(folder, f"{name}{ending}")


def _meant(inside: PurePosixPath) -> tuple[str, str] | None:
    """(kind, name) of the file at this place in a folder; None when it is no document's."""
    folder = "" if len(inside.parts) == 1 else inside.parent.as_posix()
    kind = _KINDS.get((folder, inside.suffix))
    if kind is None:
        return None
    if kind == "trip" and inside.stem == _PROVISION:
        return _PROVISION, _PROVISION
    if kind == "trip" and inside.stem.endswith(f".{_PROVISION}"):
        return _PROVISION, inside.stem.removesuffix(f".{_PROVISION}")
    return kind, inside.stem


def _beside(
    inside: PurePosixPath, trip: str | None, there: set[PurePosixPath]
) -> tuple[str, str] | None:
    """(kind, name of the trip) of a 'menu.toml' or 'log.toml' beside the one trip; else None."""
    kind = inside.stem
    if inside.name != f"{kind}.toml" or kind not in BESIDE_A_TRIP or len(inside.parts) > 1:
        return None
    if trip is None or path_of(kind, trip) in there:
        return None
    return kind, trip


def _one_trip(folder: Path, there: set[PurePosixPath]) -> str | None:
    """The trip that 'menu.toml' is of: 'trip.toml', else the only one at the top."""
    if PurePosixPath("trip.toml") in there:
        return "trip"
    names = [
        inside.stem
        for inside in there
        if (_meant(inside) or ("",))[0] == "trip"
        and inside.stem not in BESIDE_A_TRIP
        and _is_trip(folder / inside)
    ]
    return names[0] if len(names) == 1 else None


def write_folder(shelf: Shelf, club_id: int, folder: Path, *, replace: bool = False) -> int:
    """Write the book, as of one moment; how many documents.

    Everything is written beside ``folder`` first, which then takes the name: nobody sees half
    of it.  With ``replace`` an older export is put aside, if nobody has changed it since.

    Raises
    ------
    Mistake
        ``file-exists`` for a folder with something in it, ``book-folder-changed`` when
        ``replace`` would throw somebody's changes away, ``file-unwritable``.
    """
    folder = folder.absolute()
    try:
        old = _in_the_way(folder, replace)
        folder.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=folder.parent, prefix=".fellfare-") as room:
            made = Path(room) / "made"
            made.mkdir()
            with shelf.reading(steady=True) as connection:
                count = write_history(
                    connection,
                    club_id,
                    shelf.clock(),
                    made / HISTORY,
                    lambda one: _write(made, one),
                )
            _flush(made)
            if old:
                folder.rename(Path(room) / "old")
            elif folder.exists():
                folder.rmdir()  # it is empty
            try:
                made.rename(folder)
            except OSError:
                if old:
                    (Path(room) / "old").rename(folder)
                raise
    except OSError as error:
        raise _unwritable(folder, error) from error
    return count


def _write(made: Path, held: Held) -> None:
    path = made / path_of(held.kind, held.name)
    path.parent.mkdir(exist_ok=True)
    if path.exists():
        raise Mistake(
            "book-names-clash",
            f"the {held.kind} {held.name!r} and another document would be one file",
            "rename one of them",
            path.name,
        )
    path.write_bytes(held.text.encode("utf-8"))


def _flush(made: Path) -> None:
    """Everything onto the disk before it takes its name: a loss of power leaves no half."""
    if hasattr(os, "sync"):
        os.sync()  # once for all: a flush for each file takes many times as long
        return
    for path in made.rglob("*"):
        if path.is_file():
            with path.open("rb+") as file:
                os.fsync(file.fileno())


def _in_the_way(folder: Path, replace: bool) -> bool:
    """Whether an older export must be put aside; refuses when it is not ours to put aside."""
    if not os.path.lexists(folder):
        return False
    if not folder.is_dir() or folder.is_symlink():
        raise Mistake(
            "file-exists", "there is a file of that name", "choose another name", str(folder)
        )
    if not any(folder.iterdir()):
        return False
    if not replace:
        raise Mistake(
            "file-exists",
            "the folder is not empty",
            "choose another name, or say --replace for an older export",
            str(folder),
        )
    if not (folder / HISTORY).is_file():
        raise _changed(folder, "is no export of a book")
    held = read_history(folder / HISTORY)
    written = {
        str(path_of(one.kind, one.name)): one.text for one in held.documents if not one.deleted
    }
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if path.is_symlink() or (path.is_file() and name != HISTORY):
            if name not in written:
                raise _changed(folder, f"holds {name!r}, which is not of the book")
            if path.read_bytes() != written[name].encode("utf-8"):
                raise _changed(folder, f"holds {name!r}, which was changed since")
    return True


def _changed(folder: Path, why: str) -> Mistake:
    return Mistake(
        "book-folder-changed",
        f"the folder {why}",
        "import it first, or export into another folder; nothing was written",
        str(folder),
    )


def _unwritable(folder: Path, error: OSError) -> Mistake:
    return Mistake(
        "file-unwritable",
        f"cannot be written ({error.strerror or type(error).__name__})",
        "choose another name or folder",
        str(folder),
    )


# -- in -------------------------------------------------------------------------------------


def read_folder(
    shelf: Shelf, club_id: int, folder: Path, *, by: str = "", check: Check | None = None
) -> TakenIn:
    """Take every document of a folder in, or none at all when one of them cannot be.

    A document that the book does not hold comes with its history; one that it holds gets
    what is new as further revisions, and loses nothing.  What has gone from the folder stays
    in the book.

    Raises
    ------
    Mistake
        ``file-missing``, ``book-folder-empty``, ``book-history-unread``; :class:`Mistakes`
        with everything that is wrong with single files.
    """
    if not folder.is_dir():
        raise Mistake("file-missing", "there is no such folder", "check the name", str(folder))
    history = read_history(folder / HISTORY) if (folder / HISTORY).is_file() else None
    found: list[Found] = []
    left_out: list[tuple[str, Reason]] = []
    wrong: list[Mistake] = []
    known = (
        {path_of(one.kind, one.name): (one.kind, one.name) for one in history.documents}
        if history
        else {}
    )
    files = [(path, PurePosixPath(path.relative_to(folder).as_posix()), why)
             for path, why in _files(folder)]  # fmt: skip
    there = {inside for _, inside, why in files if not why}
    trip = _one_trip(folder, there)
    for path, inside, why in files:
        meant = None if why else known.get(inside) or _beside(inside, trip, there) or _meant(inside)
        if meant is None:
            left_out.append((str(inside), why or _why_not(inside)))
        elif meant[0] == "trip" and inside not in known and not _is_trip(path):
            left_out.append((str(inside), "not a trip"))
        else:
            try:
                found.append(_read(path, *meant, check))
            except Mistake as mistake:
                wrong += mistake.each if isinstance(mistake, Mistakes) else (mistake,)
    if len(found) > MOST_DOCUMENTS:
        wrong.append(
            Mistake(
                "book-folder-too-large",
                f"the folder holds {len(found):,} documents",
                f"take in at most {MOST_DOCUMENTS:,} at once",
                str(folder),
            )
        )
    if wrong:
        raise Mistakes(tuple(wrong))
    if not found and history is None:
        raise Mistake(
            "book-folder-empty",
            "the folder holds no documents",
            "recipes stand in 'recipes', foods in 'foods', trips and tracks at the top",
            str(folder),
        )
    fates = take_in(shelf, club_id, found, history, by)
    return TakenIn(fates=fates, left_out=tuple(left_out))


def _files(folder: Path) -> Iterator[tuple[Path, Reason | None]]:
    """Every file but the history, with why it is not even looked at."""
    for path in sorted(folder.rglob("*")):
        inside = path.relative_to(folder)
        if (path.is_dir() and not path.is_symlink()) or inside.as_posix() == HISTORY:
            continue
        if any(part.startswith(".") for part in inside.parts):
            yield path, "hidden"
        elif path.is_symlink() or not path.is_file():
            yield path, "no plain file"
        else:
            yield path, None


def _why_not(inside: PurePosixPath) -> Reason:
    folder = "" if len(inside.parts) == 1 else inside.parent.as_posix()
    known = folder in {place for place, _ in PLACES.values()}
    return "another ending" if known else "no place for documents"


def _is_trip(path: Path) -> bool:
    """By its keys; what cannot be read counts as one, so that somebody is told."""
    try:
        return bool(tomllib.loads(read_file(path)).keys() & _OF_TRIPS)
    except (Mistake, tomllib.TOMLDecodeError, RecursionError):
        return True


def _read(path: Path, kind: str, name: str, check: Check | None) -> Found:
    data = read_bytes(path, MOST_TRACK_BYTES if kind == "track" else MOST_TEXT_BYTES)
    try:
        name = read_name(name)
        text = read_text(kind, data.decode("utf-8"))
        if check is not None:
            check(kind, name, text)
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise Mistake(
            "not-utf8",
            f"byte {data[error.start]:#04x} is no UTF-8 text",
            "save the file as UTF-8",
            f"{path}:{line}",
        ) from error
    except Mistake as mistake:
        if mistake.where.startswith(str(path)):
            raise
        raise mistake.at(str(path)) from None
    return Found(kind=kind, name=name, text=text)
