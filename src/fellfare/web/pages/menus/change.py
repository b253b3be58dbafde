"""Change a menu by hand: fix a dish, take another, leave one out, search again."""

from __future__ import annotations

from typing import Any, Final, TypeVar
from urllib.parse import quote

import msgspec
from litestar import Response, get, post
from litestar.params import FromPath, FromQuery, URLEncodedBody
from litestar.response import Redirect, Template
from msgspec import Struct

from fellfare.menu.asked.here import DishHere, dishes_here
from fellfare.menu.pool import Ban, Lock
from fellfare.mistake import Mistake
from fellfare.web.drawing import page
from fellfare.web.here import FromHere, Here
from fellfare.web.pages.menus.grid import WAYS
from fellfare.web.pages.menus.jobs import SECONDS, ask
from fellfare.web.pages.menus.read import Open, open_menu
from fellfare.web.pages.trips.fields import FIRE_WORDS
from fellfare.web.work.results import FRONT, MENU, NEAR, Wanted
from fellfare.web.work.wishes import set_ban, set_lock, wishes_of

T = TypeVar("T")
Posted = URLEncodedBody[dict[str, Any]]


class Other(Struct, frozen=True, kw_only=True):
    """A dish that may stand there, or why not."""

    here: DishHere
    mass_g: float
    energy_kcal: float
    why_not: str


@get("/menus/{name:str}/other", sync_to_thread=True, include_in_schema=False)
def others(here: FromHere, name: FromPath[str], at: FromQuery[str]) -> Template:
    """Which dishes may stand at one place, and why the others may not."""
    opened = open_menu(here, name)
    lock = _read(at, Lock)
    asked = opened.asked.asked
    place = asked.places.get((lock.day, lock.time))
    if place is None:
        raise Mistake("change-no-such-time", f"there is no eating time {lock.time!r} on day "
                      f"{lock.day}", "go back and reload the menu")  # fmt: skip
    eaters = place.walkers if lock.walker is None else (lock.walker,)
    found = [
        _other(opened, one, eaters)
        for one in dishes_here(asked)
        if (one.day, one.time) == (lock.day, place.eating) and one.walkers == place.walkers
    ]
    found = [one for one in found if one.here.dish != lock.dish]
    fit = [one for one in found if not one.why_not]
    fit.sort(key=lambda one: one.mass_g / max(one.energy_kcal, 1.0))
    now = next((one for one in asked.dishes if one.id == lock.dish), None)
    return page(
        here, "menus/other.html", "menus", document=opened.document, lock=lock, at=at,
        place=place, eaters=eaters, fit=fit, unfit=[one for one in found if one.why_not], now=now,
        ways=WAYS, fire=FIRE_WORDS.get(asked.plan.days[lock.day - 1].fire or "", ""),
    )  # fmt: skip


def _other(opened: Open, one: DishHere, eaters: tuple[str, ...]) -> Other:
    dish = opened.asked.asked.dish(one.dish).dish
    barred = [name for name in eaters if name in one.barred_for]
    why = one.why_not or (f"{', '.join(barred)} may not eat it" if barred else "")
    return Other(here=one, mass_g=dish.mass_g, energy_kcal=dish.energy_kcal, why_not=why)


@post("/menus/{name:str}/change", sync_to_thread=True, include_in_schema=False)
def change(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """One button of the menu."""
    what, _, packed = str(data.get("do", "")).partition(":")
    back = f"/menus/{quote(name, safe='')}"
    who = str(data.get("who", ""))[:100]
    query = f"&who={quote(who, safe='')}" if who else ""
    match what:
        case "fix" | "free":
            lock = _read(packed, Lock)
            set_lock(here.book, name, lock, what == "fix", here.by)
            return Redirect(f"{back}?fixed={what}{query}#day-{lock.day}", status_code=303)
        case "back":
            set_ban(here.book, name, _read(packed, Ban), False, here.by)
            return Redirect(f"{back}?fixed=back{query}#by-hand", status_code=303)
        case "out":
            lock = _read(packed, Lock)
            _let_go(here, name, lock.dish)
            set_ban(here.book, name, Ban(dish=lock.dish), True, here.by)
        case "swap":
            _swap(here, name, _read(str(data.get("at", "")), Lock), packed)
        case "again" | "near":
            pass
        case _:
            raise Mistake("wish-unreadable", "that button is not known", "reload the page")
    return _search(here, name, MENU if what == "again" else NEAR, str(data.get("seconds", "")))


def _swap(here: Here, name: str, lock: Lock, dish: str) -> None:
    new = Lock(day=lock.day, time=lock.time, dish=dish, walker=lock.walker)
    known = {one.id for one in open_menu(here, name).asked.asked.dishes}
    if dish not in known or dish == lock.dish:
        raise Mistake("change-unknown-name", f"there is no other dish {dish[:60]!r}",
                      "choose one of the list")  # fmt: skip
    old = Ban(dish=lock.dish, day=lock.day, time=lock.time, walker=lock.walker)
    again = Ban(dish=dish, day=lock.day, time=lock.time, walker=lock.walker)
    set_lock(here.book, name, lock, False, here.by)
    set_ban(here.book, name, again, False, here.by)
    set_ban(here.book, name, Ban(dish=dish), False, here.by)
    set_ban(here.book, name, old, True, here.by)
    set_lock(here.book, name, new, True, here.by)


def _let_go(here: Here, name: str, dish: str) -> None:
    for lock in wishes_of(here.book, name).locks:
        if lock.dish == dish:
            set_lock(here.book, name, lock, False, here.by)


def _search(here: Here, name: str, kind: str, seconds: str) -> Response[Any]:
    opened = open_menu(here, name)
    wanted = Wanted(
        trip=opened.made.name, menu=name, based_on=opened.document.revision,
        seconds=SECONDS.get(seconds, SECONDS["usual"]),
    )  # fmt: skip
    return ask(here, kind, wanted)


@post("/menus/{name:str}/front", sync_to_thread=True, include_in_schema=False)
def draw_front(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """What one more different dinner costs in grams."""
    opened = open_menu(here, name)
    wanted = Wanted(
        trip=opened.made.name, menu=name, based_on=opened.document.revision,
        seconds=SECONDS["usual"], by="cost" if data.get("by") == "cost" else "variety",
    )  # fmt: skip
    return ask(here, FRONT, wanted)


def _read(text: str, kind: type[T]) -> T:
    """A wish that a button sent."""
    try:
        return msgspec.json.decode(text[:2000], type=kind)
    except msgspec.MsgspecError:
        raise Mistake("wish-unreadable", "that place of the menu cannot be read",
                      "reload the page and try again") from None  # fmt: skip


CHANGING: Final[list[Any]] = [others, change, draw_front]
