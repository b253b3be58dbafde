"""Is a point beaten by any of many?  Asked of all of them at once, a bit for each.

For each aim and each height that one of the many has, a word of 64 bits says which of 64 of
them reach it.  A point finds its height in each aim; where a bit stands in the words of all
aims, that one is at least as good in everything.
"""

from __future__ import annotations

from typing import Any, Final, TypeAlias

import numpy as np
from msgspec import Struct

from fellfare.recipe.composing.laying import Floats, Whole

Words: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.uint64]]
Bools: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]

#: Points in one word.
WORD: Final = 64


class Beaters(Struct, frozen=True, eq=False):
    """Points of which none beats another, ready to be asked."""

    #: For each aim the heights they have, from the lowest.
    heights: tuple[Floats, ...]
    #: For each aim: words x heights, and one more for what is above them all.
    words: tuple[Words, ...]
    points: Floats
    numbers: Whole


def beaters(points: Floats, numbers: Whole) -> Beaters:
    """From one row for each aim, one column for each point."""
    heights, words = [], []
    many = -(-points.shape[1] // WORD) * WORD
    for row in points:
        height = np.unique(row)
        reach = np.zeros((height.shape[0] + 1, many), dtype=np.bool_)
        np.less_equal(height[:, None], row, out=reach[:-1, : row.shape[0]])
        packed: np.ndarray[Any, np.dtype[np.uint8]] = np.packbits(reach, axis=1, bitorder="little")
        heights.append(height)
        words.append(np.ascontiguousarray(packed.view("<u8").T))
    return Beaters(tuple(heights), tuple(words), points, numbers)


def unbeaten_by(those: Beaters, points: Floats, numbers: Whole) -> Whole:
    """Places of the points that none of those beats, nor equals with a lower number."""
    ranks = [
        np.searchsorted(height, row) for height, row in zip(those.heights, points, strict=True)
    ]
    here = np.arange(points.shape[1])
    equals: list[Whole] = []
    for at in range(those.words[0].shape[0]):
        word = those.words[0][at].take(ranks[0])
        for words, rank in zip(those.words[1:], ranks[1:], strict=True):
            word &= words[at].take(rank)
        beaten = word != 0
        if not beaten.any():
            continue
        hit = np.flatnonzero(beaten)
        low = hit[numbers[here[hit]] < those.numbers[at * WORD : (at + 1) * WORD].max()]
        if low.shape[0]:
            # what equals one of them has that one's bit and no other: none of them beats another
            mine = word[low]
            one = at * WORD + np.frexp((mine & (~mine + np.uint64(1))).astype(np.float64))[1] - 1
            same = numbers[here[low]] < those.numbers[one]
            for theirs, row in zip(those.points, points, strict=True):
                same &= theirs[one] == row[here[low]]
            equals.append(here[low[same]])
        left = np.flatnonzero(~beaten)
        here, ranks = here.take(left), [rank.take(left) for rank in ranks]
        if not here.shape[0]:
            break
    return np.sort(np.concatenate([here, *equals])) if equals else here
