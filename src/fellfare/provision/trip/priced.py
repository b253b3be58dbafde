"""How foods are sold and what is in the cupboard, as a menu minds it."""

from __future__ import annotations

from fellfare.menu.pool import Pack
from fellfare.provision.trip.own import Own


def menu_packs(own: Own) -> tuple[Pack, ...]:
    """One pack a food, price in the person's own money: what has a price, and the cupboard.

    Of several packs the one that is cheapest for a gram; where none has a price, what is at
    home, which is free and there once.
    """
    packs: dict[str, Pack] = {}
    for food, sold in own.packs.items():
        priced = [(float(one.price) / one.size_g, one) for one in sold if one.price is not None]
        if priced:
            _, best = min(priced, key=lambda each: each[0])
            packs[food] = Pack(food=food, size_g=best.size_g, price=float(best.price or 0))
    for food, grams in own.at_home.items():
        if food not in packs and grams > 0:
            packs[food] = Pack(food=food, size_g=grams, price=0.0, most=1)
    return tuple(packs.values())
