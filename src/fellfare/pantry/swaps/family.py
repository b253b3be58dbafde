"""Which foods are the same plant or animal in another form?"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from fellfare.pantry.food import Food

#: Ends of an id that tell the form and not the thing, longest first.
_ENDS: Final = tuple(
    sorted(
        (
            "-freeze-dried", "-home-dried", "-dried-unsweetened", "-dried", "-dehydrated",
            "-powder", "-granules", "-flakes-dried", "-flakes", "-fresh", "-canned",
            "-precooked", "-cooked", "-raw", "-dry", "-pouch", "-leather", "-ground",
        ),
        key=len,
        reverse=True,
    )
)  # fmt: skip

#: Foods whose names do not tell their family (by hand).
_BY_HAND: Final = {
    "raisins": "grapes",
    "golden-raisins": "grapes",
    "sultanas": "grapes",
    "currants": "grapes",  # the dried small grape; the fresh black currant is its own
    "plum": "prune",
    "prune-dehydrated": "prune",
    "sun-dried-tomatoes": "tomato",
    "cherry-tomato": "tomato",
    "tomatoes-canned": "tomato",
    "tomatoes-crushed-canned": "tomato",
    "garden-peas-dried": "peas",
    "green-peas-freeze-dried": "peas",
    "white-mushroom": "mushrooms",
    "brown-mushroom": "mushrooms",
    "portobello": "mushrooms",
    "portobello-dried": "mushrooms",
    "black-bean-flakes": "black-beans",
    "refried-bean-flakes": "refried-beans",
    "potato-flakes": "potato",
    "ginger-root": "ginger",
    "dill-weed-dried": "dill",
    "mint-fresh": "spearmint",
    "olives-black": "olives",
    "olives-dried": "olives",
    "egg-scrambled-freeze-dried": "egg",
    "cherry-sweet-dried-unsweetened": "cherry",
    "fruit-leather-home-made": "apple-sauce",
    "coconut-fresh": "coconut",
    "coconut-desiccated": "coconut",
    "milk-whole": "whole milk",
    "milk-long-life": "whole milk",
    "milk-powder-whole": "whole milk",
    "milk-skimmed": "skimmed milk",
    "milk-powder": "skimmed milk",
    "chicken-breast-raw": "chicken",
    "rice-white-long": "white rice",
    "rice-instant": "white rice",
    "rice-brown-long": "brown rice",
    "rice-brown-instant": "brown rice",
    "pearl-barley": "barley",
    "barley-flakes": "barley",
    "quick-barley": "barley",
    "polenta": "maize grits",
    "instant-polenta": "maize grits",
    "rolled-oats": "oats",
    "quick-oats": "oats",
    "steel-cut-oats": "oats",
    "farina": "wheat farina",
    "instant-farina": "wheat farina",
}

#: Ids that share a stem with a fresh food and are not its dry matter: sugar, salt,
#: vinegar, carriers added, or fat rendered out.
NOT_THE_SAME: Final = frozenset(
    (
        "mustard", "mustard-powder", "salt", "salt-flakes", "lemon-juice-powder",
        "lime-juice-powder", "bacon-cooked", "bacon-precooked", "bacon-raw", "chorizo",
        "chorizo-raw", "butter-powder", "sour-cream-powder", "banana-chips", "blueberry-dried",
        "cherry-dried", "cranberry-dried", "mango-dried", "coconut-sweetened",
        "mixed-vegetables-dried", "mixed-vegetables-freeze-dried", "chili-powder",
    )
)  # fmt: skip

#: Forms between which dry matter is kept, near enough.
FORMS: Final = frozenset(
    ("fresh", "dried", "freeze-dried", "powder", "precooked", "raw-dry", "canned", "instant",
     "liquid", "paste", "solid", "cured")
)  # fmt: skip


@lru_cache(maxsize=4096)
def _stem(food_id: str) -> str:
    if food_id in _BY_HAND:
        return _BY_HAND[food_id]
    for end in _ENDS:
        if food_id.endswith(end) and len(food_id) > len(end):
            return _stem(food_id.removesuffix(end))
    return food_id


def family_of(food: Food) -> str | None:
    """Name of the plant or animal; None when the food is not to be swapped by dry matter."""
    if food.id in NOT_THE_SAME or food.form not in FORMS:
        return None
    return _stem(food.id)


def relatives(food: Food, foods: Iterable[Food]) -> tuple[Food, ...]:
    """Other forms of the same thing, in the order of ``foods``.

    By name and by hand; the parent of a derived row does not count, for it may
    be a stand-in of another kind.  Two fresh rows of one family are kinds, not
    forms, and are left out.
    """
    family = family_of(food)
    if family is None:
        return ()
    found = []
    for other in foods:
        if other.id == food.id or family_of(other) is None:
            continue
        if _stem(other.id) == family and not (other.form == food.form == "fresh"):
            found.append(other)
    return tuple(found)
