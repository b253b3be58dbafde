"""What happens when somebody else has saved in between?  Nobody's words are lost."""

from __future__ import annotations

from msgspec import Struct

from fellfare.book.document import Document
from fellfare.mistake import Mistake


class Meanwhile(Struct, frozen=True, kw_only=True):
    """Two edits of one document that do not know of each other."""

    #: The text that was to be saved.
    mine: str
    #: What the book holds by now; ``deleted`` when it was thrown away.
    theirs: Document
    #: What both began with; None when mine was to be a new document.
    base: Document | None


class ChangedMeanwhile(Mistake):
    """``book-changed-meanwhile``, with both texts and what they began with."""

    def __init__(self, meanwhile: Meanwhile, where: str = "") -> None:
        theirs = meanwhile.theirs
        who = f" by {theirs.saved_by}" if theirs.saved_by else ""
        done = {"delete": "deleted", "rename": "renamed"}.get(theirs.act, "saved")
        if meanwhile.base is None:
            what = f"a {theirs.kind} called {theirs.name!r} is in the book already"
            mend = "choose another name, or open it and change it there"
        else:
            what = f"{theirs.name!r} was {done}{who} meanwhile; it is at revision {theirs.revision}"
            mend = "look at both texts, put them together and save on top of theirs"
        told = Mistake("book-changed-meanwhile", what, mend, where)
        super().__init__(told.code, told.what, told.mend, told.where)
        self.args = (meanwhile, where)  # so that it pickles
        self.meanwhile = meanwhile

    def at(self, where: str) -> ChangedMeanwhile:
        """The same, seen from one step further out."""
        path = f"{where} > {self.where}" if self.where else where
        return ChangedMeanwhile(self.meanwhile, path)
