"""The list of the trip's rules, its door, and what it makes of a bare document."""

from __future__ import annotations

import re
from datetime import date
from typing import Any, get_args

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.camp.fuel.fuels import FUELS
from fellfare.camp.water import boil_at
from fellfare.mistake import SEVERITIES, Finding, Mistake
from fellfare.safety import RULES, standing_findings
from fellfare.safety.trip import (
    TRIP_RULES,
    CarriedFood,
    Jar,
    Stay,
    Stretch,
    WaterFact,
    check_trip,
    no_trip_rule_fired,
    trip_case,
)
from fellfare.safety.trip.reading import days_listed, listed
from fellfare.safety.trip.rules.fire import leave
from fellfare.trip.trip import Trip
from fellfare.trip.way import FIRE_RULES
from fellfare.walk.walker import HighRisk

ADA = {
    "name": "Ada",
    "sex": "female",
    "age_y": 40,
    "height_cm": 170,
    "mass_kg": 65,
    "base_pack_kg": 6,
}


def trip(**told: Any) -> Trip:
    plain = {
        "title": "t",
        "walkers": [ADA],
        "way": {},
        "stages": [{"distance_m": 9000.0}] * 3,
        **told,
    }
    return msgspec.convert(plain, Trip)


def rules(findings: tuple[Finding, ...]) -> set[str]:
    return {finding.rule for finding in findings}


def test_every_trip_rule_has_a_name_of_its_own_a_source_and_a_meaning() -> None:
    names = [rule.id for rule in TRIP_RULES]
    assert len(set(names)) == len(names)
    others = {rule.id for rule in RULES} | {finding.rule for finding in standing_findings()}
    assert not others & set(names)
    for rule in TRIP_RULES:
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", rule.id)
        assert rule.severity in SEVERITIES
        assert rule.source
        assert rule.meaning.endswith(".")


def test_nothing_found_is_no_verdict_on_the_walk() -> None:
    assert str(len(TRIP_RULES)) in no_trip_rule_fired()
    assert "no verdict" in no_trip_rule_fired()


def test_a_bare_document_is_all_doubt() -> None:
    found = check_trip(trip_case(trip()))
    assert {f.rule for f in found if f.severity == "caution"} == {
        "kitchen-untold",
        "altitude-untold",
        "water-treatment",
        "water-boil-minutes",
        "dry-stretch",
        "under-eating",
    }
    assert not [f for f in found if f.severity == "error"]


def test_the_document_tells_days_weather_fire_and_camps() -> None:
    case = trip_case(
        trip(
            way={"day_c": 15, "night_c": 3, "fire": "none", "wind": "breeze"},
            days=[{"day": 2, "day_c": 30, "fire": "no-flame", "wind": "strong"}],
            stages=[
                {"distance_m": 9000, "camp": "Low", "camp_m": 700},
                {"distance_m": 9000, "camp_m": 1200},
                {"distance_m": 9000},
            ],
        )
    )
    assert [day.sleeps_out for day in case.days] == [True, True, False]
    assert [day.camp_m for day in case.days] == [700, 1200, None]
    assert [day.day_c for day in case.days] == [15, 30, 15]
    assert [day.fire for day in case.days] == ["none", "no-flame", "none"]
    assert [day.wind for day in case.days] == ["breeze", "strong", "breeze"]
    assert case.days[1].boils_c == boil_at(1200).boils_c
    assert case.days[2].boils_c is None


def test_a_fact_goes_before_the_document() -> None:
    told = trip(way={"day_c": 15, "fire": "none"})
    case = trip_case(
        told, day_c={1: 33.0, 2: None}, fire={1: "gas-only", 3: None}, camp_m={3: 800.0}
    )
    assert [day.day_c for day in case.days] == [33.0, None, 15.0]
    assert [day.fire for day in case.days] == ["gas-only", "none", None]
    assert case.days[2].sleeps_out  # the last day ends in a camp when it is told so


def test_days_are_counted_from_document_or_facts() -> None:
    assert len(trip_case(trip()).days) == 3
    track = trip(stages=[], way={"gpx": "walk.gpx"})
    assert trip_case(track).days == ()
    assert len(trip_case(track, camp_m={1: 500.0, 4: 600.0}).days) == 4
    assert len(trip_case(track, days=6).days) == 6
    assert len(trip_case(trip(stages=[], way={"gpx": "w", "days": 5})).days) == 5


