"""Goes through every combination, block by block, and keeps the front.

The parts are split in two: an inner block whose sums are made once, and the outer ones that
turn around it.  A limit on a sum (or on a ratio, which is a sum once it is multiplied out)
asks of the block ``inner >= limit - outer``: one comparison for each dish, no adding up.  The
block lies sorted by the limit that is hardest to keep, so what fails it is never looked at.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, TypeAlias

import numpy as np
from msgspec import Struct

from fellfare.mistake import Finding
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.composing.front import Front
from fellfare.recipe.composing.laying import Floats, Laid, PartLaid, Portion, Whole, lay
from fellfare.recipe.composing.question import RATIOS, SUMS, Aim, Composition
from fellfare.recipe.composing.taste import BIT, TASTES

#: Dishes in one block: sums of a few aims then stay in the processor's cache.
BLOCK: Final = 1 << 17
#: Above so many kinds of dish none is kept apart.
MOST_KINDS: Final = 1_000_000
#: A limit counts as kept when it is missed by less than this part of it.
SLACK: Final = 1e-9

Array: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[Any]]
Watch: TypeAlias = Callable[["Progress"], bool]
_POPULATION: Final = np.array([bin(bits).count("1") for bits in range(1 << len(TASTES))])
_PLACE: Final = {name: at for at, name in enumerate(SUMS)}


class Progress(Struct, frozen=True):
    """How far the sweep is."""

    seen: int
    of: int
    fitting: int
    front: int


class Dish(Struct, frozen=True, kw_only=True):
    """One combination with its figures; None is unknown."""

    number: int
    #: For each part in turn what it holds.
    fillings: tuple[tuple[Portion, ...], ...]
    figures: tuple[tuple[str, float | None], ...]
    minutes: float | None
    tastes: int

    def figure(self, name: str) -> float | None:
        """One figure for one eater; a ratio is None when either part is unknown or nothing."""
        if name == "minutes":
            return self.minutes
        if name == "tastes":
            return float(_POPULATION[self.tastes])
        sums = dict(self.figures)
        if name in sums:
            return sums[name]
        above, below, per = RATIOS[name]
        top, bottom = sums[above], sums[below]
        return None if top is None or not bottom else per * top / bottom


class Composed(Struct, frozen=True, kw_only=True):
    """The front, best in the first aim first, and what was gone through."""

    asked: Composition
    dishes: tuple[Dish, ...]
    combinations: int
    seen: int
    fitting: int
    stopped: bool
    #: The best of every kind in the first aim, best first; most of them on no front.
    kinds: tuple[Dish, ...]
    #: The usual steps were widened so many times, for a front that can be read.
    coarser: float
    findings: tuple[Finding, ...]


class _Limit(Struct, frozen=True, eq=False):
    """Kept where the dish's sum of ``column`` is at least ``least``; one column per part."""

    columns: tuple[Floats, ...]
    least: float


def compose(asked: Composition, pantry: Pantry, watch: Watch | None = None) -> Composed:
    """Score all combinations and keep those that no other beats.

    Parameters
    ----------
    asked
        Parts, pairings, limits and aims, for one eater.
    pantry
        Where the foods come from.
    watch
        Hears of the progress after each block; True stops, and what was found so far
        is handed over (``stopped``).

    Raises
    ------
    Mistake
        Those of :func:`fellfare.recipe.composing.laying.lay`.
    """
    laid = lay(asked, pantry)
    sweep = _Sweep(laid)
    sweep.run(watch)
    return Composed(
        asked=asked,
        dishes=_ranked(laid, sweep.front.numbers),
        kinds=_ranked(laid, sweep.kind_number[sweep.kind_number >= 0]),
        combinations=laid.combinations,
        seen=sweep.seen,
        fitting=sweep.fitting,
        stopped=sweep.stopped,
        coarser=sweep.front.coarser,
        findings=laid.findings,
    )


def _ranked(laid: Laid, numbers: Whole) -> tuple[Dish, ...]:
    first = laid.asked.aims[0]
    dishes = [dish_of(laid, number) for number in numbers.tolist()]
    return tuple(sorted(dishes, key=lambda dish: (_worse(dish, first), dish.number)))


def _worse(dish: Dish, aim: Aim) -> float:
    value = dish.figure(aim.figure)
    if value is None:
        return float("inf")
    return -value if aim.better == "more" else value


