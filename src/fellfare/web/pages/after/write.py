"""Write down what came home; make the next trip from what it teaches."""

from __future__ import annotations

from itertools import groupby
from typing import Any, Final
from urllib.parse import quote

from litestar import Response, get, post
from litestar.params import FromPath, URLEncodedBody
from litestar.response import Redirect, Template

from fellfare.files.log_toml import log_text
from fellfare.mistake import Mistake
from fellfare.web.documents import trip_of
from fellfare.web.drawing import page
from fellfare.web.errors import each_of
from fellfare.web.fields import Faults
from fellfare.web.here import FromHere, Here
from fellfare.web.names import free_name
from fellfare.web.pages.after.form import (
    FELT,
    ROWS,
    WAYS,
    LogForm,
    fits_form,
    form_from,
    form_of,
    log_from,
    place_faults,
)
from fellfare.web.pages.after.next_trip import begun_from, corrected
from fellfare.web.pages.after.opened import Opened, learnt, next_of, open_log
from fellfare.web.saving import save_or_show_both
from fellfare.web.work.planned import track_of

Posted = URLEncodedBody[dict[str, Any]]


@get("/after/{name:str}/edit", sync_to_thread=True, include_in_schema=False)
def form(here: FromHere, name: FromPath[str]) -> Response[Any]:
    """The form, made from the menu; filled in as far as something is noted."""
    try:
        opened = open_log(here, name)
    except Mistake as mistake:
        return page(here, "after/unread.html", "after", name=name, mistakes=each_of(mistake),
                    document=None, done="")  # fmt: skip
    if not fits_form(opened.log, opened.walkers, len(opened.made.plan.days)):
        return Redirect(f"/book/log/{quote(name, safe='')}/text", status_code=303)
    filled = form_of(opened.log, opened.items, opened.walkers)
    based_on = None if opened.document is None else opened.document.revision
    return _shown(here, opened, filled, {}, based_on)


@post("/after/{name:str}/edit", sync_to_thread=True, include_in_schema=False)
def keep(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """Keep the log, once it fits its trip."""
    opened = open_log(here, name)
    told = str(data.get("based_on", ""))
    based_on = int(told) if told.isascii() and told.isdigit() and len(told) < 10 else None
    filled = form_from(data, opened.items, opened.log, opened.walkers)
    title = opened.log.title or opened.made.trip.title
    log, faults, fields = log_from(filled, title, opened.walkers, len(opened.made.plan.days))
    if not faults:
        try:
            learnt(here, opened, log)
        except Mistake as mistake:
            place_faults(mistake, fields, faults)
    if faults:
        return _shown(here, opened, filled, faults, based_on, 422)
    return save_or_show_both(here, "log", name, log_text(log), based_on)


def _shown(
    here: Here,
    opened: Opened,
    filled: LogForm,
    faults: Faults,
    based_on: int | None,
    status: int = 200,
) -> Template:
    eating = {time.name: at for at, time in enumerate(opened.made.trip.eating)}
    numbered = sorted(
        enumerate(filled.items),
        key=lambda one: (
            one[1].day,
            opened.walkers.index(one[1].walker) if one[1].walker in opened.walkers else -1,
            eating.get(one[1].eating, len(eating)),
        ),
    )
    days = {day: list(rows) for day, rows in groupby(numbered, key=lambda one: one[1].day)}
    kitchens = [
        (number, ", ".join(kitchen.walkers))
        for number, kitchen in enumerate(opened.made.trip.kitchens, 1)
        if kitchen.stove is not None
    ]
    noted = {item.day for at, item in numbered if filled.value(f"home-{at}")}
    dishes = tuple(dict.fromkeys(item.dish for item in filled.items if item.dish))
    return page(
        here, "after/form.html", "after", status=status, opened=opened, name=opened.name,
        trip=opened.made.trip, plan=opened.made.plan, form=filled, faults=faults,
        based_on=based_on, days=days, felt=FELT, ways=WAYS, rows=ROWS, kitchens=kitchens,
        dishes=dishes, noted=noted,
    )  # fmt: skip


@post("/after/{name:str}/next", sync_to_thread=True, include_in_schema=False)
def next_trip(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """Correct the trip itself, or begin a new one like it."""
    opened = open_log(here, name)
    made = next_of(opened, learnt(here, opened, opened.log))
    trip = opened.made.trip
    if data.get("do") == "new":
        title = " ".join(str(data.get("title", "")).split())[:200] or f"{trip.title}, next"
        track = track_of(here.book, trip, opened.trip.name)
        text = begun_from(opened.trip.text, made, title, "" if track is None else track.name)
        keep_as = free_name(here.book, "trip", title)
        trip_of(text, keep_as)
        return save_or_show_both(here, "trip", keep_as, text, None)
    text = corrected(opened.trip.text, made)
    trip_of(text, opened.trip.name)
    told = str(data.get("based_on", ""))
    based_on = int(told) if told.isascii() and told.isdigit() else opened.trip.revision
    return save_or_show_both(here, "trip", opened.trip.name, text, based_on)


WRITING: Final[list[Any]] = [form, keep, next_trip]
