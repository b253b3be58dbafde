"""Recipes as data: their sheets, and the reading of pasted text."""

from __future__ import annotations

from typing import Annotated, Any, Final

from litestar import get, post
from litestar.params import FromPath, JSONBody, QueryParameter
from msgspec import Meta, Struct, to_builtins

from fellfare.files.recipe_toml import recipe_text
from fellfare.files.sheet_json import sheet_data
from fellfare.measure.units import System
from fellfare.recipe.document import Recipe
from fellfare.recipe.pasted import read_pasted
from fellfare.web.api.documents import ToKeep as ToKeep  # for the other families of the API
from fellfare.web.api.refusals import Absent, Refused
from fellfare.web.dish import dish_of
from fellfare.web.documents import recipe_of
from fellfare.web.errors import mistake_data
from fellfare.web.here import FromHere, Here

Text = Annotated[str, Meta(max_length=500_000)]
Eaters = Annotated[int | None, QueryParameter(description="for how many; its own number if absent")]


class ToReckon(Struct, kw_only=True):
    """A recipe document (TOML), and for how many it is to be reckoned."""

    document: Text
    eaters: int | None = None


class ToRead(Struct, kw_only=True):
    """Text that somebody pasted, and whose cups and spoons it means."""

    text: Text
    system: System = "us"


@get("/api/recipes", sync_to_thread=True, tags=["recipes"], summary="Every recipe of the book")
def list_recipes(here: FromHere) -> dict[str, Any]:
    """Names, titles and the figures of one serving."""
    return {
        "recipes": [
            {
                "name": row.name,
                "revision": row.revision,
                "title": row.title,
                "mass_g": None if row.dish is None
                else row.dish.sheet.mass.over(row.dish.sheet.eaters).told,
                "energy_kcal": None if row.dish is None
                else row.dish.sheet.energy.over(row.dish.sheet.eaters).told,
                "energy_kcal_per_100g": None if row.dish is None
                else row.dish.sheet.energy_kcal_per_100g,
                "mistake": None if row.mistake is None else mistake_data(row.mistake),
            }
            for row in here.recipes.all()
        ]
    }  # fmt: skip


@get("/api/recipes/{name:str}", sync_to_thread=True, tags=["recipes"], responses=Absent | Refused,
     summary="The sheet of one recipe")  # fmt: skip
def one_recipe(here: FromHere, name: FromPath[str], eaters: Eaters = None) -> dict[str, Any]:
    """Everything that ``fellfare recipe --json`` prints."""
    return _sheet(here, recipe_of(here.book.get("recipe", name).text, name), eaters)


@post("/api/sheet", sync_to_thread=True, tags=["recipes"], status_code=200, responses=Refused,
      opt={"reckons_only": True}, summary="Reckon a recipe that is not kept")  # fmt: skip
def sheet(here: FromHere, data: JSONBody[ToReckon]) -> dict[str, Any]:
    """The sheet of a document that is sent along."""
    return _sheet(here, recipe_of(data.document, "document"), data.eaters)


@post("/api/read", sync_to_thread=True, tags=["recipes"], status_code=200, responses=Refused,
      opt={"reckons_only": True}, summary="Read pasted text, line by line")  # fmt: skip
def read(here: FromHere, data: JSONBody[ToRead]) -> dict[str, Any]:
    """What ``fellfare read --json`` prints: each line's fate, and the document if there is one."""
    pasted = read_pasted(data.text, here.pantry, data.system)
    ready = not pasted.refused and bool(pasted.recipe.lines)
    lines = [
        {
            "number": line.number,
            "text": line.text,
            "kind": line.kind,
            "understood": line.understood,
            "mistake": None if line.mistake is None else mistake_data(line.mistake),
        }
        for line in pasted.lines
    ]
    return {
        "lines": lines,
        "document": recipe_text(pasted.recipe) if ready else None,
        "assumed": list(pasted.assumed),
        "findings": [to_builtins(finding) for finding in pasted.findings],
    }


def _sheet(here: Here, recipe: Recipe, eaters: int | None) -> dict[str, Any]:
    dish = dish_of(recipe, here.pantry, here.foods.said(), eaters)
    return sheet_data(dish.sheet, dish.findings)


RECIPES_API: Final[list[Any]] = [list_recipes, one_recipe, sheet, read]
