"""What stands in one field of a form?  A figure, a choice; or what is wrong, told beside it."""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite
from typing import TypeVar

from fellfare.mistake import Mistake

#: Field name → what is wrong with it.
Faults = dict[str, list[Mistake]]

Word = TypeVar("Word", bound=str)


def put(faults: Faults, field: str, mistake: Mistake) -> None:
    """Tell a mistake beside a field: once, and without its place, which the field is."""
    one = Mistake(mistake.code, mistake.what, mistake.mend)
    told = faults.setdefault(field, [])
    if all(other.args != one.args for other in told):
        told.append(one)


def read_number(text: str, field: str, faults: Faults) -> float | None:
    """'12', '12.5' or '12,5'; None for an empty field, and for what is no number (then told)."""
    if not text:
        return None
    try:
        value = float(text.replace(",", ".").replace("−", "-"))
    except ValueError:
        value = float("nan")
    if isfinite(value):
        return value
    mend = "write a plain number such as 12 or 12.5, or leave it empty where it is not known"
    put(faults, field, Mistake("not-a-number", f"{text[:40]!r} is no number", mend))
    return None


def read_whole(text: str, field: str, faults: Faults) -> int | None:
    """'2'; None for anything else (then told)."""
    if text.isascii() and text.isdigit() and len(text) < 10:
        return int(text)
    mend = "write a whole number such as 2"
    put(faults, field, Mistake("not-a-number", f"{text[:40]!r} is no whole number", mend))
    return None


def read_choice(text: str, words: tuple[Word, ...], field: str, faults: Faults) -> Word:
    """One of the words; the first of them for anything else (then told)."""
    for word in words:
        if word == text:
            return word
    mend = f"choose one of: {_listed(words)}"
    put(faults, field, Mistake("not-a-choice", f"{text[:40]!r} is none of the choices", mend))
    return words[0]


def _listed(words: Iterable[str]) -> str:
    return ", ".join(words)
