"""Who carries which bag, so that it is fair on every morning?"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from math import isfinite, prod
from typing import Any, Final, Literal, TypeAlias

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from fellfare.mistake import Finding, Mistake
from fellfare.provision.bags.plan import PlannedBag

#: Up to so many assignments everything is tried; above, greedy with mending.
EXACT_TRIALS: Final = 3_000
#: Rounds of mending after the greedy start.
_ROUNDS: Final = 300
#: Differences below are rounding [g].
_SAME_G: Final = 1e-6

#: A pack of a fifth of the body's mass is a usual upper limit for walkers in training:
#: common practice, no source; school and youth groups go lower.
LIMIT_SHARE: Final = 0.20


Array: TypeAlias = NDArray[np.float64]
Places: TypeAlias = NDArray[np.signedinteger[Any]]


class Carrier(Struct, frozen=True, kw_only=True):
    """One person who carries."""

    name: str
    #: Body mass [kg]; gives the share when none is stated.
    body_kg: float | None = None
    #: Stated share of the food, in any unit common to all; None = by body mass.
    share: float | None = None
    #: Pack without food and fuel [g]; None = not known, then no limit is checked.
    base_g: float | None = None
    #: Most that the whole pack may weigh, as a share of the body mass.
    limit_share: float = LIMIT_SHARE


class Carried(Struct, frozen=True, kw_only=True):
    """What one person carries."""

    name: str
    #: Fair part of the food, 0 to 1.
    share: float
    #: Numbers of the bags, in the order in which they are eaten.
    bags: tuple[int, ...]
    #: (day, food carried that morning before breakfast [g]).
    morning_g: tuple[tuple[int, float], ...]


class Assignment(Struct, frozen=True, kw_only=True):
    """Bags of one carry, divided."""

    leg: int
    carriers: tuple[Carried, ...]
    #: The most that anybody carries above their fair part on any morning [g].
    unfair_g: float
    #: No division can be fairer than this [g].
    bound_g: float
    method: Literal["exact", "greedy"]
    findings: tuple[Finding, ...]


def carrying(
    bags: Sequence[PlannedBag],
    carriers: Sequence[Carrier],
    owners: Mapping[int, str] | None = None,
    barred: Mapping[int, Collection[str]] | None = None,
) -> tuple[Assignment, ...]:
    """One assignment for each carry of the plan.

    What is minimised is the most that anybody carries above their fair part,
    over all mornings: so the packs also empty evenly.  Everything is tried when
    there are few bags (``method`` says 'exact'); otherwise bags go, from the
    last day back to the first and heavy before light, to whoever is furthest
    below their part, and then single bags are moved and swapped as long as that
    helps ('greedy', with ``bound_g`` beside it).

    Parameters
    ----------
    bags, carriers
        What is carried, and by whom it may be.
    owners
        Number of a bag to who carries it whatever is fair.
    barred
        Number of a bag to those who do not carry it, as long as anybody else can.

    Raises
    ------
    Mistake
        ``no-carrier``, ``carrier-twice``, ``share-out-of-range``,
        ``body-mass-unknown``.
    """
    shares = _shares(carriers)
    legs = sorted({bag.leg for bag in bags})
    return tuple(
        _assign(
            leg,
            [bag for bag in bags if bag.leg == leg],
            carriers,
            shares,
            owners or {},
            barred or {},
        )
        for leg in legs
    )


def _shares(carriers: Sequence[Carrier]) -> list[float]:
    if not carriers:
        raise Mistake("no-carrier", "nobody carries", "name at least one carrier")
    names = [one.name for one in carriers]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise Mistake(
            "carrier-twice", f"{twice!r} carries twice", "give everybody a name of their own"
        )
    stated = [one.share for one in carriers]
    weights: list[float] = []
    for one in carriers:
        weight = one.share
        if weight is None and any(share is not None for share in stated):
            raise Mistake(
                "share-out-of-range",
                what="some shares are stated and others are not",
                mend="state a share for everybody, or for nobody",
                where=one.name,
            )
        if weight is None:
            weight = one.body_kg
        if weight is None:
            raise Mistake(
                "body-mass-unknown",
                what="neither a share nor a body mass is told",
                mend="give body_kg, or a share for everybody",
                where=one.name,
            )
        top = 1000.0
        if not (isfinite(weight) and 0.0 <= weight <= top):
            raise Mistake(
                "share-out-of-range",
                what=f"a share or body mass of {weight:g} is outside 0 to {top:g}",
                mend="give zero or more; zero carries nothing",
                where=one.name,
            )
        if not (isfinite(one.limit_share) and 0.0 < one.limit_share <= 1.0):
            raise Mistake(
                "share-out-of-range",
                what=f"a limit of {one.limit_share:g} of the body mass",
                mend="give a share: 0.2 for a fifth",
                where=one.name,
            )
        weights.append(weight)
    total = sum(weights)
    if not total > 0:
        raise Mistake("share-out-of-range", "all shares are zero", "somebody has to carry")
    return [weight / total for weight in weights]


class _Load:
    """How much everybody carries each morning; kept up to date bag by bag."""

    def __init__(self, bags: Sequence[PlannedBag], shares: Sequence[float]) -> None:
        self.days = sorted({bag.day for bag in bags})
        self.shares = shares
        self.total = [sum(b.gross_g for b in bags if b.day >= day) for day in self.days]
        self.grams = [[0.0] * len(self.days) for _ in shares]

    def add(self, who: int, bag: PlannedBag, sign: float = 1.0) -> None:
        """The bag lies in the pack every morning until its own day."""
        for place, day in enumerate(self.days):
            if day <= bag.day:
                self.grams[who][place] += sign * bag.gross_g

    def unfair(self) -> float:
        """The most that anybody carries above their part on any morning [g]."""
        return max(
            grams - share * total
            for mine, share in zip(self.grams, self.shares, strict=True)
            for grams, total in zip(mine, self.total, strict=True)
        )

    def squares(self) -> float:
        """Breaks ties: the sum of squares of all excesses and shortfalls."""
        return sum(
            (grams - share * total) ** 2
            for mine, share in zip(self.grams, self.shares, strict=True)
            for grams, total in zip(mine, self.total, strict=True)
        )

    def measure(self) -> tuple[float, float]:
        """What is made as small as possible."""
        return self.unfair(), self.squares()


def _assign(
    leg: int,
    bags: Sequence[PlannedBag],
    carriers: Sequence[Carrier],
    shares: Sequence[float],
    owners: Mapping[int, str],
    barred: Mapping[int, Collection[str]],
) -> Assignment:
    able = [place for place, share in enumerate(shares) if share > 0]
    names = [one.name for one in carriers]
    order = sorted(bags, key=lambda bag: (-bag.day, -bag.gross_g))
    fixed = [names.index(owners[b.number]) if b.number in owners else None for b in order]
    may = [
        [who]
        if who is not None
        else _may(able, [names[w] in barred.get(b.number, ()) for w in able])
        for b, who in zip(order, fixed, strict=True)
    ]
    exact = prod(len(some) for some in may) <= EXACT_TRIALS
    owner = (_all if exact else _greedy)(order, shares, may)
    load = _Load(bags, shares)
    for bag, who in zip(order, owner, strict=True):
        load.add(who, bag)
    carried = tuple(
        Carried(
            name=one.name,
            share=shares[place],
            bags=tuple(
                sorted(b.number for b, who in zip(order, owner, strict=True) if who == place)
            ),
            morning_g=tuple(zip(load.days, load.grams[place], strict=True)),
        )
        for place, one in enumerate(carriers)
    )
    return Assignment(
        leg=leg,
        carriers=carried,
        unfair_g=max(0.0, load.unfair()),
        bound_g=_bound(load, bags, able),
        method="exact" if exact else "greedy",
        findings=tuple(
            finding
            for one, mine in zip(carriers, carried, strict=True)
            for finding in _too_heavy(one, mine)
        ),
    )


def _may(able: Sequence[int], barred: Sequence[bool]) -> list[int]:
    """Who may carry a bag: those who are not barred from it; all, where everybody is."""
    return [who for who, no in zip(able, barred, strict=True) if not no] or list(able)


def _all(
    order: Sequence[PlannedBag], shares: Sequence[float], may: Sequence[Sequence[int]]
) -> list[int]:
    """Everything tried, with nothing cut off but what is no better already."""
    load = _Load(order, shares)
    best: list[tuple[tuple[float, float], list[int]]] = []

    def place(number: int, owner: list[int]) -> None:
        if number == len(order):
            measure = load.measure()
            if not best or measure < best[0][0]:
                best[:] = [(measure, list(owner))]
            return
        for who in may[number]:
            load.add(who, order[number])
            # Loads only grow: a branch above the best is lost.
            if not best or load.unfair() <= best[0][0][0] + 1e-9:
                place(number + 1, [*owner, who])
            load.add(who, order[number], -1.0)

    place(0, [])
    return best[0][1]


def _greedy(
    order: Sequence[PlannedBag], shares: Sequence[float], may: Sequence[Sequence[int]]
) -> list[int]:
    load = _Load(order, shares)
    owner = [some[0] if len(some) == 1 else -1 for some in may]
    for bag, who in zip(order, owner, strict=True):
        if who >= 0:
            load.add(who, bag)
    for place, bag in enumerate(order):
        if owner[place] >= 0:
            continue
        first = [at for at, day in enumerate(load.days) if day <= bag.day][-1]
        who = min(may[place], key=lambda w: (load.grams[w][first] + bag.gross_g) / shares[w])
        load.add(who, bag)
        owner[place] = who
    fits = np.array([[who in some for who in range(len(shares))] for some in may])
    return _mended(order, owner, load, fits)


def _mended(
    order: Sequence[PlannedBag],
    owner: Sequence[int],
    load: _Load,
    fits: NDArray[np.bool_],
) -> list[int]:
    """The owners after the best single move, else the best swap, as long as one helps."""
    excess = np.array(load.grams) - np.outer(load.shares, load.total)  # carriers x mornings
    lies = np.array([[bag.gross_g * (day <= bag.day) for day in load.days] for bag in order])
    owners = np.array(owner)
    for _ in range(_ROUNDS):
        if not (fits.sum(axis=1) > 1).any():
            break
        one = _moved(excess, lies, owners, fits)
        if not (one or _swapped(excess, lies, owners, fits)):
            break
    return [int(who) for who in owners]


def _moved(excess: Array, lies: Array, owners: Places, fits: NDArray[np.bool_]) -> bool:
    """Give the one bag to the one person that helps most; False when nothing helps."""
    tried = [
        (_measures(excess, owners, lies, np.full_like(owners, who)), who)
        for who in np.flatnonzero(fits.any(axis=0)).tolist()
        if bool((fits[:, who] & (owners != who)).any())
    ]
    for (unfair, _), who in tried:
        unfair[(owners == who) | ~fits[:, who]] = np.inf
    best = _best([measures for measures, _ in tried], excess)
    if best is None:
        return False
    at, bag = best
    who = tried[at][1]
    excess[owners[bag]] -= lies[bag]
    excess[who] += lies[bag]
    owners[bag] = who
    return True


def _swapped(excess: Array, lies: Array, owners: Places, fits: NDArray[np.bool_]) -> bool:
    """Swap the two bags that help most, one of them from who carries most above their part."""
    worst = int(excess.max(axis=1).argmax())
    free = fits.sum(axis=1) > 1
    mine = np.flatnonzero((owners == worst) & free)
    others = np.flatnonzero((owners != worst) & fits[:, worst] & free)
    if not len(mine) or not len(others):
        return False
    tried = [
        _measures(excess, owners[others], lies[others] - lies[bag], np.full(len(others), worst))
        for bag in mine
    ]
    for bag, (unfair, _) in zip(mine, tried, strict=True):
        unfair[~fits[bag, owners[others]]] = np.inf
    best = _best(tried, excess)
    if best is None:
        return False
    one, other = int(mine[best[0]]), int(others[best[1]])
    gives = lies[one] - lies[other]
    excess[worst] -= gives
    excess[owners[other]] += gives
    owners[one], owners[other] = owners[other], owners[one]
    return True


def _measures(excess: Array, source: Places, lies: Array, to: Places) -> tuple[Array, Array]:
    """(unfair, squares) after each bag alone goes from its ``source`` to ``to``."""
    after = np.repeat(excess[None], len(lies), axis=0)
    rows = np.arange(len(lies))
    np.subtract.at(after, (rows, source), lies)
    np.add.at(after, (rows, to), lies)
    return after.max(axis=(1, 2)), (after**2).sum(axis=(1, 2))


def _best(tried: Sequence[tuple[Array, Array]], excess: Array) -> tuple[int, int] | None:
    """Place of the least (unfair, squares), if it is less than now; the first on a tie."""
    now = (float(excess.max()), float((excess**2).sum()))
    best: tuple[tuple[float, float], tuple[int, int]] | None = None
    for at, (unfair, squares) in enumerate(tried):
        if not np.isfinite(unfair.min()):
            continue
        least = np.flatnonzero(unfair <= unfair.min() + _SAME_G)
        place = int(least[squares[least].argmin()])
        measure = (float(unfair[place]), float(squares[place]))
        if best is None or measure < best[0]:
            best = (measure, (at, place))
    if best is None:
        return None
    (unfair_g, square), found = best
    better = unfair_g < now[0] - _SAME_G or (
        unfair_g <= now[0] + _SAME_G and square < now[1] - _SAME_G
    )
    return found if better else None


def _bound(load: _Load, bags: Sequence[PlannedBag], able: Sequence[int]) -> float:
    """On each morning somebody carries the heaviest bag: at least that much above their part."""
    bound = 0.0
    for place, day in enumerate(load.days):
        heaviest = max(bag.gross_g for bag in bags if bag.day >= day)
        best = min(heaviest - load.shares[who] * load.total[place] for who in able)
        bound = max(bound, best)
    return bound


def _too_heavy(one: Carrier, mine: Carried) -> list[Finding]:
    if one.base_g is None or one.body_kg is None or not mine.morning_g:
        return []
    day, food_g = max(mine.morning_g, key=lambda morning: morning[1])
    pack_g, most_g = one.base_g + food_g, one.limit_share * one.body_kg * 1000.0
    if pack_g <= most_g:
        return []
    return [
        Finding(
            severity="caution",
            rule="pack-too-heavy",
            text=f"{one.name} carries {pack_g / 1000:.1f} kg on the morning of day {day}, "
            f"{pack_g / one.body_kg / 10:.0f} % of body mass; the limit set is "
            f"{one.limit_share:.0%} ({most_g / 1000:.1f} kg).  Water and fuel come on top.",
            source="the limit is the person's own; a fifth is common practice, no source",
            about=(one.name,),
        )
    ]
