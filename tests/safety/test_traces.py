"""A trace of moist food does not wet a bag; more of it may."""

from __future__ import annotations

import pytest

from fellfare.files.shipped import shipped_pantry
from fellfare.recipe.document import Line, Recipe
from fellfare.recipe.sheet import make_sheet
from fellfare.safety import check
from fellfare.safety.dish import case_of_dish

PANTRY = shipped_pantry()


def severity(prune_g: float, dry_g: float) -> str | None:
    """What the bag rule says of prunes (31 % water, SR28 09291) beside couscous."""
    recipe = Recipe(
        title="t",
        serves=1,
        lines=(
            Line(food="couscous", amount=f"{dry_g} g", bag="a"),
            Line(food="prune", amount=f"{prune_g} g", bag="a"),
        ),
    )
    sheet = make_sheet(recipe, PANTRY)
    found = [one for one in check(case_of_dish(sheet, PANTRY)) if one.rule == "mixed-bag"]
    return found[0].severity if found else None


@pytest.mark.parametrize(
    ("prune_g", "dry_g", "said"),
    [
        (0.6, 70.0, "note"),  # 0.19 g water in 70 g: 0.27 %
        (1.1, 70.0, "note"),  # 0.34 g: 0.49 %
        (1.2, 70.0, "caution"),  # 0.37 g: 0.53 %
        (30.0, 70.0, "caution"),
    ],
)
def test_half_a_per_cent_of_water_is_the_border(prune_g: float, dry_g: float, said: str) -> None:
    assert severity(prune_g, dry_g) == said
