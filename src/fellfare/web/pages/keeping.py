"""What the book keeps of every document: its history, what changed, and every way back."""

from __future__ import annotations

from typing import Any, Final, get_args
from urllib.parse import quote

from litestar import Response, get, post
from litestar.params import FromPath, FromQuery, URLEncodedBody
from litestar.response import Redirect, Template

from fellfare.book import Choice, compare_texts, merge
from fellfare.mistake import Mistake
from fellfare.web.drawing import page
from fellfare.web.errors import each_of
from fellfare.web.here import FromHere, Here
from fellfare.web.kinds import KindOf, kind_of
from fellfare.web.saving import save_or_show_both

Posted = URLEncodedBody[dict[str, Any]]


@get("/book/{kind:str}/{name:str}/history", sync_to_thread=True, include_in_schema=False)
def history(here: FromHere, kind: FromPath[str], name: FromPath[str]) -> Template:
    """Every revision, the newest first."""
    known = kind_of(kind)
    found = tuple(here.book.history(kind, name))
    return page(here, "book/history.html", known.room, kind=known, name=name, found=found)


@get("/book/{kind:str}/{name:str}/at/{revision:int}", sync_to_thread=True, include_in_schema=False)
def revision_page(
    here: FromHere, kind: FromPath[str], name: FromPath[str], revision: FromPath[int]
) -> Template:
    """One revision as it was kept."""
    known = kind_of(kind)
    found = here.book.get(kind, name, revision=revision)
    return page(here, "book/revision.html", known.room, kind=known, name=name, found=found)


@get("/book/{kind:str}/{name:str}/compare", sync_to_thread=True, include_in_schema=False)
def compare(
    here: FromHere,
    kind: FromPath[str],
    name: FromPath[str],
    a: FromQuery[int],
    b: FromQuery[int],
) -> Template:
    """What changed from one revision to another."""
    known = kind_of(kind)
    first = here.book.get(kind, name, revision=a)
    second = here.book.get(kind, name, revision=b)
    groups = compare_texts(first.text, second.text)
    return page(
        here, "book/compare.html", known.room,
        kind=known, name=name, first=first, second=second, groups=groups,
    )  # fmt: skip


@post("/book/{kind:str}/{name:str}/restore", sync_to_thread=True, include_in_schema=False)
def restore(here: FromHere, kind: FromPath[str], name: FromPath[str], data: Posted) -> Redirect:
    """An older revision becomes the newest; what lies between stays in the history."""
    known = kind_of(kind)
    done = here.book.restore(kind, name, _number(data, "revision"), by=here.by)
    return _to(known, done.name, f"restored={done.revision}")


@post("/book/{kind:str}/{name:str}/delete", sync_to_thread=True, include_in_schema=False)
def delete(here: FromHere, kind: FromPath[str], name: FromPath[str], data: Posted) -> Redirect:
    """Throw it away; the list then offers to take it back."""
    known = kind_of(kind)
    here.book.delete(kind, name, based_on=_number(data, "based_on"), by=here.by)
    return Redirect(f"{known.list_at}?deleted={quote(name, safe='')}", status_code=303)


@post("/book/{kind:str}/{name:str}/undelete", sync_to_thread=True, include_in_schema=False)
def undelete(here: FromHere, kind: FromPath[str], name: FromPath[str]) -> Redirect:
    """Take back what was thrown away."""
    known = kind_of(kind)
    done = here.book.undelete(kind, name, by=here.by)
    return _to(known, done.name, f"saved={done.revision}")


@post("/book/{kind:str}/{name:str}/undo", sync_to_thread=True, include_in_schema=False)
def undo(here: FromHere, kind: FromPath[str], name: FromPath[str], data: Posted) -> Redirect:
    """Take the last change back."""
    known = kind_of(kind)
    told = data.get("based_on")
    done = here.book.undo_of(kind, name, based_on=_number(data, "based_on") if told else None,
                          by=here.by)  # fmt: skip
    if done.deleted:  # the first save was taken back: there is no page of it any more
        return Redirect(f"{known.list_at}?deleted={quote(name, safe='')}", status_code=303)
    return _to(known, done.name, f"undone={done.revision}")


