"""What is on the back, and when?  The load through the day.

It falls at each meal, rises at each stop where food is taken up and at each
water point.  The way is cut at every such place into *stretches*; within a
stretch only water falls, in a straight line, so its mean load is exact.

Who is *aboard* is a plain table: for each stretch and each day, the share of
that day's food which is on the back.  A day's food is never aboard after that
day, so the table is triangular, and so is the whole dependence of need on food.
"""

from __future__ import annotations

from bisect import bisect_right
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from fellfare.mistake import Mistake
from fellfare.walk.figures import Array
from fellfare.walk.legs import Legs

#: Water is drunk down to this before the next source [mL] (judgement).
RESERVE_ML: Final = 250.0
#: Mean water on the back when no water point is given [mL] (judgement).
ASSUMED_WATER_ML: Final = 1000.0


class Meal(Struct, frozen=True, kw_only=True):
    """Food eaten at one place of a day."""

    #: Distance walked that day when it is eaten [m]; 0 before setting off.
    at_m: float
    #: Share of the day's food mass, 0 to 1.
    share: float


class Water(Struct, frozen=True, kw_only=True):
    """A place that one leaves with this much water: a source, or a dry camp."""

    #: Distance walked that day [m]; 0 for the camp where the day begins.
    at_m: float
    leaves_with_ml: float


class Resupply(Struct, frozen=True, kw_only=True):
    """A place where the food for all that follows is taken up: shop, hut, box.

    A meal at the very same place is eaten out of the new food.
    """

    day: int
    #: Distance walked that day [m].
    at_m: float = 0.0


class DayLoad(Struct, frozen=True, kw_only=True):
    """Meals and water of one day.

    Raises
    ------
    Mistake
        ``meals-not-whole`` when the shares do not add up to 1,
        ``place-out-of-range``, ``water-out-of-range``.
    """

    day: int
    meals: tuple[Meal, ...]
    #: None = nothing is known: :data:`ASSUMED_WATER_ML` all day.
    water: tuple[Water, ...] | None = None

    def __post_init__(self) -> None:
        where = f"day {self.day}"
        shares = [meal.share for meal in self.meals]
        if not (abs(sum(shares) - 1.0) < 1e-6 and all(0 <= share <= 1 for share in shares)):
            raise Mistake(
                "meals-not-whole",
                what=f"the meals hold {sum(shares):.4g} of the day's food",
                mend="give shares from 0 to 1 that add up to 1",
                where=where,
            )
        places = [meal.at_m for meal in self.meals]
        for water in self.water or ():
            places.append(water.at_m)
            if not 0 <= water.leaves_with_ml <= 20_000:
                raise Mistake(
                    "water-out-of-range",
                    what=f"{water.leaves_with_ml:g} mL of water is not carried",
                    mend="give millilitres, at most 20 000",
                    where=where,
                )
        if not all(0 <= place <= 1e6 for place in places):
            raise Mistake(
                "place-out-of-range",
                what="a meal or water point lies off the day's way",
                mend="give metres walked that day, 0 at the start",
                where=where,
            )


#: Breakfast, three bites under way, lunch, dinner: shares of the day's food and
#: of the day's way.  By energy, common practice: breakfast 20-25 %, lunch and
#: snacks 40-50 %, dinner 25-35 %.
USUAL_MEALS: Final = (
    (0.0, 0.22), (0.25, 0.08), (0.5, 0.20), (0.7, 0.08), (0.85, 0.08), (1.0, 0.34),
)  # fmt: skip


def usual_day(day: int, length_m: float, water: tuple[Water, ...] | None = None) -> DayLoad:
    """A day with the usual meals, spread over its ``length_m`` metres (0 on a zero day)."""
    meals = tuple(Meal(at_m=part * length_m, share=share) for part, share in USUAL_MEALS)
    return DayLoad(day=day, meals=meals, water=water)


class Stretches(Struct, frozen=True, kw_only=True, eq=False):
    """The way cut where the load changes, S stretches on D days; and the pieces of legs in them."""

    #: Day index of each stretch, 0 for the first day; never falls (S).
    day: NDArray[np.int64]
    #: From where to where on that day [m] (S).
    from_m: Array
    to_m: Array
    #: Water on the back at the start and the end of the stretch [kg] (S).
    water_start_kg: Array
    water_end_kg: Array
    #: Share of each day's food that is on the back (S, D).
    aboard: Array
    #: Pieces of legs: which stretch, how far [m], grade, terrain factor (P).
    piece_stretch: NDArray[np.int64]
    piece_m: Array
    piece_grade: Array
    piece_eta: Array

    @property
    def water_kg(self) -> Array:
        """Mean water on the back [kg] (S)."""
        return 0.5 * (self.water_start_kg + self.water_end_kg)


