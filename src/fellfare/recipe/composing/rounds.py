"""All combinations, counted and sifted: inner tiles beside the outer parts, round by round.

The parts are split in two: inner ones, whose dishes are laid out once in tiles, and outer
ones that turn around them.  Two things are done for each round of the outer parts.

*Counting.*  A limit asks of the inner dishes ``inner >= least - outer``; each limit's column
lies there as ranks, so this is one comparison of small whole numbers for each dish, exact.

*Sifting.*  A tile beside a round has a bound: in every aim the best that is to be had in it.
Where a dish of the front is at least as good in everything, and the best known of its kind
too, no dish of the tile need be looked at.  What is left is cut into smaller tiles, then into
dishes; these are scored one by one.  The bound keeps order through every rounding, so the
front is exactly that of scoring every dish.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from typing import Final

import numpy as np
from msgspec import Struct

from fellfare.recipe.composing.front import Front
from fellfare.recipe.composing.holding import binding, limits, narrowed, pairs
from fellfare.recipe.composing.laying import Floats, Laid, PartLaid, Whole
from fellfare.recipe.composing.scoring import Scoring
from fellfare.recipe.composing.tables import (
    KIND,
    NUMBER,
    TASTE,
    Bools,
    Table,
    crossed,
    nothing_of,
    part_table,
    picked,
)
from fellfare.recipe.composing.taste import BIT
from fellfare.recipe.composing.tiles import Level, levels_of, order_of

#: Inner dishes: their columns then stay in the processor's cache.
BLOCK: Final = 1 << 16
#: With fewer, rounds cost more than dishes: then up to so many are laid out.
FEW: Final = 1 << 11
MOST_BLOCK: Final = 1 << 19
#: Dishes gone through between two looks at the clock.
CHUNK: Final = 1 << 23
#: Rows of tiles or dishes that are scored at once.
AT_ONCE: Final = 1 << 13
#: Of so many tiles the most promising are looked at first: so many for each way of weighing
#: the aims.
SEED_TILES: Final = 1 << 14
SEEDS: Final = 8
#: The same, one for each kind of dish.
KIND_SEEDS: Final = 512
#: Weight of the aims that are not the point; aims that are weighed in turn.
ASIDE: Final = 0.2
MOST_WEIGHED: Final = 4
#: Above so many kinds of dish none is kept apart.
MOST_KINDS: Final = 1_000_000
#: Ways in which pairings and tastes can fall that are kept at hand.
MOST_MASKS: Final = 256


class Turn(Struct, frozen=True, kw_only=True, eq=False):
    """Some rounds of the outer parts, and what they ask of the inner dishes."""

    table: Table
    #: For each limit and round the rank from which on it is kept.
    least: tuple[Whole, ...]
    #: For each round which mask; none where nothing is masked.
    which: Whole | None
    #: For each level and mask the tiles in which something is let through.
    masks: tuple[Bools, ...]


class Sweep:
    """The tables of one composition and what has been found; changed in place."""

    def __init__(self, laid: Laid, *, bounds: bool = True) -> None:
        asked = laid.asked
        self.scoring, self.bounds = Scoring(asked.aims), bounds
        self.front = Front(len(asked.aims))
        self.combinations = laid.combinations
        self.fitting = self.scored = 0
        parts = tuple(laid.parts[at] for at in laid.turning)
        held = limits(asked, parts)
        kept = narrowed(held, parts)
        #: Dishes that are left when fillings that can keep no limit are left out.
        self.left = math.prod(some.shape[0] for some in kept)
        self.rounds = 0
        kinds, many = _kinds(laid, parts)
        self.kind_best = np.full(many, -np.inf)
        self.kind_number = np.full(many, -1, dtype=np.int64)
        if not self.left:
            return
        held = binding(held, kept)
        self.allowed = [limit.allowed for limit in held]
        self.pairs = pairs(asked)
        self.need = sum(BIT[name] for name in asked.tastes)
        stride, tables = laid.combinations, []
        for at, (part, some) in enumerate(zip(parts, kept, strict=True)):
            stride //= len(part)
            columns = [limit.columns[at] for limit in held]
            tables.append(
                part_table(
                    part, some, self.scoring.wanted(), columns, self.pairs, kinds[at], stride
                )
            )
        self.scoring.aim_at(tables)
        inner_from = _split([some.shape[0] for some in kept])
        self._lay(crossed(tables[inner_from:]))
        self.outer = tables[:inner_from] or [nothing_of(tables[0])]
        self.shape = tuple(table[NUMBER].shape[0] for table in self.outer)
        self.rounds = math.prod(self.shape)

    def _lay(self, inner: Table) -> None:
        """The inner dishes in the order of their tiles; each limit's column as ranks."""
        self.size = int(inner[NUMBER].shape[0])
        order = order_of(inner, self.scoring.telling())
        self.marks: list[Floats] = []
        for at in range(len(self.allowed)):
            marks, ranks = np.unique(inner.pop(("held", at)), return_inverse=True)
            small = np.uint16 if marks.shape[0] < 1 << 16 else np.uint32
            inner["rank", at] = ranks.astype(small)
            self.marks.append(marks)
        self.inner = {column: values[order] for column, values in inner.items()}
        self.levels = levels_of(self.inner)
        self._masks: dict[bytes, tuple[Bools, ...]] = {}

    def run(self) -> Iterator[int]:
        """Go through all rounds; hands out now and then how many dishes are done."""
        if self.bounds and self.rounds:
            self._seed()
        step = max(1, CHUNK // self.size) if self.rounds else 1
        for first in range(0, self.rounds, step):
            last = min(first + step, self.rounds)
            turn = self._turn(np.arange(first, last))
            rows = self._count(turn)
            self._sift(turn, rows)
            yield self.combinations - (self.rounds - last) * self.size

    def _seed(self) -> None:
        """Dive first where the bounds promise most, so that the rest is soon ruled out."""
        tiles = len(self.levels[0])
        many = min(self.rounds, max(1, SEED_TILES // tiles))
        turn = self._turn(np.arange(many) * (self.rounds // many))
        at: Whole = np.tile(np.arange(tiles), many)
        beside: Whole = np.repeat(np.arange(many), tiles)
        for depth, level in enumerate(self.levels[:-1]):
            at, beside = self._fitting(depth, turn, at, beside)
            if not at.shape[0]:
                return
            best = self.scoring.points(level.table, at, turn.table, beside, tiles=True)
            kinds = level.table[KIND].take(at) + turn.table[KIND].take(beside)
            some = _promising(best, kinds)
            at, beside = self._inside(level, at[some], beside[some])
        self._descend(len(self.levels) - 1, turn, at, beside)

    def _open(self, depth: int, turn: Turn, best: Floats, at: Whole, beside: Whole) -> Whole:
        """Places of the tiles that may hold something for the front or for a kind."""
        table = self.levels[depth].table
        numbers = table[NUMBER].take(at) + turn.table[NUMBER].take(beside)
        kinds = table[KIND].take(at) + turn.table[KIND].take(beside)
        open_ = self._above_kinds(best[0], numbers, kinds)
        rest = np.flatnonzero(~open_)
        open_[rest[self.front.unmet(best.take(rest, axis=1), numbers.take(rest))]] = True
        return np.flatnonzero(open_)

    def _turn(self, rounds: Whole) -> Turn:
        places = np.unravel_index(rounds, self.shape)
        table = picked(self.outer, places)
        least = tuple(
            np.searchsorted(marks, allowed - table["held", at])
            for at, (marks, allowed) in enumerate(zip(self.marks, self.allowed, strict=True))
        )
        if not self.pairs and not self.need:
            return Turn(table=table, least=least, which=None, masks=())
        states = np.stack(
            [
                *(table[name, at].astype(np.uint8)
                  for at in range(len(self.pairs)) for name in ("has", "partner")),
                (self.need & ~table[TASTE]).astype(np.uint8),
            ],
            axis=1,
        )  # fmt: skip
        rows, which = np.unique(states, axis=0, return_inverse=True)
        found = [self._mask(row) for row in rows]
        masks = tuple(np.stack(level) for level in zip(*found, strict=True))
        return Turn(table=table, least=least, which=which.reshape(-1), masks=masks)

    def _mask(self, state: np.ndarray[tuple[int], np.dtype[np.uint8]]) -> tuple[Bools, ...]:
        """Of each level the tiles with dishes that keep pairings and tastes beside this."""
        known = self._masks.get(state.tobytes())
        if known is not None:
            return known
        ok = np.ones(self.size, dtype=np.bool_)
        for at, pair in enumerate(self.pairs):
            has = self.inner["has", at] | bool(state[2 * at])
            partner = self.inner["partner", at] | bool(state[2 * at + 1])
            ok &= ~has | partner if pair.wanted else ~(has & partner)
        missing = int(state[-1])
        if missing:
            ok &= (self.inner[TASTE] & missing) == missing
        made = tuple(np.logical_or.reduceat(ok, level.dishes) for level in self.levels)
        if len(self._masks) >= MOST_MASKS:
            self._masks.clear()
        self._masks[state.tobytes()] = made
        return made

    def _count(self, turn: Turn) -> Whole:
        """Count what keeps everything; the rounds in which something may."""
        may = np.ones(turn.table[NUMBER].shape[0], dtype=np.bool_)
        for marks, least in zip(self.marks, turn.least, strict=True):
            may &= least < marks.shape[0]
        rows = np.flatnonzero(may)
        step = max(1, BLOCK // self.size)
        ok = np.empty((step, self.size), dtype=np.bool_)
        kept = np.empty_like(ok)
        for begin in range(0, rows.shape[0], step):
            some = rows[begin : begin + step]
            here, more = ok[: some.shape[0]], kept[: some.shape[0]]
            fresh = True
            for at, least in enumerate(turn.least):
                asked = least[some]
                if not asked.any():
                    continue
                column = self.inner["rank", at]
                into = here if fresh else more
                np.greater_equal(column, asked.astype(column.dtype)[:, None], out=into)
                if not fresh:
                    np.logical_and(here, more, out=here)
                fresh = False
            if turn.which is not None:
                masks = turn.masks[-1][turn.which[some]]
                here = masks if fresh else np.logical_and(here, masks, out=here)
                fresh = False
            self.fitting += here.size if fresh else int(np.count_nonzero(here))
        return rows

    def _sift(self, turn: Turn, rows: Whole) -> None:
        """Take what these rounds hold for the front and for the kinds."""
        first = 0 if self.bounds else len(self.levels) - 1
        many = len(self.levels[first])
        step = max(1, AT_ONCE // many) if self.bounds else 1
        for begin in range(0, rows.shape[0], step):
            some = rows[begin : begin + step]
            at = np.tile(np.arange(many), some.shape[0])
            self._descend(first, turn, at, np.repeat(some, many))

    def _descend(self, depth: int, turn: Turn, at: Whole, beside: Whole) -> None:
        """Tiles ``at`` of one level, each beside one round."""
        level = self.levels[depth]
        last = depth == len(self.levels) - 1
        at, beside = self._fitting(depth, turn, at, beside)
        if not at.shape[0]:
            return
        if not last:
            best = self.scoring.points(level.table, at, turn.table, beside, tiles=True)
            here = self._open(depth, turn, best, at, beside)
            self._smaller(depth, turn, at.take(here), beside.take(here))
            return
        self.scored += at.shape[0]
        every = not self.bounds and at.shape[0] == self.size
        best = self.scoring.points(
            level.table, None if every else at, turn.table, beside[:1] if every else beside,
            tiles=False,
        )  # fmt: skip
        numbers = level.table[NUMBER].take(at) + turn.table[NUMBER].take(beside)
        kinds = level.table[KIND].take(at) + turn.table[KIND].take(beside)
        self._best_of_kinds(best[0], numbers, kinds)
        self.front.add(best, numbers)

    def _smaller(self, depth: int, turn: Turn, at: Whole, beside: Whole) -> None:
        """The tiles of the next level that lie in these."""
        level = self.levels[depth]
        ends = np.cumsum(level.ends.take(at) - level.starts.take(at))
        begin = 0
        while begin < at.shape[0]:
            before = int(ends[begin - 1]) if begin else 0
            end = max(begin + 1, int(np.searchsorted(ends, before + AT_ONCE, side="right")))
            inside = self._inside(level, at[begin:end], beside[begin:end])
            self._descend(depth + 1, turn, *inside)
            begin = end

    def _inside(self, level: Level, at: Whole, beside: Whole) -> tuple[Whole, Whole]:
        first = level.starts.take(at)
        many = level.ends.take(at) - first
        shift = first - (np.cumsum(many) - many)
        return np.arange(many.sum()) + np.repeat(shift, many), np.repeat(beside, many)

    def _fitting(self, depth: int, turn: Turn, at: Whole, beside: Whole) -> tuple[Whole, Whole]:
        """Without those in which no dish keeps some limit, or the pairings and tastes."""
        table = self.levels[depth].table
        for column, least in enumerate(turn.least):
            here = np.flatnonzero(table["rank", column].take(at) >= least.take(beside))
            if here.shape[0] < at.shape[0]:
                at, beside = at.take(here), beside.take(here)
        if turn.which is not None:
            here = np.flatnonzero(turn.masks[depth][turn.which.take(beside), at])
            if here.shape[0] < at.shape[0]:
                at, beside = at.take(here), beside.take(here)
        return at, beside

    def _above_kinds(self, best: Floats, numbers: Whole, kinds: Whole) -> Bools:
        known = self.kind_best.take(kinds)
        return np.asarray(
            (best > known) | ((best == known) & (numbers < self.kind_number.take(kinds)))
        )

    def _best_of_kinds(self, score: Floats, numbers: Whole, kinds: Whole) -> None:
        """Keep the best in the first aim of each kind; of equals the lowest number."""
        here = np.flatnonzero(self._above_kinds(score, numbers, kinds))
        if not here.shape[0]:
            return
        score, numbers, kinds = score[here], numbers[here], kinds[here]
        order = np.lexsort((numbers, -score, kinds))
        found, at = np.unique(kinds[order], return_index=True)
        self.kind_best[found] = score[order][at]
        self.kind_number[found] = numbers[order][at]


def _promising(best: Floats, kinds: Whole) -> Whole:
    """A few places with the best weighted sums, and the best in the first aim of each kind."""
    low, spread = best.min(axis=1, keepdims=True), np.ptp(best, axis=1, keepdims=True)
    scaled = (best - low) / np.where(spread > 0, spread, 1.0)
    aims = best.shape[0]
    found = []
    for some in itertools.product((ASIDE, 1.0), repeat=min(aims, MOST_WEIGHED)):
        weights = np.array(some + (ASIDE,) * (aims - len(some)))
        found.append(np.argsort(-(weights @ scaled), kind="stable")[:SEEDS])
    order = np.lexsort((-best[0], kinds))
    _, first = np.unique(kinds[order], return_index=True)
    each = order[first]
    found.append(each[np.argsort(-best[0][each], kind="stable")[:KIND_SEEDS]])
    return np.unique(np.concatenate(found))


def _split(sizes: list[int]) -> int:
    """From which part on the parts make up the inner dishes."""
    size, at = 1, len(sizes)
    while at > 0 and size * sizes[at - 1] <= (MOST_BLOCK if size < FEW else BLOCK):
        at -= 1
        size *= sizes[at]
    return min(at, len(sizes) - 1)


def _kinds(laid: Laid, parts: tuple[PartLaid, ...]) -> tuple[list[Whole], int]:
    """Each filling's share of the number of a kind, and how many kinds there are."""
    counting = [laid.parts[at] for at in laid.asked.kind_parts]
    shares, many = [], 1
    for part in parts:
        seen: dict[frozenset[str], int] = {}
        if part in counting:
            held = [frozenset(p.food.id for p in filling) for filling in part.fillings]
        else:
            held = [frozenset()] * len(part)
        codes = [seen.setdefault(foods, len(seen)) for foods in held]
        shares.append(np.array(codes, dtype=np.int64) * many)
        many *= len(seen)
    if many > MOST_KINDS:
        return [np.zeros_like(share) for share in shares], 1
    return shares, many
