"""Save, and be told; or, when somebody else has saved meanwhile, see both and put them together."""

from __future__ import annotations

from typing import Any

from litestar import Response
from litestar.response import Redirect

from fellfare.book import ChangedMeanwhile, compare_texts, merge
from fellfare.web.drawing import page
from fellfare.web.here import Here
from fellfare.web.kinds import KINDS


def save_or_show_both(
    here: Here, kind: str, name: str, text: str, based_on: int | None
) -> Response[Any]:
    """Save ``text`` as the next revision and go to its page.

    Parameters
    ----------
    here
        The request; ``here.by`` is who saves.
    kind, name, text
        Of the document; the text has been read and found good.
    based_on
        Revision that the edit began with; None for a new document.

    Returns
    -------
    Redirect or Template
        To the document's page with ``?saved=REVISION``; or, with status 409, both texts and
        a merged one to look over.  Nothing is overwritten unseen.
    """
    known = KINDS[kind]
    try:
        document = here.book.save(kind, name, text, based_on, by=here.by)
    except ChangedMeanwhile as mistake:
        both = mistake.meanwhile
        base = "" if both.base is None else both.base.text
        merged = merge(base, both.mine, both.theirs.text)
        return page(
            here, "book/both.html", known.room, status=409, kind=known, name=name,
            both=both, merged=merged, groups=compare_texts(both.theirs.text, both.mine),
            mistake=mistake,
        )  # fmt: skip
    return Redirect(f"{known.address(document.name)}?saved={document.revision}", status_code=303)
