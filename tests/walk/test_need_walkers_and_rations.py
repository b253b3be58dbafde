"""Walkers, and the trade's own tables beside the models."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from fellfare.mistake import Mistake, Mistakes
from fellfare.walk.ration import (
    COLUMNS,
    RULES,
    beside_rules,
    bulk_mass_g,
    club_energy_kj,
    ration_factors,
    rule_named,
    youth_rule_kcal,
)
from fellfare.walk.walker import AppetiteStep, Walker

MAN = Walker(name="Ash", sex="male", age_y=35, height_cm=178, mass_kg=75, base_pack_kg=8.0)


@pytest.mark.parametrize(
    ("field", "value", "code"),
    [
        ("name", "  ", "walker-without-name"),
        ("sex", "m", "unknown-sex"),
        ("age_y", 400.0, "age-out-of-range"),
        ("height_cm", 1.78, "height-out-of-range"),
        ("mass_kg", 0.0, "body-mass-out-of-range"),
        ("mass_kg", float("nan"), "body-mass-out-of-range"),
        ("base_pack_kg", -1.0, "pack-out-of-range"),
        ("base_pack_kg", float("nan"), "pack-out-of-range"),
        ("pace_factor", 0.0, "pace-out-of-range"),
        ("pace_factor_sd", 2.0, "pace-out-of-range"),
        ("energy_factor", 10.0, "energy-factor-out-of-range"),
        ("energy_factor_sd", -0.1, "energy-factor-out-of-range"),
        ("capacity_ml_per_kg_min", 4.2, "capacity-out-of-range"),
        ("appetite", (), "appetite-out-of-range"),
        ("appetite", (AppetiteStep(from_day=2, share=1.0),), "appetite-out-of-range"),
        ("appetite", (AppetiteStep(from_day=1, share=90.0),), "appetite-out-of-range"),
        ("diets", ("vegitarian",), "unknown-diet"),
        ("avoids", ("nuts",), "unknown-allergen"),
        ("high_risk", ("old",), "unknown-high-risk"),
    ],
)
def test_nonsense_about_a_walker_is_refused(field: str, value: object, code: str) -> None:
    with pytest.raises(Mistake) as caught:
        replace(MAN, **{field: value})
    assert caught.value.code == code


def test_all_mistakes_about_a_walker_come_together() -> None:
    with pytest.raises(Mistakes) as caught:
        replace(MAN, mass_kg=0.0, age_y=400.0, avoids=("nuts",))
    assert [m.code for m in caught.value.each] == [
        "age-out-of-range",
        "body-mass-out-of-range",
        "unknown-allergen",
    ]
    assert all(m.where.startswith("Ash > ") for m in caught.value.each)


def test_appetite_starts_low_and_ends_high() -> None:
    # Common practice: 0.90 on days 1-3, 1.00 on 4-7, 1.10 on 8-14, 1.20 after.
    days = [1, 3, 4, 7, 8, 14, 15, 40]
    assert [MAN.appetite_on(d) for d in days] == [0.9, 0.9, 1.0, 1.0, 1.1, 1.1, 1.2, 1.2]


def test_club_formula_gives_its_printed_answers() -> None:
    # A bushwalking club's article: 12 140 kJ and 9 540 kJ, printed to tens.
    man = club_energy_kj(sex="male", age_y=40, height_cm=180, mass_kg=85, activity_factor=1.55)
    woman = club_energy_kj(sex="female", age_y=60, height_cm=160, mass_kg=55, activity_factor=1.9)
    assert man == pytest.approx(12_140, abs=5)
    assert woman == pytest.approx(9_540, abs=5)


def test_club_formula_as_misprinted_would_starve_the_man() -> None:
    # '/' for the last minus: 8 063 kJ.
    misprint = 4.2 * 1.55 * (66.47 + 13.75 * 85 + 5.0 * 180 / (6.76 * 40))
    assert misprint == pytest.approx(8063, abs=1)
    right = club_energy_kj(sex="male", age_y=40, height_cm=180, mass_kg=85, activity_factor=1.55)
    assert right > 1.4 * misprint


def test_bulk_arithmetic_of_the_source() -> None:
    # 4 people x 8 days x 1.75 lb = 56 lb.
    assert bulk_mass_g(1.75 * 453.59237, 4, 8) == pytest.approx(56 * 453.59237)


def test_youth_rule_of_the_source() -> None:
    # 10 miles and 3 000 ft: 4 200 kcal; 75 kcal/km and 66 kcal per 100 m (derived).
    assert youth_rule_kcal(10, 3000) == 4200
    assert (youth_rule_kcal(1, 0) - 2400) / 1.609344 == pytest.approx(75, abs=0.5)
    assert (youth_rule_kcal(0, 100 / 0.3048) - 2400) == pytest.approx(66, abs=0.5)


@pytest.mark.parametrize("column", [1.5, 1.75])
def test_whole_columns_of_ration_factors_sum_to_their_head(column: float) -> None:
    pounds = [factor.lb_per_person_day for factor in ration_factors(column)]
    assert sum(p for p in pounds if p is not None) == pytest.approx(column)
    assert None not in pounds


@pytest.mark.parametrize(("column", "rest"), [(2.0, 0.71), (2.25, 0.82), (2.5, 0.95)])
def test_what_is_left_for_the_illegible_groups(column: float, rest: float) -> None:
    # The source's own rest to split among the last four groups.
    known = sum(f.lb_per_person_day or 0 for f in ration_factors(column))
    assert column - known == pytest.approx(rest)


def test_factors_read_as_per_cent_would_be_150_of_them() -> None:
    per_cent = sum(100 * (f.lb_per_person_day or 0) for f in ration_factors(1.5))
    assert per_cent == pytest.approx(150)
    with pytest.raises(Mistake, match="not per cent"):
        ration_factors(24)


def test_illegible_factors_stay_unknown() -> None:
    for column in COLUMNS[2:]:
        unknown = [f.group for f in ration_factors(column) if f.lb_per_person_day is None]
        assert len(unknown) == 4
        assert all(
            f.g_per_person_day is None
            for f in ration_factors(column)
            if f.lb_per_person_day is None
        )


def test_solo_walk_of_fifteen_days_from_the_factors() -> None:
    # Course exercise: breakfast 3.6, dinner 4.05, cheese 2.85, trail food 4.8 lb.
    pounds = {f.group: 15 * (f.lb_per_person_day or 0) for f in ration_factors(1.5)}
    assert pounds["breakfast"] == pytest.approx(3.6)
    assert pounds["dinner"] == pytest.approx(4.05)
    assert pounds["cheese"] == pytest.approx(2.85)
    assert pounds["trail food"] == pytest.approx(4.8)


def test_a_plan_is_held_beside_every_rule() -> None:
    beside = {b.rule: b for b in beside_rules(g_per_person_day=900.0, kcal_per_person_day=3900.0)}
    assert set(beside) == {rule.name for rule in RULES}
    cold = beside["cool days, cold nights, full packs or skis"]
    assert cold.energy_off_kcal == 0
    assert cold.mass_off_g == pytest.approx(900 - 907.18, abs=0.01)
    hot = beside["hot days, warm nights"]
    assert hot.mass_off_g == pytest.approx(900 - 680.39, abs=0.01)
    assert hot.energy_off_kcal == 900
    assert beside["long trips on foot, tramping club"].energy_off_kcal is None


def test_an_unknown_plan_stays_unknown_beside_the_rules() -> None:
    beside = beside_rules(g_per_person_day=None, kcal_per_person_day=None)
    assert all(b.mass_off_g is None and b.energy_off_kcal is None for b in beside)


def test_rules_of_thumb_in_grams() -> None:
    # The trade's table: 1.75-2 lb are 794 to 907 g.
    rule = rule_named("warm or cool days and nights, full packs")
    assert rule.mass_g == pytest.approx((794, 907), abs=0.5)
    # Youth groups: 1.3 lb (590 g), hungry 1.5 lb (680 g).
    assert rule_named("youth groups, three meals and snacks").mass_g == pytest.approx(
        (590, 680), abs=0.5
    )
    with pytest.raises(Mistake, match="unknown-ration-rule"):
        rule_named("lots")


def test_rations_refuse_nonsense() -> None:
    with pytest.raises(Mistake, match="ration-out-of-range"):
        bulk_mass_g(1.75, 4, 8)  # pounds given as grams
    with pytest.raises(Mistake, match="ration-out-of-range"):
        bulk_mass_g(800, 4, float("nan"))
    with pytest.raises(Mistake, match="activity-factor-out-of-range"):
        club_energy_kj(sex="male", age_y=40, height_cm=180, mass_kg=85, activity_factor=155)
