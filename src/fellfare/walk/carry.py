"""How much food, when the food itself must be carried?  The backward pass.

Food for later days burdens every day before it, never the other way round.  So
the last day is settled first, alone; then the day before, and so on: one plain
number per walker and day, each by a contraction of about half a per cent.

The whole map is a contraction too and may be swept from any start; that, and
a closed form like compound interest, are kept as checks.  Honest size of it:
the coupling changes the total food of a week by about two per cent.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.walk.demand import Demand, day_need, need_kcal
from fellfare.walk.figures import Array, Figure

#: Settled when no mass moves by more than this [kg]: a millionth of a gram.
SETTLED_KG: Final = 1e-9
_MOST_ROUNDS: Final = 60


class Settled(Struct, frozen=True, kw_only=True, eq=False):
    """Food and need that agree; arrays are walkers x days (W, D)."""

    #: Food of each day on each back [kg].
    food_kg: Array
    #: Need of each day under that load [kcal].
    need_kcal: Array
    #: Most rounds that one day (backward) or the whole (sweeps) took.
    rounds: int
    #: Largest mass by which food and coverage x need / density still differ [kg].
    residual_kg: float


def settle(demand: Demand, *, kcal_per_g: Figure, coverage: Figure = 1.0) -> Settled:
    """Food of every day for a given energy density, last day first.

    Parameters
    ----------
    demand
        From :func:`~fellfare.walk.demand.demand_of`.
    kcal_per_g
        Energy of a gram of food as packed, 0.5 to 9; broadcasts over (W, D).
    coverage
        Share of the need that is to be carried (times appetite, if wished),
        0 to 2; broadcasts over (W, D).

    Raises
    ------
    Mistake
        ``density-out-of-range``, ``coverage-out-of-range``,
        ``need-does-not-settle`` (a load far outside any walker's).
    """
    per_kcal = _kg_per_kcal(demand, kcal_per_g, coverage)
    food = np.zeros_like(per_kcal)
    most = 0
    for day in reversed(range(food.shape[1])):
        begin, end = int(demand.bounds[day]), int(demand.bounds[day + 1])
        later = demand.aboard[begin:end, day + 1 :]
        fixed = demand.fixed_kg[:, begin:end] + food[:, day + 1 :] @ later.T
        own = demand.aboard[begin:end, day][None, :]
        mass = np.zeros(food.shape[0])
        rounds, step = 0, np.full(1, np.inf)
        while np.abs(step).max() > SETTLED_KG:
            if (rounds := rounds + 1) > _MOST_ROUNDS:
                raise _unsettled()
            need = day_need(demand, fixed + own * mass[:, None], day)
            step = per_kcal[:, day] * need - mass
            mass = mass + step
        most = max(most, rounds)
        food[:, day] = mass
    return _settled(demand, food, per_kcal, most)


def settle_by_sweeps(demand: Demand, *, kcal_per_g: Figure, coverage: Figure = 1.0) -> Settled:
    """The same by sweeping all days at once from nothing; the check of :func:`settle`."""
    per_kcal = _kg_per_kcal(demand, kcal_per_g, coverage)
    food = np.zeros_like(per_kcal)
    for rounds in range(1, _MOST_ROUNDS + 1):
        new = per_kcal * need_kcal(demand, food)
        step = float(np.abs(new - food).max())
        food = new
        if step <= SETTLED_KG:
            return _settled(demand, food, per_kcal, rounds)
    raise _unsettled()


def compound_food_kcal(
    *, need_kcal: float, slope_kcal_per_kg: float, kcal_per_kg: float, days: int, own_share: float
) -> float:
    """Closed form: food of one carry [kcal] when need is a straight line in load.

    F = c ((1 + kappa)^N - 1) / kappa, kappa = (k/rho) / (1 - k m/rho),
    c = a / (1 - k m/rho): food ahead costs interest, about 0.6 % a day.

    Parameters
    ----------
    need_kcal
        a, need of a day without food on the back [kcal].
    slope_kcal_per_kg
        k, what a kilogram adds to a day [kcal/kg].
    kcal_per_kg
        rho, energy of the packed food [kcal/kg].
    days
        N.
    own_share
        m, share of the day's own food that is on the back, mean over the way.

    Raises
    ------
    Mistake
        ``need-does-not-settle`` when k m is not below rho.
    """
    k, rho, m = slope_kcal_per_kg, kcal_per_kg, own_share
    if not (0 <= k * m < rho and days >= 0):
        raise _unsettled()
    kappa = (k / rho) / (1.0 - k * m / rho)
    c = need_kcal / (1.0 - k * m / rho)
    if kappa == 0:
        return c * days
    return float(c * ((1.0 + kappa) ** days - 1.0) / kappa)


def _settled(demand: Demand, food: Array, per_kcal: Array, rounds: int) -> Settled:
    need = need_kcal(demand, food)
    residual = float(np.abs(per_kcal * need - food).max())
    return Settled(food_kg=food, need_kcal=need, rounds=rounds, residual_kg=residual)


def _kg_per_kcal(demand: Demand, kcal_per_g: Figure, coverage: Figure) -> Array:
    shape = demand.quiet_kcal.shape
    density = np.broadcast_to(np.asarray(kcal_per_g, dtype=np.float64), shape)
    share = np.broadcast_to(np.asarray(coverage, dtype=np.float64), shape)
    if not ((density >= 0.5) & (density <= 9.0)).all():
        raise Mistake(
            "density-out-of-range",
            what="an energy density lies outside 0.5 to 9 kcal per gram",
            mend="give kcal per gram as packed: 4.4 is usual, oil has 9",
        )
    if not ((share >= 0) & (share <= 2)).all():
        raise Mistake(
            "coverage-out-of-range",
            what="a coverage lies outside 0 to 2",
            mend="give the share of the need to carry, 0.8 for four fifths",
        )
    return share / (1000.0 * density)


def _unsettled() -> Mistake:
    return Mistake(
        "need-does-not-settle",
        what="food and load drive each other up without end",
        mend="carry for fewer days between stops, or food with more energy per gram",
    )
