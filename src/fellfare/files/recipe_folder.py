"""The recipes that a trip may cook: its folders, and the foods of one's own beside them."""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct

from fellfare.files.own_food import own_food_folders, read_own_foods
from fellfare.files.recipe_toml import RecipeFile, read_recipe
from fellfare.files.shipped import shipped_pantry
from fellfare.files.trip_toml import TripFile
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Recipe


class RecipeFolder(Struct, frozen=True, kw_only=True):
    """All recipes by file name without its ending, and the pantry that knows their foods."""

    files: dict[str, RecipeFile]
    pantry: Pantry
    #: What is odd about the labels of own foods.
    findings: tuple[Finding, ...]

    @property
    def recipes(self) -> dict[str, Recipe]:
        """The values alone."""
        return {name: file.recipe for name, file in self.files.items()}


def read_recipes_of(file: TripFile) -> RecipeFolder:
    """Every recipe of the trip's folders; of two with one name, that of the first folder.

    Raises
    ------
    Mistake
        ``no-recipes`` when a folder is missing or holds none; as
        :func:`~fellfare.files.recipe_toml.read_recipe` and
        :func:`~fellfare.files.own_food.read_own_foods`.
    """
    found: dict[str, RecipeFile] = {}
    folders: dict[Path, None] = {}
    for name in file.trip.recipes:
        folder = file.path.parent / name
        paths = sorted(folder.glob("*.toml"))
        if not paths:
            raise Mistake(
                "no-recipes",
                f"no recipe lies in the folder {name[:80]!r}",
                'put recipes (TOML documents) there, or name another folder: recipes = ["…"]',
                str(folder),
            )
        for path in paths:
            found.setdefault(path.stem, read_recipe(path))
        folders |= dict.fromkeys(own_food_folders(paths[0]))
    own, findings = read_own_foods(tuple(folders))
    return RecipeFolder(
        files=found, pantry=shipped_pantry().with_foods(own), findings=tuple(findings)
    )
