"""What do the MET tables say?  An upper bound to hold beside the models, no more.

A MET of 7 to 8 tells of brisk walking uphill without a break; times all hours
of a trail day it is 25 to 70 % above the load-carriage models.
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.walk.energy.door import LEAST_BODY_KG, MOST_BODY_KG


class Activity(Struct, frozen=True, kw_only=True):
    """One line of the Compendium; gross, per kg of **body** (the load is in the code)."""

    code: str
    name: str
    met: float


#: Ainsworth et al. 2011, Med Sci Sports Exerc 43:1575-1581, seen in a public
#: machine-readable copy of the 2011 table.  Editions of 1993, 2000 and 2024 differ.
ACTIVITIES: Final = (
    Activity(code="17010", name="backpacking", met=7.0),
    Activity(code="17012", name="backpacking or hiking with a daypack", met=7.8),
    Activity(code="17033", name="climbing hills, no load", met=6.3),
    Activity(code="17035", name="climbing hills, load 0 to 9 lb", met=6.5),
    Activity(code="17040", name="climbing hills, load 10 to 20 lb", met=7.3),
    Activity(code="17050", name="climbing hills, load 21 to 42 lb", met=8.3),
    Activity(code="17060", name="climbing hills, load above 42 lb", met=9.0),
    Activity(code="17070", name="descending stairs", met=3.5),
    Activity(code="17080", name="hiking, cross country", met=6.0),
    Activity(code="17082", name="hiking, fields and hillsides", met=5.3),
    Activity(code="17152", name="walking 2.0 mph, level", met=2.8),
    Activity(code="17170", name="walking 2.5 mph, level", met=3.0),
    Activity(code="17190", name="walking 2.8 to 3.2 mph, level", met=3.5),
    Activity(code="17200", name="walking 3.5 mph, level", met=4.3),
    Activity(code="17210", name="walking 2.9 to 3.5 mph, up 1 to 5 %", met=5.3),
    Activity(code="17220", name="walking 4.0 mph, level", met=5.0),
)


def activity(code: str) -> Activity:
    """The line with this code.

    Raises
    ------
    Mistake
        ``unknown-activity``.
    """
    for line in ACTIVITIES:
        if line.code == code:
            return line
    raise Mistake(
        "unknown-activity",
        what=f"no activity has the code {code!r} here",
        mend="choose one of " + ", ".join(line.code for line in ACTIVITIES),
    )


def met_kcal(met: float, body_kg: float, hours: float) -> float:
    """Gross energy [kcal] = MET x body mass [kg] x hours; 1 MET = 1 kcal per kg and hour.

    The mass is that of the body alone; adding the pack would count it twice.

    Raises
    ------
    Mistake
        ``met-out-of-range`` for a MET outside 0.8 to 25, a body outside 15 to
        300 kg or hours outside 0 to 24.
    """
    good = 0.8 <= met <= 25 and LEAST_BODY_KG <= body_kg <= MOST_BODY_KG and 0 <= hours <= 24
    if not good:
        raise Mistake(
            "met-out-of-range",
            what=f"{met:g} MET, {body_kg:g} kg and {hours:g} h do not make a day's walk",
            mend="give a MET of 0.8 to 25, the body mass in kg and at most 24 hours",
        )
    return met * body_kg * hours
