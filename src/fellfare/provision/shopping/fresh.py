"""How much fresh food becomes so much dried food, dried at home?"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from msgspec import Struct

from fellfare.pantry.food import Food
from fellfare.pantry.swaps.family import family_of, relatives
from fellfare.pantry.swaps.form import bought_g, equal_dry_mass_g

#: Forms that one dries at home, and those that one buys for it, the likeliest first.
DRIED: Final = ("dried", "precooked")
#: Wetter food is not dried at all, whatever its form says [g per 100 g].
_DRY_WATER_G: Final = 40.0
_BOUGHT: Final = ("fresh", "precooked", "raw-dry", "canned", "cured", "paste")


class FreshNeed(Struct, frozen=True, kw_only=True):
    """Fresh food for one dried food."""

    dried: Food
    dried_g: float
    #: None = no fresh form of it is in the pantry.
    fresh: Food | None
    #: Peeled, boned, cut, before any cooking [g]; None = its water is not known.
    edible_g: float | None
    #: What lies on the trays: raw pulses and grain with the water that cooking gives them
    #: [g]; None = that water is not known.
    tray_g: float | None
    #: As bought, with peel and stones [g]; None = refuse not known.
    buy_g: float | None
    #: Fresh over dried, edible part.
    ratio: float | None
    notes: tuple[str, ...]


def is_dried(food: Food) -> bool:
    """Whether it could come out of a dryer: a dried form, and dry."""
    water = food.per_100g.water_g
    return food.form in DRIED and (water is None or water <= _DRY_WATER_G)


def fresh_for(
    dried: Food, dried_g: float, foods: Iterable[Food], loss_share: float = 0.0
) -> FreshNeed:
    """What to buy for ``dried_g`` of a food that is dried at home.

    By dry-matter balance and the refuse of the fresh food.  ``loss_share`` is
    what the person loses besides: crumbs, tasting, juice (0 to 0.9).
    """
    kin = [
        food for food in relatives(dried, foods) if food.form in _BOUGHT and food.form != dried.form
    ]
    parent = [food for food in kin if food.ndb is not None and food.ndb == dried.source.parent]
    name = family_of(dried)
    kin.sort(key=lambda food: (_BOUGHT.index(food.form), food not in parent, food.id != name))
    fresh = kin[0] if kin else None
    if fresh is None:
        return FreshNeed(
            dried=dried, dried_g=dried_g, fresh=None, edible_g=None, tray_g=None, buy_g=None,
            ratio=None,
            notes=("no fresh form of it is known here: weigh before and after drying once",),
        )  # fmt: skip
    notes = []
    w, w_dried = fresh.per_100g.water_g, dried.per_100g.water_g
    edible_g = tray_g = buy_g = ratio = None
    if w is None or w_dried is None:
        notes.append("its water is not known: weigh before and after drying once")
    else:
        whole_g = equal_dry_mass_g(dried_g, w_dried, w)
        ratio = whole_g / dried_g if dried_g else None
        edible_g = whole_g / (1.0 - loss_share)
        buy_g = bought_g(fresh, edible_g)
        tray_g = edible_g
        if fresh.form == "raw-dry":
            uptake = fresh.uptake_ml_per_g
            tray_g = None if uptake is None else edible_g * (1.0 + uptake)
            notes.append("cook it until quite done first")
    if fresh.group in ("meat", "fish") and {"raw-meat", "raw-fish"} & set(fresh.hazards):
        notes.append("juice and fat drip away in cooking: buy an eighth more (common practice)")
    if edible_g is not None and buy_g is None:
        notes.append("peel and stones are not counted")
    return FreshNeed(
        dried=dried,
        dried_g=dried_g,
        fresh=fresh,
        edible_g=edible_g,
        tray_g=tray_g,
        buy_g=buy_g,
        ratio=ratio,
        notes=tuple(notes),
    )
