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
APART = (
    "NOT FOR Ada out of this pot, because of the cashews. Make "
    "Ada’s part apart, without the cashews, in a clean pot and with an own "
    "spoon, or Ada does not eat of it"
)
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
def test_what_cooks_or_stands_with_the_rest_makes_it_no_pot_for_who_avoids_it(
    pantry: Pantry, act: Act
) -> None:
    [said] = serve_first(pot(pantry, act))
    assert said == APART
    [gone] = serve_first(
        pot(pantry, act, eaters=(Share(name="Ada", without=("cashew-salted",)), BO))
    )
    assert gone == APART
    # tabulated: pumpkin seeds may contain cashew; the bag itself says so
    assert serve_first(pot(pantry, act, top="pumpkin-seeds-roasted")) == ()


def test_who_avoids_all_of_a_pot_eats_something_else(pantry: Pantry) -> None:
    # The rice is 180 g of 220 g: without it there is nothing left to make apart.
    none = Share(name="Ada", without=("rice-instant",))
    [said] = serve_first(pot(pantry, "boil", eaters=(none, BO)))
    assert said.endswith(", because of the instant white rice; Ada eats something else")


def test_what_goes_in_with_the_pot_is_not_for_ada_on_label_code_and_card(pantry: Pantry) -> None:
    dish = pot(pantry, "boil")
    bags = bags_of((dish,))
    told = {label.bag: label for label in labels((dish,), bags)}
    assert any("[NOT FOR Ada]" in one.said for one in told["pot"].deeds)
    assert "[NOT FOR Ada]" in told["pot"].payload
    assert APART in told["pot"].payload
    assert "all but Ada" in told["top"].payload
    (meal,) = trail_card((dish,), bags).days[0].meals
    assert any("[NOT FOR Ada]" in one.said for one in meal.add_ins)
    assert APART in meal.minds


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
