"""Each bag stands at the step that it first goes into, and its label says the same."""

from __future__ import annotations

from msgspec.structs import replace

from fellfare.pantry.pantry import Pantry
from fellfare.paper.trail import meal_lines
from fellfare.provision.acts import AddIn, GoesIn, LabelStep, deeds
from fellfare.provision.bags.plan import bags_of
from fellfare.provision.cards.trail import CardMeal, trail_card
from fellfare.provision.label import BagLabel, labels
from fellfare.provision.measures import water_measure
from fellfare.provision.planned import Planned, Share
from fellfare.recipe.document import Act, Line, Recipe, Step
from fellfare.recipe.sheet import make_sheet

ADA, BO = Share(name="Ada"), Share(name="Bo")


def step(number: int, act: Act, said: str, minutes: float | None = None) -> LabelStep:
    return LabelStep(
        act=act, said=said, text="", water=None, water_unknown=False, minutes=minutes,
        most_minutes=None, minutes_trust="unknown", number=number,
    )  # fmt: skip


def planned(pantry: Pantry, *steps: Step, eaters: tuple[Share, ...] = (BO,)) -> Planned:
    """Noodles, vegetables, sauce, peanuts and oil, each in its bag."""
    recipe = Recipe(
        title="Noodles",
        serves=1,
        meals=("lunch",),
        lines=(
            Line(food="rice-instant", amount="70 g", bag="noodles"),
            Line(food="onion-freeze-dried", amount="9 g", bag="vegetables"),
            Line(food="milk-powder-whole", amount="46 g", bag="sauce"),
            Line(food="cashew-salted", amount="20 g", bag="nuts"),
            Line(food="olive-oil", amount="12 g", bag="oil"),
        ),
        steps=steps,
    )
    sheet = make_sheet(recipe, pantry)
    return Planned(day=1, time="lunch", sheet=sheet, eaters=eaters, apart=len(eaters) > 1)


def told(dish: Planned) -> tuple[dict[str, BagLabel], CardMeal]:
    bags = bags_of((dish,))
    (meal,) = trail_card((dish,), bags).days[0].meals
    return {label.bag: label for label in labels((dish,), bags)}, meal


def on_card(meal: CardMeal) -> list[str]:
    return [one.line for one in deeds(meal.steps, meal.add_ins)]


STEPS = (
    Step(act="soak", bags=("noodles", "vegetables"), water="300 ml", minutes=20),
    Step(act="drain"),
    Step(act="simmer", bags=("sauce",), water="65 ml", minutes=2),
    Step(act="serve", bags=("nuts", "oil")),
)


def test_what_soaks_too_goes_in_dry_with_the_soak_and_the_sauce_before_it_simmers(
    pantry: Pantry,
) -> None:
    of, meal = told(planned(pantry, *STEPS))
    soak, drain, simmer, last = on_card(meal)
    assert soak.startswith("soak in cold water with vegetables 9 g")
    assert soak.endswith(": 300 ml (1¼ cups), 20 min")
    assert drain == "drain"
    assert simmer.startswith("later add sauce 46 g")
    assert simmer.endswith(", then simmer: 65 ml (¼ cup), 2 min")
    assert last.startswith("later add nuts 20 g")
    assert " and oil 12 g" in last
    printed = [one["text"] for one in meal_lines(meal) if one["kind"] == "do"]
    assert [one.lower() for one in printed] == [one.partition(": ")[0] for one in on_card(meal)]
    text = of["noodles"].payload
    assert text.index("with vegetables") < text.index("drain") < text.index("later add sauce")


