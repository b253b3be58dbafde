"""What is on the shelf, what is asked of it, what comes back."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final, Literal, TypeAlias

import msgspec

from fellfare.menu.answer import Give, Verdict
from fellfare.menu.pool import Avoid, Nutrient
from fellfare.mistake import Mistake

#: What is made least first; the other one breaks ties.
Least: TypeAlias = Literal["mass", "price"]

#: More packs of one kind than this are never taken.
MOST_OF_ONE: Final = 1_000
#: More kinds on the shelf than this are no thin shop.
MOST_KINDS: Final = 2_000


class ShopPack(msgspec.Struct, frozen=True, kw_only=True):
    """One pack as it stands on the shelf; all figures belong to the whole pack.

    ``content_g`` is what is in it, ``wrapping_g`` what is thrown away at the
    end and carried until then. None is unknown: in a floor it counts as
    nothing, in a ceiling the total becomes 'at least', and where litres or
    money are limited a pack of unknown volume or price is left on the shelf.
    ``label_read`` False: nobody has read what it contains, so every allergen
    is unknown. ``stock`` None: as many as one likes.
    """

    name: str
    content_g: float
    wrapping_g: float | None = None
    energy_kcal: float | None = None
    protein_g: float | None = None
    fat_g: float | None = None
    carbohydrate_g: float | None = None
    fibre_g: float | None = None
    sodium_mg: float | None = None
    volume_ml: float | None = None
    price: float | None = None
    stock: int | None = None
    contains: tuple[str, ...] = ()
    may_contain: tuple[str, ...] = ()
    unknown_allergens: tuple[str, ...] = ()
    label_read: bool = True
    diets: tuple[str, ...] = ()
    ways: tuple[str, ...] = ("dry",)

    @property
    def mass_g(self) -> float:
        """Content and wrapping [g]; an unknown wrapping is left out, and told."""
        return self.content_g + (self.wrapping_g or 0.0)


class BasketAsk(msgspec.Struct, frozen=True, kw_only=True):
    """What the basket has to bring, for all who eat of it and all days together.

    ``ways`` None: anything can be made. ``one_share``: no single kind brings
    more than this share of the energy (0 to 1; None: no matter).
    """

    packs: tuple[ShopPack, ...]
    at_least: tuple[tuple[Nutrient, float], ...]
    at_most: tuple[tuple[Nutrient, float], ...] = ()
    avoids: tuple[Avoid, ...] = ()
    diets: tuple[str, ...] = ()
    ways: tuple[str, ...] | None = None
    litres: float | None = None
    most_g: float | None = None
    most_price: float | None = None
    one_share: float | None = None
    least: Least = "mass"


class Bought(msgspec.Struct, frozen=True, kw_only=True):
    """So many of one pack; ``price`` is of all of them."""

    name: str
    count: int
    mass_g: float
    price: float | None


class Total(msgspec.Struct, frozen=True, kw_only=True):
    """A sum over the basket, and the packs of which this figure is not known."""

    name: str
    value: float
    unknown: tuple[str, ...] = ()


class LeftOut(msgspec.Struct, frozen=True, kw_only=True):
    """A pack that must stay on the shelf, and why."""

    name: str
    why: str


class Kept(msgspec.Struct, frozen=True, kw_only=True):
    """A wish and how it came out, in its own unit; ``low`` and ``high`` None: no limit there."""

    wish: str
    unit: str
    value: float
    low: float | None = None
    high: float | None = None


class Basket(msgspec.Struct, frozen=True, kw_only=True):
    """The answer.

    ``value`` is what was made least (g, or money), ``bound`` proven: no basket
    from this shelf that keeps the wishes has less. 'stopped' says nothing about
    whether there is a basket; 'impossible' is proven. ``any_one``: each of
    these alone would make a basket possible, all else kept. ``together``: when
    none alone does (to bring less than half of what was asked does not count),
    what has to give at once.
    """

    verdict: Verdict
    least: Least
    bought: tuple[Bought, ...] = ()
    mass_g: float | None = None
    price: float | None = None
    volume_ml: float | None = None
    totals: tuple[Total, ...] = ()
    kept: tuple[Kept, ...] = ()
    value: float | None = None
    bound: float = 0.0
    gap: float = float("inf")
    left_out: tuple[LeftOut, ...] = ()
    any_one: tuple[Give, ...] = ()
    together: tuple[Give, ...] = ()
    solver: str = ""
    seconds: float = 0.0


def checked_ask(ask: BasketAsk) -> BasketAsk:
    """The ask itself, or a Mistake that says which figure makes no sense."""
    if not ask.packs or len(ask.packs) > MOST_KINDS:
        raise Mistake(
            "basket-shelf",
            what=f"{len(ask.packs)} kinds of pack on the shelf",
            mend=f"give from 1 to {MOST_KINDS} kinds",
        )
    if not ask.at_least:
        raise Mistake(
            "basket-nothing-asked",
            what="nothing is asked of the basket",
            mend="ask at least for some energy",
        )
    names = [pack.name for pack in ask.packs]
    for name in names:
        if names.count(name) > 1:
            raise Mistake(
                "basket-name-twice",
                what=f"two packs are called '{name}'",
                mend="put the size into the name",
            )
    for pack in ask.packs:
        where = f"pack > {pack.name}"
        _figure("content_g", pack.content_g, where, above=0.0)
        for name in (
            *("wrapping_g", "energy_kcal", "protein_g", "fat_g", "carbohydrate_g"),
            *("fibre_g", "sodium_mg", "volume_ml", "price", "stock"),
        ):
            _figure(name, getattr(pack, name), where)
    for name, value in (*ask.at_least, *ask.at_most):
        _figure(name, value, "wish")
    for name in ("litres", "most_g", "most_price"):
        _figure(name, getattr(ask, name), "wish")
    if ask.one_share is not None and not 0 < ask.one_share <= 1:
        raise Mistake(
            "basket-figure",
            what=f"a share of {ask.one_share:g}",
            mend="above 0, at most 1",
            where="wish",
        )
    floors, ceilings = dict(ask.at_least), dict(ask.at_most)
    for name in floors.keys() & ceilings.keys():
        if floors[name] > ceilings[name]:
            raise Mistake(
                "basket-floor-above-ceiling",
                what=f"{name}: at least {floors[name]:g} and at most {ceilings[name]:g}",
                mend="turn the two round, or leave one out",
            )
    return ask


def _figure(name: str, value: float | None, where: str, above: float | None = None) -> None:
    if value is None:
        return
    low_enough = value > above if above is not None else value >= 0
    if not (math.isfinite(value) and low_enough and value <= 1e9):
        raise Mistake(
            "basket-figure",
            what=f"'{name}' is {value:g}",
            mend="give a number of zero or more; leave out what is not known",
            where=where,
        )


def usable(ask: BasketAsk) -> tuple[tuple[ShopPack, ...], tuple[LeftOut, ...]]:
    """The packs that may be bought at all, and why the others may not."""
    fits, left = [], []
    for pack in ask.packs:
        why = next(iter(_reasons(ask, pack)), None)
        if why is None:
            fits.append(pack)
        else:
            left.append(LeftOut(name=pack.name, why=why))
    return tuple(fits), tuple(left)


def _reasons(ask: BasketAsk, pack: ShopPack) -> Iterable[str]:
    for avoid in ask.avoids:
        agent = avoid.allergen
        if agent in pack.contains:
            yield f"it contains {agent}"
        elif avoid.may_contain and agent in pack.may_contain:
            yield f"it may contain {agent}"
        elif avoid.unknown and (agent in pack.unknown_allergens or not pack.label_read):
            yield f"whether it contains {agent} is not known"
    for diet in ask.diets:
        if diet not in pack.diets:
            yield f"it is not known to be {diet}"
    if ask.ways is not None and not set(ask.ways) & set(pack.ways):
        yield f"it needs {' or '.join(pack.ways)}"
    if pack.stock == 0:
        yield "it is sold out"
    if pack.volume_ml is None and ask.litres is not None:
        yield "its volume is not known, and litres are limited"
    if pack.price is None and (ask.most_price is not None or ask.least == "price"):
        yield "its price is not known"
