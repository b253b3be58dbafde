"""Where food can be taken up, and what is worth how much."""

from __future__ import annotations

import math
from typing import Literal, TypeAlias

import msgspec

from fellfare.menu.answer import Give, Menu
from fellfare.menu.pool import Leg, Question
from fellfare.mistake import Mistake

#: What became of one choice of stops.
Fate: TypeAlias = Literal["planned", "proven-worse", "not-planned", "impossible", "stopped"]

#: More stops than this are not weighed against one another.
MOST_STOPS = 30


class Stop(msgspec.Struct, frozen=True, kw_only=True):
    """A box, shop or hut that food may be taken up at; left out, one walks past it.

    ``day`` is the first day whose food is taken up there. ``dishes`` None:
    everything can be had (a box), and nothing is carried past it; otherwise
    those dishes can be had there, and the others are carried past it from
    where they were had last. ``fee`` is paid when it is used (postage, fare),
    ``effort_min`` is the way there and back and what else it takes.
    ``waits_days`` is how long a box lies before it is opened: what keeps less
    than that and the days until the next stop does not go into it. ``most_g``
    and ``most_ml`` are what a box holds. ``always``: it is used in any case.
    """

    name: str
    day: int
    fee: float = 0.0
    effort_min: float = 0.0
    dishes: tuple[str, ...] | None = None
    waits_days: float = 0.0
    most_g: float | None = None
    most_ml: float | None = None
    always: bool = False


class Worth(msgspec.Struct, frozen=True, kw_only=True):
    """Everything in grams of mean load: what one unit of money and one minute are worth."""

    money_g: float = 0.0
    minute_g: float = 0.0


class Choice(msgspec.Struct, frozen=True, kw_only=True):
    """One set of stops that are used, and what comes of it.

    ``mean_load_g`` is what all carry of food and fuel at the start of a day, on
    the mean of the days; ``heaviest_g`` the most on any day. ``score_g`` is the
    mean load with money and effort at their worth; ``bound_g`` is proven: no
    menu with these stops scores less. ``front``: no other planned choice is as
    good in load, money and effort, and better in one. ``money`` None: a price
    is not known.
    """

    stops: tuple[str, ...]
    legs: tuple[Leg, ...]
    fate: Fate
    bound_g: float
    menu: Menu | None = None
    score_g: float | None = None
    mass_g: float | None = None
    mean_load_g: float | None = None
    heaviest_g: float | None = None
    money: float | None = None
    effort_min: float = 0.0
    front: bool = False
    gives: tuple[Give, ...] = ()


class Resupply(msgspec.Struct, frozen=True, kw_only=True):
    """All choices, best first; those that were proven worse or not planned after them."""

    choices: tuple[Choice, ...]
    sentences: tuple[str, ...] = ()
    not_weighed: int = 0
    seconds: float = 0.0

    @property
    def best(self) -> Choice | None:
        """The planned choice of the least score."""
        return next((each for each in self.choices if each.fate == "planned"), None)


def checked_stops(question: Question, stops: tuple[Stop, ...], worth: Worth) -> None:
    """Raises a Mistake where stops and walk do not fit together."""
    names = [stop.name for stop in stops]
    if len(set(names)) < len(names) or len(stops) > MOST_STOPS:
        raise Mistake(
            "resupply-stops",
            what=f"{len(stops)} stops, {len(set(names))} names",
            mend=f"give each stop a name of its own, {MOST_STOPS} stops at most",
        )
    known = {dish.id for dish in question.dishes}
    for stop in stops:
        if not 2 <= stop.day <= question.days:
            raise Mistake(
                "resupply-day",
                what=f"food for day {stop.day} on",
                mend=f"give a day from 2 to {question.days}; day 1 is the start",
                where=f"stop > {stop.name}",
            )
        unknown = set(stop.dishes or ()) - known
        if unknown:
            raise Mistake(
                "resupply-unknown-dish",
                what=f"there is no dish '{min(unknown)}'",
                mend="check the spelling",
                where=f"stop > {stop.name}",
            )
        for name in ("fee", "effort_min", "waits_days", "most_g", "most_ml"):
            _figure(getattr(stop, name), name, f"stop > {stop.name}")
    for name in ("money_g", "minute_g"):
        _figure(getattr(worth, name), name, "worth")
    always = [stop.day for stop in stops if stop.always]
    if len(set(always)) < len(always):
        raise Mistake(
            "resupply-stops",
            what="two stops of one day are both to be used in any case",
            mend="choose one of them",
        )


def _figure(value: float | None, name: str, where: str) -> None:
    if value is not None and not (math.isfinite(value) and value >= 0):
        raise Mistake(
            "resupply-figure",
            what=f"'{name}' is {value:g}",
            mend="give a number of zero or more",
            where=where,
        )
