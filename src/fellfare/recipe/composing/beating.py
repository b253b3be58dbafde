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
#: Words that are asked at once, run by run: most points are beaten by the first; of what is left
#: the words of one height lie side by side in the processor's cache.
RUNS: Final = (1, 2, 4, 8, 16)


class Beaters(Struct, frozen=True, eq=False):
    """Points of which none beats another, ready to be asked."""

    #: For each aim the heights they have, from the lowest.
    heights: tuple[Floats, ...]
    #: In runs of a few words, the first ones short: for each aim heights (and one more for what
    #: is above them all) x words.
    words: tuple[tuple[Words, ...], ...]
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
        words.append(packed.view("<u8"))
    runs: list[tuple[Words, ...]] = []
    first = 0
    while first < words[0].shape[1]:
        last = first + RUNS[min(len(runs), len(RUNS) - 1)]
        runs.append(tuple(np.ascontiguousarray(each[:, first:last]) for each in words))
        first = last
    return Beaters(tuple(heights), tuple(runs), points, numbers)


def unbeaten_by(those: Beaters, points: Floats, numbers: Whole) -> Whole:
    """Places of the points that none of those beats, nor equals with a lower number."""
    ranks = [
        np.searchsorted(height, row) for height, row in zip(those.heights, points, strict=True)
    ]
    here = np.arange(points.shape[1])
    equals: list[Whole] = []
    first = 0
    for run in those.words:
        word = run[0].take(ranks[0], axis=0)
        for words, rank in zip(run[1:], ranks[1:], strict=True):
            word &= words.take(rank, axis=0)
        wide = word.shape[1]
        beaten = word.any(axis=1)
        begin, first = first * WORD, first + wide
        hit = np.flatnonzero(beaten)
        if not hit.shape[0]:
            continue
        low = hit[numbers[here[hit]] < those.numbers[begin : begin + wide * WORD].max()]
        if low.shape[0]:
            # what equals one of them has that one's bit and no other: none of them beats another
            which = np.argmax(word[low] != 0, axis=1)
            mine = word[low, which]
            bit = np.frexp((mine & (~mine + np.uint64(1))).astype(np.float64))[1] - 1
            one = begin + which * WORD + bit
            same = numbers[here[low]] < those.numbers[one]
            for theirs, row in zip(those.points, points, strict=True):
                same &= theirs[one] == row[here[low]]
            equals.append(here[low[same]])
        left = np.flatnonzero(~beaten)
        here, ranks = here.take(left), [rank.take(left) for rank in ranks]
        if not here.shape[0]:
            break
    return np.sort(np.concatenate([here, *equals])) if equals else here
