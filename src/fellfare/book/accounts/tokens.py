"""How are secrets handed out that the database must not hold?"""

from __future__ import annotations

from hashlib import sha256
from secrets import token_urlsafe

#: 256 random bits: not to be guessed, so that a plain hash is enough to keep them by.
_BYTES = 32


def new_token() -> str:
    """A fresh secret, fit for an address or a cookie."""
    return token_urlsafe(_BYTES)


def kept(secret: str) -> str:
    """What the database keeps of it."""
    return sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
