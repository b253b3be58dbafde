"""A menu is worked out: how far it is, stop, what came of it, and why there is none."""

from __future__ import annotations

from typing import Any, Final
from urllib.parse import quote

import msgspec
from litestar import Response, get, post
from litestar.params import FromPath, URLEncodedBody
from litestar.response import Redirect
from msgspec.structs import replace

from fellfare.book.jobs import Job
from fellfare.files.menu_toml import menu_text
from fellfare.menu.pool import Ban, Lock
from fellfare.menu.written import WrittenMenu, written
from fellfare.mistake import Mistake
from fellfare.web.drawing import page
from fellfare.web.here import FromHere, Here
from fellfare.web.pages.menus.pictures import front_picture
from fellfare.web.pages.menus.words import in_words
from fellfare.web.work.asked import asked_of
from fellfare.web.work.menus_of import next_menu
from fellfare.web.work.packs import packs_text
from fellfare.web.work.planned import planned
from fellfare.web.work.results import (
    MENU,
    FrontFound,
    Result,
    Wanted,
    about,
    job_of,
    read_result,
    wanted_of,
)
from fellfare.web.work.shown import reckoned
from fellfare.web.work.solving import keep
from fellfare.web.work.wishes import Wishes, set_ban, set_lock, unsay, wishes_of
from fellfare.web.work.worker import wake

Posted = URLEncodedBody[dict[str, Any]]

#: Searches that ended so long ago are forgotten, and their proofs with them [days].
KEPT_DAYS: Final = 30.0
#: Seconds that a search may take, by the button.
SECONDS: Final = {"short": 10.0, "usual": 30.0, "long": 120.0}

#: What the search is at, in words for a page.
STAGES: Final = {
    "bound": "proving how light it can be at best",
    "portions": "fitting the portions",
    "all at once": "weighing all dishes at once",
    "proof": "proving that it cannot be done",
    "wishes": "taking the wishes apart",
    "clash": "looking for wishes that clash",
}


def ask(here: Here, kind: str, wanted: Wanted) -> Response[Any]:
    """Ask a worker for it, and go to where its progress is told."""
    job = add(here, kind, wanted)
    return Redirect(f"/menus/searches/{job.id}", status_code=303)


def add(here: Here, kind: str, wanted: Wanted) -> Job:
    """A job of this book; the worker is woken."""
    plain = msgspec.to_builtins(wanted)
    job = here.book.jobs.add(kind, plain, about=about(wanted.trip)[:200], by=here.by)
    here.book.jobs.forget(KEPT_DAYS)
    wake(here.book)
    return job


