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
from fellfare.web.work.results import FRONT, MENU, NEAR, Wanted, job_of, wanted_of
from fellfare.web.work.wishes import Ticked, say_again, set_ban, set_lock, unsay, wishes_of

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
    ticked: tuple[Ticked, ...] = ()
    match what:
        case "fix" | "free":
            lock = _read(packed, Lock)
            set_lock(here.book, name, lock, what == "fix", here.by)
            said = f"?fixed={what}&wish={quote(packed, safe='')}"
            return Redirect(f"{back}{said}{query}#day-{lock.day}", status_code=303)
        case "back" | "gone":
            set_ban(here.book, name, _read(packed, Ban), what == "gone", here.by)
            said = f"?fixed={what}&wish={quote(packed, safe='')}"
            return Redirect(f"{back}{said}{query}#by-hand", status_code=303)
        case "out":
            lock = _read(packed, Lock)
            ticked = _let_go(here, name, lock.dish)
            ticked += set_ban(here.book, name, Ban(dish=lock.dish), True, here.by)
        case "swap":
            ticked = _swap(here, name, _read(str(data.get("at", "")), Lock), packed)
        case "again" | "near":
            pass
        case _:
            raise Mistake("wish-unreadable", "that button is not known", "reload the page")
    kind = MENU if what == "again" else NEAR
    return _search(here, name, kind, str(data.get("seconds", "")), ticked)


def _swap(here: Here, name: str, lock: Lock, dish: str) -> tuple[Ticked, ...]:
    new = Lock(day=lock.day, time=lock.time, dish=dish, walker=lock.walker)
    known = {one.id for one in open_menu(here, name).asked.asked.dishes}
    if dish not in known or dish == lock.dish:
        raise Mistake("change-unknown-name", f"there is no other dish {dish[:60]!r}",
                      "choose one of the list")  # fmt: skip
    old = Ban(dish=lock.dish, day=lock.day, time=lock.time, walker=lock.walker)
    again = Ban(dish=dish, day=lock.day, time=lock.time, walker=lock.walker)
    return (
        *set_lock(here.book, name, lock, False, here.by),
        *set_ban(here.book, name, again, False, here.by),
        *set_ban(here.book, name, Ban(dish=dish), False, here.by),
        *set_ban(here.book, name, old, True, here.by),
        *set_lock(here.book, name, new, True, here.by),
    )


def _let_go(here: Here, name: str, dish: str) -> tuple[Ticked, ...]:
    ticked: tuple[Ticked, ...] = ()
    for lock in wishes_of(here.book, name).locks:
        if lock.dish == dish:
            ticked += set_lock(here.book, name, lock, False, here.by)
    return ticked


def _search(
    here: Here, name: str, kind: str, seconds: str, ticked: tuple[Ticked, ...]
) -> Response[Any]:
    opened = open_menu(here, name)
    wanted = Wanted(
        trip=opened.made.name, menu=name, based_on=opened.document.revision,
        seconds=SECONDS.get(seconds, SECONDS["usual"]), ticked=ticked,
    )  # fmt: skip
    return ask(here, kind, wanted)


@post("/menus/{name:str}/undo", sync_to_thread=True, include_in_schema=False)
def undo(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """Take a search back: the menu as it was, and what was said by hand with it."""
    job, based_on = _number(data, "job"), _number(data, "based_on")
    ticked = _ticked(here, name, job)
    done = here.book.undo_of("menu", name, based_on=based_on, by=here.by)
    if done.deleted:
        return Redirect(f"/menus?deleted={quote(name, safe='')}", status_code=303)
    unsay(here.book, name, ticked, here.by)
    there = f"/menus/{quote(name, safe='')}?undone={done.revision}&of={job}"
    return Redirect(there, status_code=303)


@post("/menus/{name:str}/redo", sync_to_thread=True, include_in_schema=False)
def redo(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """What an undo of a search took back stands again."""
    job, revision = _number(data, "job"), _number(data, "revision")
    ticked = _ticked(here, name, job)
    done = here.book.restore("menu", name, revision, by=here.by)
    say_again(here.book, name, ticked, here.by)
    return Redirect(
        f"/menus/{quote(name, safe='')}?restored={done.revision}&of={job}", status_code=303
    )


def _ticked(here: Here, name: str, job: int) -> tuple[Ticked, ...]:
    """What was said by hand with a search of this menu."""
    wanted = wanted_of(job_of(here.book, job).asked)
    return wanted.ticked if wanted.menu == name else ()


def _number(data: dict[str, Any], key: str) -> int:
    told = str(data.get(key, ""))
    if told.isascii() and told.isdigit() and len(told) < 10:
        return int(told)
    raise Mistake("wish-unreadable", f"{key} is no number", "reload the page and try again")


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


CHANGING: Final[list[Any]] = [others, change, undo, redo, draw_front]
