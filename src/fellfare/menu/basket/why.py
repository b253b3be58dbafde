"""Why there is no basket: what would have to give, each wish alone or several together."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from fellfare.menu.answer import Give
from fellfare.menu.basket.shop import ShopPack
from fellfare.menu.basket.wishes import SHARE, Wish, problem_of
from fellfare.menu.solver import Effort, solve

STOCK: Final = "what the shop has"


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
        out = solve(problem_of(nothing, wishes, stock, gives), effort)
        if out.x is None:
            continue
        counts = [round(float(x)) for x in out.x[: len(stock)]]
        others = [wish for at, wish in enumerate(wishes) if at not in group]
        if any(wish.missed(counts) for wish in others):
            continue  # kept to within the solver's tolerance only: nothing is promised
        any_one += [_give(wishes[at], counts) for at in group if wishes[at].missed(counts)]
    out = solve(problem_of(nothing, wishes, stock, more=True), effort)
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
    out = solve(problem_of(nothing, wishes, stock, gives), effort)
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
