"""Which passwords are taken, and how are they kept?

Rules after NIST SP 800-63B-4 (2025), section 3.1.1 (from memory): at least 15 letters where
the password is all there is, long ones allowed, any letter allowed, none demanded, what is
easily guessed refused.  Kept by Argon2id with the defaults of argon2-cffi (RFC 9106, section
4, second recommended option: 64 MiB, three passes, four lanes).
"""

from __future__ import annotations

import unicodedata
from functools import cache
from typing import TYPE_CHECKING, Final

from fellfare.mistake import Mistake

if TYPE_CHECKING:
    from argon2 import PasswordHasher

LEAST: Final = 15
MOST: Final = 256
#: So many different letters at least: neither 'aaaa…' nor 'abababab…'.
LEAST_LETTERS: Final = 5


def read_password(password: str, *names: str) -> str:
    """A new password as it is kept; ``names``: of the member and the club.

    Raises
    ------
    Mistake
        ``password-too-weak``, ``password-too-long``.
    """
    plain = _plain(password)
    if len(plain) > MOST:
        raise Mistake(
            "password-too-long",
            f"the password has {len(plain)} letters",
            f"give at most {MOST}",
            "password",
        )
    bare = plain.casefold()
    for name in names:  # what is left when the names are taken out must do by itself
        bare = bare.replace(name.casefold(), "") if name else bare
    if len(bare) < LEAST or len(set(bare)) < LEAST_LETTERS:
        raise Mistake(
            "password-too-weak",
            "the password is too easily guessed",
            f"give at least {LEAST} letters, not counting your name and the club's; "
            "four or five words that have nothing to do with each other will do",
            "password",
        )
    return plain


def make_hash(password: str) -> str:
    """What the database keeps."""
    return hasher().hash(_plain(password))


def fits(password: str, password_hash: str) -> bool:
    """Whether it is the password; takes its time."""
    from argon2.exceptions import InvalidHashError, VerificationError

    plain = _plain(password)
    if len(plain) > MOST:
        return False
    try:
        return hasher().verify(password_hash, plain)
    except (VerificationError, InvalidHashError):
        return False


def is_outdated(password_hash: str) -> bool:
    """Whether it was made with lower costs than today's."""
    return hasher().check_needs_rehash(password_hash)


@cache
def nobodys_hash() -> str:
    """Tried when there is no such member, so that the answer takes as long."""
    return hasher().hash("nobody has this password")


@cache
def hasher() -> PasswordHasher:
    """Argon2id, as the library recommends it.

    Raises
    ------
    Mistake
        ``club-extra-missing``.
    """
    try:
        from argon2 import PasswordHasher
    except ImportError as error:
        raise Mistake(
            "club-extra-missing",
            "the library that keeps passwords is not installed",
            "install Fellfare with its extra 'club'",
        ) from error
    return PasswordHasher()


def _plain(password: str) -> str:
    """The same letters however a keyboard composes them."""
    return unicodedata.normalize("NFC", password.encode("utf-8", "replace").decode("utf-8"))
