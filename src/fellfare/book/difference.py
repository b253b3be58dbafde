"""Which lines differ between two texts?"""

from __future__ import annotations

from collections.abc import Sequence
from difflib import SequenceMatcher
from typing import Final, Literal

from msgspec import Struct

#: Beyond so many differing lines the matcher would take minutes: all of them count as changed.
MOST_LINES: Final = 4_000

#: What became of a stretch of lines: (tag, from a, to a, from b, to b), as difflib says it.
Stretch = tuple[Literal["replace", "delete", "insert", "equal"], int, int, int, int]


class DiffLine(Struct, frozen=True, kw_only=True):
    """One line of a comparison."""

    #: ' ' in both, '-' only in the first, '+' only in the second.
    sign: Literal[" ", "-", "+"]
    #: The line with its line end.
    text: str
    #: Number of the line in either text, from 1; None where it does not stand.
    number_a: int | None
    number_b: int | None


def lines_of(text: str) -> list[str]:
    """The lines of a text with their ends; joined they are the text again."""
    # Not splitlines(): that also breaks at letters that stand inside a line of TOML.
    return [line for line in text.replace("\n", "\n\0").split("\0") if line]


def stretches(a: Sequence[str], b: Sequence[str]) -> list[Stretch]:
    """How ``a`` becomes ``b``: stretches in order, without gaps."""
    least = min(len(a), len(b))
    head = next((i for i in range(least) if a[i] != b[i]), least)
    tail = next((i for i in range(least - head) if a[-1 - i] != b[-1 - i]), least - head)
    middle_a, middle_b = a[head : len(a) - tail], b[head : len(b) - tail]
    found: list[Stretch] = [("equal", 0, head, 0, head)] if head else []
    if len(middle_a) + len(middle_b) > MOST_LINES:
        whole = "replace" if middle_a and middle_b else "delete" if middle_a else "insert"
        found.append((whole, head, len(a) - tail, head, len(b) - tail))  # type: ignore[arg-type]
    else:
        matcher = SequenceMatcher(None, middle_a, middle_b, autojunk=False)
        found += [
            (tag, i + head, j + head, k + head, m + head)
            for tag, i, j, k, m in matcher.get_opcodes()
        ]
    if tail:
        found.append(("equal", len(a) - tail, len(a), len(b) - tail, len(b)))
    return found


def compare_texts(a: str, b: str, context: int = 3) -> tuple[tuple[DiffLine, ...], ...]:
    """Groups of lines that differ, each with ``context`` equal lines around; none = the same.

    A unified comparison, as values: a page or a terminal draws it.
    """
    first, second = lines_of(a), lines_of(b)
    groups: list[list[DiffLine]] = []
    found = stretches(first, second)
    for place, (tag, i, j, k, m) in enumerate(found):
        if tag == "equal":
            same = [
                DiffLine(sign=" ", text=first[i + n], number_a=i + n + 1, number_b=k + n + 1)
                for n in range(j - i)
            ]
            begins, ends = place == 0, place == len(found) - 1
            if not begins:
                groups[-1] += same[:context]
            if not ends:
                if begins or len(same) > 2 * context:
                    groups.append(same[-context:] if context else [])
                else:
                    groups[-1] += same[context:]
            continue
        if not groups:
            groups.append([])
        groups[-1] += [
            DiffLine(sign="-", text=first[n], number_a=n + 1, number_b=None) for n in range(i, j)
        ]
        groups[-1] += [
            DiffLine(sign="+", text=second[n], number_a=None, number_b=n + 1) for n in range(k, m)
        ]
    return tuple(tuple(group) for group in groups if any(line.sign != " " for line in group))
