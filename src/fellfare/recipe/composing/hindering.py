"""Nothing keeps them all: which limit is in the way, and how far is it away?

Asked by the same sweep, exactly.  First each limit alone, beside pairings and tastes: the best
that any dish has of its figure.  Where each can be kept alone, each beside all the others: the
best that a dish has which keeps these.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import ceil, floor
from typing import Final, Literal, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from fellfare.recipe.composing.holding import SLACK
from fellfare.recipe.composing.laying import Laid
from fellfare.recipe.composing.question import Aim, Limit
from fellfare.recipe.composing.rounds import Sweep
from fellfare.recipe.composing.scoring import FAR

#: Hears how far each sweep is (dishes gone through, of how many); True stops.
Stops: TypeAlias = Callable[[int, int], bool]

#: Figures of which hundredths count; of all others tenths.
_HUNDREDTHS: Final = ("cost", "cost_per_1000_kcal")


class End(Struct, frozen=True, kw_only=True):
    """One end of a limit, and the best that is to be had of its figure."""

    figure: str
    end: Literal["least", "most"]
    #: What is asked.
    asked: float
    #: The most (of a least) or the least (of a most) that any dish has which keeps pairings and
    #: tastes; None = it is known of no dish.
    alone: float | None
    #: The same of dishes that keep all other limits, too; None = not asked, or none keeps them.
    beside: float | None = None

    @property
    def out_of_reach(self) -> bool:
        """Whether no dish at all keeps it."""
        if self.alone is None:
            return True
        missed = self.asked - self.alone if self.end == "least" else self.alone - self.asked
        return missed > 2 * SLACK * max(1.0, abs(self.asked))


class Hindered(Struct, frozen=True, kw_only=True):
    """Why nothing is found."""

    #: Whether some dish keeps pairings and tastes, limits aside.
    paired: bool
    #: Tastes that are asked for and that no dish has, with its pairings kept.
    tastes: tuple[str, ...]
    ends: tuple[End, ...]
    #: Stopped before all was asked.
    stopped: bool = False


class _StoppedError(Exception):
    """Somebody said stop."""


def hindered(laid: Laid, stops: Stops | None = None) -> Hindered:
    """What is in the way, of a composition of which nothing keeps everything."""
    asked = laid.asked
    ends: list[End] = []
    paired = True
    tastes: tuple[str, ...] = ()
    try:
        paired = _best(laid, (), asked.tastes, None, stops)[0]
        if not paired:
            tastes = tuple(
                taste for taste in asked.tastes if not _best(laid, (), (taste,), None, stops)[0]
            )
            return Hindered(paired=False, tastes=tastes, ends=())
        each = [(limit, end) for limit in asked.limits for end in _ends(limit)]
        for limit, end in each:
            _, best = _best(laid, (), asked.tastes, _aim(limit, end), stops)
            ends.append(End(figure=limit.figure, end=end, asked=_value(limit, end), alone=best))
        if any(one.out_of_reach for one in ends):
            return Hindered(paired=True, tastes=(), ends=tuple(ends))
        for at, (limit, end) in enumerate(each):
            others = _without(asked.limits, limit, end)
            _, best = _best(laid, others, asked.tastes, _aim(limit, end), stops)
            ends[at] = replace(ends[at], beside=best)
    except _StoppedError:
        return Hindered(paired=paired, tastes=tastes, ends=tuple(ends), stopped=True)
    return Hindered(paired=True, tastes=(), ends=tuple(ends))


def told_of(why: Hindered, words: Mapping[str, str] | None = None) -> tuple[str, ...]:
    """In sentences, rounded to the bad side; figures by the document's names, or by ``words``."""
    names = {} if words is None else words
    if not why.paired:
        lack = [f"No dish that keeps its pairings is {taste}." for taste in why.tastes]
        return tuple(lack) or ("No dish keeps every pairing and has all the tastes asked for.",)
    out = [one for one in why.ends if one.out_of_reach]
    if out:
        return tuple(_alone(one, names) for one in out)
    near = [one for one in why.ends if one.beside is not None]
    if near:
        return (
            "Each limit can be kept by itself, all of them together by no dish. Widen one of them "
            "so far, and a dish keeps all:",
            *(_beside(one, names) for one in near),
        )
    if why.stopped or not why.ends:
        return ("Stopped before it was known which limit is in the way.",) if why.stopped else ()
    return ("Each limit can be kept by itself; even with any one of them left out, no dish keeps "
            "the others.",)  # fmt: skip


def _best(
    laid: Laid,
    limits: tuple[Limit, ...],
    tastes: tuple[str, ...],
    aim: Aim | None,
    stops: Stops | None,
) -> tuple[bool, float | None]:
    """Whether some dish keeps all these, and the best of the aim among them."""
    aims = (aim or Aim(figure="mass_g", better="less", step=0.0),)
    fewest = min(laid.asked.parts, key=lambda part: len(part.foods)).name
    asked = replace(laid.asked, limits=limits, tastes=tastes, aims=aims, kind=(fewest,))
    sweep = Sweep(replace(laid, asked=asked))
    for seen in sweep.run():
        if stops is not None and stops(seen, laid.combinations):
            raise _StoppedError
    if not sweep.fitting or not len(sweep.front):
        return bool(sweep.fitting), None
    best = float(sweep.front.points[:, 0].max())
    if best <= -FAR:
        return True, None
    return True, best if aims[0].better == "more" else -best


def _aim(limit: Limit, end: Literal["least", "most"]) -> Aim:
    return Aim(figure=limit.figure, better="more" if end == "least" else "less", step=0.0)


def _ends(limit: Limit) -> tuple[Literal["least", "most"], ...]:
    least: tuple[Literal["least", "most"], ...] = () if limit.least is None else ("least",)
    return (*least, *(() if limit.most is None else ("most",)))


def _value(limit: Limit, end: Literal["least", "most"]) -> float:
    value = limit.least if end == "least" else limit.most
    assert value is not None
    return value


def _without(
    limits: tuple[Limit, ...], gone: Limit, end: Literal["least", "most"]
) -> tuple[Limit, ...]:
    """All limits but this end of this one."""
    rest = replace(gone, least=None) if end == "least" else replace(gone, most=None)
    kept = (rest,) if rest.least is not None or rest.most is not None else ()
    return tuple(one for limit in limits for one in (kept if limit is gone else (limit,)))


def _alone(one: End, names: Mapping[str, str]) -> str:
    if one.alone is None:
        return f"{_wanted(one, names)}: it is known of no dish, and the unknown keeps no limit."
    word = "most that any dish reaches" if one.end == "least" else "least that any dish has"
    return f"{_wanted(one, names)}: the {word} is {_figure(one, one.alone)}."


def _beside(one: End, names: Mapping[str, str]) -> str:
    assert one.beside is not None
    return f"{_wanted(one, names)}: with the others kept {_figure(one, one.beside)} is to be had."


def _wanted(one: End, names: Mapping[str, str]) -> str:
    return f"{names.get(one.figure, one.figure)} at {one.end} {one.asked:g}"


def _figure(one: End, value: float) -> str:
    """Rounded away from what is asked, so that no figure looks as if it were kept."""
    digits = 2 if one.figure in _HUNDREDTHS else 1
    scaled = value * 10**digits
    whole = floor(scaled + 1e-6) if one.end == "least" else ceil(scaled - 1e-6)
    return f"{whole / 10**digits:g}"
