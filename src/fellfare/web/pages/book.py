"""The book as a whole: what changed last, the way back, everything out and in as one file."""

from __future__ import annotations

from contextlib import closing
from typing import Any, Final
from urllib.parse import quote

from litestar import Response, get, post
from litestar.datastructures import UploadFile
from litestar.params import FromQuery, MultipartBody
from litestar.response import Redirect, Template

from fellfare.book import KINDS as KEPT
from fellfare.book import Entry, TakenIn
from fellfare.mistake import Mistake
from fellfare.web.drawing import page
from fellfare.web.errors import each_of
from fellfare.web.here import FromHere, Here
from fellfare.web.kinds import KINDS
from fellfare.web.packing import packed_book, unpacked_into
from fellfare.web.pages.keeping import as_file
from fellfare.web.settings import MOST_UPLOAD_BYTES

#: So many of the last changes are shown.
SHOWN: Final = 30


@get("/book", sync_to_thread=True, include_in_schema=False)
def book(here: FromHere, undone: FromQuery[str] = "") -> Template:
    """What changed last, and what can be done with the whole."""
    return _page(here, undone=undone)


@post("/book/undo", sync_to_thread=True, include_in_schema=False)
def undo(here: FromHere) -> Redirect:
    """Take the last change of the whole book back (in a club: one's own last)."""
    done = here.book.undo(by=here.by)
    return Redirect(f"/book?undone={quote(done.name, safe='')}", status_code=303)


@get("/book/all.zip", sync_to_thread=True, include_in_schema=False)
def take_out(here: FromHere) -> Response[bytes]:
    """Every document with its history, as one file."""
    return as_file(packed_book(here.book), "fellfare-book.zip", "application/zip")


@post("/book/all.zip", sync_to_thread=True, include_in_schema=False,
      request_max_body_size=MOST_UPLOAD_BYTES + 10_000)  # fmt: skip
def take_in(here: FromHere, data: MultipartBody[dict[str, Any]]) -> Response[Any]:
    """Documents of such a file, all of them or none."""
    upload = data.get("file")
    try:
        if not isinstance(upload, UploadFile) or not upload.filename:
            mend = "choose a file and press the button again"
            raise Mistake("no-file", "no file was chosen", mend)
        with closing(upload.file) as file:
            taken = unpacked_into(here.book, file.read(), here.by, _check)
    except Mistake as mistake:
        return _page(here, mistake=mistake)
    return _page(here, taken=taken)


def _check(kind: str, name: str, text: str) -> None:
    """Each text is read by the reader of its kind before anything is kept."""
    known = KINDS.get(kind)
    if known is not None and known.read is not None:
        known.read(text, name)


def _page(
    here: Here,
    *,
    undone: str = "",
    taken: TakenIn | None = None,
    mistake: Mistake | None = None,
) -> Template:
    entries: list[Entry] = []
    for kind in KEPT:
        entries += here.book.entries(kind)
        entries += here.book.entries(kind, deleted=True)
    entries.sort(key=lambda one: one.saved_at, reverse=True)
    return page(
        here, "book/book.html", status=422 if mistake else 200, found=entries[:SHOWN],
        count=sum(not one.deleted for one in entries), kinds=KINDS, undone=undone[:200],
        taken=taken, mistakes=() if mistake is None else each_of(mistake),
    )  # fmt: skip


BOOK: Final[list[Any]] = [book, undo, take_out, take_in]
