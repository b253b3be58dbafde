"""Which form fits the place where the meal waits: a pack for two days, or a hot box for weeks?"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from math import isfinite
from typing import Final

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.pantry.food import Food, Form
from fellfare.pantry.swaps.form import by_form
from fellfare.pantry.swaps.swap import Swap

#: What one would rather eat, as long as it keeps: own judgement.
_LIKED: Final[tuple[Form, ...]] = (
    "fresh", "solid", "cured", "liquid", "paste", "precooked", "dried", "powder", "instant",
    "freeze-dried", "canned", "raw-dry",
)  # fmt: skip
_NEEDS_COLD: Final = frozenset(
    ("perishable", "raw-meat", "raw-fish", "raw-egg", "raw-milk", "sprouts", "listeria-prone")
)
#: Share of its life that a food may have used when it is eaten: own judgement.
MOST_USED: Final = 0.8

_UNTOLD: Final = "nobody has told how long it keeps"


class Waiting(Struct, frozen=True, kw_only=True):
    """One form of a food and how it fares while it waits."""

    food: Food
    #: None for the food as it stands.
    swap: Swap | None
    #: Days that it keeps there at the least; None = nobody has told.
    keeps_days: float | None
    #: Whether it fits.
    fits: bool
    #: Why not, or what is not known.
    why: str


def for_the_wait(
    food: Food,
    mass_g: float,
    foods: Iterable[Food],
    days: float,
    keeps_days: Callable[[Food], float | None],
) -> tuple[Waiting, ...]:
    """The food and its other forms, the one to take first.

    Of those that keep long enough (80 % of their life at most), the freshest
    comes first; then those of which nobody knows, then those that do not keep.
    A form that needs cold never fits: a pack and a box are warm; nor does one
    that must be boiled where the food itself need not be.

    Parameters
    ----------
    food, mass_g, foods
        As :func:`~fellfare.pantry.swaps.form.by_form`.
    days
        From packing to eating.
    keeps_days
        How long a food keeps where it waits, at the least [days]; None = unknown.

    Raises
    ------
    Mistake
        ``wait-out-of-range``, ``mass-out-of-range``.
    """
    if not (isfinite(days) and 0 <= days <= 3650):
        raise Mistake(
            "wait-out-of-range",
            what=f"a wait of {days:g} days is outside 0 to 3650",
            mend="give the days from packing to eating",
        )
    swaps: list[Swap | None] = [None, *by_form(food, mass_g, foods)]
    made = []
    for swap in swaps:
        one = food if swap is None else swap.stand_in
        if swap is not None and swap.low_g is None:
            continue
        made.append(_judged(one, swap, days, keeps_days(one)))
    return tuple(sorted(made, key=_order))


def _judged(food: Food, swap: Swap | None, days: float, keeps: float | None) -> Waiting:
    fits, why = False, ""
    if _NEEDS_COLD & set(food.hazards):
        why = "needs cold"
    elif swap is not None and swap.difference.asks_more:
        why = "must be boiled, which the food itself need not"
    elif keeps is None:
        why = _UNTOLD
    elif days > MOST_USED * keeps:
        why = f"keeps about {keeps:.0f} days there, and waits {days:.0f}"
    else:
        fits = True
    return Waiting(food=food, swap=swap, keeps_days=keeps, fits=fits, why=why)


def _order(one: Waiting) -> tuple[int, int, float]:
    rank = 0 if one.fits else 1 if one.keeps_days is None and one.why == _UNTOLD else 2
    liked = _LIKED.index(one.food.form) if one.food.form in _LIKED else len(_LIKED)
    mass = 0.0 if one.swap is None else one.swap.low_g or 0.0
    return rank, liked, mass
