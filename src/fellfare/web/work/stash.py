"""A file that was sent up with a form that still has a fault: held for a while, so that nobody
has to choose it twice.  In the memory of this process alone; whoever holds the token finds it.
"""

from __future__ import annotations

from collections import OrderedDict
from secrets import token_urlsafe
from threading import Lock
from typing import Final

#: So many texts are held, and so many letters in all.
MOST_KEPT: Final = 12
MOST_LETTERS: Final = 40_000_000

_kept: OrderedDict[str, str] = OrderedDict()
_lock = Lock()


def put_aside(text: str) -> str:
    """Hold a text; the token by which it is found."""
    token = token_urlsafe(24)
    with _lock:
        _kept[token] = text
        while len(_kept) > MOST_KEPT or (
            len(_kept) > 1 and sum(map(len, _kept.values())) > MOST_LETTERS
        ):
            _kept.popitem(last=False)
    return token


def at_hand(token: str) -> str | None:
    """The text; None when it is not held any more."""
    with _lock:
        return _kept.get(token)
