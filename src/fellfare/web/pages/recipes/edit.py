"""Write a recipe: every field with its figures at once, nothing saved before one says so."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final
from urllib.parse import quote

from litestar import Response, get, post
from litestar.params import FromPath, URLEncodedBody
from litestar.response import Redirect, Template

from fellfare.files.recipe_toml import recipe_text
from fellfare.mistake import Mistake
from fellfare.pantry.allergens import combine
from fellfare.web.dish import as_far_as_it_goes
from fellfare.web.documents import recipe_of
from fellfare.web.drawing import page
from fellfare.web.errors import each_of
from fellfare.web.here import FromHere, Here
from fellfare.web.names import free_name
from fellfare.web.pages.recipes.editing import Done, do, with_bag_rows
from fellfare.web.pages.recipes.form import (
    ACTS,
    MEALS,
    PACKINGS,
    LineForm,
    Read,
    RecipeForm,
    StepForm,
    form_from,
    form_of,
    read_form,
)
from fellfare.web.saving import save_or_show_both

Posted = URLEncodedBody[dict[str, Any]]

_SYSTEMS: Final = (
    ("us", "US customary"), ("us-label", "US, as on labels"), ("metric", "metric"),
    ("imperial", "imperial"), ("australian", "Australian"),
)  # fmt: skip


@get("/recipes/new", sync_to_thread=True, include_in_schema=False)
def blank(here: FromHere) -> Template:
    """An empty form: one line, one step."""
    form = RecipeForm(lines=[LineForm(), LineForm()], steps=[StepForm(act="steep")])
    return _shown(here, form, None, Done(focus=""), quiet=True)


@post("/recipes/new", sync_to_thread=True, include_in_schema=False)
def begin(here: FromHere, data: Posted) -> Response[Any]:
    """A button of the form of a new recipe."""
    return _pressed(here, data, None)


@get("/recipes/{name:str}/edit", sync_to_thread=True, include_in_schema=False)
def edit(here: FromHere, name: FromPath[str]) -> Response[Any]:
    """The form of a recipe of the book; one that cannot be read is mended as text."""
    document = here.book.get("recipe", name)
    try:
        form = form_of(recipe_of(document.text, name))
    except Mistake:
        return Redirect(f"/book/recipe/{quote(name, safe='')}/text", status_code=303)
    return _shown(here, form, name, Done(), based_on=document.revision)


@post("/recipes/{name:str}/edit", sync_to_thread=True, include_in_schema=False)
def change(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """A button of the form of a recipe."""
    return _pressed(here, data, name)


@post("/recipes/figures", sync_to_thread=True, include_in_schema=False, status_code=200)
def figures(here: FromHere, data: Posted) -> Template:
    """The figures of what stands in the form; nothing is saved."""
    form = with_bag_rows(form_from(data))
    read = read_form(form, here.pantry)
    return page(here, "recipes/live.html", **_context(here, form, read, typed=True))


def _pressed(here: Here, data: Mapping[str, Any], name: str | None) -> Response[Any]:
    form = form_from(data)
    based_on = _revision(data.get("based_on"))
    what = str(data.get("do", "look"))
    if what == "save":
        return _save(here, form, name, based_on)
    done = do(what, form, str(data.get("new-line", "")).strip()[:500], here.pantry)
    return _shown(here, form, name, done, based_on=based_on, typed=True)


def _save(here: Here, form: RecipeForm, name: str | None, based_on: int | None) -> Response[Any]:
    read = read_form(with_bag_rows(form), here.pantry)
    text = recipe_text(read.recipe)
    try:
        recipe_of(text)
    except Mistake as mistake:
        read.add(each_of(mistake))
    context = _context(here, form, read)
    if read.faults:
        return _page(here, form, name, Done(), based_on, context, status=422)
    kept = name or free_name(here.book, "recipe", read.recipe.title)
    return save_or_show_both(here, "recipe", kept, text, based_on)


def _shown(
    here: Here,
    form: RecipeForm,
    name: str | None,
    done: Done,
    *,
    based_on: int | None = None,
    quiet: bool = False,
    typed: bool = False,
) -> Template:
    read = read_form(with_bag_rows(form), here.pantry)
    context = _context(here, form, read, typed=typed, quiet=quiet)
    context["faults"] = context["faults"] | done.faults
    return _page(here, form, name, done, based_on, context)


def _context(
    here: Here, form: RecipeForm, read: Read, *, typed: bool = False, quiet: bool = False
) -> dict[str, Any]:
    """What editor and figures show of a form.

    ``typed``: somebody is still at it, so a line without food or amount is no mistake yet;
    ``quiet``: nobody has typed at all.
    """
    pantry = here.pantry
    part = as_far_as_it_goes(read.recipe, pantry, here.foods.said())
    read.add(one for one in part.mistakes if one.code != "empty-recipe")
    if typed or quiet:
        _spare_the_unfinished(form, read)
    rows = [read.line_rows[place] for place in part.lines]
    shown = dict(zip(rows, part.dish.sheet.lines, strict=True)) if part.dish else {}
    nearest = {
        row: pantry.search(form.lines[row].food, 3)
        for row in read.line_rows
        if f"line-{row}-food" in read.faults
    }
    lines = part.dish.sheet.lines if part.dish else ()
    return {
        "form": form,
        "faults": {} if quiet else {name: said for name, said in read.faults.items() if said},
        "part": part,
        "shown": shown,
        "nearest": nearest,
        "left_out": len(read.line_rows) - len(part.lines),
        "allergens": combine(line.food for line in lines),
        "action": here.path if here.path != "/recipes/figures" else "",
    }


def _spare_the_unfinished(form: RecipeForm, read: Read) -> None:
    for row in read.line_rows:
        line = form.lines[row]
        for field, text in (("food", line.food), ("amount", line.amount)):
            if not text:
                read.faults.pop(f"line-{row}-{field}", None)
    for name in ("title", ""):
        read.faults.pop(name, None)


def _page(
    here: Here,
    form: RecipeForm,
    name: str | None,
    done: Done,
    based_on: int | None,
    context: dict[str, Any],
    *,
    status: int = 200,
) -> Template:
    fragment = here.fragment and status == 200
    return page(
        here,
        "recipes/editor.html" if fragment else "recipes/edit.html",
        "recipes",
        status=status,
        name=name,
        based_on=based_on,
        focus=done.focus,
        new_line=done.new_line,
        swaps_for=done.swaps_for,
        swaps=done.swaps,
        meals=MEALS,
        acts=[(act, act) for act in ACTS],
        packings=[(one, one.replace("-", " ")) for one in PACKINGS],
        systems=_SYSTEMS,
        **context,
    )


def _revision(text: Any) -> int | None:
    return int(text) if isinstance(text, str) and text.isascii() and text.isdigit() else None


EDITING: Final[list[Any]] = [blank, begin, edit, change, figures]
