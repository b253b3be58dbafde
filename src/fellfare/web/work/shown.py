"""A menu of the book as it is shown: what its document says, carried on the walk as planned."""

from __future__ import annotations

from collections import OrderedDict
from hashlib import blake2b
from threading import Lock
from typing import Final

from msgspec import Struct

from fellfare.menu.answer import Menu, Plate
from fellfare.menu.asked import Asked
from fellfare.menu.carried import carried
from fellfare.menu.checking import Broken, broken_rules
from fellfare.menu.pool import Question
from fellfare.menu.settling import SETTLED_KCAL, Round, Settled, density
from fellfare.menu.staying import known_plates
from fellfare.menu.telling import mass_of
from fellfare.menu.trip_menu import TripMenu, trip_menu
from fellfare.menu.written import WrittenMenu
from fellfare.walk.figures import Array
from fellfare.web.work.asked import AskedHere

MOST_KEPT: Final = 24


class Shown(Struct, frozen=True, kw_only=True, eq=False):
    """The menu, reckoned on the trip as it stands now."""

    menu: TripMenu
    #: Plates of the question, in the order of the menu's helpings.
    plates: tuple[Plate, ...]
    #: 'day 3, dinner: lentil-pot': in the document, and no longer possible.
    lost: tuple[str, ...]
    #: Rules of the trip that it does not keep.
    broken: tuple[Broken, ...]


_kept: OrderedDict[str, Shown] = OrderedDict()
_lock = Lock()


def shown(here: AskedHere, text: str, written: WrittenMenu) -> Shown:
    """The same document on the same trip is reckoned once."""
    key = key_of(here, text)
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return _kept[key]
    made = reckoned(here, written)
    with _lock:
        _kept[key] = made
        while len(_kept) > MOST_KEPT:
            _kept.popitem(last=False)
    return made


def key_of(here: AskedHere, text: str) -> str:
    """The same for the same menu on the same trip with the same recipes."""
    return blake2b(here.key + text.encode("utf-8", "surrogatepass"), digest_size=20).hexdigest()


def reckoned(here: AskedHere, written: WrittenMenu) -> Shown:
    """What a menu document comes to: on whose back, for which need, and what it breaks."""
    asked = here.asked
    plates = known_plates(asked, written.plates, written.steps_per_serving)
    need = carried(asked, plates, asked.first_need_kcal).need_kcal(asked)
    whole = carried(asked, plates, need)
    brought = whole.need_kcal(asked)
    question = asked.question(need, usual=False)
    menu = Menu(verdict="stopped", plates=plates, mass_g=mass_of(plates))
    done = one_round(menu, question, need, brought)
    return Shown(
        menu=trip_menu(asked, done, whole, findings=here.labels),
        plates=plates,
        lost=_lost(asked, written),
        # A need is settled to within a kilocalorie, and so are the rules that hang on it.
        broken=tuple(
            one
            for one in broken_rules(question, plates)
            if not (one.unit == "kcal" and one.amount < SETTLED_KCAL)
        ),
    )


def one_round(menu: Menu, question: Question, need: Array, brought: Array) -> Settled:
    """A menu that was not settled on but taken as it is: how far its need is from its load."""
    residual = float(abs(brought - need).max(initial=0.0))
    only = Round(
        number=1,
        mass_g=menu.mass_g or 0.0,
        residual_kcal=residual,
        residual_g=residual / density(menu),
        dishes_fixed=True,
    )
    return Settled(
        menu=menu,
        question=question,
        made=None,
        asked_kcal=need,
        need_kcal=brought,
        rounds=(only,),
        settled=residual < SETTLED_KCAL,
    )


def _lost(asked: Asked, written: WrittenMenu) -> tuple[str, ...]:
    known = {(place.day, place.eating) for place in asked.places.values()}
    dishes = {one.id for one in asked.dishes}
    return tuple(
        dict.fromkeys(
            f"day {plate.day}, {plate.time}: {plate.dish.replace('-', ' ')}"
            for plate in written.plates
            if plate.dish not in dishes or (plate.day, plate.time) not in known
        )
    )
