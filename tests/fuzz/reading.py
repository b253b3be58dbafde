"""What every reader owes whatever it is given: a value, or a Mistake that can be told."""

from __future__ import annotations

import math
from pathlib import Path

from fellfare.files.gpx import read_gpx, way_of
from fellfare.files.jsonld import read_jsonld
from fellfare.files.recipe_toml import read_recipe, recipe_text
from fellfare.files.shipped import shipped_pantry
from fellfare.files.trip_toml import read_trip, trip_text
from fellfare.measure.reading import read_amount
from fellfare.mistake import Mistake, Mistakes
from fellfare.recipe.pasted import read_pasted
from fellfare.recipe.sheet import make_sheet
from fellfare.safety import check
from fellfare.safety.dish import case_of_dish
from fellfare.trip.plan import plan_trip

PANTRY = shipped_pantry()


def try_reading(kind: str, text: str, folder: Path) -> str:
    """'read' or the code of the Mistake.  Anything else is a fault and comes out as it is."""
    try:
        _read(kind, text, folder)
    except Mistake as mistake:
        for one in mistake.each if isinstance(mistake, Mistakes) else (mistake,):
            assert one.what, one
            assert one.mend, one
            assert len(str(one)) < 5000, one
        return mistake.code
    return "read"


def _read(kind: str, text: str, folder: Path) -> None:
    if kind == "amount":
        amount = read_amount(text)
        assert amount.mass_g is None or 0 < amount.mass_g < 10**9
    elif kind == "pasted":
        read_pasted(text, PANTRY)
    elif kind == "json-ld":
        read_jsonld(text, PANTRY)
    elif kind == "gpx":
        track, _ = way_of(read_gpx(text.encode("utf-8", "surrogatepass")))
        assert track.lat_deg.shape == track.lon_deg.shape
    elif kind == "recipe":
        path = folder / "recipe.toml"
        path.write_text(text, "utf-8", newline="")
        recipe = read_recipe(path).recipe
        sheet = make_sheet(recipe, PANTRY)
        assert math.isfinite(sheet.mass.value)
        check(case_of_dish(sheet, PANTRY))
        path.write_text(recipe_text(recipe), "utf-8")
        assert read_recipe(path).recipe == recipe
    else:
        path = folder / "trip.toml"
        path.write_text(text, "utf-8", newline="")
        trip = read_trip(path).trip
        for walker in plan_trip(trip).walkers:
            assert all(math.isfinite(kcal) and kcal >= 0 for kcal in walker.target_kcal)
        path.write_text(trip_text(trip), "utf-8")
        assert read_trip(path).trip == trip
