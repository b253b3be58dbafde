"""From a plan and the book's recipes to the question of its menu, put once per state of both."""

from __future__ import annotations

from collections import OrderedDict
from hashlib import blake2b
from threading import Lock
from typing import Final

import msgspec
from msgspec import Struct

from fellfare.menu.asked import Asked, question_of_trip
from fellfare.mistake import Finding
from fellfare.web.foods_at_hand import FoodsAtHand
from fellfare.web.recipes_at_hand import RecipesAtHand
from fellfare.web.work.packs import packs_of_text
from fellfare.web.work.planned import Planned

MOST_KEPT: Final = 8


class AskedHere(Struct, frozen=True, eq=False):
    """The question, and what is odd about the labels of the foods in it."""

    asked: Asked
    labels: tuple[Finding, ...]
    #: The same for the same trip, track, recipes and foods.
    key: bytes


_kept: OrderedDict[bytes, AskedHere] = OrderedDict()
_lock = Lock()


def asked_of(
    made: Planned, foods: FoodsAtHand, recipes: RecipesAtHand, packs: str = ""
) -> AskedHere:
    """What the trip asks of a menu out of every recipe of the book that can be read.

    ``packs`` is the text of the cupboard (:func:`~fellfare.web.work.packs.packs_text`).

    Raises
    ------
    Mistake
        As :func:`fellfare.menu.asked.question_of_trip`.
    """
    rows = [row for row in recipes.all() if row.recipe is not None]
    digest = blake2b(made.key, digest_size=20)
    for row in rows:
        digest.update(f"{row.name}\0{row.text}\0".encode("utf-8", "surrogatepass"))
    digest.update(msgspec.json.encode(foods.own()))
    digest.update(f"\0{packs}".encode("utf-8", "surrogatepass"))
    key = digest.digest()
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return _kept[key]
    found = {row.name: row.recipe for row in rows if row.recipe is not None}
    pantry = foods.pantry()
    asked = question_of_trip(made.plan, found, pantry, packs=packs_of_text(packs, pantry))
    used = {food.id for dish in asked.dishes for food in dish.foods}
    labels = tuple(one for one in foods.said() if used & set(one.about))
    here = AskedHere(asked, labels, key)
    with _lock:
        _kept[key] = here
        while len(_kept) > MOST_KEPT:
            _kept.popitem(last=False)
    return here