def test_the_target_follows_coverage_and_appetite() -> None:
    told = trip(rules={"coverage": 0.8, "follow_appetite": True})
    case = trip_case(told, need_kcal={"Ada": [3000.0, None, 3000.0]})
    # By hand: the usual appetite of the first three days is 0.9 (Walker's default).
    first, second, third = case.rations[0].target_kcal or ()
    assert first == third == pytest.approx(2160.0)
    assert second is None
    case = trip_case(told, need_kcal={"Ada": [3000.0]}, target_kcal={"Ada": [2900.0]})
    assert case.rations[0].target_kcal == (2900.0,)


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        ({"days": 401}, "day-out-of-range"),
        ({"days": -1}, "day-out-of-range"),
        ({"days": 2, "camp_m": {3: 500.0}}, "day-out-of-range"),
        ({"day_c": {0: 5.0}}, "day-out-of-range"),
        ({"jars": [Jar(walker="Ada", day=4)]}, "day-out-of-range"),
        ({"camp_m": {1: 29_029.0}}, "altitude-out-of-range"),
        ({"camp_m": {1: float("nan")}}, "altitude-out-of-range"),
        ({"day_c": {1: 95.0}}, "air-out-of-range"),
        ({"night_c": {1: float("nan")}}, "air-out-of-range"),
        ({"box_warmest_c": {"Box": 200.0}}, "air-out-of-range"),
        ({"jars": [Jar(walker="Ada", day=1, at_c=99.0)]}, "air-out-of-range"),
        ({"jars": [Jar(walker="Ada", day=1, minutes=-1.0)]}, "time-out-of-range"),
        ({"jars": [Jar(walker="Ada", day=1, minutes=float("nan"))]}, "time-out-of-range"),
        ({"stretches": [Stretch(day=1, hours=-1.0)]}, "time-out-of-range"),
        ({"stretches": [Stretch(day=1, distance_m=float("inf"))]}, "water-out-of-range"),
        ({"stretches": [Stretch(day=1, camp_ml=-1.0)]}, "water-out-of-range"),
        ({"foods": [CarriedFood(name="x", stays=(Stay(days=-1.0),))]}, "time-out-of-range"),
        ({"foods": [CarriedFood(name="x", stays=(Stay(days=1.0, c=75.0),))]}, "air-out-of-range"),
        ({"need_kcal": {"Ada": [-1.0]}}, "need-out-of-range"),
        ({"need_kcal": {"Ada": [1.0, 1.0]}, "target_kcal": {"Ada": [1.0]}}, "days-uneven"),
        ({"target_kcal": {"Ada": [float("nan")]}}, "need-out-of-range"),
        ({"fat_kg": {"Ada": 0.0}}, "fat-out-of-range"),
        ({"need_kcal": {"Bo": [3000.0]}}, "unknown-walker"),
        ({"own_pot": ["Bo"]}, "unknown-walker"),
        ({"cold": {1: ["Bo"]}}, "unknown-walker"),
        ({"jars": [Jar(walker="Bo", day=1)]}, "unknown-walker"),
        ({"agency": "grandmother"}, "unknown-agency"),
        ({"treatment": ["prayer"]}, "unknown-treatment"),
        ({"fire": {1: "bonfire"}}, "unknown-fire-rule"),
        ({"reckoned": ["stars"]}, "unknown-reckoning"),
    ],
)
def test_the_door_refuses_what_cannot_be(facts: dict[str, Any], code: str) -> None:
    told = trip(stops=[{"name": "Box", "kind": "box", "day": 2, "at_m": 0.0}])
    with pytest.raises(Mistake) as caught:
        trip_case(told, **facts)
    assert caught.value.code == code


@pytest.mark.parametrize("flame", [*sorted({f.kind for f in FUELS.values()}), None])
def test_a_stricter_fire_rule_frees_no_flame(flame: Any) -> None:
    order = ("free", "ask", "banned")
    strict = [order.index(leave(flame, fire)) for fire in FIRE_RULES]
    assert strict == sorted(strict)
    assert leave(flame, "no-flame") == "banned"
    assert leave(flame, "none") == "free"
    assert (leave(flame, "gas-only") == "free") == (flame == "gas")


def test_a_gas_finding_of_the_camp_is_handed_on_as_it_is() -> None:
    told = Finding(severity="caution", rule="gas-too-cold", text="Cold.", source="s", about=("x",))
    assert told in check_trip(trip_case(trip(), gas=[told]))


