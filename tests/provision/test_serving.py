"""Who is served first out of a common pot."""

from __future__ import annotations

import pytest

from fellfare.pantry.pantry import Pantry
from fellfare.provision.bags.plan import bags_of
from fellfare.provision.cards.trail import trail_card
from fellfare.provision.label import labels
from fellfare.provision.planned import Planned, Share
from fellfare.provision.serving import serve_first
from fellfare.recipe.document import Act, Line, Recipe, Step
from fellfare.recipe.sheet import make_sheet

ADA = Share(name="Ada", avoids=("cashew",))
BO = Share(name="Bo")
FIRST = "serve Ada first, before the cashews, dry roasted, salted go in; own spoon"


def pot(
    pantry: Pantry,
    act: Act = "serve",
    top: str = "cashew-salted",
    eaters: tuple[Share, ...] = (ADA, BO),
    *,
    apart: bool = False,
) -> Planned:
    recipe = Recipe(
        title="Rice",
        serves=2,
        meals=("dinner",),
        lines=(
            Line(food="rice-instant", amount="180 g", bag="pot"),
            Line(food=top, amount="40 g", bag="top"),
        ),
        steps=(
            Step(act="steep", bags=("pot",), water="400 ml", minutes=8),
            Step(act=act, bags=("top",)),
        ),
    )
    return Planned(
        day=1, time="dinner", sheet=make_sheet(recipe, pantry), eaters=eaters, apart=apart
    )


def test_who_avoids_what_goes_in_last_is_served_first(pantry: Pantry) -> None:
    assert serve_first(pot(pantry)) == (FIRST,)
    assert serve_first(pot(pantry, "mix")) == (FIRST,)
    without = Share(name="Ada", without=("cashew-salted",))
    assert serve_first(pot(pantry, eaters=(without, BO))) == (FIRST,)


def test_what_may_hold_it_and_what_nobody_knows_count_too(pantry: Pantry) -> None:
    # tabulated: pumpkin seeds may contain cashew; of raisins nobody knows
    [traces] = serve_first(pot(pantry, top="pumpkin-seeds-roasted"))
    assert "(may hold traces) go in; own spoon" in traces
    [unknown] = serve_first(pot(pantry, top="raisins"))
    assert unknown.startswith("serve Ada first, before the raisins")


@pytest.mark.parametrize("act", ["boil", "simmer", "rest"])
def test_what_cooks_or_stands_with_the_rest_can_not_wait(pantry: Pantry, act: Act) -> None:
    assert serve_first(pot(pantry, act)) == ()


def test_nobody_is_first_where_nobody_avoids_it_or_each_has_their_own(pantry: Pantry) -> None:
    assert serve_first(pot(pantry, eaters=(BO, Share(name="Cy")))) == ()
    assert serve_first(pot(pantry, apart=True)) == ()
    assert serve_first(pot(pantry, eaters=(ADA,))) == ()


def test_labels_and_card_say_it(pantry: Pantry) -> None:
    dish = pot(pantry)
    bags = bags_of((dish,))
    told = labels((dish,), bags)
    assert all(FIRST in label.minds for label in told if label.steps)
    assert any(FIRST in label.payload for label in told)
    card = trail_card((dish,), bags)
    assert FIRST in card.days[0].meals[0].minds
