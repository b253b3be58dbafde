"""Foods as data: search, and one whole."""

from __future__ import annotations

from typing import Annotated, Any, Final

from litestar import get
from litestar.exceptions import NotFoundException
from litestar.params import FromPath, QueryParameter
from msgspec import to_builtins

from fellfare.pantry.food import Food
from fellfare.pantry.nutrients import NUTRIENTS
from fellfare.web.here import FromHere


@get("/api/foods", sync_to_thread=True, tags=["foods"], summary="Search foods by plain words")
def search_foods(
    here: FromHere,
    q: Annotated[str, QueryParameter(description="plain words", max_length=100)] = "",
    most: Annotated[int, QueryParameter(description="how many at most", ge=1, le=500)] = 20,
) -> dict[str, Any]:
    """The likeliest first; misspellings are forgiven.  No words: no foods."""
    found = here.pantry.search(q, most)
    foods = [
        {
            "id": food.id,
            "name": food.name,
            "group": food.group,
            "form": food.form,
            "energy_kcal_per_100g": food.per_100g.energy_kcal,
            "source": food.source.ref,
        }
        for food in found
    ]
    return {"foods": foods}


@get("/api/foods/{food_id:str}", sync_to_thread=True, tags=["foods"], summary="One food, whole",
     raises=[NotFoundException])  # fmt: skip
def one_food(here: FromHere, food_id: FromPath[str]) -> dict[str, Any]:
    """Composition per 100 g with its source; null is unknown, never zero."""
    if food_id not in here.pantry:
        raise NotFoundException
    return food_data(here.pantry.food(food_id))


def food_data(food: Food) -> dict[str, Any]:
    """A food as plain data; every nutrient is told."""
    per_100g = dict(zip(NUTRIENTS, food.per_100g.in_order, strict=True))
    plain: dict[str, Any] = to_builtins(food)
    return plain | {"per_100g": per_100g}


FOODS_API: Final[list[Any]] = [search_foods, one_food]
