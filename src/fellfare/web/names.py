"""Under which name does the book keep it?  From its title, and never somebody else's."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

from fellfare.book import Book
from fellfare.book.names import read_name
from fellfare.mistake import Mistake

#: Longest name that we make; a few characters are left for a number.
MOST: Final = 60


def name_from(title: str, otherwise: str) -> str:
    """'Bulgur, pepper & walnut' → 'bulgur-pepper-walnut'; ``otherwise`` when nothing is left.

    What cannot be a file's name everywhere is written behind it: 'Con' → 'recipe-con'.
    """
    plain = unicodedata.normalize("NFKD", title.casefold()).encode("ascii", "ignore").decode()
    made = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:MOST].strip("-") or otherwise
    try:
        return read_name(made)
    except Mistake:
        return f"{otherwise}-{made}"


def free_name(book: Book, kind: str, title: str) -> str:
    """A name after the title that no document of the kind has."""
    taken = set(book.names(kind))
    name = name_from(title, kind)
    number = 2
    made = name
    while made in taken:
        made = f"{name}-{number}"
        number += 1
    return made