def stretches_of(
    legs: Legs | None, days: tuple[DayLoad, ...], stops: tuple[Resupply, ...] = ()
) -> Stretches:
    """Cut the legs at meals, water points and stops.

    Parameters
    ----------
    legs
        All legs of the walk; None when there are only zero days.
    days
        One entry per day, zero days too, numbered 1, 2, 3 ...
    stops
        Where food is taken up; the start of day 1 always counts as one.

    Raises
    ------
    Mistake
        ``days-not-in-order``, ``stop-off-the-walk``.
    """
    count = len(days)
    if [day.day for day in days] != list(range(1, count + 1)) or (
        legs is not None and int(legs.day[-1]) > count
    ):
        raise Mistake(
            "days-not-in-order",
            what="the days do not run 1, 2, 3 ... to the last day walked",
            mend="give one entry for every day, zero days too",
        )
    if not all(1 <= stop.day <= count and 0 <= stop.at_m <= 1e6 for stop in stops):
        raise Mistake(
            "stop-off-the-walk",
            what="a stop lies on no day of the walk",
            mend=f"give a day from 1 to {count} and the metres walked on it",
        )
    cut = [_cut_day(legs, load, stops) for load in days]
    day = np.concatenate([np.full(len(c[0]), d, dtype=np.int64) for d, c in enumerate(cut)])
    from_m = np.concatenate([c[0] for c in cut])
    to_m = np.concatenate([c[1] for c in cut])
    offsets = np.cumsum([0, *(len(c[0]) for c in cut)])
    return Stretches(
        day=day,
        from_m=from_m,
        to_m=to_m,
        water_start_kg=np.concatenate([c[2] for c in cut]),
        water_end_kg=np.concatenate([c[3] for c in cut]),
        aboard=_aboard(day, from_m, to_m, days, stops),
        piece_stretch=np.concatenate([c[4] + offsets[d] for d, c in enumerate(cut)]),
        piece_m=np.concatenate([c[5] for c in cut]),
        piece_grade=np.concatenate([c[6] for c in cut]),
        piece_eta=np.concatenate([c[7] for c in cut]),
    )


_Cut = tuple[Array, Array, Array, Array, NDArray[np.int64], Array, Array, Array]


def _cut_day(legs: Legs | None, load: DayLoad, stops: tuple[Resupply, ...]) -> _Cut:
    """from, to, water at start and end, then the pieces: stretch, length, grade, eta."""
    todays = None if legs is None else legs.on_day(load.day)
    none = np.zeros(0)
    if todays is None:
        return none, none, none, none, np.zeros(0, dtype=np.int64), none, none, none
    ends = np.cumsum(todays.distance_m)
    length = float(ends[-1])
    places = [meal.at_m for meal in load.meals]
    places += [water.at_m for water in load.water or ()]
    places += [stop.at_m for stop in stops if stop.day == load.day]
    inner = np.unique([place for place in places if 0 < place < length * (1 - 1e-9)])
    edges = np.concatenate([[0.0], inner, [length]])
    cuts = np.unique(np.concatenate([edges, ends[:-1]]))
    lengths = np.diff(cuts)
    middles = cuts[:-1] + 0.5 * lengths
    leg = np.minimum(np.searchsorted(ends, middles), len(todays) - 1)
    stretch = np.searchsorted(edges[1:-1], middles).astype(np.int64)
    start_kg, end_kg = _water_kg(edges, load.water)
    return (
        edges[:-1], edges[1:], start_kg, end_kg,
        stretch, lengths, todays.grade[leg], todays.eta[leg],
    )  # fmt: skip


def _water_kg(edges: Array, points: tuple[Water, ...] | None) -> tuple[Array, Array]:
    """Water at the start and the end of each stretch [kg]; 1 mL is 1 g."""
    if points is None:
        flat = np.full(len(edges) - 1, ASSUMED_WATER_ML / 1000.0)
        return flat, flat
    ordered = sorted(points, key=lambda point: point.at_m)
    places = [point.at_m for point in ordered] + [max(float(edges[-1]), ordered[-1].at_m + 1.0)
                                                  if ordered else float(edges[-1])]  # fmt: skip
    start, end = np.empty(len(edges) - 1), np.empty(len(edges) - 1)
    for k in range(len(edges) - 1):
        middle = 0.5 * (edges[k] + edges[k + 1])
        n = bisect_right(places, middle, hi=len(ordered)) - 1
        if n < 0:
            start[k] = end[k] = RESERVE_ML
            continue
        full = ordered[n].leaves_with_ml
        low = min(full, RESERVE_ML)
        span = places[n + 1] - places[n]
        start[k] = full + (low - full) * (edges[k] - places[n]) / span
        end[k] = full + (low - full) * (edges[k + 1] - places[n]) / span
    return start / 1000.0, end / 1000.0


def _aboard(
    day: NDArray[np.int64],
    from_m: Array,
    to_m: Array,
    days: tuple[DayLoad, ...],
    stops: tuple[Resupply, ...],
) -> Array:
    """Share of each day's food on the back in each stretch (S, D)."""
    takes = sorted({(0, 0.0), *((stop.day - 1, stop.at_m) for stop in stops)})
    aboard = np.zeros((len(day), len(days)))
    starts = list(zip(day.tolist(), from_m.tolist(), strict=True))
    ends = list(zip(day.tolist(), to_m.tolist(), strict=True))
    for d, load in enumerate(days):
        for meal in load.meals:
            # A meal past the last metre is eaten in camp, after every stretch of the day.
            eaten = (d, meal.at_m)
            taken = max(take for take in takes if take <= eaten)
            for s, (begin, end) in enumerate(zip(starts, ends, strict=True)):
                if taken <= begin and end <= (eaten[0], eaten[1] * (1 + 1e-9) + 1e-9):
                    aboard[s, d] += meal.share
    return aboard
