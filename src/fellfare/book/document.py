"""What does the book hand out?  Documents as they stood at one revision."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from msgspec import Struct

#: How a revision came about.
Act = Literal["save", "delete", "undelete", "rename", "restore", "undo"]


class Document(Struct, frozen=True, kw_only=True):
    """One document at one revision; the text is the author's, letter by letter."""

    kind: str
    #: Its name at that revision.
    name: str
    text: str
    #: Counted from 1 for each document; each change of it is one more.
    revision: int
    #: When it was kept, in UTC.
    saved_at: datetime
    #: Who saved it; empty on one's own machine.
    saved_by: str
    #: At this revision the document was thrown away (the text is what it held).
    deleted: bool
    act: Act = "save"


class Entry(Struct, frozen=True, kw_only=True):
    """A document without its text, for lists."""

    kind: str
    name: str
    revision: int
    saved_at: datetime
    saved_by: str
    deleted: bool
    act: Act = "save"
