"""How do two edits of one text become one again?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct

from fellfare.book.difference import lines_of, stretches

#: Which side is taken in a conflict; both = mine, then theirs.
Choice = Literal["mine", "theirs", "both"]


class Agreed(Struct, frozen=True, kw_only=True, tag=True):
    """A stretch on which both edits agree, or that only one of them touched."""

    text: str


class Conflict(Struct, frozen=True, kw_only=True, tag=True):
    """A stretch that both edits changed, each in its own way."""

    base: str
    mine: str
    theirs: str


class Merged(Struct, frozen=True, kw_only=True):
    """Two edits put together, as far as that goes without guessing."""

    pieces: tuple[Agreed | Conflict, ...]

    @property
    def conflicts(self) -> tuple[Conflict, ...]:
        """What a person must decide; none = ``text`` is ready to be saved."""
        return tuple(piece for piece in self.pieces if isinstance(piece, Conflict))

    @property
    def text(self) -> str:
        """The whole text.  In a conflict both sides stand, between lines of '#' that say so."""
        return "".join(
            piece.text if isinstance(piece, Agreed) else _both_marked(piece)
            for piece in self.pieces
        )

    def chosen(self, choices: Sequence[Choice]) -> str:
        """The text after a person has decided: one choice for each conflict, in order."""
        left = iter(choices)
        parts = []
        for piece in self.pieces:
            if isinstance(piece, Agreed):
                parts.append(piece.text)
                continue
            match next(left):
                case "mine":
                    parts.append(piece.mine)
                case "theirs":
                    parts.append(piece.theirs)
                case "both":
                    parts.append(_ended(piece.mine) + piece.theirs)
        if next(left, None) is not None:
            raise TypeError("more choices than conflicts")
        return "".join(parts)


def merge(base: str, mine: str, theirs: str) -> Merged:
    """Put two edits of ``base`` together, line by line.

    A stretch that only one side changed is taken from that side; changed alike, it is taken
    once.  Changed by both in different ways, or by each right beside the other, it is a
    :class:`Conflict`: nothing is guessed.  (The usual three-way merge: Khanna, Kunal and
    Pierce 2007, "A Formal Investigation of Diff3", section 2; touching changes count as
    overlapping, from memory.)
    """
    old, left, right = lines_of(base), lines_of(mine), lines_of(theirs)
    to_left, to_right = _kept(old, left), _kept(old, right)
    pieces: list[Agreed | Conflict] = []
    o = i = k = 0  # how far each text is dealt with
    while True:
        # Lines that all three have side by side from here on.
        start = o
        while o < len(old) and to_left.get(o) == i + o - start and to_right.get(o) == k + o - start:
            o += 1
        if o > start:
            _agree(pieces, "".join(old[start:o]))
            i, k = i + o - start, k + o - start
        if o == len(old) and i == len(left) and k == len(right):
            return Merged(pieces=tuple(pieces))
        # The next line that all three have; what lies before it is one stretch.
        meet = next((n for n in range(o, len(old)) if n in to_left and n in to_right), len(old))
        next_i, next_k = to_left.get(meet, len(left)), to_right.get(meet, len(right))
        _settle(
            pieces,
            "".join(old[o:meet]),
            "".join(left[i:next_i]),
            "".join(right[k:next_k]),
        )
        o, i, k = meet, next_i, next_k


def _kept(old: Sequence[str], new: Sequence[str]) -> dict[int, int]:
    """Line of the old text → where the new one still has it."""
    return {
        i + n: k + n
        for tag, i, j, k, _ in stretches(old, new)
        if tag == "equal"
        for n in range(j - i)
    }


def _settle(pieces: list[Agreed | Conflict], base: str, mine: str, theirs: str) -> None:
    if mine == theirs or theirs == base:
        _agree(pieces, mine)
    elif mine == base:
        _agree(pieces, theirs)
    else:
        pieces.append(Conflict(base=base, mine=mine, theirs=theirs))


def _agree(pieces: list[Agreed | Conflict], text: str) -> None:
    if pieces and isinstance(pieces[-1], Agreed):
        pieces[-1] = Agreed(text=pieces[-1].text + text)
    elif text:
        pieces.append(Agreed(text=text))


def _ended(text: str) -> str:
    return text if not text or text.endswith("\n") else text + "\n"


def _both_marked(piece: Conflict) -> str:
    return (
        "# >>> mine: keep this, or the other below, and take the lines of '#' out\n"
        f"{_ended(piece.mine)}# --- theirs\n{_ended(piece.theirs)}# <<<\n"
    )
