"""The invented demo, laid into the book as ordinary documents."""

from __future__ import annotations

from pathlib import PurePosixPath
from typing import Final

from fellfare.book import KINDS, Book
from fellfare.files.demo_documents import demo_documents

#: Folder of the demo → kind of document.
_FOLDERS: Final = {"recipes": "recipe", "foods": "food", "compositions": "composition"}
#: Name of the demo's trip and track in the book.
NAME: Final = "harrowmoor-round"


def lay_in_demo(book: Book, by: str = "") -> int:
    """Save every demo document that the book does not hold yet; how many were laid in.

    A document of the same name is somebody's own by now, and stays as it is.
    """
    laid = 0
    taken = {kind: set(book.names(kind)) for kind in KINDS}
    for path, text in demo_documents():
        kind, name = _place(path)
        if not kind:
            continue  # nothing that a book keeps
        if name in taken[kind]:
            continue
        book.save(kind, name, text, None, by=by)
        laid += 1
    return laid


def _place(path: str) -> tuple[str, str]:
    """(kind, name) of a demo document in the book; kind '' = it has no place there."""
    place = PurePosixPath(path)
    if place.suffix == ".gpx":
        return "track", NAME
    if path == "trip.toml":
        return "trip", NAME
    if path == "provision.toml":
        return "provision", NAME
    kind = _FOLDERS.get(place.parent.name, "")
    return kind if kind in KINDS else "", place.stem
