"""Which packs, and how many of each: the lightest or the cheapest basket, proven.

A covering problem in whole numbers. It is posed in thousandths of each unit
(mg, mkcal, ...), every figure rounded to such a whole number once, so that the
answer can be added up again without any rounding: a basket is handed over only
when that exact sum keeps every wish.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import msgspec
import numpy as np

from fellfare.menu.answer import Give, Verdict
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
from fellfare.menu.solver import Effort, Outcome, Problem, solve, version
from fellfare.menu.solver.outcome import gap_of

#: Figures are counted in whole thousandths of their unit.
PER_UNIT: Final = 1_000
#: A wish missed by solver's rounding is pulled in and asked again, at most so often.
AGAIN: Final = 5

UNIT: Final = {
    "energy_kcal": "kcal",
    "protein_g": "g",
    "fat_g": "g",
    "carbohydrate_g": "g",
    "fibre_g": "g",
    "sodium_mg": "mg",
}
NAME: Final = {
    "energy_kcal": "energy",
    "protein_g": "protein",
    "fat_g": "fat",
    "carbohydrate_g": "carbohydrate",
    "fibre_g": "fibre",
    "sodium_mg": "sodium",
}
STOCK: Final = "what the shop has"
SHARE: Final = "share of one kind"


class Wish(msgspec.Struct, frozen=True, kw_only=True):
    """One limit over whole numbers: low <= sum of each x count <= high (None: no limit)."""

    name: str
    unit: str
    each: tuple[int, ...]
    low: int | None = None
    high: int | None = None
    per_unit: int = PER_UNIT

    def missed(self, counts: Sequence[int]) -> int:
        """By how much the counts miss it, in its own whole steps (0: kept)."""
        total = sum(a * n for a, n in zip(self.each, counts, strict=True))
        short = 0 if self.low is None else self.low - total
        over = 0 if self.high is None else total - self.high
        return max(0, short, over)


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
    mass = [_whole(pack.mass_g) for pack in packs]
    price = [None if pack.price is None else _whole(pack.price) for pack in packs]
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


def _whole(value: float) -> int:
    return round(value * PER_UNIT)


def wishes_of(ask: BasketAsk, packs: Sequence[ShopPack]) -> list[Wish]:
    """Every limit as whole numbers; floors are rounded up, ceilings down."""

    def figures(name: str) -> tuple[int, ...]:
        return tuple(_whole(getattr(pack, name) or 0.0) for pack in packs)

    wishes = []
    for limits, side in ((ask.at_least, "low"), (ask.at_most, "high")):
        for nutrient, value in limits:
            wishes.append(
                Wish(
                    name=f"{NAME[nutrient]} at {'least' if side == 'low' else 'most'}",
                    unit=UNIT[nutrient],
                    each=figures(nutrient),
                    low=-(-_micro(value) // 1000) if side == "low" else None,
                    high=_micro(value) // 1000 if side == "high" else None,
                )
            )
    for name, unit, figure, most, scale in (
        ("litres", "L", "volume_ml", ask.litres, 1000 * PER_UNIT),
        ("mass", "g", "mass_g", ask.most_g, PER_UNIT),
        ("price", "money", "price", ask.most_price, PER_UNIT),
    ):
        if most is not None:
            high = _micro(most) * (scale // PER_UNIT) // 1000
            wishes.append(
                Wish(name=name, unit=unit, each=figures(figure), high=high, per_unit=scale)
            )
    if ask.one_share is not None:
        wishes += _shares(packs, figures("energy_kcal"), ask.one_share)
    return wishes


def _micro(value: float) -> int:
    return round(value * PER_UNIT * 1000)


def _shares(packs: Sequence[ShopPack], energy: tuple[int, ...], share: float) -> list[Wish]:
    """No kind brings more than its share: 1000 e[i] n[i] <= s * total, s in thousandths."""
    part = int(share * 1000 + 1e-9)
    wishes = []
    for at, pack in enumerate(packs):
        each = [-part * one for one in energy]
        each[at] += 1000 * energy[at]
        if energy[at] > 0:
            wishes.append(
                Wish(
                    name=f"{SHARE} ({pack.name})",
                    unit="kcal",
                    each=tuple(each),
                    high=0,
                    per_unit=1000 * PER_UNIT,
                )
            )
    return wishes


def _problem(
    cost: Sequence[float],
    wishes: Sequence[Wish],
    stock: Sequence[int],
    gives: Sequence[tuple[int, float]] = (),
    more: bool = False,
) -> Problem:
    """Counts, then (for wishes that may give) one column each, then packs above the stock.

    ``gives``: (number of the wish, what one unit of giving costs).
    ``more``: True lets stocks be passed, at 1 a pack.
    """
    n, m = len(stock), len(wishes)
    width = n + len(gives) + (n if more else 0)
    table = np.zeros((m, width))
    low, high = np.full(m, -np.inf), np.full(m, np.inf)
    for row, wish in enumerate(wishes):
        table[row, :n] = np.array(wish.each, dtype=np.float64) / wish.per_unit
        if more:
            table[row, n + len(gives) :] = table[row, :n]
        low[row] = -np.inf if wish.low is None else wish.low / wish.per_unit
        high[row] = np.inf if wish.high is None else wish.high / wish.per_unit
    for at, (row, _) in enumerate(gives):
        table[row, n + at] = 1.0 if wishes[row].low is not None else -1.0
    where = table != 0.0
    return Problem(
        cost=np.array(
            [*cost, *(price for _, price in gives), *([1.0] * (n if more else 0))],
            dtype=np.float64,
        ),
        low=np.zeros(width),
        high=np.array(
            [*stock, *([np.inf] * len(gives)), *([float(MOST_OF_ONE)] * (n if more else 0))],
            dtype=np.float64,
        ),
        whole=np.array(
            [True] * n + [False] * len(gives) + [True] * (n if more else 0), dtype=np.bool_
        ),
        row_low=low,
        row_high=high,
        start=np.concatenate([[0], np.cumsum(where.sum(axis=1))]).astype(np.int32),
        index=np.nonzero(where)[1].astype(np.int32),
        value=table[where],
    )


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
        out = solve(_problem(units, tight, stock), effort, start=start)
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


def why_not(
    wishes: Sequence[Wish], stock: Sequence[int], packs: Sequence[ShopPack], effort: Effort
) -> tuple[tuple[Give, ...], tuple[Give, ...]]:
    """What would help: each wish that alone could give (and how little is enough), or all together.

    Only for shelves where no basket exists. A give is what an exact sum of the
    counts found says, so it is enough; that less is not is the solver's word.
    """
    nothing = [0.0] * len(stock)
    any_one = []
    shares = [at for at, wish in enumerate(wishes) if wish.name.startswith(SHARE)]
    single = [[at] for at in range(len(wishes)) if at not in shares]
    for group in [*single, *([shares] if shares else [])]:
        gives = [(at, 1.0) for at in group]
        out = solve(_problem(nothing, wishes, stock, gives), effort)
        if out.x is None:
            continue
        counts = [round(float(x)) for x in out.x[: len(stock)]]
        others = [wish for at, wish in enumerate(wishes) if at not in group]
        if any(wish.missed(counts) for wish in others):
            continue  # kept to within the solver's tolerance only: nothing is promised
        any_one += [_give(wishes[at], counts) for at in group if wishes[at].missed(counts)]
    out = solve(_problem(nothing, wishes, stock, more=True), effort)
    if out.x is not None:
        above = [round(float(x)) for x in out.x[len(stock) :]]
        told = ", ".join(
            f"{n} more of {pack.name}" for pack, n in zip(packs, above, strict=True) if n
        )
        all_of = [round(float(x)) + n for x, n in zip(out.x[: len(stock)], above, strict=True)]
        if told and not any(wish.missed(all_of) for wish in wishes):
            any_one.append(Give(wish=STOCK, gives=told, amount=float(sum(above)), unit="packs"))
    if any_one:
        return tuple(any_one), ()
    gives = [(number, 1.0 / _size(wish)) for number, wish in enumerate(wishes)]
    out = solve(_problem(nothing, wishes, stock, gives), effort)
    if out.x is None:
        return (), ()
    counts = [round(float(x)) for x in out.x[: len(stock)]]
    return (), tuple(_give(wish, counts) for wish in wishes if wish.missed(counts))


def _size(wish: Wish) -> float:
    limits = [abs(each) for each in (wish.low, wish.high) if each]
    return max(limits, default=wish.per_unit * 100) / wish.per_unit


def _give(wish: Wish, counts: Sequence[int]) -> Give:
    by = wish.missed(counts) / wish.per_unit
    if wish.low is not None:
        said = f"at most {wish.low / wish.per_unit - by:,.6g} {wish.unit} instead of "
        said += f"{wish.low / wish.per_unit:,.6g} {wish.unit}"
    elif wish.name.startswith(SHARE):
        said = f"{by:,.6g} {wish.unit} more than its share"
    else:
        high = (wish.high or 0) / wish.per_unit
        said = f"{high + by:,.6g} {wish.unit} instead of {high:,.6g} {wish.unit}"
    return Give(wish=wish.name, gives=said.replace(",", " "), amount=by, unit=wish.unit)
