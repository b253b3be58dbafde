"""What must hold for the plan of any trip."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.trip.fuelling import can_heat
from fellfare.trip.kit import Hot, Kitchen
from fellfare.trip.plan import TripPlan, plan_trip
from fellfare.trip.stop import TripStop
from fellfare.trip.trip import Trip
from fellfare.trip.way import FIRE_RULES, DayWord, StageLine, WaterSource, Way
from fellfare.trip.wishes import Eating, Rules
from fellfare.walk.carry import settle_by_sweeps
from fellfare.walk.ration import RULES
from fellfare.walk.walker import Walker

MAN = Walker(name="Ash", sex="male", age_y=35, height_cm=178, mass_kg=75, base_pack_kg=8.0)
WOMAN = Walker(name="Ivy", sex="female", age_y=28, height_cm=165, mass_kg=60, base_pack_kg=6.0)
DAY = StageLine(
    distance_m=20_000, ascent_m=1_000, descent_m=800, water_m=(0.0, 7_000.0, 14_000.0, 20_000.0)
)
REST = StageLine(distance_m=0)


def trip(*stages: StageLine, way: Way | None = None, **more: Any) -> Trip:
    made = Trip(
        title="a walk",
        walkers=(MAN,),
        way=way or Way(fire="none", start_m=500, day_c=14, night_c=5),
        stages=stages or (DAY, DAY, DAY),
    )
    return replace(made, **more)


def total(plan: TripPlan) -> float:
    return sum(one.need.kcal for one in plan.walkers)


def test_the_sample_day_of_the_literature() -> None:
    # Two independent calculations from public transcriptions: man of 75 kg with 12 kg, 20 km,
    # +1 000/-800 m: walking 1 880 to 2 015 kcal, the day 3 804 to 3 876 kcal (models 3 650 to
    # 4 170).  A day between two others; its mean load is 12 kg within 0.1 kg.
    man = replace(MAN, base_pack_kg=10.3)
    plan = plan_trip(trip(DAY, DAY, DAY, walkers=(man,)))
    day = plan.walkers[0].need.days[1]
    assert day.mean_load_kg == pytest.approx(12.0, abs=0.1)
    assert 1_880 <= day.walking_kcal <= 2_015
    assert day.low_kcal < 3_804 < day.high_kcal
    assert day.kcal == pytest.approx(3_850, abs=60)


def test_six_days_from_midmorning_to_early_afternoon_are_5_breakfasts_6_lunches_5_dinners() -> None:
    way = Way(fire="none", start_hour=10.0, end_hour=15.0)
    plan = plan_trip(
        trip(*[StageLine(distance_m=16_000, ascent_m=500, descent_m=500)] * 6, way=way)
    )
    times = dict(plan.times())
    assert (times["breakfast"], times["lunch"], times["dinner"]) == (5, 6, 5)
    assert [m.name for m in plan.days[0].meals if m.hour] == ["lunch", "dinner"]
    assert [m.name for m in plan.days[-1].meals if m.hour] == ["breakfast", "lunch"]


def test_a_first_day_from_noon_has_18_hours_and_a_last_one_until_14_has_8() -> None:
    way = Way(fire="none", start_hour=12.0, end_hour=14.0, wake_hour=6.0)
    short = replace(DAY, distance_m=8_000, ascent_m=200, descent_m=200, water_m=())
    plan = plan_trip(trip(short, DAY, short, way=way))
    assert [day.frame.hours for day in plan.days] == [18.0, 24.0, 8.0]
    assert [day.frame.sleep_hours for day in plan.days] == [8.0, 8.0, 0.0]


@settings(max_examples=12, deadline=None)
@given(more=st.floats(0.5, 12.0), coverage=st.floats(0.7, 1.0), density=st.floats(3.0, 6.0))
def test_a_heavier_pack_never_needs_less(more: float, coverage: float, density: float) -> None:
    rules = Rules(coverage=coverage, kcal_per_g=density)
    light = plan_trip(trip(rules=rules))
    heavy = plan_trip(
        trip(rules=rules, walkers=(replace(MAN, base_pack_kg=MAN.base_pack_kg + more),))
    )
    for a, b in zip(light.walkers[0].need.days, heavy.walkers[0].need.days, strict=True):
        # A last day ends with the arrival: slower is longer, so it never shrinks either.
        assert b.kcal >= a.kcal


def test_food_and_need_agree_and_both_ways_find_the_same() -> None:
    plan = plan_trip(trip(DAY, DAY, REST, DAY, walkers=(MAN, WOMAN), rules=Rules(coverage=0.9)))
    assert plan.residual_g < 1e-6
    for one in plan.walkers:
        for kcal, grams in zip(one.carried_kcal, one.food_g, strict=True):
            assert grams == pytest.approx(kcal / 4.4, abs=1e-5)
    coverage = np.array(
        [[0.9 * w.appetite_on(day.day) for day in plan.days] for w in plan.trip.walkers]
    )
    again = settle_by_sweeps(plan.demand, kcal_per_g=4.4, coverage=coverage)
    mine = [grams / 1000 for one in plan.walkers for grams in one.food_g]
    assert mine == pytest.approx(again.food_kg.ravel().tolist(), abs=1e-8)


def test_carries_hold_all_food_and_no_more() -> None:
    stop = TripStop(name="a box", kind="box", day=2, at_m=20_000.0)
    plan = plan_trip(trip(stops=(stop,), walkers=(MAN, WOMAN)))
    for w, one in enumerate(plan.walkers):
        assert sum(c.food_g[w] for c in plan.carries) == pytest.approx(sum(one.food_g))
        assert sum(c.energy_kcal[w] for c in plan.carries) == pytest.approx(sum(one.carried_kcal))
    counted: dict[str, int] = {}
    for carry in plan.carries:
        for name, count in carry.times:
            counted[name] = counted.get(name, 0) + count
    assert counted == dict(plan.times())


def test_a_stop_lightens_the_way_before_it_and_never_adds_need() -> None:
    stop = TripStop(name="a box", kind="box", day=2, at_m=20_000.0)
    without, with_box = plan_trip(trip()), plan_trip(trip(stops=(stop,)))
    assert total(with_box) < total(without)
    assert with_box.walkers[0].load[0].start_kg < without.walkers[0].load[0].start_kg
    hut = replace(stop, kind="hut")  # a hut gives no food unless it says so
    assert total(plan_trip(trip(stops=(hut,)))) == pytest.approx(total(without))


def test_what_is_eaten_at_a_hut_is_not_carried_but_still_needed() -> None:
    hut = TripStop(name="a hut", kind="hut", day=2, at_m=20_000.0, meals=("dinner",))
    plan, plain = plan_trip(trip(stops=(hut,))), plan_trip(trip())
    day, other = plan.walkers[0], plain.walkers[0]
    assert dict(plan.times())["dinner"] == dict(plain.times())["dinner"] - 1
    assert day.carried_kcal[1] == pytest.approx(day.target_kcal[1] * (1 - 0.34))
    assert day.food_g[1] < other.food_g[1]
    assert day.deficit.total_kcal == pytest.approx(other.deficit.total_kcal, rel=0.02)


def test_a_rest_day_is_the_quiet_day_and_is_not_walked() -> None:
    plan = plan_trip(trip(DAY, REST, DAY))
    rest, walked = plan.walkers[0].need.days[1], plan.walkers[0].need.days[0]
    assert (rest.walking_kcal, rest.moving_hours, rest.mean_load_kg) == (0.0, 0.0, None)
    assert plan.days[1].arrival.likely_hours == 0.0
    assert 2_000 < rest.kcal < walked.kcal
    assert [m.name for m in plan.days[1].meals] == ["breakfast", "lunch", "dinner"]


def test_nothing_but_rest_days_is_a_plan_too() -> None:
    plan = plan_trip(trip(REST, REST))
    assert plan.spread.pace == ()
    assert all(one.load == () for one in plan.walkers)
    assert total(plan) > 0


def test_coverage_scales_what_is_carried_and_the_gap_is_the_rest() -> None:
    rules = Rules(coverage=0.8, follow_appetite=False)
    one = plan_trip(trip(rules=rules)).walkers[0]
    assert sum(one.target_kcal) == pytest.approx(0.8 * one.need.kcal, rel=1e-6)
    assert one.deficit.total_kcal == pytest.approx(0.2 * one.need.kcal, rel=1e-6)


def test_appetite_is_small_at_first() -> None:
    one = plan_trip(trip(DAY, DAY, DAY, DAY)).walkers[0]
    shares = [t / n.kcal for t, n in zip(one.target_kcal, one.need.days, strict=True)]
    assert shares == pytest.approx([0.9, 0.9, 0.9, 1.0], rel=1e-6)


def test_a_band_is_given_and_arrival_is_the_slowest_walkers() -> None:
    slow = replace(WOMAN, pace_factor=0.7)
    plan = plan_trip(trip(walkers=(MAN, slow)))
    for day in plan.days:
        mine = [one.need.days[day.day - 1].moving_hours for one in plan.walkers]
        assert day.hours.moving_hours == pytest.approx(max(mine), abs=0.05)
        band = day.arrival
        assert band.early_hours < band.likely_hours < band.late_hours
        assert band.likely_hours == pytest.approx(day.hours.moving_hours / 0.8)
    for one in plan.walkers:
        assert all(d.low_kcal < d.kcal < d.high_kcal for d in one.need.days)


def test_spare_food_is_carried_all_the_way() -> None:
    plan = plan_trip(trip(rules=Rules(spare_days=1.0)))
    one = plan.walkers[0]
    days = sum(day.frame.hours for day in plan.days) / 24
    assert one.spare_g == pytest.approx(sum(one.food_g) / days, rel=0.01)
    plain = plan_trip(trip()).walkers[0]
    end, plain_end = one.load[-1].end_kg, plain.load[-1].end_kg
    assert end - plain_end == pytest.approx(one.spare_g / 1000, rel=0.02)


def test_kit_is_on_the_back_and_fuel_burns_away() -> None:
    kitchen = Kitchen(
        walkers=("Ash",), stove="spirit", fuel="spirit-95", pot_g=120, kit_g=80, reserve=0.0
    )
    plan, bare = plan_trip(trip(kitchens=(kitchen,))), plan_trip(trip())
    fuel = plan.fuel[0]
    first = plan.kit_kg[0, 0] - bare.kit_kg[0, 0]
    last = plan.kit_kg[0, -1] - bare.kit_kg[0, -1]
    assert first > last
    # Two breakfasts and two dinners: the first day begins after breakfast, the last ends before
    # dinner; the last breakfast is burnt before the last way.
    assert fuel.boils == 4
    assert first == pytest.approx((200 + fuel.fuel_g) / 1000)
    assert last == pytest.approx(0.2)


def test_fuel_lies_at_the_trades_rule_and_above_the_floor() -> None:
    # Common practice: 15 g of gas for a litre (15 to 20 g for two boils of a one-person day);
    # physics asks 8.4 g from 10 degrees at least.
    kitchen = Kitchen(walkers=("Ash",), stove="gas-screened", fuel="gas", pot_g=120)
    plan = plan_trip(trip(DAY, DAY, DAY, DAY, kitchens=(kitchen,)))
    per_litre = plan.fuel[0].fuel_g / (plan.fuel[0].water_ml / 1000)
    assert 12 < per_litre < 20
    assert plan.fuel[0].canisters is not None
    assert plan.fuel[0].canisters.count * plan.fuel[0].canisters.size.net_g >= per_litre


def test_a_ban_puts_the_stove_out_and_saves_its_fuel() -> None:
    kitchen = Kitchen(walkers=("Ash",), stove="gas-screened", fuel="gas")
    free = plan_trip(trip(kitchens=(kitchen,)))
    banned = plan_trip(trip(kitchens=(kitchen,), days=(DayWord(day=2, fire="no-flame"),)))
    assert [day.can_heat for day in banned.days] == [(True,), (False,), (True,)]
    assert banned.fuel[0].boils == free.fuel[0].boils - 2
    assert banned.fuel[0].fuel_g < free.fuel[0].fuel_g
    assert "nothing-hot" in {f.rule for f in banned.findings}
    assert "nothing-hot" not in {f.rule for f in free.findings}


@pytest.mark.parametrize(
    ("stove", "fuel", "allowed"),
    [
        ("gas-screened", "gas", ["none", "no-open-fire", "gas-only"]),
        ("spirit", "spirit-95", ["none", "no-open-fire"]),
        ("white-gas", "white-gas", ["none", "no-open-fire"]),
        ("wood-stove", "wood-20", ["none"]),
        (None, None, []),
    ],
)
def test_who_may_burn_what(stove: str | None, fuel: str | None, allowed: list[str]) -> None:
    kitchen = Kitchen(walkers=("Ash",), stove=stove, fuel=fuel)
    assert [rule for rule in FIRE_RULES if can_heat(kitchen, rule)] == allowed


def test_a_menu_may_say_how_much_hot_water() -> None:
    kitchen = Kitchen(walkers=("Ash",), stove="gas-screened", fuel="gas")
    more = replace(kitchen, hot=(Hot(eating="dinner", water_ml=850.0),))
    usual, dinner = plan_trip(trip(kitchens=(kitchen,))), plan_trip(trip(kitchens=(more,)))
    assert usual.fuel[0].water_ml == pytest.approx(2 * 250 + 2 * 425)
    assert dinner.fuel[0].water_ml == pytest.approx(2 * 850)


def test_water_lasts_to_the_next_source() -> None:
    # 20 km between two sources at 500 ml an hour, and a quarter of a litre on top.
    dry = replace(DAY, water_m=(0.0, 20_000.0))
    plan = plan_trip(trip(dry, dry, dry))
    day = plan.days[1]
    assert day.water.leaves is not None
    wanted = 250 + 500 * day.hours.moving_hours
    assert day.water.most_carried_ml == pytest.approx(wanted, rel=0.02)
    assert day.water.longest_dry_m == pytest.approx(20_000)
    assert day.water.water_at_camp is True


def test_a_dry_camp_costs_four_to_five_litres() -> None:
    wet = replace(DAY, water_m=(0.0, 10_000.0, 20_000.0))
    dry = replace(DAY, water_m=(0.0, 10_000.0))
    late = replace(DAY, water_m=(5_000.0, 20_000.0))
    plan = plan_trip(trip(wet, dry, late, way=Way(fire="none", bottles_ml=8_000)))
    day = plan.days[1]
    assert day.water.water_at_camp is False
    assert day.water.most_carried_ml == pytest.approx(
        250 + 4_500 + (250 + 125) * day.hours.moving_hours, rel=0.05
    )
    assert "dry-camp" in {f.rule for f in plan.findings}
    assert total(plan) > total(plan_trip(trip(wet, wet, late, way=Way(fire="none"))))


def test_water_that_nobody_told_of_is_unknown_not_far() -> None:
    plan = plan_trip(trip(*[StageLine(distance_m=15_000)] * 3))
    assert {day.water.most_carried_ml for day in plan.days} == {None}
    assert {day.water.water_at_camp for day in plan.days} == {None}
    assert "water-unknown" in {f.rule for f in plan.findings}
    source = WaterSource(name="a well", reliability="sure", day=2, at_m=7_000.0)
    told = plan_trip(trip(*[StageLine(distance_m=15_000)] * 3, water=(source,)))
    assert told.days[1].water.springs[0].name == "a well"
    assert "water-unknown" not in {f.rule for f in told.findings}


def test_a_doubtful_source_is_not_counted_on() -> None:
    table = [StageLine(distance_m=15_000, water_m=(0.0, 15_000.0))] * 3
    sure = WaterSource(name="a well", reliability="sure", day=2, at_m=7_000.0)
    doubtful = replace(sure, reliability="doubtful")
    counted = plan_trip(trip(*table, water=(sure,))).days[1].water
    not_counted = plan_trip(trip(*table, water=(doubtful,))).days[1].water
    assert counted.most_carried_ml is not None
    assert not_counted.most_carried_ml is not None
    assert counted.most_carried_ml < not_counted.most_carried_ml


def test_the_plan_stands_beside_the_trades_tables() -> None:
    spread = plan_trip(trip()).spread
    assert len(spread.rations) == len(RULES)
    assert spread.g_per_person_day is not None
    assert 500 < spread.g_per_person_day < 1_200
    # Naismith 1892: 3 x (20 km / 5 km/h + 1 000 m / 600 m/h) = 17 h, summed leg by leg.
    naismith = next(one.hours for one in spread.pace if one.rule.startswith("Naismith"))
    assert naismith == pytest.approx(17.0, abs=0.05)


def test_twelve_walkers_and_forty_days_are_fine() -> None:
    walkers = tuple(replace(MAN, name=f"walker {n}") for n in range(12))
    box = [TripStop(name=f"box {d}", kind="box", day=d, at_m=0.0) for d in range(6, 40, 5)]
    level = replace(DAY, descent_m=DAY.ascent_m)
    plan = plan_trip(trip(*[level] * 40, walkers=walkers, stops=tuple(box)))
    assert len(plan.days) == 40
    assert len(plan.carries) == 8
    alike = {round(one.need.kcal, 6) for one in plan.walkers}
    assert len(alike) == 1


def test_eating_times_of_ones_own_share_the_day() -> None:
    eating = (Eating(name="brunch", hour=10.0), Eating(name="tea", hour=17.0, share=0.45))
    plan = plan_trip(trip(eating=eating))
    shares = {meal.name: meal.share for meal in plan.days[1].meals}
    assert shares == pytest.approx({"brunch": 0.15 / 0.60, "tea": 0.45 / 0.60})