@get("/book/{kind:str}/{name:str}/text", sync_to_thread=True, include_in_schema=False)
def text_page(here: FromHere, kind: FromPath[str], name: FromPath[str]) -> Template:
    """The document as text, to be changed as text."""
    document = here.book.get(kind, name)
    return _text(here, kind_of(kind), name, document.text, document.revision)


@post("/book/{kind:str}/{name:str}/text", sync_to_thread=True, include_in_schema=False)
def change_text(
    here: FromHere, kind: FromPath[str], name: FromPath[str], data: Posted
) -> Response[Any]:
    """Keep a text, if it can be read."""
    known = kind_of(kind)
    text = str(data.get("text", "")).replace("\r\n", "\n")
    based_on = _number(data, "based_on") if data.get("based_on") else None
    try:
        if known.read is not None:
            known.read(text, name)
    except Mistake as mistake:
        return _text(here, known, name, text, based_on, mistake)
    return save_or_show_both(here, kind, name, text, based_on)


@post("/book/{kind:str}/{name:str}/choose", sync_to_thread=True, include_in_schema=False)
def choose(here: FromHere, kind: FromPath[str], name: FromPath[str], data: Posted) -> Response[Any]:
    """Two edits put together by what somebody chose for each place that both had changed."""
    known = kind_of(kind)
    theirs = here.book.get(kind, name, revision=_number(data, "theirs"))
    began = data.get("base")
    base = here.book.get(kind, name, revision=_number(data, "base")).text if began else ""
    mine = str(data.get("mine", "")).replace("\r\n", "\n")
    merged = merge(base, mine, theirs.text)
    choices = [_choice(str(data.get(f"choice-{number}", "")))
               for number in range(len(merged.conflicts))]  # fmt: skip
    text = merged.chosen(choices)
    try:
        if known.read is not None:
            known.read(text, name)
    except Mistake as mistake:
        return _text(here, known, name, text, theirs.revision, mistake)
    return save_or_show_both(here, kind, name, text, theirs.revision)


def _choice(text: str) -> Choice:
    for one in get_args(Choice):
        if one == text:
            choice: Choice = one
            return choice
    raise Mistake("not-a-choice", "one of the places is not decided",
                  "go back and choose yours, theirs or both for each")  # fmt: skip


@get("/book/{kind:str}/{name:str}/download", sync_to_thread=True, include_in_schema=False)
def download(here: FromHere, kind: FromPath[str], name: FromPath[str]) -> Response[bytes]:
    """The document as a file."""
    document = here.book.get(kind, name)
    return as_file(document.text.encode(), f"{document.name}{kind_of(kind).ending}",
                   "text/plain; charset=utf-8")  # fmt: skip


def as_file(data: bytes, name: str, media_type: str) -> Response[bytes]:
    """An answer that the browser keeps as a file under ``name``."""
    plain = "".join(one if one.isascii() and (one.isalnum() or one in "-_. ") else "_"
                    for one in name)  # fmt: skip
    told = f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(name, safe='')}"
    return Response(data, media_type=media_type, headers={"content-disposition": told})


def _text(
    here: Here,
    known: KindOf,
    name: str,
    text: str,
    based_on: int | None,
    mistake: Mistake | None = None,
) -> Template:
    mistakes = () if mistake is None else each_of(mistake)
    return page(
        here, "book/text.html", known.room, status=422 if mistakes else 200,
        kind=known, name=name, text=text, based_on=based_on, mistakes=mistakes,
    )  # fmt: skip


def _number(data: dict[str, Any], key: str) -> int:
    text = str(data.get(key, ""))
    if text.isascii() and text.isdigit() and len(text) < 10:
        return int(text)
    raise Mistake("form-without-revision", f"the form does not say which {key}",
                  "load the page again and press the button there")  # fmt: skip


def _to(known: KindOf, name: str, said: str) -> Redirect:
    return Redirect(f"{known.address(name)}?{said}", status_code=303)


KEEPING: Final[list[Any]] = [
    history, revision_page, compare, restore, delete, undelete, undo, text_page, change_text,
    choose, download,
]  # fmt: skip