def test_the_gap_of_the_walk_comes_with_the_walkers_name() -> None:
    case = trip_case(trip(), need_kcal={"Ada": [9000.0] * 3}, target_kcal={"Ada": [6500.0] * 3})
    gap = next(f for f in check_trip(case) if f.rule == "energy-gap")
    assert gap.about == ("Ada",)
    assert gap.text.startswith("Ada: ")


def test_days_and_names_are_listed_short() -> None:
    days = trip_case(trip(), days=9).days
    assert days_listed([days[1]]) == "day 2"
    assert days_listed([days[i] for i in (0, 2, 3, 4, 8)]) == "days 1, 3 to 5, 9"
    assert listed(["a", "b", "a"]) == "a, b"
    assert listed(list("abcdefgh")) == "a, b, c, d, e, f and 2 more"


def test_the_texts_name_day_camp_and_figure() -> None:
    told = trip(
        kitchens=[{"walkers": ["Ada"], "stove": "spirit", "fuel": "spirit-95"}],
        start_date=date(2031, 5, 1),
    )
    case = trip_case(
        told, camps={2: "High Kist"}, camp_m={1: 600.0, 2: 2900.0}, fire={2: "no-flame"}
    )
    texts = {f.rule: f.text for f in check_trip(case)}
    assert "High Kist (day 2, 2900 m): 3 min" in texts["water-boil-minutes"]
    assert "about 90 °C" in texts["high-cooking"]  # IAPWS-IF97 at 2900 m: 90.3 °C
    assert "spirit is forbidden on day 2 (no-flame)" in texts["stove-banned"]
    assert "go down" in texts["high-sleep"]


@pytest.mark.parametrize(
    ("first_m", "second_m", "told"),
    [(2900.0, 3401.0, True), (2900.0, 3400.0, False), (2400.0, 3000.0, False)],
)
def test_a_steep_climb_between_high_camps_is_told(
    first_m: float, second_m: float, told: bool
) -> None:
    # Wilderness Medical Society, from memory: above 3000 m no more than 500 m higher a night.
    case = trip_case(trip(), camp_m={1: first_m, 2: second_m})
    text = next(f.text for f in check_trip(case) if f.rule == "high-sleep")
    assert ("more than 500 m between camps" in text) == told


def test_the_figures_of_a_jar_and_a_stretch_stand_in_the_text() -> None:
    jars = [Jar(walker="Ada", day=1, minutes=minutes, at_c=20.0) for minutes in (361.0, 360.0)]
    stretches = [
        Stretch(day=1, ends="Tarn", distance_m=14_000.0),
        Stretch(day=2, begins="Tarn", hours=7.0),
    ]
    case = trip_case(trip(way={"day_c": 10}), jars=jars, stretches=stretches)
    texts = [f.text for f in check_trip(case) if f.rule in ("jar-hold", "dry-stretch")]
    assert ["Past 6 h" in text for text in texts if "jar" in text] == [True, False]
    dry = [text for text in texts if "source" in text]
    # By hand: 14 km at 2 km/h are 7 h; 7 h at 0.5 L/h are 3.5 L.
    assert ["about 3.5 L" in text for text in dry] == [True, True]
    assert ["taken at 2 km/h" in text for text in dry] == [True, False]


def test_doubtful_sources_in_a_row_are_doubted_each() -> None:
    names = ("Well", "Spring", "Tarn", "Beck")
    begins = ("", *names)
    stretches = [
        Stretch(day=1, begins=begin, ends=end, hours=2.5)
        for begin, end in zip(begins, (*names, ""), strict=True)
    ]
    sources = [
        WaterFact(name=name, reliability="sure" if name in ("Well", "Beck") else "seasonal")
        for name in names
    ]
    case = trip_case(trip(way={"day_c": 10}), stretches=stretches, sources=sources)
    # By hand: Well to Beck past both are 7.5 h, 3.75 L of 3 L; each alone would be 2.5 L.
    found = [f for f in check_trip(case) if f.rule == "source-doubtful"]
    assert [(f.severity, f.about) for f in found] == [("caution", ("Spring", "Tarn"))]


