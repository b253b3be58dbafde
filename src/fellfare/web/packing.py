"""The whole book in one file for the browser: a folder of documents, zipped, and back."""

from __future__ import annotations

import io
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory
from typing import Final
from zipfile import ZIP_DEFLATED, BadZipFile, ZipFile, ZipInfo

from fellfare.book import Book, Check, TakenIn
from fellfare.mistake import Mistake, Mistakes

#: So much may come out of one zip [bytes], in so many files: a book is far smaller.
MOST_UNPACKED_BYTES: Final = 200_000_000
MOST_FILES: Final = 25_000
#: Read at a time [bytes].
_CHUNK: Final = 1_000_000


def packed_book(book: Book) -> bytes:
    """Every document, and the history of each, as a zip of the folder that commands read."""
    with TemporaryDirectory(prefix="fellfare-") as room:
        folder = Path(room) / "book"
        book.export_folder(folder)
        out = io.BytesIO()
        with ZipFile(out, "w", ZIP_DEFLATED) as made:
            for path in sorted(folder.rglob("*")):
                if path.is_file():
                    made.write(path, path.relative_to(folder).as_posix())
        return out.getvalue()


def unpacked_into(book: Book, data: bytes, by: str, check: Check) -> TakenIn:
    """Take the documents of a zip in: all of them or none.

    Raises
    ------
    Mistake
        ``not-a-zip``, ``zip-out-of-range``, ``zip-bad-path``, or as
        :meth:`fellfare.book.Book.import_folder`.
    """
    try:
        with ZipFile(io.BytesIO(data)) as given, TemporaryDirectory(prefix="fellfare-") as room:
            _unpack(given, Path(room))
            try:
                return book.import_folder(room, by=by, check=check)
            except Mistake as mistake:
                raise _in_the_zip(mistake, f"{room}/") from None
    except (BadZipFile, EOFError, NotImplementedError, RuntimeError, ValueError) as error:
        if isinstance(error, Mistake):
            raise
        raise Mistake(
            "not-a-zip",
            "the file is no zip that can be read",
            "give the file that 'The book in one file' made, or zip a folder of documents",
        ) from error


def _in_the_zip(mistake: Mistake, room: str) -> Mistake:
    """Told of the zip's own places, not of the folder in which it was unpacked."""
    if isinstance(mistake, Mistakes):
        return Mistakes(tuple(_in_the_zip(one, room) for one in mistake.each))
    told = (mistake.what, mistake.mend, mistake.where)
    what, mend, where = (text.replace(room, "") for text in told)
    return Mistake(mistake.code, what, mend, where)


def _unpack(given: ZipFile, room: Path) -> None:
    files = [one for one in given.infolist() if not one.is_dir()]
    if len(files) > MOST_FILES or sum(one.file_size for one in files) > MOST_UNPACKED_BYTES:
        raise _too_much()
    left = MOST_UNPACKED_BYTES
    for one in files:
        path = room / _inside(one)
        path.parent.mkdir(parents=True, exist_ok=True)
        with given.open(one) as source, path.open("wb") as out:
            while chunk := source.read(_CHUNK):  # what the zip says of its sizes is not believed
                left -= len(chunk)
                if left < 0:
                    raise _too_much()
                out.write(chunk)


def _inside(one: ZipInfo) -> PurePosixPath:
    """A plain place below the folder; anything that leads out of it is refused."""
    path = PurePosixPath(one.filename)
    odd = path.is_absolute() or ".." in path.parts or "\\" in one.filename or ":" in one.filename
    if odd or not path.parts or not one.filename.isprintable():
        raise Mistake(
            "zip-bad-path",
            f"the zip holds {one.filename[:60]!r}, which leads out of its folder",
            "zip a plain folder of documents",
        )
    return path


def _too_much() -> Mistake:
    return Mistake(
        "zip-out-of-range",
        f"more than {MOST_UNPACKED_BYTES / 1e6:g} MB or {MOST_FILES} files would come out of it",
        "zip a folder of documents and nothing else",
    )
