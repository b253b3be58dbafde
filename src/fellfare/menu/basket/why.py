"""Why there is no basket: what would have to give, each wish alone or several together."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Final

from fellfare.menu.answer import Give
from fellfare.menu.basket.shop import ShopPack
from fellfare.menu.basket.wishes import SHARE, Wish, problem_of
from fellfare.menu.solver import Effort, solve

STOCK: Final = "what the shop has"
#: A basket that brings less than this part of what was asked is no help (judgement).
USEFUL: Final = 0.5
INFINITE: Final = float("inf")
#: No more pairs of wishes than this are tried.
MOST_PAIRS: Final = 66


def why_not(
    wishes: Sequence[Wish], stock: Sequence[int], packs: Sequence[ShopPack], effort: Effort
) -> tuple[tuple[Give, ...], tuple[Give, ...]]:
    """What would help: each wish that alone could give (and how little is enough), or all together.

    Only for shelves where no basket exists. A give is what an exact sum of the
    counts found says, so it is enough; that less is not is the solver's word.
    To bring less than :data:`USEFUL` of what was asked is no help, and is told
    only where nothing else is found.
    """
    shares = [at for at, wish in enumerate(wishes) if wish.name.startswith(SHARE)]
    groups = [[at] for at in range(len(wishes)) if at not in shares]
    groups += [shares] if shares else []
    useful: list[Give] = []
    poor: list[Give] = []
    for group in groups:
        counts = _counts(wishes, stock, [(at, 1.0) for at in group], effort)
        if counts is not None:
            told = _gives(wishes, group, counts)
            (useful if _is_useful(wishes, counts) else poor).extend(told)
    useful += _more_packs(wishes, stock, packs, effort)
    if useful:
        return tuple(useful), ()
    together = _together(wishes, stock, packs, groups, effort)
    if together or poor:
        return (() if together else tuple(poor)), together
    everything = range(len(wishes))
    counts = _counts(wishes, stock, _by_size(wishes, everything), effort)
    return (), () if counts is None else tuple(_gives(wishes, everything, counts))


def _more_packs(
    wishes: Sequence[Wish], stock: Sequence[int], packs: Sequence[ShopPack], effort: Effort
) -> list[Give]:
    """Packs beyond what the shop has, where they alone would be enough."""
    out = solve(problem_of([0.0] * len(stock), wishes, stock, more=True), effort)
    if out.x is None:
        return []
    above = [round(float(x)) for x in out.x[len(stock) :]]
    all_of = [round(float(x)) + n for x, n in zip(out.x[: len(stock)], above, strict=True)]
    if not any(above) or any(wish.missed(all_of) for wish in wishes):
        return []
    return [_stock(packs, above)]


def _together(
    wishes: Sequence[Wish],
    stock: Sequence[int],
    packs: Sequence[ShopPack],
    groups: Sequence[list[int]],
    effort: Effort,
) -> tuple[Give, ...]:
    """What has to give at once: two wishes where two are enough, else as little as can be of all.

    Of several pairs the one that gives the least, each wish by its own size.
    """
    best: tuple[float, list[int], list[int]] | None = None
    pairs = list(combinations(groups, 2))[:MOST_PAIRS]
    for pair in ([*one, *other] for one, other in pairs):
        counts = _counts(wishes, stock, _by_size(wishes, pair), effort)
        if counts is None or not _is_useful(wishes, counts):
            continue
        sizes = _by_size(wishes, pair)
        given = sum(by * wishes[at].missed(counts) / wishes[at].per_unit for at, by in sizes)
        if best is None or given < best[0]:
            best = (given, pair, counts)
    if best is not None:
        return tuple(_gives(wishes, best[1], best[2]))
    return _of_all(wishes, stock, packs, effort)


def _of_all(
    wishes: Sequence[Wish], stock: Sequence[int], packs: Sequence[ShopPack], effort: Effort
) -> tuple[Give, ...]:
    """Any wishes and the stock, as little as can be in all; floors by no more than is useful."""
    gives = _by_size(wishes, range(len(wishes)))
    part = 1.0 - USEFUL
    most = [INFINITE if w.low is None else part * w.low / w.per_unit for w in wishes]
    nothing = [0.0] * len(stock)
    out = solve(problem_of(nothing, wishes, stock, gives, more=True, most=most), effort)
    if out.x is None:
        return ()
    above = [round(float(x)) for x in out.x[len(stock) + len(gives) :]]
    counts = [round(float(x)) + n for x, n in zip(out.x[: len(stock)], above, strict=True)]
    told = _gives(wishes, range(len(wishes)), counts)
    return (*told, *([_stock(packs, above)] if any(above) else []))


def _stock(packs: Sequence[ShopPack], above: Sequence[int]) -> Give:
    told = ", ".join(f"{n} more of {pack.name}" for pack, n in zip(packs, above, strict=True) if n)
    return Give(wish=STOCK, gives=told, amount=float(sum(above)), unit="packs")


def _by_size(wishes: Sequence[Wish], which: Sequence[int]) -> list[tuple[int, float]]:
    return [(at, 1.0 / _size(wishes[at])) for at in which]


def _counts(
    wishes: Sequence[Wish],
    stock: Sequence[int],
    gives: Sequence[tuple[int, float]],
    effort: Effort,
) -> list[int] | None:
    """Counts that miss nothing but those wishes, and these by as little as can be."""
    out = solve(problem_of([0.0] * len(stock), wishes, stock, gives), effort)
    if out.x is None:
        return None
    counts = [round(float(x)) for x in out.x[: len(stock)]]
    may = {at for at, _ in gives}
    if any(wish.missed(counts) for at, wish in enumerate(wishes) if at not in may):
        return None  # kept to within the solver's tolerance only: nothing is promised
    return counts


def _gives(wishes: Sequence[Wish], which: Sequence[int], counts: Sequence[int]) -> list[Give]:
    return [_give(wishes[at], counts) for at in which if wishes[at].missed(counts)]


def _is_useful(wishes: Sequence[Wish], counts: Sequence[int]) -> bool:
    """Does everything asked for still come to a good part of it?"""
    return all(
        wish.low is None or wish.missed(counts) <= (1.0 - USEFUL) * wish.low for wish in wishes
    )


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