WARMTH = st.none() | st.floats(-40, 50)
MAPS = {
    "camp_m": st.none() | st.floats(-400, 8800),
    "day_c": WARMTH,
    "night_c": WARMTH,
    "fire": st.none() | st.sampled_from(FIRE_RULES),
}
FACTS = st.fixed_dictionaries(
    {name: st.dictionaries(st.integers(1, 3), values) for name, values in MAPS.items()},
    optional={
        "agency": st.sampled_from(("strictest", "who", "health-canada")),
        "treatment": st.lists(st.sampled_from(("boil", "filter")), max_size=2),
        "stretches": st.lists(
            st.builds(
                Stretch,
                day=st.integers(1, 5),
                begins=st.sampled_from(("", "a", "b")),
                ends=st.sampled_from(("", "a", "b")),
                hours=st.none() | st.floats(0, 20),
                camp_ml=st.none() | st.floats(0, 5000),
            ),
            max_size=4,
        ),
        "sources": st.lists(
            st.builds(
                WaterFact,
                name=st.sampled_from(("a", "b")),
                reliability=st.sampled_from((None, "sure", "seasonal", "doubtful", "dry")),
            ),
            max_size=2,
        ),
        "jars": st.lists(
            st.builds(
                Jar,
                walker=st.just("Ada"),
                day=st.integers(1, 3),
                minutes=st.none() | st.floats(0, 900),
                at_c=WARMTH,
            ),
            max_size=3,
        ),
        "need_kcal": st.dictionaries(
            st.just("Ada"), st.lists(st.none() | st.floats(0, 9000), max_size=4)
        ),
        "cold": st.dictionaries(st.integers(1, 3), st.just(["Ada"])),
        "foods": st.lists(
            st.builds(
                CarriedFood,
                name=st.just("x"),
                stays=st.lists(st.builds(Stay, days=st.floats(0, 400), c=WARMTH)).map(tuple),
            ),
            max_size=2,
        ),
        "cooking_inside": st.booleans(),
    },
)
KITCHENS = st.sampled_from(
    (
        (),
        ({"walkers": ["Ada"]},),
        ({"walkers": ["Ada"], "stove": "gas-open", "fuel": "gas-butane"},),
        ({"walkers": ["Ada"], "stove": "wood-stove", "fuel": "wood-20"},),
    )
)


@given(FACTS, KITCHENS)
def test_no_facts_break_the_trips_rules(facts: dict[str, Any], kitchens: tuple[Any, ...]) -> None:
    case = trip_case(trip(kitchens=kitchens), **facts)
    found = check_trip(case)
    assert found == check_trip(case)
    severities = [SEVERITIES.index(finding.severity) for finding in found]
    assert severities == sorted(severities)
    assert all(f.about and f.text and "None" not in f.text and "nan" not in f.text for f in found)
    # What is unknown is never passed over in silence.
    if "treatment" not in facts:
        assert "water-treatment" in rules(found)
    if "stretches" not in facts:
        assert "dry-stretch" in rules(found)
    if any(day.camp_m is None for day in case.nights()):
        assert "altitude-untold" in rules(found)
    if kitchens and "stove" in kitchens[0]:
        burns = [day for day in case.days if "Ada" not in day.cold]
        if any(day.fire is None for day in burns):
            assert "fire-rule-untold" in rules(found)
        if any(day.fire == "no-flame" for day in burns):
            assert ("stove-banned", "error") in {(f.rule, f.severity) for f in found}


@given(st.floats(0, 900), st.floats(6, 45), st.floats(0, 300), st.floats(0, 10))
def test_longer_or_warmer_is_never_milder(
    minutes: float, at_c: float, more: float, up: float
) -> None:
    def severity(jar: Jar) -> int:
        found = [f for f in check_trip(trip_case(trip(), jars=[jar])) if f.rule == "jar-hold"]
        return min((SEVERITIES.index(f.severity) for f in found), default=len(SEVERITIES))

    here = severity(Jar(walker="Ada", day=1, minutes=minutes, at_c=at_c))
    assert severity(Jar(walker="Ada", day=1, minutes=minutes + more, at_c=at_c)) <= here
    assert severity(Jar(walker="Ada", day=1, minutes=minutes, at_c=at_c + up)) <= here


def test_every_high_risk_is_told_whom_to_ask() -> None:
    for risk in get_args(HighRisk):
        told = trip(walkers=[ADA | {"high_risk": [risk]}])
        text = next(f.text for f in check_trip(trip_case(told)) if f.rule == "high-risk-walker")
        assert risk in text
        assert "ask" in text