def test_one_act_reads_alike_on_the_labels_of_all_its_bags(pantry: Pantry) -> None:
    of, _ = told(planned(pantry, *STEPS))
    assert " with vegetables 9 g" in of["noodles"].deeds[0].line
    assert [one.line for one in of["vegetables"].deeds] == ["goes in with noodles"]
    [sauce] = of["sauce"].deeds[:1]
    assert sauce.line == "goes later into noodles; then simmer: 65 ml (¼ cup), 2 min"
    pot = " / ".join(one.line for one in of["noodles"].deeds)
    assert "later add nuts 20 g" in pot
    [nuts] = of["nuts"].deeds
    assert nuts.line.startswith("goes later into noodles, with oil 12 g")
    [oil] = of["oil"].deeds
    assert oil.line == "goes later into noodles, with nuts"
    assert "goes later into noodles, with nuts" in of["oil"].payload


def test_of_several_jars_the_card_says_whose_is_what(pantry: Pantry) -> None:
    more = Share(name="Ada", servings=1.04)
    unlike = planned(pantry, *STEPS, eaters=(more, BO))
    assert [meal.who for meal in trail_card((unlike,), bags_of((unlike,))).days[0].meals] == [
        "Ada",
        "Bo",
    ]
    alike = planned(pantry, *STEPS, eaters=(ADA, BO))
    _, meal = told(alike)
    assert meal.who == "each"
    soak, _, simmer, last = on_card(meal)
    assert "vegetables 9 g" in soak
    assert " each" in soak
    assert " each" in simmer
    assert last.count("oil") == 1


def test_amounts_of_jars_that_differ_bear_names(pantry: Pantry) -> None:
    dish = planned(pantry, *STEPS, eaters=(ADA, BO))
    bags = bags_of((dish,))
    # Whole grams of one purchase: one jar has a gram less.
    texts = [
        replace(one, net=water_measure(11.0)) if (one.bag, one.eaters) == ("oil", ("Bo",)) else one
        for one in labels((dish,), bags)
    ]
    (meal,) = trail_card((dish,), bags, texts=texts).days[0].meals
    last = on_card(meal)[-1]
    assert last.count("oil") == 1
    assert "oil (Ada 12 g, Bo 11 ml)" in last
    # What one jar alone has bears its name.
    (less,) = trail_card(
        (dish,), bags, texts=[one for one in texts if (one.bag, one.eaters) != ("nuts", ("Bo",))]
        + [replace(one, bag="seeds") for one in texts if (one.bag, one.eaters) == ("nuts", ("Bo",))]
    ).days[0].meals  # fmt: skip
    assert "nuts (Ada 20 g" in on_card(less)[-1]
    assert "seeds (Bo 20 g" in on_card(less)[-1]


def test_a_step_without_a_bag_stands_alone_and_what_no_step_takes_comes_last() -> None:
    steps = [step(1, "boil", "boil"), step(2, "rest", "let rest", 5.0), step(3, "serve", "serve")]
    adds = [GoesIn(4, True, "oil 12 g"), GoesIn(2, True, "noodles 70 g")]
    assert [one.line for one in deeds(steps, adds)] == [
        "boil",
        "later add noodles 70 g, then let rest: 5 min",
        "later add oil 12 g",
    ]
    assert [one.line for one in deeds([], [GoesIn(1, False, "chocolate 30 g")])] == [
        "with chocolate 30 g"
    ]


def test_what_is_stirred_in_is_said_once() -> None:
    assert [one.line for one in deeds([step(2, "mix", "stir in")], [GoesIn(2, True, "oil")])] == [
        "later stir in oil"
    ]


def test_a_name_with_a_mark_in_it_is_quoted_and_the_unweighed_has_no_amount() -> None:
    one = AddIn(number=2, name="pot: cumin", later=False, amount=None, not_for=("Ada",))
    assert one.said == "‘pot: cumin’ [NOT FOR Ada]"
    two = AddIn(number=2, name="nuts", later=False, amount=None, stop_for=("Ada",))
    assert two.said == "nuts [STOP: not for Ada]"


def test_boiling_water_is_poured_on_all_that_goes_in_and_then_covered() -> None:
    steep = [step(1, "steep", "pour on boiling water, cover", 7.0)]
    [said] = deeds(steep, [GoesIn(1, False, "egg 65 g")])
    assert said.line == "pour boiling water on it and egg 65 g, cover: 7 min"
