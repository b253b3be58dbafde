"""Small trips for the tests of the menu: two days by the table, and recipes of few lines."""

from __future__ import annotations

from pathlib import Path

from fellfare.files.recipe_folder import read_recipes_of
from fellfare.files.trip_toml import read_ground, read_trip
from fellfare.menu.asked import Asked, question_of_trip
from fellfare.trip.plan import TripPlan, plan_trip

TRIP = """\
title = "Over the moor"
start_date = 2031-05-01
[walk]
fire = "none"
start_m = 640
start_hour = 6
end_hour = 15
day_c = 16
night_c = 6
[[stage]]
distance_m = 12000
ascent_m = 600
descent_m = 100
camp = "Low Tarn"
water_m = [4000, 12000]
[[stage]]
distance_m = 9000
descent_m = 400
water_m = [3000, 9000]
[[walker]]
name = "Rowan"
sex = "male"
age_y = 35
height_cm = 178
mass_kg = 75
base_pack_kg = 8
{rowan}
[[walker]]
name = "Ash"
sex = "female"
age_y = 35
height_cm = 168
mass_kg = 60
base_pack_kg = 7
{ash}
[[kitchen]]
walkers = ["Rowan", "Ash"]
stove = "gas-screened"
fuel = "gas"
pot_ml = 2000
[[eating]]
name = "breakfast"
hour = 7
[[eating]]
name = "snack"
every_walking_hours = 1.5
[[eating]]
name = "dinner"
hour = 18
[rules]
{rules}
{more}
"""

RECIPE = """\
title = "{title}"
meals = [{meals}]
tags = ["stoveless", {tags}]
air_c = 20
{lines}
{steps}
"""
LINE = """[[line]]
food = "{food}"
amount = "{amount}"
bag = "{bag}"
"""
STEEP = """[[step]]
act = "steep"
bags = ["main"]
water = "300 ml"
minutes = 8
"""
SOAK = """[[step]]
act = "soak"
bags = ["main"]
water = "200 ml"
minutes = 30
water_treated = true
"""
SERVE = """[[step]]
act = "serve"
bags = ["main"]
"""


def recipe(
    title: str, meals: str, lines: dict[str, str], steps: str, tags: str = '"base-x"'
) -> str:
    rows = "".join(
        LINE.format(food=food, amount=amount, bag="main") for food, amount in lines.items()
    )
    kinds = ", ".join(f'"{one}"' for one in meals.split()) if meals else ""
    return RECIPE.format(title=title, meals=kinds, lines=rows, steps=steps, tags=tags)


#: File name to document: two of every kind.
RECIPES = {
    "oats": recipe(
        "Oats with coconut milk", "breakfast",
        {"rolled-oats": "80 g", "coconut-milk-powder": "35 g", "raisins": "20 g"},
        SOAK.replace("minutes = 30", "minutes = 12"), '"vegan", "base-oats"'),
    "farina": recipe(
        "Millet with walnut", "breakfast",
        {"millet-flakes": "80 g", "walnut": "35 g", "sugar": "15 g"}, STEEP, '"base-millet"'),
    "nuts": recipe(
        "Almonds and raisins", "snack", {"almond": "50 g", "raisins": "30 g"}, SERVE,
        '"vegan", "base-nuts"'),
    "dates": recipe(
        "Dates with peanut butter", "snack", {"date-medjool": "48 g", "peanut-butter": "32 g"},
        SERVE, '"vegan", "base-dates"'),
    "seeds": recipe(
        "Pumpkin seeds", "snack", {"pumpkin-seeds-roasted": "50 g", "sugar": "12 g"}, SERVE,
        '"base-seeds"'),
    "couscous": recipe(
        "Couscous with oil", "dinner",
        {"couscous": "110 g", "olive-oil": "30 g", "tomato-powder": "15 g", "salt": "1 g"}, SOAK,
        '"vegan", "base-couscous"'),
    "rice": recipe(
        "Rice with cashew", "dinner",
        {"rice-instant": "110 g", "cashew-salted": "40 g", "coconut-milk-powder": "20 g"}, STEEP,
        '"vegan", "base-rice"'),
    "chicken": recipe(
        "Couscous with chicken", "dinner",
        {"couscous": "100 g", "chicken-freeze-dried": "30 g", "olive-oil": "25 g"}, STEEP,
        '"base-couscous"'),
}  # fmt: skip


def written(
    folder: Path,
    *,
    rules: str = "coverage = 0.9",
    rowan: str = "",
    ash: str = "",
    more: str = "",
    change: tuple[tuple[str, str], ...] = (),
    recipes: dict[str, str] | None = None,
) -> Path:
    """The trip with its recipes on disk; ``change`` replaces text of the trip."""
    text = TRIP.format(rules=rules, rowan=rowan, ash=ash, more=more)
    for old, new in change:
        assert old in text
        text = text.replace(old, new)
    (folder / "recipes").mkdir(parents=True, exist_ok=True)
    for name, document in (RECIPES if recipes is None else recipes).items():
        (folder / "recipes" / f"{name}.toml").write_text(document, "utf-8")
    path = folder / "trip.toml"
    path.write_text(text, "utf-8")
    return path


def planned(path: Path) -> TripPlan:
    file = read_trip(path)
    return plan_trip(file.trip, read_ground(file))


def asked(path: Path) -> Asked:
    """The question of a trip on disk."""
    file = read_trip(path)
    folder = read_recipes_of(file)
    return question_of_trip(plan_trip(file.trip, read_ground(file)), folder.recipes, folder.pantry)
