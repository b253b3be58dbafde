"""Read recipes: the list, and one with everything that it comes to."""

from __future__ import annotations

from typing import Any, Final

from litestar import get
from litestar.params import FromPath, FromQuery
from litestar.response import Template

from fellfare.mistake import Mistake
from fellfare.pantry.allergens import combine
from fellfare.recipe.panel.dish import panels
from fellfare.recipe.sheet import Sheet
from fellfare.web.dish import dish_of
from fellfare.web.drawing import page
from fellfare.web.errors import each_of
from fellfare.web.here import FromHere

#: Nutrient, name, decimals, part of the one above.
ROWS: Final = (
    ("protein_g", "protein", 1, False), ("fat_g", "fat", 1, False),
    ("saturated_g", "saturated", 1, True), ("carbohydrate_g", "carbohydrate", 1, False),
    ("fibre_g", "fibre", 1, True), ("sugars_g", "sugars", 1, True), ("water_g", "water", 1, False),
    ("sodium_mg", "sodium", 0, False), ("potassium_mg", "potassium", 0, False),
    ("calcium_mg", "calcium", 0, False), ("iron_mg", "iron", 1, False),
    ("magnesium_mg", "magnesium", 0, False), ("vitamin_c_mg", "vitamin C", 1, False),
)  # fmt: skip


@get("/recipes", sync_to_thread=True, include_in_schema=False)
def recipes(
    here: FromHere,
    q: FromQuery[str] = "",
    meal: FromQuery[str] = "",
    laid: FromQuery[str] = "",
    deleted: FromQuery[str] = "",
) -> Template:
    """Every recipe of the book with its figures for one serving."""
    rows = here.recipes.all()
    words = q.casefold().split()
    found = [
        row
        for row in rows
        if (not meal or (row.recipe is not None and meal in row.recipe.meals))
        and all(word in f"{row.title} {row.text}".casefold() for word in words)
    ]
    meals = sorted({one for row in rows if row.recipe is not None for one in row.recipe.meals})
    thrown = here.book.names("recipe", deleted=True)
    name = "recipes/rows_of_list.html" if here.fragment else "recipes/recipes.html"
    return page(
        here, name, "recipes", found=found, count=len(rows), q=q, meal=meal, meals=meals,
        laid=laid if laid.isdigit() else "", deleted=deleted if deleted in thrown else "",
        thrown=thrown,
    )  # fmt: skip


@get("/recipes/{name:str}", sync_to_thread=True, include_in_schema=False)
def recipe(
    here: FromHere,
    name: FromPath[str],
    eaters: FromQuery[int | None] = None,
    saved: FromQuery[str] = "",
    undone: FromQuery[str] = "",
    restored: FromQuery[str] = "",
) -> Template:
    """One recipe, for its own number of eaters or another."""
    document = here.book.get("recipe", name)
    done = "saved" if saved else "undone" if undone else "restored" if restored else ""
    given: dict[str, Any] = {"document": document, "done": done, "eaters": eaters}
    row = here.recipes.of(document)
    if row.recipe is None or row.dish is None:
        assert row.mistake is not None
        return page(here, "recipes/unread.html", "recipes", mistakes=each_of(row.mistake), **given)
    written, dish = row.recipe, row.dish
    wrong: tuple[Mistake, ...] = ()
    if eaters is not None:
        try:
            dish = dish_of(written, here.pantry, here.foods.said(), eaters)
        except Mistake as mistake:  # told beside the number; the page is for the recipe's own
            wrong = each_of(mistake)
    us, eu = panels(dish.sheet)
    return page(
        here, "recipes/recipe.html", "recipes", status=422 if wrong else 200,
        recipe=written, dish=dish, us=us, eu=eu, wrong=wrong, rows=composition(dish.sheet),
        allergens=combine(line.food for line in dish.sheet.lines), **given,
    )  # fmt: skip


def composition(sheet: Sheet) -> list[tuple[str, Any, Any, int, str, bool]]:
    """(name, total of one serving, total of all, decimals, unit, part of the one above)."""
    rows = []
    for nutrient, name, places, part in ROWS:
        total = sheet.total(nutrient)
        unit = nutrient.rsplit("_", 1)[1]
        rows.append((name, total.over(sheet.eaters), total, places, unit, part))
    return rows


READING: Final[list[Any]] = [recipes, recipe]
