"""All menus that are wanting are planned, one after the other, outside of the request."""

from __future__ import annotations

from typing import Any, Final
from urllib.parse import quote

from litestar import Response, get, post
from litestar.params import FromPath, URLEncodedBody
from litestar.response import Redirect

from fellfare.mistake import Mistake
from fellfare.web.drawing import page
from fellfare.web.here import FromHere
from fellfare.web.pages.menus.jobs import SECONDS, STAGES, add
from fellfare.web.pages.season.opened import Row, day_of, open_season
from fellfare.web.work.menus_of import next_menu
from fellfare.web.work.results import MENU, NEAR, Wanted
from fellfare.web.work.worker import wake

Posted = URLEncodedBody[dict[str, Any]]


@post("/season/{name:str}/menus", sync_to_thread=True, include_in_schema=False)
def plan_all(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """One search for each menu that is wanting; those that are out of date change least."""
    opened = open_season(here, name)
    seconds = SECONDS.get(str(data.get("seconds", "")), SECONDS["usual"])
    asked: set[str | None] = {row.trip for row in opened.rows if _busy(row)}
    waiting = 0
    for row in opened.wanted(day_of("")):
        if row.trip in asked or row.trip is None:
            continue
        asked.add(row.trip)
        if row.menu is None:
            menu = next_menu(row.trip, here.book.names("menu"))
            kind, wanted = MENU, Wanted(trip=row.trip, menu=menu, seconds=seconds)
        else:
            kind = NEAR
            wanted = Wanted(trip=row.trip, menu=row.menu.name, based_on=row.menu.revision,
                            seconds=seconds)  # fmt: skip
        try:
            add(here, kind, wanted)
        except Mistake as mistake:
            if mistake.code != "job-too-many-open":
                raise
            waiting += 1
    more = f"?waiting={waiting}" if waiting else ""
    return Redirect(f"/season/{quote(name, safe='')}{more}", status_code=303)


@post("/season/{name:str}/menus/stop", sync_to_thread=True, include_in_schema=False)
def stop_all(here: FromHere, name: FromPath[str]) -> Response[Any]:
    """Enough: the best found of each is handed over, what has not begun is let be."""
    for row in open_season(here, name).rows:
        if row.job is not None and not row.job.ended:
            here.book.jobs.ask_stop(row.job.id)
    return Redirect(f"/season/{quote(name, safe='')}", status_code=303)


@get("/season/{name:str}/menus", sync_to_thread=True, include_in_schema=False)
def progress(here: FromHere, name: FromPath[str]) -> Response[Any]:
    """How far the searches are; a piece of the season's page."""
    at = f"/season/{quote(name, safe='')}"
    if not here.fragment:
        return Redirect(at, status_code=303)
    opened = open_season(here, name)
    busy = [row for row in opened.rows if _busy(row)]
    if not busy:
        return Response("", status_code=200, headers={"hx-redirect": at})
    wake(here.book)
    return page(here, "season/progress.html", "season", name=name, busy=busy, stages=STAGES,
                opened=opened)  # fmt: skip


def _busy(row: Row) -> bool:
    return row.job is not None and not row.job.ended


PLANNING: Final[list[Any]] = [plan_all, stop_all, progress]
