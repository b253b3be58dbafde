"""Foods: search while typing, and one food whole, with who says so and what nobody knows."""

from __future__ import annotations

from typing import Any, Final

from litestar import get
from litestar.exceptions import NotFoundException
from litestar.params import FromPath, FromQuery
from litestar.response import Template

from fellfare.pantry.food import Food
from fellfare.pantry.nutrients import NUTRIENTS
from fellfare.pantry.swaps import relatives
from fellfare.web.drawing import page
from fellfare.web.here import FromHere, Here

#: So many answers are enough to read.
MOST: Final = 40
#: So many are offered while a name is being typed into a line.
MOST_OFFERED: Final = 12
#: Longest text that is searched for.
MOST_TEXT: Final = 100

#: Nutrient, name, decimals, is it part of the one above.
_ROWS: Final = (
    ("protein_g", "protein", 1, False), ("fat_g", "fat", 1, False),
    ("saturated_g", "saturated", 1, True), ("carbohydrate_g", "carbohydrate", 1, False),
    ("fibre_g", "fibre", 1, True), ("sugars_g", "sugars", 1, True), ("water_g", "water", 1, False),
    ("alcohol_g", "alcohol", 1, False), ("ash_g", "ash", 1, False),
    ("sodium_mg", "sodium", 0, False), ("potassium_mg", "potassium", 0, False),
    ("calcium_mg", "calcium", 0, False), ("iron_mg", "iron", 1, False),
    ("magnesium_mg", "magnesium", 0, False), ("vitamin_c_mg", "vitamin C", 1, False),
)  # fmt: skip
assert {row[0] for row in _ROWS} | {"energy_kcal"} == set(NUTRIENTS)


@get("/foods", sync_to_thread=True, include_in_schema=False)
def foods(here: FromHere, q: FromQuery[str] = "", group: FromQuery[str] = "") -> Template:
    """Search; without words, the groups to leaf through."""
    text = q.strip()[:MOST_TEXT]
    pantry = here.pantry
    own = {food.id for food in here.foods.own()}
    if text:
        found = pantry.search(text, MOST)
    else:
        found = tuple(sorted((f for f in pantry if f.group == group), key=lambda f: f.name))
    groups = sorted({food.group for food in pantry})
    name = "foods/answers.html" if here.fragment else "foods/foods.html"
    return page(
        here, name, "foods", q=text, group=group, groups=groups, found=found, own=own,
        count=len(pantry), unread=here.foods.unread(),
    )  # fmt: skip


@get("/foods/offered", sync_to_thread=True, include_in_schema=False)
def offered(here: FromHere, q: FromQuery[str] = "") -> Template:
    """Names to choose from while one is being typed (the options of a field)."""
    return page(here, "foods/offered.html", found=here.pantry.search(q[:MOST_TEXT], MOST_OFFERED))


@get("/foods/own", sync_to_thread=True, include_in_schema=False)
def own_foods(here: FromHere, deleted: FromQuery[str] = "") -> Template:
    """The book's own foods."""
    thrown = here.book.names("food", deleted=True)
    return page(
        here, "foods/own.html", "foods", found=here.foods.own(), names=here.foods.names(),
        unread=here.foods.unread(), thrown=thrown, deleted=deleted if deleted in thrown else "",
    )  # fmt: skip


@get("/foods/{food_id:str}", sync_to_thread=True, include_in_schema=False)
def food(here: FromHere, food_id: FromPath[str], saved: FromQuery[str] = "") -> Template:
    """One food with its composition, measures, ways, allergens and keeping."""
    pantry = here.pantry
    if food_id not in pantry:
        raise NotFoundException
    one = pantry.food(food_id)
    own = here.foods.names().get(food_id, "")
    said = [finding for finding in here.foods.said() if food_id in finding.about]
    return page(
        here, "foods/food.html", "foods", food=one, rows=_rows(one), own=own, said=said,
        kin=tuple(each for each in relatives(one, pantry) if each.id != one.id),
        used=_used_in(here, food_id), saved=bool(saved) and bool(own),
    )  # fmt: skip


def _rows(one: Food) -> list[tuple[str, str, bool]]:
    """(name, figure with its unit or 'unknown', part of the one above)."""
    rows = []
    for nutrient, name, places, part in _ROWS:
        value = getattr(one.per_100g, nutrient)
        unit = nutrient.rsplit("_", 1)[1]
        rows.append((name, "unknown" if value is None else f"{value:.{places}f} {unit}", part))
    return rows


def _used_in(here: Here, food_id: str) -> list[str]:
    """Recipes of the book whose text names the food."""
    word = f'"{food_id}"'
    return [one.name for one in here.book.all("recipe") if word in one.text]


FOODS: Final[list[Any]] = [foods, offered, own_foods, food]