def dish_of(laid: Laid, number: int) -> Dish:
    """Combination ``number`` with its figures, each part added up afresh."""
    places = laid.places(number)
    low = sum(part.low[at] for part, at in zip(laid.parts, places, strict=True))
    high = sum(part.high[at] for part, at in zip(laid.parts, places, strict=True))
    minutes = max(float(part.minutes[at]) for part, at in zip(laid.parts, places, strict=True))
    tastes = 0
    for part, at in zip(laid.parts, places, strict=True):
        tastes |= int(part.tastes[at])
    figures = tuple(
        (name, float(low[at]) if np.isfinite(high[at]) else None) for at, name in enumerate(SUMS)
    )
    return Dish(
        number=number,
        fillings=laid.fillings(number),
        figures=figures,
        minutes=minutes if np.isfinite(minutes) else None,
        tastes=tastes,
    )


class _Sweep:
    """The arrays of one composition and what has been found; changed in place."""

    def __init__(self, laid: Laid) -> None:
        self.laid = laid
        self.front = Front(len(laid.asked.aims))
        self.seen = self.fitting = 0
        self.stopped = False
        parts = tuple(laid.parts[at] for at in laid.turning)
        self.inner_from = _split(parts)
        self.inner = parts[self.inner_from :]
        self.outer = parts[: self.inner_from]
        self.size = int(np.prod([len(part) for part in self.inner], dtype=np.int64))
        self.limits = _limits(laid.asked, parts)
        kinds = [_kinds(laid.parts[at], at in laid.asked.kind_parts) for at in laid.turning]
        #: Each part's share of the number of a kind, and how many kinds there are.
        self.kind_of: list[Whole] = []
        many = 1
        for codes, count in kinds:
            self.kind_of.append(codes * many)
            many *= count
        if many > MOST_KINDS:
            self.kind_of, many = [np.zeros_like(codes) for codes, _ in kinds], 1
        #: A figure is unknown, or a dish can be empty: ratios may be no number.
        self.unsure = any(
            not np.isfinite(part.high).all() or not part.high[:, _PLACE["energy_kcal"]].all()
            for part in parts
        )
        self.kind_best = np.full(many, -np.inf)
        self.kind_number = np.full(many, -1, dtype=np.int64)
        self._lay_inner()

    def _lay_inner(self) -> None:
        """Sums over the inner parts, sorted by the limit that is hardest to keep."""
        k = self.inner_from
        self.low = _outer_sum([part.low for part in self.inner])
        self.high = _outer_sum([part.high for part in self.inner])
        self.minutes = _outer(np.maximum, [part.minutes for part in self.inner])
        self.tastes = _outer(np.bitwise_or, [part.tastes for part in self.inner])
        self.kinds = _outer(np.add, self.kind_of[k:])
        self.held = [
            _outer(np.add, [limit.columns[k + i] for i in range(len(self.inner))])
            for limit in self.limits
        ]
        self.need = sum(BIT[name] for name in self.laid.asked.tastes)
        self.pairings = [
            (food, _outer(np.logical_or, [_has(p, (food,)) for p in self.inner]), with_, wanted)
            for food, with_, wanted in _pairings(self.laid.asked)
        ]
        self.partners = [
            _outer(np.logical_or, [_has(p, with_) for p in self.inner])
            for _, _, with_, _ in self.pairings
        ]
        self.numbers = np.arange(self.size, dtype=np.int64)
        if self.limits:
            hardest = max(range(len(self.limits)), key=self._hardness)
            order = np.argsort(self.held[hardest], kind="stable")
            self.held.insert(0, self.held.pop(hardest))
            self.limits.insert(0, self.limits.pop(hardest))
            self.low, self.high = self.low[order], self.high[order]
            self.minutes, self.tastes = self.minutes[order], self.tastes[order]
            self.kinds = self.kinds[order]
            self.held = [column[order] for column in self.held]
            self.pairings = [(f, has[order], w, wanted) for f, has, w, wanted in self.pairings]
            self.partners = [partner[order] for partner in self.partners]
            self.numbers = order.astype(np.int64)

    def _hardness(self, at: int) -> float:
        """Share of the block that misses the limit beside a middling outer part."""
        limit = self.limits[at]
        middling = sum(float(np.median(limit.columns[i])) for i in range(self.inner_from))
        return float((self.held[at] < limit.least - middling).mean())

    def run(self, watch: Watch | None) -> None:
        shape = [len(part) for part in self.outer]
        rounds = int(np.prod(shape, dtype=np.int64)) if shape else 1
        every = max(1, min(rounds // 200, (1 << 22) // self.size))
        for number in range(rounds):
            places = np.unravel_index(number, shape) if shape else ()
            self._block(number, tuple(int(at) for at in places))
            self.seen += self.size
            if watch is not None and (number + 1) % every == 0:
                told = Progress(self.seen, self.laid.combinations, self.fitting, len(self.front))
                if watch(told) and number + 1 < rounds:
                    self.stopped = True
                    return

    def _block(self, number: int, places: tuple[int, ...]) -> None:
        fits = self._fitting(places)
        if fits is None or not fits.shape[0]:
            return
        self.fitting += int(fits.shape[0])
        points = np.empty((len(self.laid.asked.aims), fits.shape[0]))
        for at, aim in enumerate(self.laid.asked.aims):
            points[at] = self._aim(aim, fits, places)
        numbers = number * self.size + self.numbers[fits]
        self._best_of_kinds(points[0], numbers, fits, places)
        self.front.add(points, numbers)

    def _best_of_kinds(
        self, score: Floats, numbers: Whole, fits: Whole, places: tuple[int, ...]
    ) -> None:
        """Keep the best in the first aim of each kind; of equals the first seen."""
        kind = self.kinds[fits] + sum(int(self.kind_of[i][p]) for i, p in enumerate(places))
        better = (score > self.kind_best[kind]) | (self.kind_number[kind] < 0)
        if not better.any():
            return
        score, numbers, kind = score[better], numbers[better], kind[better]
        order = np.lexsort((numbers, -score, kind))
        kind, at = np.unique(kind[order], return_index=True)
        self.kind_best[kind] = score[order][at]
        self.kind_number[kind] = numbers[order][at]

    def _fitting(self, places: tuple[int, ...]) -> Whole | None:
        """Where in the block the dishes lie that keep every limit, pairing and taste."""
        start = 0
        ok: np.ndarray[tuple[int, ...], np.dtype[np.bool_]] | None = None
        for at, limit in enumerate(self.limits):
            outer = sum(float(limit.columns[i][p]) for i, p in enumerate(places))
            least = limit.least - outer - SLACK * max(1.0, abs(limit.least))
            if at == 0:
                start = int(np.searchsorted(self.held[0], least))
                if start == self.size:
                    return None
                continue
            kept = self.held[at][start:] >= least
            ok = kept if ok is None else np.logical_and(ok, kept, out=ok)
        for (food, has, with_, wanted), partner in zip(self.pairings, self.partners, strict=True):
            here = any(_holds(part, p, (food,)) for part, p in zip(self.outer, places, strict=True))
            there = any(_holds(part, p, with_) for part, p in zip(self.outer, places, strict=True))
            if wanted:
                if there:
                    continue
                kept = partner[start:] if here else partner[start:] | ~has[start:]
            elif here and there:
                return None
            elif here:
                kept = ~partner[start:]
            elif there:
                kept = ~has[start:]
            else:
                kept = ~(has[start:] & partner[start:])
            ok = kept if ok is None else ok & kept
        if self.need:
            have = 0
            for part, p in zip(self.outer, places, strict=True):
                have |= int(part.tastes[p])
            missing = self.need & ~have
            kept = (self.tastes[start:] & missing) == missing
            ok = kept if ok is None else ok & kept
        if ok is None:
            return np.arange(start, self.size, dtype=np.int64)
        return np.flatnonzero(ok) + start

    def _aim(self, aim: Aim, fits: Whole, places: tuple[int, ...]) -> Floats:
        """The aim's figure in whole noticeable steps, more is better."""
        name, more = aim.figure, aim.better == "more"
        if name == "minutes":
            outer = max((float(p.minutes[a]) for p, a in zip(self.outer, places, strict=True)),
                        default=0.0)  # fmt: skip
            value: Floats = np.maximum(self.minutes[fits], outer)
        elif name == "tastes":
            have = 0
            for part, p in zip(self.outer, places, strict=True):
                have |= int(part.tastes[p])
            value = _POPULATION[self.tastes[fits] | have].astype(np.float64)
        elif name in RATIOS:
            above, below, per = RATIOS[name]
            # what is unknown counts against the dish: nothing above, everything below
            top = self._sum(above, fits, places, low=more)
            bottom = self._sum(below, fits, places, low=not more)
            with np.errstate(invalid="ignore", divide="ignore"):
                value = top * (per / bottom)
            if self.unsure:
                value = np.nan_to_num(value, nan=0.0 if more else np.inf, posinf=np.inf)
        else:
            value = self._sum(name, fits, places, low=more)
        if not aim.grain:
            return value if more else -value
        value = value * ((1.0 if more else -1.0) / aim.grain)
        value += SLACK
        return np.floor(value, out=value)

    def _sum(self, name: str, fits: Whole, places: tuple[int, ...], *, low: bool) -> Floats:
        column = _PLACE[name]
        table = self.low if low else self.high
        outer = sum(
            float((part.low if low else part.high)[p, column])
            for part, p in zip(self.outer, places, strict=True)
        )
        held = table[:, column]
        return np.asarray((held[fits[0] :] if self._whole(fits) else held.take(fits)) + outer)

    def _whole(self, fits: Whole) -> bool:
        """The fitting dishes are all from some place on: no need to pick them out."""
        return int(fits[0]) + fits.shape[0] == self.size


def _kinds(part: PartLaid, counts: bool) -> tuple[Whole, int]:
    """A number for each filling's set of foods (all 0 where the part does not count)."""
    seen: dict[frozenset[str], int] = {}
    codes = [
        seen.setdefault(frozenset(p.food.id for p in filling) if counts else frozenset(), len(seen))
        for filling in part.fillings
    ]
    return np.array(codes, dtype=np.int64), len(seen)


def _split(parts: tuple[PartLaid, ...]) -> int:
    """From which part on the parts make up the inner block."""
    size, at = 1, len(parts)
    while at > 0 and size * len(parts[at - 1]) <= BLOCK:
        at -= 1
        size *= len(parts[at])
    return min(at, len(parts) - 1)


def _outer_sum(tables: list[Floats]) -> Floats:
    total = tables[0]
    for table in tables[1:]:
        total = (total[:, None, :] + table[None, :, :]).reshape(-1, total.shape[1])
    return np.asarray(np.asfortranarray(total))


def _outer(join: Callable[..., Array], columns: list[Array]) -> Array:
    total = columns[0]
    for column in columns[1:]:
        total = join(total[:, None], column[None, :]).reshape(-1)
    return total


def _limits(asked: Composition, parts: tuple[PartLaid, ...]) -> list[_Limit]:
    made = []
    for limit in asked.limits:
        if limit.least is not None:
            made.append(_least(parts, limit.figure, limit.least))
        if limit.most is not None:
            made.append(_most(parts, limit.figure, limit.most))
    return made


def _least(parts: tuple[PartLaid, ...], figure: str, least: float) -> _Limit:
    if figure in RATIOS:
        above, below, per = RATIOS[figure]
        top, bottom = _PLACE[above], _PLACE[below]
        return _Limit(
            tuple(_minus(per * p.low[:, top], least * p.high[:, bottom]) for p in parts), 0.0
        )
    return _Limit(tuple(part.low[:, _PLACE[figure]].copy() for part in parts), least)


def _most(parts: tuple[PartLaid, ...], figure: str, most: float) -> _Limit:
    if figure == "minutes":
        return _Limit(tuple(np.where(part.minutes <= most, 0.0, -np.inf) for part in parts), 0.0)
    if figure in RATIOS:
        above, below, per = RATIOS[figure]
        top, bottom = _PLACE[above], _PLACE[below]
        return _Limit(
            tuple(_minus(most * p.low[:, bottom], per * p.high[:, top]) for p in parts), 0.0
        )
    return _Limit(tuple(-part.high[:, _PLACE[figure]] for part in parts), -most)


def _minus(one: Floats, other: Floats) -> Floats:
    """The difference; what is unknown on the right makes it as bad as can be."""
    return np.asarray(np.where(np.isfinite(other), one - np.where(np.isfinite(other), other, 0),
                               -np.inf))  # fmt: skip


def _pairings(asked: Composition) -> list[tuple[str, tuple[str, ...], bool]]:
    made: list[tuple[str, tuple[str, ...], bool]] = []
    for pairing in asked.pairings:
        if pairing.only_with:
            made.append((pairing.food, pairing.only_with, True))
        if pairing.never_with:
            made.append((pairing.food, pairing.never_with, False))
    return made


def _has(part: PartLaid, foods: tuple[str, ...]) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    return np.array(
        [any(portion.food.id in foods for portion in filling) for filling in part.fillings],
        dtype=np.bool_,
    )


def _holds(part: PartLaid, at: int, foods: tuple[str, ...]) -> bool:
    return any(portion.food.id in foods for portion in part.fillings[at])
