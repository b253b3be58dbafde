"""From a menu of the book to everything its trip asks of kitchen, shop, post and pack.

Reckoned once for each state of menu, trip, track, recipes, foods and cupboard.
"""

from __future__ import annotations

from collections import OrderedDict
from hashlib import blake2b
from threading import Lock
from typing import Final

import msgspec
from msgspec import Struct

from fellfare.book import Document
from fellfare.menu.written import WrittenMenu, minding_late
from fellfare.mistake import Finding, Mistake
from fellfare.paper.names import printable
from fellfare.provision.minding import gathered
from fellfare.provision.trip.own import Own
from fellfare.provision.trip.provision import Provision, provision_of
from fellfare.recipe.leaving_out import recipe_of
from fellfare.web.documents import menu_of, own_of
from fellfare.web.here import Here
from fellfare.web.work.menus_of import trip_of_menu
from fellfare.web.work.planned import Planned, planned

#: A season goes through all of its parties again and again.
MOST_KEPT: Final = 40
#: Name of a cupboard that came from a folder with one trip.
COMMON: Final = "provision"


class Provided(Struct, frozen=True, kw_only=True, eq=False):
    """A menu with its trip and all that is bought, dried, bagged, posted and carried for it."""

    document: Document
    written: WrittenMenu
    made: Planned
    #: The document of packs and cupboard; None = nothing is told.
    own: Document | None
    one: Provision
    #: Of dishes, backs, boxes, labels and names that print otherwise, each once, gravest first.
    findings: tuple[Finding, ...]
    #: The same for the same texts.
    key: bytes

    @property
    def name(self) -> str:
        """Of the menu: kitchen, trail and log go by it."""
        return self.document.name


_kept: OrderedDict[bytes, tuple[Provision, tuple[Finding, ...]]] = OrderedDict()
_lock = Lock()


def provided(here: Here, name: str) -> Provided:
    """What the menu ``name`` asks for.

    Raises
    ------
    Mistake
        ``menu-without-trip``; what is wrong with menu, trip, track, a recipe or the cupboard;
        as :func:`fellfare.provision.trip.provision.provision_of`.
    """
    document = here.book.get("menu", name)
    written = menu_of(document.text, name)
    trips = here.book.names("trip")
    trip = trip_of_menu(name, trips)
    if trip is None:
        raise Mistake(
            "menu-without-trip",
            f"the book holds no trip that the menu {name!r} belongs to",
            "a menu bears the name of its trip: rename one of them, or bring the trip in",
            name,
        )
    made = planned(here.book, here.book.get("trip", trip))
    told = own_document(here, trip, trips)
    wanted = {one for plate in written.plates for one in (plate.dish, recipe_of(plate.dish))}
    rows = [row for row in here.recipes.all() if row.name in wanted]
    digest = blake2b(made.key, digest_size=20)
    for text in (document.text, "" if told is None else told.text,
                 *(part for row in rows for part in (row.name, row.text))):  # fmt: skip
        data = text.encode("utf-8", "surrogatepass")
        digest.update(len(data).to_bytes(8, "little") + data)
    digest.update(msgspec.json.encode(here.foods.own()))
    key = digest.digest()
    with _lock:
        found = _kept.get(key)
        if found is not None:
            _kept.move_to_end(key)
    if found is None:
        pantry = here.pantry
        own = Own() if told is None else own_of(told.text, pantry, told.name)
        one = provision_of(
            made.plan,
            written.plates,
            {row.name: row.recipe for row in rows if row.recipe is not None},
            pantry,
            own,
            steps_per_serving=written.steps_per_serving,
            rations=written.rations,
        )
        used = {line.food.id for dish in one.dishes for line in dish.sheet.lines}
        labels = (one for one in here.foods.said() if used & set(one.about))
        _, respelled = printable(one)
        found = (one, gathered((*one.findings, *labels, *respelled, *minding_late(written))))
        with _lock:
            _kept[key] = found
            while len(_kept) > MOST_KEPT:
                _kept.popitem(last=False)
    return Provided(
        document=document, written=written, made=made, own=told, one=found[0],
        findings=found[1], key=key,
    )  # fmt: skip


def own_document(here: Here, trip: str, trips: tuple[str, ...]) -> Document | None:
    """The cupboard that bears the trip's name; with one trip in the book, the common one too."""
    names = here.book.names("provision")
    if trip in names:
        return here.book.get("provision", trip)
    if COMMON in names and len(trips) == 1:
        return here.book.get("provision", COMMON)
    return None
