"""The list of rules, the standing notes, and the ways in."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

import fellfare.safety
from fellfare.mistake import SEVERITIES, Mistake
from fellfare.pantry.food import Food, Source
from fellfare.pantry.nutrients import Nutrients
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Act, Bag, Line, Recipe, Step
from fellfare.recipe.sheet import make_sheet
from fellfare.safety import (
    RULES,
    Eater,
    case_of,
    check,
    measure_mismatch,
    no_rule_fired,
    standing_findings,
    standing_notes,
)
from fellfare.safety.dish import case_of_dish
from fellfare.safety.sorption import Isotherm


def food(name: str, **told: object) -> Food:
    plain = {
        "id": name,
        "name": name,
        "group": "grain",
        "form": "precooked",
        "source": Source(kind="unknown", ref="invented for a test"),
        "per_100g": Nutrients(energy_kcal=350.0, water_g=8.0, fat_g=1.0),
        "water_activity": (0.4, 0.5),
        **told,
    }
    return msgspec.convert(plain, Food)


def recipe(*lines: Line, **told: object) -> Recipe:
    return msgspec.convert({"title": "t", "serves": 1, "lines": lines, **told}, Recipe)


COUSCOUS = food("couscous")


def test_every_rule_has_a_name_a_source_and_a_meaning() -> None:
    assert len({rule.id for rule in RULES}) == len(RULES)
    for rule in RULES:
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", rule.id)
        assert rule.severity in SEVERITIES
        assert rule.source
        assert rule.meaning.endswith(".")


def test_no_text_of_the_room_gives_a_verdict() -> None:
    # The house never calls food harmless: only that no rule fired.
    room = Path(fellfare.safety.__file__).parent
    for file in room.rglob("*.py"):
        text = file.read_text(encoding="utf-8").lower()
        assert not re.findall(r"\b(un)?safe(ly|st|r)?\b", text), file.name


def test_nothing_found_is_said_to_be_no_verdict() -> None:
    assert (
        check(case_of(recipe(Line(food="couscous", amount="90 g")), {"couscous": COUSCOUS})) == ()
    )
    assert str(len(RULES)) in no_rule_fired()
    assert "no verdict" in no_rule_fired()


def test_the_standing_notes_say_who_decides() -> None:
    notes = " ".join(standing_notes())
    for words in (
        "Local rules, product labels and licensed advice",
        "throw it out",
        "medical",
        "112",
    ):
        assert words in notes
    assert {f.severity for f in standing_findings()} == {"note"}
    assert [f.text for f in standing_findings()] == list(standing_notes())
    assert not {f.rule for f in standing_findings()} & {rule.id for rule in RULES}


def test_the_gravest_come_first() -> None:
    bean = food("bean", group="pulse", form="raw-dry", hazards=["lectin-pulse", "sulphite-likely"])
    steps = (Step(act="soak", minutes=700.0, water="1 l"),)
    found = check(case_of(recipe(Line(food="bean", amount="9 g"), steps=steps), {"bean": bean}))
    order = [SEVERITIES.index(finding.severity) for finding in found]
    assert order == sorted(order)
    assert len(set(order)) >= 2


def test_a_line_without_its_food_is_refused() -> None:
    with pytest.raises(Mistake, match="unknown-food") as caught:
        case_of(recipe(Line(food="moon-dust", amount="9 g")), {})
    assert caught.value.where == "line 1"


def test_a_step_that_names_no_bag_of_the_recipe_is_refused() -> None:
    steps = (Step(act="boil", bags=("typo",), minutes=10.0),)
    with pytest.raises(Mistake, match="unknown-bag"):
        case_of(recipe(Line(food="couscous", amount="9 g"), steps=steps), {"couscous": COUSCOUS})


@pytest.mark.parametrize(
    ("told", "code"),
    [
        ({"air_c": 95.0}, "air-out-of-range"),
        ({"air_c": float("nan")}, "air-out-of-range"),
        ({"storage_c": -99.0}, "air-out-of-range"),
        ({"altitude_m": 29029.0}, "altitude-out-of-range"),
        ({"storage_days": -1.0}, "time-out-of-range"),
        ({"carried_minutes": float("inf")}, "time-out-of-range"),
    ],
)
def test_weather_and_times_that_cannot_be_are_refused(told: dict[str, float], code: str) -> None:
    with pytest.raises(Mistake, match=code):
        case_of(
            recipe(Line(food="couscous", amount="9 g")),
            {"couscous": COUSCOUS},
            **told,  # type: ignore[arg-type]
        )


def test_eaters_with_words_nobody_knows_are_refused() -> None:
    plain = recipe(Line(food="couscous", amount="9 g"))
    with pytest.raises(Mistake, match="unknown-allergen"):
        case_of(plain, {"couscous": COUSCOUS}, eaters=[Eater(avoids=("moonlight",))])
    with pytest.raises(Mistake, match="unknown-risk"):
        case_of(plain, {"couscous": COUSCOUS}, eaters=[Eater(risks=("tired",))])  # type: ignore[arg-type]


def test_the_air_of_the_recipe_counts_unless_another_is_given() -> None:
    plain = recipe(Line(food="couscous", amount="9 g"), air_c=35.0)
    assert case_of(plain, {"couscous": COUSCOUS}).air_c == 35.0
    assert case_of(plain, {"couscous": COUSCOUS}, air_c=10.0).air_c == 10.0


@pytest.mark.parametrize(
    ("written", "own", "fires"),
    [
        # Sizes of NIST HB 44 and the national spoons; the mass per mL cancels.
        (14.787, 4.929, True),  # '1 teaspoon' that is a tablespoon
        (20.0, 14.787, True),  # Australian tablespoon
        (240.0, 236.588, False),  # US label cup, +1.4 %
        (70.0, 66.0, False),  # 6 %: cooks' hands
        (3.0, 2.2, False),  # under a gram: written to the gram
        (None, 5.0, False),
        (5.0, None, False),
        (5.0, 0.0, True),
    ],
)
def test_a_mass_beside_a_measure(written: float | None, own: float | None, fires: bool) -> None:
    found = measure_mismatch(written, own, "line 1 (oats)")
    assert bool(found) == fires
    assert all(f.severity == "caution" and f.about == ("line 1 (oats)",) for f in found)


def test_a_known_isotherm_lifts_the_hard_bound() -> None:
    # Illustrative parameters, of no food: 5 g of fruit at 0.63 barely wets 100 g of starch.
    starch = food("starch", form="instant", per_100g=Nutrients(water_g=6.0))
    fruit = food(
        "fruit", group="fruit", per_100g=Nutrients(water_g=22.0), water_activity=(0.6, 0.63)
    )
    lines = [Line(food=name, amount="9 g", bag="a") for name in ("starch", "fruit")]
    told = (recipe(*lines), {"starch": starch, "fruit": fruit}, {0: 100.0, 1: 5.0})
    isotherms = {
        "starch": Isotherm(monolayer=0.060, c=12, k=0.86, source="illustrative"),
        "fruit": Isotherm(monolayer=0.14, c=3, k=1.0, source="illustrative"),
    }
    assert [f.rule for f in check(case_of(*told))] == ["mixed-bag"]
    assert check(case_of(*told, isotherms=isotherms)) == ()
    one = {"starch": isotherms["starch"]}  # half known is not known
    assert [f.rule for f in check(case_of(*told, isotherms=one))] == ["mixed-bag"]


def test_a_sheet_is_looked_at_with_its_swaps_and_eater() -> None:
    walnut = food("walnut", group="nut", form="solid", allergens={"contains": ["walnut"]})
    pantry = Pantry((COUSCOUS, walnut))
    sheet = make_sheet(recipe(Line(food="couscous", amount="90 g", swap=("walnut",))), pantry, 3)
    ada = Eater(name="Ada", avoids=("walnut",))
    assert check(case_of_dish(sheet, pantry)) == ()
    found = check(case_of_dish(sheet, pantry, eaters=(ada,)))
    assert [(f.rule, f.severity) for f in found] == [("allergen", "error")]
    # Of a swap that the pantry does not know, that is said.
    found = check(case_of_dish(sheet, Pantry((COUSCOUS,)), eaters=(ada,)))
    assert {f.rule: f.severity for f in found} == {"allergen": "error", "unknown-swap": "caution"}


def test_a_sheet_for_three_compares_measures_like_for_like() -> None:
    oats = food(
        "oats", measures=[{"unit": "cup", "mass_g": 81.0, "trust": "label", "source": "invented"}]
    )
    pantry = Pantry((oats,))
    for amount, rules in (("1 cup (81 g)", []), ("1 cup (120 g)", ["measure-mismatch"])):
        sheet = make_sheet(recipe(Line(food="oats", amount=amount)), pantry, 3)
        assert [finding.rule for finding in check(case_of_dish(sheet, pantry))] == rules


ACTS: tuple[Act, ...] = get_args(Act)
STEPS = st.builds(
    Step,
    act=st.sampled_from(ACTS),
    bags=st.sampled_from(((), ("a",), ("b",), ("a", "b"))),
    water=st.sampled_from((None, "100 ml")),
    minutes=st.none() | st.floats(0, 800),
    where=st.sampled_from(("home", "camp")),
    at_c=st.none() | st.floats(-10, 120),
    water_treated=st.none() | st.booleans(),
    discard_water=st.booleans(),
)
BAGS = st.builds(
    Bag,
    name=st.just("a"),
    packing=st.sampled_from(("zip", "vacuum", "oxygen-absorber")),
    kept=st.sampled_from(("ambient", "cold")),
)
MEAT = food("meat", group="meat", form="fresh", hazards=["raw-meat"], water_activity=None)


@given(st.lists(STEPS, max_size=5), BAGS, st.none() | st.floats(-20, 45))
def test_no_recipe_breaks_the_rules_themselves(
    steps: list[Step], bag: Bag, air_c: float | None
) -> None:
    lines = (Line(food="meat", amount="9 g", bag="a"), Line(food="couscous", amount="9 g", bag="b"))
    foods = {"meat": MEAT, "couscous": COUSCOUS}
    case = case_of(recipe(*lines, steps=steps, bags=(bag,)), foods, air_c=air_c)
    found = check(case)
    assert found == check(case)
    # Raw meat in the pack is never passed over in silence, whatever the steps are.
    assert found
    if not any(step.act in ("boil", "simmer", "fry", "bake", "heat") for step in steps):
        assert "raw-meat" in {f.rule for f in found if f.severity == "error"}


@given(st.lists(STEPS, max_size=4), st.floats(1, 600))
def test_a_longer_soak_is_never_judged_milder(steps: list[Step], more: float) -> None:
    soak = Step(act="soak", bags=("b",), minutes=30.0, water="1 l", water_treated=True)
    line = Line(food="couscous", amount="9 g", bag="b")
    rest = [step for step in steps if "a" not in step.bags]

    def severity(minutes: float) -> int:
        longer = msgspec.structs.replace(soak, minutes=minutes)
        case = case_of(recipe(line, steps=(longer, *rest)), {"couscous": COUSCOUS}, air_c=20.0)
        found = [SEVERITIES.index(f.severity) for f in check(case) if f.rule == "wet-hold"]
        return min(found, default=len(SEVERITIES))

    assert severity(30.0 + more) <= severity(30.0)


def test_only_water_that_somebody_wrote_is_the_water_of_a_pot() -> None:
    bulgur = food("bulgur", soaks=[{"way": "cold-soak", "minutes": 30, "water_ml_per_g": 2.0}])
    for water, told in ((None, None), ("250 ml", 250.0)):
        made = recipe(
            Line(food="bulgur", amount="100 g", bag="a"),
            steps=(Step(act="soak", bags=("a",), minutes=30, water=water),),
        )
        case = case_of_dish(make_sheet(made, Pantry((bulgur,))), Pantry((bulgur,)))
        assert [event.water_ml for event in case.events] == [told]


def test_the_longer_cooking_of_a_height_is_told_in_times() -> None:
    # z of 52 and 33 K at 3000 m, where water boils at 90.0 °C (IAPWS-IF97): 10 ** (10/52) = 1.6,
    # 10 ** (10/33) = 2.0
    made = recipe(
        Line(food="couscous", amount="100 g", bag="a"),
        steps=(Step(act="simmer", bags=("a",), minutes=5, water="200 ml"),),
    )
    sheet = make_sheet(made, Pantry((COUSCOUS,)))
    found = check(case_of_dish(sheet, Pantry((COUSCOUS,)), altitude_m=3000.0))
    (text,) = [one.text for one in found if one.rule == "altitude"]
    assert "about 90 °C" in text
    assert "1.6 to 2.0 times as long" in text
    assert "sea level" in text


def test_what_is_poured_on_is_not_told_the_times_of_a_simmer() -> None:
    # Arrhenius by hand at 3000 m, where water boils at 90.0 °C (IAPWS-IF97), against 99.97 °C:
    # exp(12 / 0.008314 * (1 / 363.13 - 1 / 373.12)) = 1.11, with 36 kJ/mol 1.38.
    made = recipe(
        Line(food="couscous", amount="100 g", bag="a"),
        steps=(Step(act="steep", bags=("a",), minutes=5, water="200 ml"),),
    )
    sheet = make_sheet(made, Pantry((COUSCOUS,)))
    found = check(case_of_dish(sheet, Pantry((COUSCOUS,)), altitude_m=3000.0))
    (text,) = [one.text for one in found if one.rule == "altitude"]
    assert "simmer" not in text
    assert "1.1 to 1.4 times as long as the minutes written" in text
