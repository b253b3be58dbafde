"""Which plates are provided for: those of a saved menu, of one that is solved, or fixed ones."""

from __future__ import annotations

from fellfare.files.recipe_folder import RecipeFolder
from fellfare.files.trip_toml import TripFile
from fellfare.menu.answer import Plate
from fellfare.provision.trip.fixed import fixed_plates
from fellfare.trip.plan import TripPlan


def plates_for(
    file: TripFile, plan: TripPlan, folder: RecipeFolder
) -> tuple[tuple[Plate, ...], str]:
    """The plates, and in a few words where they come from."""
    return fixed_plates(file.trip, folder.recipes, folder.pantry), "the trip's fixed dishes"
