"""A whole plan goes to the rules, and nothing is said twice."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from fellfare.safety.trip import TripCase, WaterFact, check_trip
from fellfare.safety.trip.planned import case_of_plan, findings_of_plan, hold_minutes_of
from fellfare.trip.kit import Kitchen
from fellfare.trip.plan import TripPlan, plan_trip
from fellfare.trip.trip import Trip
from fellfare.trip.way import DayWord, StageLine, Way
from fellfare.walk.walker import Walker

BODY = {"sex": "female", "age_y": 40, "height_cm": 170, "mass_kg": 65, "base_pack_kg": 6}


def plan(**told: Any) -> TripPlan:
    plain = {
        "title": "three days",
        "walkers": [BODY | {"name": "Ada"}, BODY | {"name": "Bo"}],
        "way": {"day_c": 20, "night_c": -12, "fire": "none", "start_m": 600},
        "days": [{"day": 2, "fire": "no-flame", "day_c": 34}],
        "kitchens": [
            {"walkers": ["Ada"], "stove": "gas-screened", "fuel": "gas"},
            {"walkers": ["Bo"]},
        ],
        "stops": [{"name": "Box", "kind": "box", "day": 3, "at_m": 0.0, "fuels": ["gas"]}],
        "stages": [
            {"distance_m": 14_000, "ascent_m": 900, "camp": "Low", "water_m": [4_000, 14_000]},
            {"distance_m": 9_000, "ascent_m": 1_500, "camp": "High", "water_m": [9_000]},
            {"distance_m": 9_000, "descent_m": 900, "water_m": [9_000]},
        ],
        **told,
    }
    return plan_trip(msgspec.convert(plain, Trip))


def gravest(case: TripCase) -> dict[str, str]:
    return {finding.rule: finding.severity for finding in reversed(check_trip(case))}


def test_days_camps_needs_and_stops_come_from_the_plan() -> None:
    made = plan()
    case = case_of_plan(made)
    assert [day.camp_m for day in case.days] == [1500.0, 3000.0, None]
    assert [day.sleeps_out for day in case.days] == [True, True, False]
    assert [day.day_c for day in case.days] == [20, 34, 20]
    assert [day.cold for day in case.days] == [(), ("Ada",), ()]  # no flame on day 2
    assert case.boxes[0].day == 3
    ada = case.rations[0]
    assert ada.need_kcal == tuple(day.kcal for day in made.walkers[0].need.days)
    assert ada.target_kcal == made.walkers[0].target_kcal


def test_a_plan_with_a_hot_day_a_high_camp_and_a_box() -> None:
    found = gravest(case_of_plan(plan(), treatment=["boil"], cooking_inside=False))
    serious = {rule: severity for rule, severity in found.items() if severity != "note"}
    assert serious == {
        "water-treatment": "error",  # nothing burns on day 2
        "water-boil-minutes": "caution",
        "hold-limit": "caution",
        "high-cooking": "caution",  # breakfast of day 3 at 3000 m
        "high-sleep": "caution",
        "fuel-in-post": "caution",
        "box-wait": "caution",
        "hot-box": "caution",
    }


def test_the_plans_own_findings_are_not_repeated() -> None:
    made = plan(rules={"coverage": 0.5})
    told = {finding.rule for finding in made.findings}
    assert {"gas-too-cold", "box-undated"} <= told
    found = gravest(case_of_plan(made))
    assert not told & set(found)
    assert "dry-stretch" not in found


def test_the_given_word_on_a_source_goes_before_the_plans() -> None:
    made = plan(
        water=[{"name": "Tarn", "reliability": "seasonal", "day": 1, "at_m": 900.0}],
    )
    case = case_of_plan(made, sources=[WaterFact(name="Tarn", cloudy=True)])
    assert [one.cloudy for one in case.sources if one.name == "Tarn"] == [True]
    assert gravest(case)["cloudy-water"] == "caution"


@pytest.mark.parametrize("pulses", [True, False, None])
def test_what_no_plan_knows_is_handed_through(pulses: bool | None) -> None:
    found = gravest(case_of_plan(plan(start_date="2031-05-01"), raw_pulses=pulses))
    assert "high-pulses" not in found  # 3000 m is not above 3000 m
    assert case_of_plan(plan(), raw_pulses=pulses).raw_pulses is pulses


def test_the_documents_answers_reach_the_rules() -> None:
    made = plan(
        start_date="2031-05-01",
        kitchens=[
            {
                "walkers": ["Ada"], "stove": "gas-screened", "fuel": "gas",
                "cooking_place": "outside",
            },
            {"walkers": ["Bo"], "own_pot": ["Bo"]},
        ],
        stops=[
            {"name": "Box", "kind": "box", "day": 3, "at_m": 0.0, "fuels": [], "warmest_c": 22},
            {"name": "Hut", "kind": "shop", "day": 2, "at_m": 0.0, "asked": True},
        ],
        water=[{"name": "Tarn", "day": 1, "at_m": 900.0, "cloudy": True}],
        care={
            "health_asked": True, "water_treatment": ["filter"], "water_agency": "who",
            "water_cloudy": False, "water_chemicals": False, "flies": False, "raw_pulses": False,
        },
    )  # fmt: skip
    case = case_of_plan(made)
    assert case.cooking_inside is False
    assert (case.treatment, case.agency) == (("filter",), "who")
    assert (case.own_pot, case.stops_asked) == (("Bo",), ("Hut",))
    assert (case.boxes[0].fuels, case.boxes[0].warmest_c) == ((), 22)
    assert (case.flies, case.health_asked, case.raw_pulses) == (False, True, False)
    assert {one.name for one in case.sources if one.cloudy} == {"Tarn"}
    assert {one.chemicals for one in case.sources} == {False}
    said = {one.rule for one in findings_of_plan(made)}
    assert "cloudy-water" in said
    answered = {
        "cooking-inside", "water-treatment", "water-boil-minutes", "fuel-in-post", "hot-box",
        "fuel-in-plane", "health-untold", "water-chemicals", "stops-and-diets",
    }  # fmt: skip
    assert not answered & said
    # A caller who knows better goes before the document.
    assert case_of_plan(made, treatment=["boil"]).treatment == ("boil",)


@pytest.mark.parametrize(
    ("places", "inside"),
    [(("outside", "outside"), False), (("outside", None), None), (("inside", None), True)],
)
def test_one_flame_that_nobody_tells_of_is_unknown(
    places: tuple[str | None, str | None], inside: bool | None
) -> None:
    kitchens = [
        {"walkers": [name], "stove": "gas-screened", "fuel": "gas", "cooking_place": place}
        for name, place in zip(("Ada", "Bo"), places, strict=True)
    ]
    assert case_of_plan(plan(kitchens=kitchens)).cooking_inside is inside


def test_plan_and_rules_together_say_each_thing_once() -> None:
    walkers = [BODY | {"name": "Ada", "high_risk": ["heart"]}, BODY | {"name": "Bo"}]
    made = plan(way={"start_m": 600}, walkers=walkers)
    found = findings_of_plan(made)
    said = {one.rule for one in found}
    assert {"ask-first", "fire-rule-unknown", "box-undated"} <= {f.rule for f in made.findings}
    assert {"fire-rule-untold", "box-wait"} <= set(gravest(case_of_plan(made)))
    assert {"high-risk-walker", "fire-rule-unknown", "box-undated"} <= said
    order = ["error", "caution", "note"]
    assert [order.index(one.severity) for one in found] == sorted(
        order.index(one.severity) for one in found
    )
    # Nothing else is lost.
    both = {f.rule for f in (*made.findings, *check_trip(case_of_plan(made)))}
    assert both - said == {"ask-first", "fire-rule-untold", "box-wait"}


@pytest.mark.parametrize(
    ("day_c", "minutes"), [(5.0, 360), (5.1, 120), (20.0, 120), (32.0, 120), (32.1, 60), (None, 60)]
)
def test_a_hot_day_halves_the_hold_and_so_does_an_unknown_one(
    day_c: float | None, minutes: float
) -> None:
    # USDA FSIS: 2 h, 1 h above 90 °F (32 °C); none at or under 40 °F, and 6 h is ours.
    assert hold_minutes_of(day_c) == minutes


def test_all_who_eat_cold_stand_in_one_finding() -> None:
    walker = Walker(name="A", sex="male", age_y=35, height_cm=178, mass_kg=75, base_pack_kg=8)
    walkers = tuple(replace(walker, name=name) for name in ("A", "B", "C"))
    stage = StageLine(distance_m=10_000)
    plan = plan_trip(
        Trip(
            title="x",
            walkers=walkers,
            way=Way(fire="none", day_c=15, night_c=5),
            stages=(stage, stage),
            days=(DayWord(day=2, fire="no-flame"),),
            kitchens=(
                Kitchen(walkers=("A", "B"), stove="gas-screened", fuel="gas"),
                Kitchen(walkers=("C",)),
            ),
        )
    )
    (told,) = [f for f in findings_of_plan(plan) if f.rule == "hold-limit"]
    assert told.text.startswith("A, B eat cold on day 2; C eats cold on days 1 to 2: ")
    assert set(told.about) == {"A", "B", "C", "day 1", "day 2"}