@post("/trips/{name:str}/menu", sync_to_thread=True, include_in_schema=False)
def plan_menu(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """A new menu of a trip."""
    planned(here.book, here.book.get("trip", name))  # what is wrong with the trip is told at once
    seconds = SECONDS.get(str(data.get("seconds", "")), SECONDS["usual"])
    menu = next_menu(name, here.book.names("menu"))
    return ask(here, MENU, Wanted(trip=name, menu=menu, seconds=seconds))


@get("/menus/searches/{number:int}", sync_to_thread=True, include_in_schema=False)
def working(here: FromHere, number: FromPath[int]) -> Response[Any]:
    """How far it is, or what came of it."""
    job = job_of(here.book, number)
    wanted = wanted_of(job.asked)
    if not job.ended:
        wake(here.book)
        name = "menus/progress.html" if here.fragment else "menus/working.html"
        return _page(here, name, job, wanted)
    result = read_result(job.result) if job.state != "failed" else None
    if result is not None and result.proof is not None:
        there = f"/menus/{quote(result.proof.menu, safe='')}?job={job.id}"
        return _gone(here, there)
    if here.fragment:  # the whole page has something else to say now
        return _gone(here, f"/menus/searches/{job.id}")
    if result is not None and result.front is not None:
        return _front(here, job, wanted, result.front)
    return _none(here, job, wanted, result)


def _gone(here: Here, address: str) -> Response[Any]:
    if here.fragment:
        return Response("", status_code=200, headers={"hx-redirect": address})
    return Redirect(address, status_code=303)


def _page(here: Here, template: str, job: Job, wanted: Wanted, **given: Any) -> Response[Any]:
    return page(
        here, template, "menus", job=job, wanted=wanted, stages=STAGES, in_words=in_words,
        title=_title(here, wanted), known=wanted.menu in here.book.names("menu"), **given,
    )  # fmt: skip


def _title(here: Here, wanted: Wanted) -> str:
    try:
        return planned(here.book, here.book.get("trip", wanted.trip)).trip.title
    except Mistake:
        return wanted.trip.replace("-", " ")


def _none(here: Here, job: Job, wanted: Wanted, result: Result | None) -> Response[Any]:
    none = None if result is None else result.none
    wishes = wishes_of(here.book, wanted.menu)
    if wanted.softened is not None:
        wishes = Wishes()
    return _page(
        here, "menus/none.html", job, wanted, why=none, wishes=wishes,
        packed=lambda value: msgspec.json.encode(value).decode("utf-8"),
    )  # fmt: skip


def _front(here: Here, job: Job, wanted: Wanted, found: FrontFound) -> Response[Any]:
    drawn = front_picture(found, here.units) if found.points else None
    return _page(here, "menus/front.html", job, wanted, found=found, drawn=drawn)


@post("/menus/searches/{number:int}/stop", sync_to_thread=True, include_in_schema=False)
def stop(here: FromHere, number: FromPath[int]) -> Response[Any]:
    """Enough: the best found is handed over."""
    job = here.book.jobs.ask_stop(job_of(here.book, number).id)
    return Redirect(f"/menus/searches/{job.id}", status_code=303)


@post("/menus/searches/{number:int}/again", sync_to_thread=True, include_in_schema=False)
def longer(here: FromHere, number: FromPath[int]) -> Response[Any]:
    """The same once more, with more time."""
    job = job_of(here.book, number)
    return ask(here, job.kind, replace(_now(here, wanted_of(job.asked)), seconds=SECONDS["long"]))


@post("/menus/searches/{number:int}/way", sync_to_thread=True, include_in_schema=False)
def take_way(here: FromHere, number: FromPath[int], data: Posted) -> Response[Any]:
    """Let these wishes give, for this menu; the trip keeps its rules."""
    job = job_of(here.book, number)
    result = read_result(job.result)
    told = str(data.get("way", ""))
    none = None if result is None else result.none
    if none is None or not told.isdigit() or int(told) >= len(none.ways):
        raise Mistake("job-not-found", "that way out is not known any more", "plan the menu again")
    way = none.ways[int(told)]
    wanted = replace(
        _now(here, wanted_of(job.asked)), softened=way.question,
        given_up=tuple(f"{one.wish}: {one.gives}" for one in way.gives),
    )  # fmt: skip
    return ask(here, MENU, wanted)


@post("/menus/searches/{number:int}/let-go", sync_to_thread=True, include_in_schema=False)
def let_go(here: FromHere, number: FromPath[int], data: Posted) -> Response[Any]:
    """Take back what was fixed or left out by hand, and search again."""
    job = job_of(here.book, number)
    wanted = wanted_of(job.asked)
    kind, _, packed = str(data.get("wish", "")).partition(":")
    try:
        if kind == "lock":
            lock = msgspec.json.decode(packed, type=Lock)
            ticked = set_lock(here.book, wanted.menu, lock, False, here.by)
        else:
            ban = msgspec.json.decode(packed, type=Ban)
            ticked = set_ban(here.book, wanted.menu, ban, False, here.by)
    except msgspec.MsgspecError:
        raise Mistake("wish-unreadable", "that wish cannot be read", "reload the page") from None
    together = replace(_now(here, wanted), ticked=(*wanted.ticked, *ticked))
    return ask(here, job.kind, together)


@post("/menus/searches/{number:int}/take-back", sync_to_thread=True, include_in_schema=False)
def take_back(here: FromHere, number: FromPath[int]) -> Response[Any]:
    """No menu came of it: what was said by hand with that search is unsaid."""
    wanted = wanted_of(job_of(here.book, number).asked)
    unsay(here.book, wanted.menu, wanted.ticked, here.by)
    return Redirect(f"/menus/{quote(wanted.menu, safe='')}?fixed=unsaid", status_code=303)


@post("/menus/searches/{number:int}/take", sync_to_thread=True, include_in_schema=False)
def take(here: FromHere, number: FromPath[int], data: Posted) -> Response[Any]:
    """One menu of the front becomes the menu."""
    job = job_of(here.book, number)
    wanted = wanted_of(job.asked)
    result = read_result(job.result)
    told = str(data.get("point", ""))
    found = None if result is None else result.front
    if found is None or not told.isdigit() or int(told) >= len(found.points):
        raise Mistake("job-not-found", "that menu is not known any more", "draw the front again")
    made = planned(here.book, here.book.get("trip", wanted.trip))
    asked = asked_of(made, here.foods, here.recipes, packs_text(here.book, wanted.trip))
    plates = found.points[int(told)].plates
    known = {one.id: one.dish.steps_per_serving for one in asked.asked.dishes}
    steps = {plate.dish: known[plate.dish] for plate in plates if plate.dish in known}
    menu = WrittenMenu(
        title=made.trip.title,
        plates=tuple(plate for plate in plates if plate.dish in steps),
        steps_per_serving=steps,
    )
    text = menu_text(written(reckoned(asked, menu).menu))
    name, revision = keep(here.book, _now(here, wanted), text)
    return Redirect(f"/menus/{quote(name, safe='')}?saved={revision}", status_code=303)


def _now(here: Here, wanted: Wanted) -> Wanted:
    """The same asked of the menu as it stands now."""
    try:
        revision: int | None = here.book.get("menu", wanted.menu).revision
    except Mistake:
        revision = None
    return replace(wanted, based_on=revision)


WORKING: Final[list[Any]] = [
    plan_menu, working, stop, longer, take_way, let_go, take_back, take,
]  # fmt: skip
