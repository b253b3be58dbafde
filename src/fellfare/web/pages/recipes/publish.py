"""Send a recipe out: as text, Markdown, a card, schema.org JSON-LD, a table, or on paper."""

from __future__ import annotations

from typing import Any, Final, Literal, get_args

from litestar import Response, get, post
from litestar.exceptions import NotFoundException
from litestar.params import FromPath, FromQuery, URLEncodedBody
from litestar.response import Template
from msgspec.structs import replace

from fellfare.files.lists_csv import sheet_lines_csv
from fellfare.files.publish import (
    USUAL_LIMIT,
    card_text,
    json_ld,
    markdown,
    plain_text,
    tell,
)
from fellfare.files.recipe_toml import recipe_text
from fellfare.mistake import Mistake
from fellfare.provision.cards.recipe import recipe_card
from fellfare.recipe.rewritten import for_eaters
from fellfare.web.dish import Dish, dish_of
from fellfare.web.documents import recipe_of
from fellfare.web.drawing import page
from fellfare.web.figures import Units, read_units
from fellfare.web.here import FromHere, Here
from fellfare.web.names import free_name
from fellfare.web.pages.keeping import as_file
from fellfare.web.saving import save_or_show_both

Form = Literal["text", "markdown", "card", "json-ld", "csv"]

#: Form, name, ending, media type, what it is for.
FORMS: Final[tuple[tuple[Form, str, str, str, str], ...]] = (
    (
        "text",
        "plain text",
        ".txt",
        "text/plain; charset=utf-8",
        "for a description field or a mail",
    ),
    ("markdown", "Markdown", ".md", "text/markdown; charset=utf-8", "for a web log or notes"),
    ("card", "card", ".txt", "text/plain; charset=utf-8", "40 lines of 48 columns, to print small"),
    ("json-ld", "JSON-LD", ".jsonld", "application/ld+json", "schema.org, for a page of one's own"),
    ("csv", "table", ".csv", "text/csv; charset=utf-8", "its lines, for a spreadsheet"),
)
assert [one[0] for one in FORMS] == list(get_args(Form))


@get("/recipes/{name:str}/publish", sync_to_thread=True, include_in_schema=False)
def publish(
    here: FromHere,
    name: FromPath[str],
    form: FromQuery[str] = "text",
    measures: FromQuery[str] = "",
    author: FromQuery[str] = "",
    date: FromQuery[str] = "",
) -> Template:
    """One form of it, to look over and copy."""
    chosen = _form(form)
    whose = read_units(measures, here.units)
    dish = _dish(here, name)
    faults: dict[str, list[Mistake]] = {}
    try:
        text = _text(here, dish, chosen, whose, author, date)
    except Mistake as mistake:  # a date that is none: told beside it, the rest goes out
        faults["date"] = [Mistake(mistake.code, mistake.what, mistake.mend)]
        text = _text(here, dish, chosen, whose, author, "")
    return page(
        here, "recipes/publish.html", "recipes", status=422 if faults else 200, name=name,
        dish=dish, form=chosen, forms=FORMS, measures=whose, author=author, date=date, text=text,
        faults=faults, limit=USUAL_LIMIT,
    )  # fmt: skip


@get("/recipes/{name:str}/publish/file", sync_to_thread=True, include_in_schema=False)
def publish_file(
    here: FromHere,
    name: FromPath[str],
    form: FromQuery[str] = "text",
    measures: FromQuery[str] = "",
    author: FromQuery[str] = "",
    date: FromQuery[str] = "",
) -> Response[bytes]:
    """The same as a file."""
    chosen = _form(form)
    whose = read_units(measures, here.units)
    text = _text(here, _dish(here, name), chosen, whose, author, date)
    _, _, ending, media_type, _ = next(one for one in FORMS if one[0] == chosen)
    return as_file(text.encode(), f"{name}{ending}", media_type)


@get("/recipes/{name:str}/card.pdf", sync_to_thread=True, include_in_schema=False)
def card(
    here: FromHere,
    name: FromPath[str],
    size: FromQuery[str] = "a4",
    eaters: FromQuery[int | None] = None,
) -> Response[bytes]:
    """The recipe card on paper."""
    from fellfare.paper.recipes import recipes_pdf  # brings the typesetter along

    dish = _dish(here, name, eaters)
    made = recipe_card(dish.sheet, here.pantry)
    data = recipes_pdf([made], "letter" if size == "letter" else "a4")
    return as_file(data, f"{name}.pdf", "application/pdf")


@post("/recipes/{name:str}/scaled", sync_to_thread=True, include_in_schema=False)
def scaled(
    here: FromHere, name: FromPath[str], data: URLEncodedBody[dict[str, Any]]
) -> Response[Any]:
    """The recipe written for another number of eaters, kept beside the first."""
    text = str(data.get("eaters", ""))
    eaters = int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 0
    recipe = recipe_of(here.book.get("recipe", name).text, name)
    other = for_eaters(recipe, here.pantry, eaters)
    other = replace(other, title=f"{recipe.title} (for {eaters})")
    kept = free_name(here.book, "recipe", other.title)
    return save_or_show_both(here, "recipe", kept, recipe_text(other), None)


def _form(text: str) -> Form:
    for one in get_args(Form):
        if one == text:
            form: Form = one
            return form
    raise NotFoundException


def _dish(here: Here, name: str, eaters: int | None = None) -> Dish:
    recipe = recipe_of(here.book.get("recipe", name).text, name)
    return dish_of(recipe, here.pantry, here.foods.said(), eaters)


def _text(here: Here, dish: Dish, form: Form, whose: Units, author: str, date: str) -> str:
    if form == "csv":
        return sheet_lines_csv(dish.sheet)
    told = tell(dish.sheet, dish.findings, here.pantry, whose)
    if form == "json-ld":
        return json_ld(dish.sheet, told, here.pantry, author=author[:200], published=date[:20])
    return {"text": plain_text, "markdown": markdown, "card": card_text}[form](told)


PUBLISHING: Final[list[Any]] = [publish, publish_file, card, scaled]
