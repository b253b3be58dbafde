"""Compositions: the list, one with what was found, its form, a run, a recipe made from a dish."""

from __future__ import annotations

from collections import Counter
from typing import Any, Final
from urllib.parse import quote

from litestar import Response, get, post
from litestar.params import FromPath, FromQuery, URLEncodedBody
from litestar.response import Redirect, Template

from fellfare.book import Document
from fellfare.book.jobs import Job
from fellfare.files.composition_toml import composition_text
from fellfare.files.recipe_toml import recipe_text
from fellfare.mistake import Mistake
from fellfare.recipe.composing.hindering import told_of
from fellfare.recipe.composing.laying import lay
from fellfare.recipe.composing.question import FIGURES, NOTICED, Composition
from fellfare.recipe.composing.sweeping import Dish, dish_of
from fellfare.recipe.composing.taste import TASTES, names_of
from fellfare.recipe.composing.written import recipe_of, title_of
from fellfare.web.documents import composition_of
from fellfare.web.drawing import page
from fellfare.web.errors import each_of
from fellfare.web.fields import Faults
from fellfare.web.here import FromHere, Here
from fellfare.web.names import free_name
from fellfare.web.pages.compose.form import (
    FIGURE_WORDS,
    MEALS,
    TABLES,
    WAYS,
    ComposeForm,
    blank,
    composition_from,
    form_from,
    form_of,
    place_faults,
)
from fellfare.web.pages.compose.pictures import dots
from fellfare.web.saving import save_or_show_both
from fellfare.web.work.composing import (
    SECONDS,
    Found,
    about,
    ask,
    key_of,
    laid_of,
    read_found,
    shown_of,
)
from fellfare.web.work.worker import COMPOSE, wake

Posted = URLEncodedBody[dict[str, Any]]

#: Addresses of the composer that are no composition.
_TAKEN: Final = ("new", "work")


@get("/compose", sync_to_thread=True, include_in_schema=False)
def compositions(here: FromHere, deleted: FromQuery[str] = "") -> Template:
    """Every composition of the book."""
    rows: list[tuple[Document, Composition | None, Mistake | None]] = []
    for document in here.book.all("composition"):
        try:
            rows.append((document, composition_of(document.text, document.name).asked, None))
        except Mistake as mistake:
            rows.append((document, None, each_of(mistake)[0]))
    thrown = here.book.names("composition", deleted=True)
    return page(
        here, "compose/compositions.html", "compose", rows=rows, thrown=thrown,
        deleted=deleted if deleted in thrown else "",
    )  # fmt: skip


@get("/compose/new", sync_to_thread=True, include_in_schema=False)
def new(here: FromHere) -> Template:
    """A form with the usual parts and no food yet."""
    return _form(here, blank(), None, {}, None)


@post("/compose/new", sync_to_thread=True, include_in_schema=False)
def begin(here: FromHere, data: Posted) -> Response[Any]:
    """Keep a new one."""
    return _pressed(here, data, None)


@get("/compose/{name:str}", sync_to_thread=True, include_in_schema=False)
def composition(
    here: FromHere,
    name: FromPath[str],
    saved: FromQuery[str] = "",
    undone: FromQuery[str] = "",
    restored: FromQuery[str] = "",
    front: FromQuery[int] = 0,
) -> Template:
    """What is asked, and what was found of it last; ``front`` is a page of the front."""
    document = here.book.get("composition", name)
    done = "saved" if saved else "undone" if undone else "restored" if restored else ""
    given: dict[str, Any] = {"document": document, "name": name, "done": done}
    try:
        asked = composition_of(document.text, name).asked
        key = key_of(document.text, here.foods)
        laid = laid_of(key, asked, here.pantry)
    except Mistake as mistake:
        return page(here, "compose/unread.html", "compose", mistakes=each_of(mistake), **given)
    job, found = _last(here, name)
    shown = None
    if found is not None and found.key == key:
        shown = shown_of(found, asked, here.pantry, front)
    if job is not None and not job.ended:
        wake(here.book, COMPOSE)
    common = Counter(t for dish in shown.chosen for t in names_of(dish.tastes)) if shown else None
    return page(
        here, "compose/composition.html", "compose", asked=asked, laid=laid, job=job, shown=shown,
        stale=found is not None and shown is None, words=FIGURE_WORDS, titled=title_of,
        hindered=told_of(found.hindered, FIGURE_WORDS) if found and found.hindered else (),
        names_of=names_of, paged=front > 0, dots=None if shown is None else dots(shown),
        seconds=SECONDS,
        lacking=() if common is None else [one for one in TASTES if not common[one]],
        on_front=set() if found is None else set(found.front), **given,
    )  # fmt: skip


def _last(here: Here, name: str) -> tuple[Job | None, Found | None]:
    """The newest job about it, and the newest result."""
    jobs = here.book.jobs.all(about=about(name), kind=COMPOSE)
    found = next((one for job in jobs if job.state in ("done", "stopped") and job.result
                  and (one := read_found(job.result)) is not None), None)  # fmt: skip
    return (jobs[0] if jobs else None), found


