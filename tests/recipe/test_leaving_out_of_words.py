"""A method without the words on what is left out."""

from __future__ import annotations

import pytest

from fellfare.files.shipped import shipped_pantry
from fellfare.recipe.document import Line, Recipe, Step
from fellfare.recipe.leaving_out import left_out

POUCH = (
    "Open the pouch only now, flake the fish in with its juice, oil over it; eat at once, and "
    "shut the empty pouch away from animals."
)


@pytest.mark.parametrize(
    ("said", "left"),
    [
        ("Mix couscous and seasoning. The pouch stays as it came.", "Mix couscous and seasoning."),
        (POUCH, "Oil over it; eat at once."),
        ("Stir the salmon into the couscous.", "Stir the salmon into the couscous."),
        # Water, times and cooking are never dropped.
        ("Pour water over the salmon; cover.", "Pour water over the salmon; cover."),
        ("Warm the salmon 5 min.", "Warm the salmon 5 min."),
        ("Couscous first, then the salmon, then eat.", "Couscous first, then eat."),
        ("Couscous, salmon and seasoning.", "Couscous, salmon and seasoning."),
        ("Eat at once, for salmon spoils.", "Eat at once."),
        ("Leave it alone.", "Leave it alone."),
    ],
)
def test_what_is_left_out_is_not_spoken_of(said: str, left: str) -> None:
    # Written by hand: what a cook without the fish would still read.
    recipe = Recipe(
        title="Couscous with salmon",
        serves=1,
        lines=(
            Line(food="couscous", amount="80 g", bag="couscous"),
            Line(food="salmon-pouch", amount="74 g", bag="salmon"),
            Line(food="olive-oil", amount="10 g", bag="oil"),
        ),
        steps=(Step(act="mix", bags=("couscous",), text=said),),
    )
    (step,) = left_out(recipe, ["salmon-pouch"], shipped_pantry()).steps
    assert step.text == left
