"""Does the plan stand when something goes wrong, and which assumptions move it most?"""

from __future__ import annotations

from collections import Counter, OrderedDict
from threading import Lock
from typing import Any, Final

from litestar import get
from litestar.params import FromPath
from litestar.response import Template
from msgspec import Struct

from fellfare.provision.robust.blows import Blow, blows_of
from fellfare.provision.robust.eaten import packs_of
from fellfare.provision.robust.helping import EXTRA_G, Help, helps_of
from fellfare.provision.robust.swings import Swing, food_and_fuel, swings_of
from fellfare.web.here import FromHere
from fellfare.web.pages.kitchen.provided import Provided
from fellfare.web.pages.kitchen.read import shown
from fellfare.web.pages.kitchen.wrong_pictures import moves, shares

MOST_KEPT: Final = 8
#: So many assumptions are named before the table of all.
MOST_NAMED: Final = 3


class Tried(Struct, frozen=True, kw_only=True, eq=False):
    """What is left after each blow."""

    blows: tuple[Blow, ...]
    helps: tuple[Help, ...]
    swings: tuple[Swing, ...]
    #: Food and fuel as planned [g].
    food_g: float
    fuel_g: float
    #: Foods whose energy nobody knows.
    unknown: tuple[str, ...]


_kept: OrderedDict[bytes, Tried] = OrderedDict()
_lock = Lock()


def tried(there: Provided) -> Tried:
    """The same plan is tried once."""
    with _lock:
        if there.key in _kept:
            _kept.move_to_end(there.key)
            return _kept[there.key]
    blows = blows_of(there.one)
    food_g, fuel_g = food_and_fuel(there.one.plan)
    made = Tried(
        blows=blows,
        helps=helps_of(there.one, blows),
        swings=swings_of(there.one.plan, there.made.ground),
        food_g=food_g,
        fuel_g=fuel_g,
        unknown=packs_of(there.one).unknown,
    )
    with _lock:
        _kept[there.key] = made
        while len(_kept) > MOST_KEPT:
            _kept.popitem(last=False)
    return made


@get("/kitchen/{name:str}/wrong", sync_to_thread=True, include_in_schema=False)
def wrong(here: FromHere, name: FromPath[str]) -> Template:
    """A lost bag, a day more, a storm, a dry source, a lost box."""

    def given(there: Provided) -> dict[str, Any]:
        made = tried(there)
        return {
            "tried": made, "extra_g": EXTRA_G, "shares": shares(made.blows),
            "moves": moves(made.swings, made.food_g), "most": made.swings[:MOST_NAMED],
            "counts": Counter(blow.verdict for blow in made.blows),
        }  # fmt: skip

    return shown(here, name, "kitchen/wrong.html", "wrong", given)


WRONG: Final[list[Any]] = [wrong]
