"""The recipes that a trip names, with the foods of one's own beside them."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from fellfare.files.own_food import own_food_folders, read_own_foods
from fellfare.files.recipe_toml import read_recipe
from fellfare.files.shipped import shipped_pantry
from fellfare.files.trip_toml import TripFile
from fellfare.mistake import Finding, Mistake, Mistakes
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Recipe


class TripRecipes(Struct, frozen=True, kw_only=True, eq=False):
    """The recipes of a trip by file name without its ending, each with its pantry."""

    recipes: Mapping[str, Recipe]
    pantries: Mapping[str, Pantry]
    #: Files that could not be read, labels that are odd.
    findings: tuple[Finding, ...]


def read_trip_recipes(file: TripFile) -> TripRecipes:
    """Every recipe document in the folders of the trip; one that is broken is told of.

    Raises
    ------
    Mistake
        ``folder-missing``: a folder that the trip names is not there, with its line;
        ``name-twice``: two of the folders hold recipes of one name.
    """
    recipes: dict[str, Recipe] = {}
    pantries: dict[str, Pantry] = {}
    by_folder: dict[tuple[str, ...], Pantry] = {}
    found: list[Finding] = []
    for name in file.trip.recipes:
        folder = file.path.parent / name
        if not folder.is_dir():
            mistake = Mistake(
                "folder-missing",
                f"there is no folder {name!r} beside the trip",
                'name folders beside the document: recipes = ["recipes"]',
                "recipes",
            )
            raise file.placed(mistake)
        for path in sorted(folder.glob("*.toml")):
            if path.stem in recipes:
                mistake = Mistake(
                    "name-twice",
                    f"two recipes are called {path.stem!r}",
                    "rename one of the files",
                    "recipes",
                )
                raise file.placed(mistake)
            try:
                document = read_recipe(path)
                folders = tuple(own_food_folders(path))
                key = tuple(map(str, folders))
                if key not in by_folder:
                    own, said = read_own_foods(folders)
                    by_folder[key] = shipped_pantry().with_foods(own)
                    found += said
            except Mistake as mistake:
                found.append(_broken(str(path), mistake))
                continue
            recipes[path.stem] = document.recipe
            pantries[path.stem] = by_folder[key]
    return TripRecipes(recipes=recipes, pantries=pantries, findings=tuple(found))


def _broken(path: str, mistake: Mistake) -> Finding:
    first = mistake.each[0] if isinstance(mistake, Mistakes) else mistake
    more = len(mistake.each) - 1 if isinstance(mistake, Mistakes) else 0
    text = f"Left out, as it cannot be read: {first.where or path}: {first.what}."
    if more:
        text += f"  And {more} more."
    return Finding(
        severity="caution",
        rule="recipe-unreadable",
        text=f"{text}  {first.mend}.",
        source="the document",
        about=(path,),
    )
