"""What is done with one document, on whatever machine: a path in, a plain row out.

A row always comes back: what cannot be read or planned is a row with the mistake's code and
words.  Only a fault of our own (any other exception) leaves a worker as an exception.
"""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal

from fellfare.mistake import Mistake, Mistakes

if TYPE_CHECKING:
    from fellfare.menu.trip_menu import TripMenu

Kind = Literal["trip", "recipe"]

#: A menu is near enough when none can be lighter by more than this share: as 'fellfare menu'.
ENOUGH: Final = 0.02

#: Columns of a row, in their order, by kind; every row has all of them.
COLUMNS: Final[dict[Kind, dict[str, type]]] = {
    "trip": {
        "file": str, "title": str, "verdict": str, "walkers": int, "days": int, "mass_g": float,
        "bound_mass_g": float, "gap": float, "energy_kcal": float, "dishes": int, "bags": int,
        "food_g": float, "cost": float, "errors": int, "cautions": int, "seconds": float,
        "code": str, "what": str, "mend": str, "where": str,
    },
    "recipe": {
        "file": str, "title": str, "serves": int, "mass_g": float, "energy_kcal": float,
        "energy_kcal_per_100g": float, "protein_g": float, "sodium_mg": float,
        "water_add_ml": float, "bags": int, "errors": int, "cautions": int, "seconds": float,
        "code": str, "what": str, "mend": str, "where": str,
    },
}  # fmt: skip


def row_of(kind: Kind, path: str, seconds: float = 30.0) -> dict[str, Any]:
    """Everything worth keeping of one trip or recipe; a missing figure is None."""
    began = time.monotonic()
    row: dict[str, Any] = dict.fromkeys(COLUMNS[kind])
    row["file"] = path
    try:
        row |= _trip(Path(path), seconds) if kind == "trip" else _recipe(Path(path))
    except Mistake as mistake:
        first = mistake.each[0] if isinstance(mistake, Mistakes) else mistake
        row |= {"code": first.code, "what": first.what, "mend": first.mend, "where": first.where}
    row["seconds"] = round(time.monotonic() - began, 3)
    return row


def _recipe(path: Path) -> dict[str, Any]:
    from fellfare.files.own_food import own_food_folders, read_own_foods
    from fellfare.files.recipe_toml import read_recipe
    from fellfare.files.shipped import shipped_pantry
    from fellfare.recipe.sheet import make_sheet
    from fellfare.safety import check
    from fellfare.safety.dish import case_of_dish

    file = read_recipe(path)
    own, _ = read_own_foods(own_food_folders(path))
    pantry = shipped_pantry().with_foods(own)
    try:
        sheet = make_sheet(file.recipe, pantry)
    except Mistake as mistake:
        raise file.placed(mistake) from None
    findings = check(case_of_dish(sheet, pantry))
    return {
        "title": file.recipe.title,
        "serves": file.recipe.serves,
        "mass_g": sheet.mass.value,
        "energy_kcal": sheet.energy.whole,
        "energy_kcal_per_100g": sheet.energy_kcal_per_100g,
        "protein_g": sheet.total("protein_g").whole,
        "sodium_mg": sheet.total("sodium_mg").whole,
        "water_add_ml": sheet.water_add_ml.whole,
        "bags": len(sheet.bags),
        "errors": sum(finding.severity == "error" for finding in findings),
        "cautions": sum(finding.severity == "caution" for finding in findings),
    }


def _no_menu(made: TripMenu, seconds: float) -> dict[str, str]:
    """Why there is no menu: that there is none is said only where it is proven."""
    if made.verdict != "impossible":
        return {
            "code": "menu-not-in-time",
            "what": f"the time ran out ({seconds:g} s for the search) before a menu was found; "
            "whether there is one is not known",
            "mend": "give it longer (--seconds), or loosen a rule",
        }
    gives = "; ".join(f"{one.wish}: {one.gives}" for one in made.gives)
    return {
        "code": "no-menu",
        "what": "no menu keeps all of these rules; what would have to give: "
        f"{gives or 'not known'}",
        "mend": "loosen a rule, or add recipes",
    }


def _trip(path: Path, seconds: float) -> dict[str, Any]:
    from fellfare.files.menu_toml import read_menu
    from fellfare.files.provision_toml import NAME, read_own
    from fellfare.files.recipe_folder import read_recipes_of
    from fellfare.files.trip_toml import read_ground, read_trip
    from fellfare.menu.asked import question_of_trip
    from fellfare.menu.of_trip import menu_of_trip
    from fellfare.menu.trying import Trying
    from fellfare.menu.written import written
    from fellfare.provision.trip.provision import provision_of
    from fellfare.trip.plan import plan_trip

    file = read_trip(path)
    try:
        plan = plan_trip(file.trip, read_ground(file))
        folder = read_recipes_of(file)
        saved = path.parent / "menu.toml"
        row: dict[str, Any] = {
            "title": file.trip.title,
            "walkers": len(file.trip.walkers),
            "days": len(plan.days),
        }
        if saved.exists():
            menu = read_menu(saved)
            row["verdict"] = "saved"
        else:
            asked = question_of_trip(plan, folder.recipes, folder.pantry)
            made = menu_of_trip(asked, Trying(gap=ENOUGH, seconds=seconds, clock=time.monotonic))
            row["verdict"] = made.verdict
            if not made.plates:
                return row | _no_menu(made, seconds) | {"where": str(path)}
            row |= {"bound_mass_g": made.bound_mass_g, "gap": made.gap, "mass_g": made.mass_g}
            menu = written(made)
        own_path = path.parent / NAME
        own = read_own(own_path, folder.pantry) if own_path.exists() else None
        one = provision_of(
            plan, menu.plates, folder.recipes, folder.pantry, own,
            steps_per_serving=menu.steps_per_serving, rations=menu.rations,
        )  # fmt: skip
    except Mistake as mistake:
        raise (mistake if str(path) in mistake.where else file.placed(mistake)) from None
    portions = [portion for plate in menu.plates for portion in plate.portions]
    return row | {
        "mass_g": row.get("mass_g") or sum(portion.mass_g for portion in portions),
        "energy_kcal": sum(portion.energy_kcal for portion in portions),
        "dishes": len({plate.dish for plate in menu.plates}),
        "bags": len(one.bags),
        "food_g": one.food_g,
        "cost": None if one.shopping.cost_unknown else float(one.shopping.cost),
        "errors": sum(finding.severity == "error" for finding in one.findings),
        "cautions": sum(finding.severity == "caution" for finding in one.findings),
    }
