"""Doubtful water: never relied on in silence, and every figure by hand."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.trip.dry_sources import dry_cases
from fellfare.trip.faults import faults_of
from fellfare.trip.plan import TripPlan, plan_trip
from fellfare.trip.trip import Trip
from fellfare.trip.way import StageLine, WaterSource, Way
from fellfare.walk.walker import Walker

MAN = Walker(name="Rowan", sex="male", age_y=35, height_cm=178, mass_kg=75, base_pack_kg=8)
STAGE = StageLine(distance_m=10_000)


def source(name: str, day: int, at_m: float, **words: Any) -> WaterSource:
    return WaterSource(name=name, day=day, at_m=at_m, **words)


def trip(*water: WaterSource, days: int = 2, **way: Any) -> Trip:
    return Trip(title="a walk", walkers=(MAN,), way=Way(**way), stages=(STAGE,) * days, water=water)


#: Both ends of both days have sure water; the springs between differ.
SURE = (source("tap", 1, 0.0, reliability="sure"), source("tarn", 1, 10_000.0, reliability="sure"))


def hours_per_m(plan: TripPlan) -> float:
    return plan.days[0].hours.moving_hours / 10_000


def test_a_likely_dry_spring_is_not_counted_on() -> None:
    for chance, counted in ((0.04, True), (0.05, True), (0.06, False), (1.0, False)):
        spring = source("seep", 1, 4_000.0, chance_dry=chance)
        plan = plan_trip(trip(*SURE, spring))
        (seen,) = [s for s in plan.days[0].water.springs if s.name == "seep"]
        assert (seen.counted, seen.chance_dry) == (counted, chance)
    plan = plan_trip(trip(*SURE, source("seep", 1, 4_000.0, chance_dry=0.3), dry_risk=0.5))
    assert all(s.counted for s in plan.days[0].water.springs)


def test_what_is_carried_if_it_is_dry_by_hand() -> None:
    plan = plan_trip(trip(*SURE, source("seep", 1, 4_000.0, chance_dry=0.04)))
    (case,) = plan.dry
    # A quarter of a litre, and half a litre an hour: 6 km to the tarn, or all 10 km.
    per_m = 500 * hours_per_m(plan)
    assert (case.name, case.counted, case.day, case.from_name) == ("seep", True, 1, "tap")
    assert case.if_runs_ml == pytest.approx(250 + 6_000 * per_m)
    assert case.if_dry_ml == pytest.approx(250 + 10_000 * per_m)
    assert "water-unvouched" in {f.rule for f in plan.findings}


def test_what_one_that_is_not_counted_on_would_save() -> None:
    plan = plan_trip(trip(*SURE, source("seep", 1, 4_000.0, chance_dry=0.4)))
    (case,) = plan.dry
    assert not case.counted
    assert plan.days[0].water.most_carried_ml == case.if_dry_ml > case.if_runs_ml
    (told,) = [f for f in plan.findings if f.rule == "water-not-counted"]
    assert told.about == ("seep: 40 % dry",)
    assert "If 'seep' runs" in told.text


def test_the_chances_of_a_day_by_hand() -> None:
    one = source("one", 2, 3_000.0, chance_dry=0.05)
    two = source("two", 2, 6_000.0, chance_dry=0.04)
    ditch = source("ditch", 2, 8_000.0, chance_dry=0.5)
    plan = plan_trip(trip(*SURE, one, two, ditch))
    first, second = plan.water_chances
    assert (first.one_dry, first.none_runs, first.untold) == (0.0, 0.0, ())
    # 1 - 0.95 x 0.96; the ditch is not counted on; the tarn of the night is sure.
    assert second.one_dry == pytest.approx(0.088)
    assert second.none_runs == 0.0
    (told,) = [f for f in plan.findings if f.rule == "water-chance"]
    assert told.about == ("day 2: 8.8 %",)
    # Nothing sure on the day: all three must be dry.
    alone = plan_trip(trip(SURE[0], one, two, ditch)).water_chances[1]
    assert alone.none_runs == pytest.approx(0.05 * 0.04 * 0.5)


def test_an_untold_chance_stays_unknown() -> None:
    plan = plan_trip(
        trip(SURE[0], source("seen", 2, 3_000.0), source("told", 2, 5_000.0, chance_dry=0.05))
    )
    second = plan.water_chances[1]
    assert (second.one_dry, second.none_runs, second.untold) == (None, None, ("seen",))
    assert second.one_dry_at_least == pytest.approx(0.05)
    # A day without any source on it has none.
    assert plan_trip(trip(SURE[0], days=2)).water_chances[1].none_runs == 1.0


def test_beyond_the_bottles_it_is_a_caution() -> None:
    sources = (*SURE, source("seep", 1, 4_000.0, chance_dry=0.04))
    for bottles_ml, severity in ((3_000.0, "note"), (1_000.0, "caution")):
        plan = plan_trip(trip(*sources, bottles_ml=bottles_ml))
        (told,) = [f for f in plan.findings if f.rule == "water-unvouched"]
        assert told.severity == severity


@pytest.mark.parametrize("chance", [-0.1, 1.1, 30.0, float("nan")])
def test_a_chance_is_a_share(chance: float) -> None:
    faults = faults_of(trip(source("seep", 1, 4_000.0, chance_dry=chance)))
    assert "water[0].chance_dry" in {fault.where for fault in faults}


@given(
    st.lists(
        st.tuples(st.integers(1, 3), st.integers(0, 10), st.floats(0, 0.2)), min_size=1, max_size=8
    )
)
@settings(deadline=None, max_examples=40)
def test_a_dry_source_never_lightens_the_back(springs: list[tuple[int, int, float]]) -> None:
    water = tuple(
        source(f"spring {n}", day, 1_000.0 * km, chance_dry=chance)
        for n, (day, km, chance) in enumerate(springs)
    )
    made = trip(*water, days=3)
    plan = plan_trip(made)
    cases = dry_cases(made, plan.laid, tuple(day.hours for day in plan.days))
    assert cases == plan.dry
    for case in cases:
        assert case.if_dry_ml > case.if_runs_ml
        assert case.counted == ((case.chance_dry or 0) <= made.way.dry_risk)
    for day, chance in zip(plan.days, plan.water_chances, strict=True):
        assert chance.one_dry is not None
        assert 0 <= chance.one_dry <= 1
        assert chance.one_dry_at_least == chance.one_dry
        most = max(
            (s.chance_dry or 0 for s in day.water.springs if s.counted and s.at_m > 0), default=0
        )
        assert chance.one_dry >= most - 1e-12
    # Were every one of them counted on, nobody would carry more.
    trusting = plan_trip(replace(made, way=replace(made.way, dry_risk=1.0)))
    for day, other in zip(plan.days, trusting.days, strict=True):
        if day.water.most_carried_ml is not None and other.water.most_carried_ml is not None:
            assert other.water.most_carried_ml <= day.water.most_carried_ml + 1
