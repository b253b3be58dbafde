"""The kitchen of a menu: what is bought, done at home, bagged, labelled, carried and posted."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, get_args
from urllib.parse import quote

from litestar import Response, get
from litestar.exceptions import NotFoundException
from litestar.params import FromPath, FromQuery
from litestar.response import Redirect, Template
from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.paper.boxing import box_sheets
from fellfare.paper.carrying import carrying_sheet
from fellfare.paper.kinds import KINDS
from fellfare.paper.labels import label_rows
from fellfare.provision.bags.tree import View
from fellfare.web.documents import menu_of
from fellfare.web.drawing import page
from fellfare.web.errors import each_of
from fellfare.web.here import FromHere, Here
from fellfare.web.pages.kitchen.pictures import loads, nights
from fellfare.web.pages.kitchen.provided import Provided, provided
from fellfare.web.pages.kitchen.ticks import LISTS, bags_by, lists_of, of_sheet, ticked
from fellfare.web.work.menus_of import menus_of, trip_of_menu

#: Headings under which the bags can be seen.
VIEWS: Final[tuple[tuple[View, str], ...]] = (
    ("day", "day"), ("meal", "meal"), ("person", "who eats it"), ("box", "where it is taken up"),
    ("dish", "dish"), ("food", "food"),
)  # fmt: skip
assert {key for key, _ in VIEWS} == set(get_args(View))

#: Paper → what it is for; in the order of the work.
PAPERS: Final = (
    ("shopping", "Shopping list"), ("prep", "Prep list"), ("labels", "Bag labels"),
    ("packing", "Packing list"), ("carrying", "Who carries what"), ("boxes", "Box lists"),
    ("trail", "Pocket card"), ("days", "Day sheets"), ("allergens", "Allergen card"),
    ("cards", "Recipe cards"),
)  # fmt: skip
assert {key for key, _ in PAPERS} == set(KINDS) - {"html", "csv"}


class Listed(Struct, frozen=True):
    """One menu of the list; ``trip`` None = it belongs to none."""

    name: str
    title: str
    trip: str | None
    days: int
    mistake: Mistake | None


def menus_with_trips(here: Here) -> list[Listed]:
    """Every menu of the book, as the rooms behind it list them."""
    trips = here.book.names("trip")
    rows = []
    for document in here.book.all("menu"):
        try:
            menu = menu_of(document.text, document.name)
        except Mistake as mistake:
            title = document.name.replace("-", " ")
            rows.append(Listed(document.name, title, None, 0, each_of(mistake)[0]))
            continue
        days = len({plate.day for plate in menu.plates})
        rows.append(
            Listed(document.name, menu.title, trip_of_menu(document.name, trips), days, None)
        )
    return rows


@get("/kitchen", sync_to_thread=True, include_in_schema=False)
def kitchens(here: FromHere, deleted: FromQuery[str] = "") -> Template:
    """Menus that can be cooked for, and trips that have none yet."""
    menus = here.book.names("menu")
    without = [name for name in here.book.names("trip") if not menus_of(name, menus)]
    thrown = here.book.names("provision", deleted=True)
    return page(
        here, "kitchen/kitchens.html", "kitchen", rows=menus_with_trips(here), without=without,
        deleted=deleted if deleted in thrown else "",
    )  # fmt: skip


def shown(
    here: Here,
    name: str,
    template: str,
    tab: str,
    given: Callable[[Provided], dict[str, Any]],
    room: str = "kitchen",
) -> Template:
    """A page of what is provided; or why it cannot be, with the ways to mend it."""
    try:
        there = provided(here, name)
        more = given(there)
    except Mistake as mistake:
        here.book.get("menu", name)  # 'there is no such menu' comes first
        trip = trip_of_menu(name, here.book.names("trip"))
        return page(
            here, "kitchen/unread.html", room, name=name, trip=trip, mistakes=each_of(mistake)
        )
    return page(
        here, template, room, there=there, one=there.one, name=name, tab=tab,
        trip=there.made.trip, **more,
    )  # fmt: skip


@get("/kitchen/{name:str}", sync_to_thread=True, include_in_schema=False)
def kitchen(
    here: FromHere, name: FromPath[str], saved: FromQuery[str] = "", undone: FromQuery[str] = ""
) -> Template:
    """How far everything is, what to mind, and every paper."""

    def given(there: Provided) -> dict[str, Any]:
        far = {key: ticked(here.book, name, there.one, key, here.units) for key in LISTS}
        return {
            "far": far, "papers": PAPERS, "done": "saved" if saved else "undone" if undone else "",
        }  # fmt: skip

    return shown(here, name, "kitchen/kitchen.html", "", given)


@get("/kitchen/{name:str}/list/{what:str}", sync_to_thread=True, include_in_schema=False)
def ticking(here: FromHere, name: FromPath[str], what: FromPath[str]) -> Template:
    """What to buy, or what to do at home, to be ticked off."""
    if what not in ("shopping", "prep"):
        raise NotFoundException

    def given(there: Provided) -> dict[str, Any]:
        ticks = here.book.ticks("menu", name, what)
        groups = lists_of(there.one, what, ticks, here.units)
        foot = there.one.prep.findings if what == "prep" else ()
        return {"what": what, "groups": groups, "foot": foot, "says": LISTS[what],
                "far": ticked(here.book, name, there.one, what, here.units)}  # fmt: skip

    return shown(here, name, f"kitchen/{what}.html", what, given)


@get("/kitchen/{name:str}/bags", sync_to_thread=True, include_in_schema=False)
def bags(here: FromHere, name: FromPath[str], by: FromQuery[str] = "day") -> Template:
    """Every bag, under one heading or another."""
    view = next((key for key, _ in VIEWS if key == by), VIEWS[0][0])

    def given(there: Provided) -> dict[str, Any]:
        ticks = here.book.ticks("menu", name, "bags")
        return {"what": "bags", "by": view, "views": VIEWS, "says": LISTS["bags"],
                "groups": bags_by(there.one, view, ticks, here.units),
                "far": ticked(here.book, name, there.one, "bags", here.units)}  # fmt: skip

    return shown(here, name, "kitchen/bags.html", "bags", given)


@get("/kitchen/{name:str}/labels", sync_to_thread=True, include_in_schema=False)
def labels(here: FromHere, name: FromPath[str]) -> Template:
    """Every label as text, and the sheets to print them on."""
    return shown(here, name, "kitchen/labels.html", "labels", lambda _: {
        "faults": {}, "asked": {}, "rows_of": label_rows,
    })  # fmt: skip


@get("/kitchen/{name:str}/carrying", sync_to_thread=True, include_in_schema=False)
def carrying(here: FromHere, name: FromPath[str]) -> Template:
    """Loads by morning, litres by night, fuel and water."""

    def given(there: Provided) -> dict[str, Any]:
        groups = of_sheet(carrying_sheet(there.one), frozenset())
        return {"groups": groups, "loads": loads(there.one), "nights": nights(there.one)}

    return shown(here, name, "kitchen/carrying.html", "carrying", given)


@get("/kitchen/{name:str}/boxes", sync_to_thread=True, include_in_schema=False)
def boxes(here: FromHere, name: FromPath[str]) -> Template:
    """What is posted, when, and whether it keeps."""

    def given(there: Provided) -> dict[str, Any]:
        ticks = here.book.ticks("menu", name, "boxes")
        sheets = box_sheets(there.one.boxes)
        return {
            "what": "boxes", "says": LISTS["boxes"],
            "boxes": [
                (box, sheet, of_sheet(sheet, ticks, sheet.title))
                for box, sheet in zip(there.one.boxes, sheets, strict=True)
            ],
            "far": ticked(here.book, name, there.one, "boxes", here.units),
        }  # fmt: skip

    return shown(here, name, "kitchen/boxes.html", "boxes", given)


@get("/cupboards/{name:str}", sync_to_thread=True, include_in_schema=False)
def own_at_home(here: FromHere, name: FromPath[str]) -> Response[Any]:
    """A cupboard is shown with the first menu of its trip; without one, its text is."""
    here.book.get("provision", name)
    found = menus_of(name, here.book.names("menu"))
    if found:
        return Redirect(f"/kitchen/{quote(found[0], safe='')}/cupboard", status_code=303)
    return Redirect(f"/book/provision/{quote(name, safe='')}/text", status_code=303)


READING: Final[list[Any]] = [
    kitchens, kitchen, ticking, bags, labels, carrying, boxes, own_at_home,
]  # fmt: skip
