"""Documents as data, one kind beside the other: read, kept, thrown away, taken back."""

from __future__ import annotations

from typing import Annotated, Any, Final, Literal

from litestar import delete, get, post, put
from litestar.params import FromPath, JSONBody
from msgspec import Meta, Struct

from fellfare.book import Document
from fellfare.web.api.refusals import Absent, Refused, Stale
from fellfare.web.here import FromHere
from fellfare.web.kinds import KINDS

Text = Annotated[str, Meta(max_length=500_000)]
#: Kinds that the API keeps.
Kind = Literal["food", "recipe", "trip", "menu", "season"]
_AT: Final = "/api/documents/{kind:str}"


class ToKeep(Struct, kw_only=True):
    """A document (TOML) and the revision that it was made from (null: a new one)."""

    document: Text
    based_on: int | None = None


@get(_AT, sync_to_thread=True, tags=["documents"], summary="Names and revisions of one kind")
def names(here: FromHere, kind: FromPath[Kind]) -> dict[str, Any]:
    """Every document of the kind, by name; those thrown away apart."""

    def listed(*, deleted: bool) -> list[dict[str, Any]]:
        return [
            {"name": one.name, "revision": one.revision, "saved_at": one.saved_at.isoformat(),
             "saved_by": one.saved_by}
            for one in here.book.entries(kind, deleted=deleted)
        ]  # fmt: skip

    return {"documents": listed(deleted=False), "deleted": listed(deleted=True)}


@get(f"{_AT}/{{name:str}}", sync_to_thread=True, tags=["documents"], responses=Absent,
     summary="One document")  # fmt: skip
def one(here: FromHere, kind: FromPath[Kind], name: FromPath[str]) -> dict[str, Any]:
    """Its text (TOML) and revision, to change and send back."""
    kept = here.book.get(kind, name)
    return _told(kept) | {"document": kept.text}


@put(f"{_AT}/{{name:str}}", sync_to_thread=True, tags=["documents"],
     responses=Absent | Refused | Stale, summary="Keep a document")  # fmt: skip
def keep(
    here: FromHere, kind: FromPath[Kind], name: FromPath[str], data: JSONBody[ToKeep]
) -> dict[str, Any]:
    """Read it, and keep it as the next revision; refused when another was kept meanwhile.

    Like every change it needs the token of the cookie ``fellfare-form``, sent again as
    ``x-csrftoken``.
    """
    read = KINDS[kind].read
    assert read is not None  # each of them has a reader
    read(data.document, name)
    return _told(here.book.save(kind, name, data.document, data.based_on, by=here.by))


@delete(f"{_AT}/{{name:str}}", sync_to_thread=True, tags=["documents"], status_code=200,
        responses=Absent | Refused | Stale, summary="Throw a document away")  # fmt: skip
def throw_away(here: FromHere, kind: FromPath[Kind], name: FromPath[str]) -> dict[str, Any]:
    """Its history stays, and it can be taken back."""
    return _told(here.book.delete(kind, name, by=here.by))


@post(f"{_AT}/{{name:str}}/undo", sync_to_thread=True, tags=["documents"], status_code=200,
      responses=Absent | Refused | Stale, summary="Take the last change back")  # fmt: skip
def undo(here: FromHere, kind: FromPath[Kind], name: FromPath[str]) -> dict[str, Any]:
    """By one more revision; again: the change before that."""
    return _told(here.book.undo_of(kind, name, by=here.by))


def _told(kept: Document) -> dict[str, Any]:
    return {"kind": kept.kind, "name": kept.name, "revision": kept.revision,
            "deleted": kept.deleted}  # fmt: skip


DOCUMENTS_API: Final[list[Any]] = [names, one, keep, throw_away, undo]
