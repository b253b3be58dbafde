"""What counts beside the mass, and for how much?  The order of the rules in grams.

The document names what counts, the weightiest first.  Before 'mass' stands what may cost
weight, after it what only decides between menus that weigh about the same.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from msgspec import Struct

from fellfare.menu.pool import Different, Often, Slot
from fellfare.trip.trip import Trip

#: What a helping of a liked dish, one more different dinner, and a unit of money less may
#: weigh, when they stand just before the mass [g]; each place further before doubles it
#: (judgement: a snack bar, a spoon of rice for a party).
BEFORE_G: Final = {"liking": 40.0, "variety": 80.0, "cost": 40.0}
#: After the mass it is a part of that, halved by each place further down.
AFTER: Final = 0.1


class Worth(Struct, frozen=True, kw_only=True):
    """All in grams: of a liked helping, a different dinner, a unit of money."""

    liking_g: float = 0.0
    variety_g: float = 0.0
    cost_g: float = 0.0

    @property
    def nothing(self) -> bool:
        """Whether mass alone counts."""
        return not (self.liking_g or self.variety_g or self.cost_g)


def worth_of(order: Sequence[str]) -> Worth:
    """What the wishes are worth that an order names; 'mass' stands in it."""
    mass = order.index("mass")
    found = {}
    for at, name in enumerate(order):
        if name in BEFORE_G:
            away = mass - at
            factor = 2.0 ** (away - 1) if away > 0 else AFTER * 0.5 ** (-away - 1)
            found[f"{name}_g"] = factor * BEFORE_G[name]
    return Worth(**found)


def counted(trip: Trip, worth: Worth) -> tuple[str, ...]:
    """What counts, in words, the weightiest first."""
    said = {
        "mass": "mass"
        if trip.rules.make_least == "mass"
        else "mass times the way that it is carried",
        "liking": f"a helping of a liked dish, as {worth.liking_g:g} g less",
        "variety": f"a further different dinner, as {worth.variety_g:g} g less",
        "cost": f"a unit of money, as {worth.cost_g:g} g more",
    }
    return tuple(said[name] for name in trip.rules.order)


def liked_dishes(trip: Trip, variants: Mapping[str, Sequence[str]]) -> frozenset[str]:
    """Ids of the liked dishes, with what is left out of them for a pot."""
    return frozenset(name for one in trip.liked for name in variants.get(one.dish, ()))


def oftens_of(
    trip: Trip,
    variants: Mapping[str, Sequence[str]],
    fits: Mapping[tuple[int, str, str], frozenset[str]],
) -> tuple[tuple[Often, ...], tuple[str, ...]]:
    """Liked dishes so often, for each walker who can have them; who cannot is told."""
    out, said = [], []
    for one in trip.liked:
        if one.times is None:
            continue
        names = tuple(variants.get(one.dish, ()))
        for walker in trip.walkers:
            can = any(who == walker.name and set(names) & ids for (_, _, who), ids in fits.items())
            if not can:
                said.append(f"{one.dish} for {walker.name}")
                continue
            wish = f"liked: {one.dish}, times = {one.times}"
            out.append(Often(wish=wish, dishes=names, least=one.times, walker=walker.name))
    return tuple(out), tuple(said)


def with_variety(
    differents: Sequence[Different], slots: Sequence[Slot], worth_g: float
) -> tuple[Different, ...]:
    """Every different dinner of a kitchen is worth something, whether or not so many are asked."""
    if worth_g <= 0:
        return tuple(differents)
    asked = {one.times: one for one in differents}
    times = dict.fromkeys((slot.time,) for slot in slots if slot.meal == "dinner")
    return tuple(
        Different(
            wish=asked[each].wish if each in asked else "different dinners",
            times=each,
            least=asked[each].least if each in asked else 1,
            worth_g=worth_g,
        )
        for each in times
    )
