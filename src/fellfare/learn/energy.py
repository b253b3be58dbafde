"""What does body mass say of somebody's walking energy?  Little after one trip, and so it is told.

    walking factor = (eaten + lost mass x its energy - everything but walking) / walking

with the model's own figures for the parts.  Energy of lost mass 7 000 +/- 1 500 kcal/kg
(a judgement between lean and fat people; 7 700 is for fat ones [HALL-2008]); what was eaten is
known to 4 %, the rest of the day to 5 %, body mass to what the log says.  A normal belief is
moved by a normal observation (:func:`fellfare.learn.belief.updated`).

Who was hungry and yet came home heavier did not eat too much: swollen feet and hands, salt and
glycogen hold water by the kilogram after long days.  Such a gain is weighed with that doubt
(:data:`WATER_KG`, a judgement), and what is written down for that walker never falls.
"""

from __future__ import annotations

from math import hypot, sqrt
from typing import Final

from msgspec import Struct

from fellfare.learn.belief import Belief, updated
from fellfare.mistake import Mistake

LOST_KCAL_PER_KG: Final = 7000.0
LOST_SD_KCAL_PER_KG: Final = 1500.0
INTAKE_ERROR: Final = 0.04
REST_ERROR: Final = 0.05
#: Below so many days water and glycogen drown the signal.
LEAST_DAYS: Final = 4
#: Water, besides the log's own error, in a gain of somebody who was hungry [kg] (judgement).
WATER_KG: Final = 2.0
#: Walking factor before anything was seen.
PRIOR: Final = Belief(1.0, 0.15)


class Balance(Struct, frozen=True, kw_only=True):
    """One walker's trip in sums over all days."""

    days: int
    eaten_kcal: float
    #: The model's walking, at the walker's factor so far, and everything else.
    walking_kcal: float
    other_kcal: float
    lost_kg: float
    lost_error_kg: float


class EnergyLearnt(Struct, frozen=True, kw_only=True):
    """The factor before and after."""

    before: Belief
    after: Belief
    #: What this trip alone says; None when it was too short to say anything.
    seen: Belief | None
    #: Body mass went up though the walker was hungry: weighed as water.
    water: bool = False


def learn_energy(
    balance: Balance, factor: float, before: Belief = PRIOR, *, hungry: bool = False
) -> EnergyLearnt:
    """The walking factor after one trip.

    Parameters
    ----------
    balance
        Sums of the trip; walking reckoned at ``factor``.
    factor
        The walker's ``energy_factor`` with which the plan was made.
    before
        Belief in the factor before the trip.
    hungry
        Whether the walker was hungry on any day.

    Raises
    ------
    Mistake
        ``balance-out-of-range``: nothing was walked, or a sum is below zero.
    """
    sums = (balance.eaten_kcal, balance.walking_kcal, balance.other_kcal, balance.lost_error_kg)
    if balance.days < 1 or not all(0.0 < x < 1e7 for x in sums) or abs(balance.lost_kg) > 50:
        raise Mistake(
            "balance-out-of-range",
            "a trip without walking, food or days, or a figure below zero",
            "give sums over the whole trip",
        )
    water = hungry and balance.lost_kg < 0
    if balance.days < LEAST_DAYS:
        return EnergyLearnt(before=before, after=before, seen=None, water=water)
    error_kg = hypot(balance.lost_error_kg, WATER_KG) if water else balance.lost_error_kg
    walking = balance.walking_kcal / factor
    spent = balance.eaten_kcal + LOST_KCAL_PER_KG * balance.lost_kg
    seen = (spent - balance.other_kcal) / walking
    sd = (
        sqrt(
            (LOST_KCAL_PER_KG * error_kg) ** 2
            + (balance.lost_kg * LOST_SD_KCAL_PER_KG) ** 2
            + (INTAKE_ERROR * balance.eaten_kcal) ** 2
            + (REST_ERROR * balance.other_kcal) ** 2
        )
        / walking
    )
    return EnergyLearnt(
        before=before, after=updated(before, seen, sd), seen=Belief(seen, sd), water=water
    )
