"""Bring a recipe in: pasted text or a file, looked over line by line before it is kept."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import closing
from typing import Any, Final

from litestar import Response, get, post
from litestar.datastructures import UploadFile
from litestar.params import MultipartBody, URLEncodedBody
from litestar.response import Template
from msgspec import Struct
from msgspec.structs import replace

from fellfare.files.jsonld import Unread, looks_like_page, read_jsonld
from fellfare.files.recipe_toml import recipe_text
from fellfare.measure.units import System
from fellfare.mistake import Mistake
from fellfare.recipe.pasted import Pasted, ReadLine, read_pasted
from fellfare.web.documents import food_keys, food_of, recipe_of
from fellfare.web.drawing import page
from fellfare.web.errors import each_of
from fellfare.web.here import FromHere, Here
from fellfare.web.names import free_name
from fellfare.web.pages.recipes.form import read_system
from fellfare.web.saving import save_or_show_both
from fellfare.web.settings import MOST_UPLOAD_BYTES

#: Kinds of line that a person should look at: what merely parts the text is not asked about.
ASKED: Final = frozenset({"title", "serves", "ingredient", "step"})


class Looked(Struct, frozen=True, kw_only=True):
    """A text that was read, with what came along beside its lines."""

    pasted: Pasted
    #: Meals, text about the dish and origin, from a page.
    meals: str = ""
    about: str = ""
    origin: str = ""
    unread: tuple[Unread, ...] = ()
    #: The document of a page as it was read, good as long as no line is changed.
    document: str = ""


@get("/recipes/paste", sync_to_thread=False, include_in_schema=False)
def paste(here: FromHere) -> Template:
    """A place to paste."""
    return _asked(here)


@post("/recipes/paste", sync_to_thread=True, include_in_schema=False)
def look(here: FromHere, data: URLEncodedBody[dict[str, Any]]) -> Response[Any]:
    """Read what was pasted, or keep what was looked over."""
    system = read_system(str(data.get("system", "us")))
    rows = _rows(data)
    text = "\n".join(rows) if rows else str(data.get("text", ""))
    document = str(data.get("document", "")) if text == _plain(data.get("original", "")) else ""
    try:
        if not rows and looks_like_page(text):
            return _shown(here, _from_page(text, here, system), system)
        pasted = read_pasted(text, here.pantry, system)
    except Mistake as mistake:
        return _asked(here, text, system, each_of(mistake))
    looked = Looked(
        pasted=pasted, document=document, meals=str(data.get("meals", ""))[:200],
        about=str(data.get("about", ""))[:2000], origin=str(data.get("origin", ""))[:500],
    )  # fmt: skip
    if data.get("do") not in ("keep", "anyway"):
        return _shown(here, looked, system, ticked=_ticked(data))
    return _kept(here, looked, system, data)


@post("/recipes/bring", sync_to_thread=True, include_in_schema=False,
      request_max_body_size=MOST_UPLOAD_BYTES + 10_000)  # fmt: skip
def bring(here: FromHere, data: MultipartBody[dict[str, Any]]) -> Response[Any]:
    """A file: a recipe or own food as TOML, a saved page, JSON-LD, or plain text."""
    system = read_system(str(data.get("system", "us")))
    upload = data.get("file")
    if not isinstance(upload, UploadFile) or not upload.filename:
        mend = "choose a file and press the button again"
        return _asked(here, "", system, (Mistake("no-file", "no file was chosen", mend),))
    try:
        with closing(upload.file) as file:
            text = _text_of(file.read(MOST_UPLOAD_BYTES + 1))
        if upload.filename.casefold().endswith(".toml"):
            return _toml(here, text)
        if looks_like_page(text):
            return _shown(here, _from_page(text, here, system), system)
        return _shown(here, Looked(pasted=read_pasted(text, here.pantry, system)), system)
    except Mistake as mistake:
        return _asked(here, "", system, each_of(mistake))


def _text_of(data: bytes) -> str:
    if len(data) > MOST_UPLOAD_BYTES:
        raise Mistake("file-too-large", f"holds more than {MOST_UPLOAD_BYTES / 1e6:g} MB",
                      "a recipe is text of a few kB; is it the right file?")  # fmt: skip
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise Mistake("not-utf8", f"byte {data[error.start]:#04x} is no UTF-8 text",
                      "save the file as UTF-8", f"line {line}") from None  # fmt: skip


def _toml(here: Here, text: str) -> Response[Any]:
    """Kept letter by letter, once it has been read."""
    keys = food_keys(text)
    if "label" in keys:
        food, _ = food_of(text, "the file")
        return save_or_show_both(here, "food", food.id, text, None)
    recipe = recipe_of(text, "the file")
    return save_or_show_both(
        here, "recipe", free_name(here.book, "recipe", recipe.title), text, None
    )


def _from_page(text: str, here: Here, system: System) -> Looked:
    read = read_jsonld(text, here.pantry, system)
    pasted = read.pasted
    document = recipe_text(pasted.recipe) if not pasted.refused and pasted.recipe.lines else ""
    recipe = pasted.recipe
    return Looked(
        pasted=replace(pasted, lines=_as_text(pasted)), meals=", ".join(recipe.meals),
        about=recipe.about, origin=recipe.origin, unread=read.unread, document=document,
    )  # fmt: skip


def _as_text(pasted: Pasted) -> tuple[ReadLine, ...]:
    """The lines of a page in the order in which a pasted text would have them."""

    def part(line: ReadLine) -> int:
        where = "" if line.mistake is None else line.mistake.where
        if line.kind == "title" or where.startswith("name"):
            return 0
        if line.kind == "serves" or where.startswith("recipeYield"):
            return 1
        if line.kind == "step" or where.startswith("recipeInstructions"):
            return 3
        return 2

    lines = [line for line in pasted.lines if line.kind != "about"]
    inside = {number: [line for line in lines if part(line) == number] for number in range(4)}
    heads = {2: "Ingredients", 3: "Method"}
    made: list[ReadLine] = []
    for number, rows in inside.items():
        if number in heads and rows:
            said = "ingredients follow" if number == 2 else "steps follow"
            made.append(ReadLine(number=0, text=heads[number], kind="heading", understood=said))
        made += rows
    return tuple(replace(line, number=place) for place, line in enumerate(made, 1))


def _kept(here: Here, looked: Looked, system: System, data: Mapping[str, Any]) -> Response[Any]:
    pasted, ticked = looked.pasted, _ticked(data)
    if pasted.refused or not pasted.recipe.lines:
        return _shown(here, looked, system, ticked=ticked, status=422)
    waiting = [line for line in pasted.lines if line.kind in ASKED and line.text not in ticked]
    if waiting and data.get("do") != "anyway":
        return _shown(here, looked, system, ticked=ticked, waiting=len(waiting), status=422)
    text = looked.document or recipe_text(_with_what_came_along(looked))
    try:
        recipe = recipe_of(text)
    except Mistake as mistake:
        return _asked(here, "\n".join(line.text for line in pasted.lines), system, each_of(mistake))
    name = free_name(here.book, "recipe", recipe.title)
    return save_or_show_both(here, "recipe", name, text, None)


def _with_what_came_along(looked: Looked) -> Any:
    recipe = looked.pasted.recipe
    meals = tuple(word.strip() for word in looked.meals.split(",") if word.strip())
    return replace(recipe, meals=meals or recipe.meals, about=looked.about or recipe.about,
                   origin=looked.origin or recipe.origin)  # fmt: skip


def _rows(data: Mapping[str, Any]) -> list[str]:
    """The lines of the looked-over form, in order."""
    numbers = sorted(
        int(key[4:]) for key in data if key.startswith("row-") and key[4:].isascii()
        and key[4:].isdigit() and len(key) < 9
    )  # fmt: skip
    return [_plain(data[f"row-{number}"]).replace("\n", " ") for number in numbers]


def _plain(text: Any) -> str:
    return str(text).replace("\r\n", "\n")


def _ticked(data: Mapping[str, Any]) -> set[str]:
    """Texts of the lines that were ticked as right; a line that was changed is looked at anew."""
    told = data.get("right", [])
    return {str(one) for one in (told if isinstance(told, list) else [told])}


def _asked(
    here: Here, text: str = "", system: System = "us", mistakes: tuple[Mistake, ...] = ()
) -> Template:
    return page(
        here, "recipes/paste.html", "recipes", status=422 if mistakes else 200,
        text=text, system=system, mistakes=mistakes,
    )  # fmt: skip


def _shown(
    here: Here,
    looked: Looked,
    system: System,
    *,
    ticked: set[str] | None = None,
    waiting: int = 0,
    status: int = 200,
) -> Template:
    lines = looked.pasted.lines
    return page(
        here, "recipes/looked.html", "recipes", status=status, looked=looked, system=system,
        lines=lines, ticked=ticked or set(), waiting=waiting, asked=ASKED,
        original="\n".join(line.text for line in lines),
    )  # fmt: skip


BRINGING: Final[list[Any]] = [paste, look, bring]
