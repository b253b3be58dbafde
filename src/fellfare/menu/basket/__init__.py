"""What to buy when the box is lost: the best set of packs from a thin shop."""

from fellfare.menu.basket.best import best_basket
from fellfare.menu.basket.shop import (
    Basket,
    BasketAsk,
    Bought,
    Kept,
    LeftOut,
    ShopPack,
    Total,
)

__all__ = [
    "Basket",
    "BasketAsk",
    "Bought",
    "Kept",
    "LeftOut",
    "ShopPack",
    "Total",
    "best_basket",
]
