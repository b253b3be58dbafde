"""How does the API say no?  One shape for every refusal, described once."""

from __future__ import annotations

from typing import Final

from litestar.openapi.datastructures import ResponseSpec
from msgspec import Struct


class Refusal(Struct, kw_only=True):
    """A mistake: a code that never changes, what is wrong, how to mend it, and where it is."""

    code: str
    what: str
    mend: str
    where: str
    #: Further mistakes of the same document.
    each: list[Refusal]


def _spec(words: str) -> ResponseSpec:
    return ResponseSpec(data_container=Refusal, description=words, generate_examples=False)


Absent: Final = {404: _spec("there is no such thing")}
Refused: Final = {422: _spec("what was given cannot be used")}
Stale: Final = {403: _spec("the form token is missing"), 409: _spec("another revision was kept")}
