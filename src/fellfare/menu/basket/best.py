"""Which packs, and how many of each: the lightest or the cheapest basket, proven.

A covering problem in whole numbers. A basket is handed over only when an exact
sum keeps every wish.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import msgspec
import numpy as np

from fellfare.menu.answer import Verdict
from fellfare.menu.basket.shop import (
    MOST_OF_ONE,
    Basket,
    BasketAsk,
    Bought,
    Kept,
    LeftOut,
    ShopPack,
    Total,
    checked_ask,
    usable,
)
from fellfare.menu.basket.why import why_not
from fellfare.menu.basket.wishes import PER_UNIT, SHARE, UNIT, Wish, problem_of, whole, wishes_of
from fellfare.menu.solver import Effort, Outcome, solve, version
from fellfare.menu.solver.outcome import gap_of

#: A wish missed by solver's rounding is pulled in and asked again, at most so often.
AGAIN: Final = 5


class _Found(msgspec.Struct, frozen=True, kw_only=True):
    counts: tuple[int, ...] | None
    bound: float
    outcome: Outcome


def best_basket(ask: BasketAsk, effort: Effort | None = None) -> Basket:
    """The best basket, with its proof; or what must give for there to be one.

    Parameters
    ----------
    ask
        Shelf and wishes.
    effort
        How long each of the few solver runs may take (20 s, to the last figure).

    Returns
    -------
    Basket
        Least mass (or money); of equal ones, as far as time allows, the one of
        least money (or mass).

    Raises
    ------
    Mistake
        ``basket-shelf``, ``basket-nothing-asked``, ``basket-name-twice``,
        ``basket-figure``, ``basket-floor-above-ceiling``.
    """
    checked_ask(ask)
    effort = effort or Effort(seconds=20.0)
    packs, left = usable(ask)
    if not packs:
        return Basket(verdict="impossible", least=ask.least, left_out=left, solver=version())
    wishes = wishes_of(ask, packs)
    stock = [MOST_OF_ONE if pack.stock is None else pack.stock for pack in packs]
    mass = [whole(pack.mass_g) for pack in packs]
    price = [None if pack.price is None else whole(pack.price) for pack in packs]
    costs: list[list[int]] = [mass]
    if all(each is not None for each in price):
        costs.insert(1 if ask.least == "mass" else 0, [each or 0 for each in price])
    first = _least(costs[0], wishes, stock, effort)
    seconds = first.outcome.seconds
    if first.outcome.status == "impossible":
        any_one, together = why_not(wishes, stock, packs, effort)
        return Basket(
            verdict="impossible",
            least=ask.least,
            left_out=left,
            any_one=any_one,
            together=together,
            solver=version(),
            seconds=seconds,
        )
    if first.counts is None:
        return Basket(
            verdict="stopped",
            least=ask.least,
            left_out=left,
            bound=max(0.0, first.bound),
            solver=version(),
            seconds=seconds,
        )
    counts = first.counts
    if len(costs) > 1:
        worth = sum(a * n for a, n in zip(costs[0], counts, strict=True))
        as_good = Wish(name="as good", unit="", each=tuple(costs[0]), high=worth)
        second = _least(costs[1], [*wishes, as_good], stock, effort, counts)
        seconds += second.outcome.seconds
        counts = second.counts or counts
    return _told(ask, packs, wishes, left, counts, costs[0], first.bound, effort, seconds)


def _least(
    cost: Sequence[int],
    wishes: Sequence[Wish],
    stock: Sequence[int],
    effort: Effort,
    begin: Sequence[int] | None = None,
) -> _Found:
    """Whole counts of the least cost; the bound is that of the wishes as they were given."""
    units = [each / PER_UNIT for each in cost]
    tight = list(wishes)
    bound = float("-inf")
    start = None
    if begin is not None:
        start = (np.arange(len(begin), dtype=np.int32), np.array(begin, dtype=np.float64))
    for turn in range(AGAIN):
        out = solve(problem_of(units, tight, stock), effort, start=start)
        if turn == 0:
            bound = out.bound
        if out.x is None:
            return _Found(counts=None, bound=bound, outcome=out)
        counts = tuple(round(float(x)) for x in out.x[: len(stock)])
        missed = [wish.missed(counts) for wish in wishes]
        if not any(missed):
            return _Found(counts=counts, bound=bound, outcome=out)
        tight = [_pulled_in(wish, by) for wish, by in zip(tight, missed, strict=True)]
    return _Found(counts=None, bound=bound, outcome=out)


def _pulled_in(wish: Wish, by: int) -> Wish:
    return msgspec.structs.replace(
        wish,
        low=None if wish.low is None else wish.low + by,
        high=None if wish.high is None else wish.high - by,
    )


def _told(
    ask: BasketAsk,
    packs: Sequence[ShopPack],
    wishes: Sequence[Wish],
    left: tuple[LeftOut, ...],
    counts: tuple[int, ...],
    cost: Sequence[int],
    bound: float,
    effort: Effort,
    seconds: float,
) -> Basket:
    taken = [(pack, n) for pack, n in zip(packs, counts, strict=True) if n]
    value = sum(a * n for a, n in zip(cost, counts, strict=True)) / PER_UNIT
    # costs are whole thousandths, so a bound between two of them is the upper one
    proven = min(value, float(np.ceil(bound * PER_UNIT - 0.01)) / PER_UNIT)
    gap = gap_of(value, proven)
    verdict: Verdict = (
        "optimal" if gap <= 1e-9 else "good-enough" if gap <= effort.gap else "stopped"
    )
    prices = [None if pack.price is None else pack.price * n for pack, n in taken]
    volumes = [None if pack.volume_ml is None else pack.volume_ml * n for pack, n in taken]
    return Basket(
        verdict=verdict,
        least=ask.least,
        bought=tuple(
            Bought(
                name=pack.name,
                count=n,
                mass_g=pack.mass_g * n,
                price=None if pack.price is None else pack.price * n,
            )
            for pack, n in taken
        ),
        mass_g=sum(pack.mass_g * n for pack, n in taken),
        price=_sum(prices),
        volume_ml=_sum(volumes),
        totals=tuple(
            Total(
                name=name,
                value=sum((getattr(pack, name) or 0.0) * n for pack, n in taken),
                unknown=tuple(pack.name for pack, _ in taken if getattr(pack, name) is None),
            )
            for name in (*UNIT, "wrapping_g")
        ),
        kept=tuple(
            Kept(
                wish=wish.name,
                unit=wish.unit,
                value=sum(a * n for a, n in zip(wish.each, counts, strict=True)) / wish.per_unit,
                low=None if wish.low is None else wish.low / wish.per_unit,
                high=None if wish.high is None else wish.high / wish.per_unit,
            )
            for wish in wishes
            if not wish.name.startswith(SHARE)
        ),
        value=value,
        bound=proven,
        gap=gap,
        left_out=left,
        solver=version(),
        seconds=seconds,
    )


def _sum(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) if len(known) == len(values) else None