@post("/compose/{name:str}/run", sync_to_thread=True, include_in_schema=False)
def run(here: FromHere, name: FromPath[str], data: Posted) -> Redirect:
    """Go through every combination, within the time that the button says."""
    document = here.book.get("composition", name)
    lay(composition_of(document.text, name).asked, here.pantry)  # what is wrong is told at once
    seconds = SECONDS.get(str(data.get("seconds", "")), SECONDS["usual"])
    ask(here.book, name, document.revision, seconds, here.by)
    return Redirect(f"/compose/{quote(name, safe='')}#found", status_code=303)


@get("/compose/runs/{number:int}", sync_to_thread=True, include_in_schema=False)
def working(here: FromHere, number: FromPath[int]) -> Response[Any]:
    """How far it is; when it is over, the page of its composition."""
    job = here.book.jobs.get(number)
    if job.kind != COMPOSE:
        raise Mistake("job-not-found", f"there is no search {number}", "ask for it again")
    if not job.ended and here.fragment:
        wake(here.book, COMPOSE)
        return page(here, "compose/progress.html", "compose", job=job)
    there = f"/compose/{quote(str(job.asked['name']), safe='')}"
    if here.fragment:
        return Response("", status_code=200, headers={"hx-redirect": there})
    return Redirect(there, status_code=303)


@post("/compose/runs/{number:int}/stop", sync_to_thread=True, include_in_schema=False)
def stop(here: FromHere, number: FromPath[int]) -> Redirect:
    """Hand over what is found so far."""
    job = here.book.jobs.get(number)
    if job.kind == COMPOSE and not job.ended:
        here.book.jobs.ask_stop(number)
    return Redirect(f"/compose/{quote(str(job.asked['name']), safe='')}#found", status_code=303)


@post("/compose/{name:str}/keep", sync_to_thread=True, include_in_schema=False)
def keep(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """A recipe of the book from one combination."""
    document = here.book.get("composition", name)
    asked = composition_of(document.text, name).asked
    key = key_of(document.text, here.foods)
    told = str(data.get("number", ""))
    number = int(told) if told.isascii() and told.isdigit() and len(told) < 20 else -1
    laid = laid_of(key, asked, here.pantry)
    if str(data.get("key", "")) != key or not 0 <= number < laid.combinations:
        raise Mistake(
            "combination-is-gone",
            "the composition or a food has changed since that dish was found",
            "run it again and choose anew",
        )
    dish: Dish = dish_of(laid, number)
    recipe = recipe_of(dish, asked)
    return save_or_show_both(
        here, "recipe", free_name(here.book, "recipe", recipe.title), recipe_text(recipe), None
    )


@get("/compose/{name:str}/edit", sync_to_thread=True, include_in_schema=False)
def edit(here: FromHere, name: FromPath[str]) -> Response[Any]:
    """The form; a document that cannot be read is mended as text."""
    document = here.book.get("composition", name)
    try:
        asked = composition_of(document.text, name).asked
    except Mistake:
        return Redirect(f"/book/composition/{quote(name, safe='')}/text", status_code=303)
    return _form(here, form_of(asked), document, {}, document.revision)


@post("/compose/{name:str}/edit", sync_to_thread=True, include_in_schema=False)
def change(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """A button of the form."""
    return _pressed(here, data, here.book.get("composition", name))


def _pressed(here: Here, data: dict[str, Any], document: Document | None) -> Response[Any]:
    form = form_from(data)
    told = form.value("based_on")
    based_on = int(told) if told.isascii() and told.isdigit() and len(told) < 10 else None
    what, _, table = form.value("do").partition("-")
    if what == "add" and table in TABLES:
        form.many[table] = form.many.get(table, 0) + 1
        focus = f"{table}-{form.many[table] - 1}-{TABLES[table][0]}"
        return _form(here, form, document, {}, based_on, focus=focus)
    asked, faults, fields = composition_from(form)
    try:
        lay(asked, here.pantry)
    except Mistake as mistake:
        place_faults(mistake, fields, faults)
    if faults:
        return _form(here, form, document, faults, based_on, 422)
    name = document.name if document else free_name(here.book, "composition", asked.title)
    name = f"{name}-pots" if name in _TAKEN else name
    return save_or_show_both(here, "composition", name, composition_text(asked), based_on)


def _form(
    here: Here,
    form: ComposeForm,
    document: Document | None,
    faults: Faults,
    based_on: int | None,
    status: int = 200,
    focus: str = "",
) -> Template:
    return page(
        here, "compose/form.html", "compose", status=status, form=form, document=document,
        faults=faults, based_on=based_on, ways=WAYS, meals=MEALS, tastes=TASTES, focus=focus,
        figures=[(figure, FIGURE_WORDS[figure]) for figure in FIGURES], noticed=NOTICED,
    )  # fmt: skip


COMPOSE_PAGES: Final[list[Any]] = [
    compositions, new, begin, composition, run, working, stop, keep, edit, change,
]  # fmt: skip
