"""``fellfare camp`` soak, wet, stove-or-none: sums by hand, and the published limits."""

from __future__ import annotations

from math import exp
from typing import Any

import pytest
from tests.cli.asking_camp import Asked


def rules(told: Any, *severities: str) -> set[str]:
    return {
        one["rule"] for one in told["findings"] if not severities or one["severity"] in severities
    }


def test_colder_water_soaks_longer_by_arrhenius(ask: Asked) -> None:
    known = ask.data("soak", "couscous", "--water-temp", "18")
    cold = ask.data("soak", "couscous", "--water-temp", "8")
    # exp[25/R (1/281.15 - 1/291.15)] = 1.444, R = 8.314e-3 kJ/(mol K): by hand.
    factor = exp(25 / 8.314e-3 * (1 / 281.15 - 1 / 291.15))
    assert factor == pytest.approx(1.444, abs=0.001)
    assert cold["minutes"] / known["minutes"] == pytest.approx(factor, rel=1e-3)
    # The band: 12 and 36 kJ/mol on the food's own ends.
    (food,) = known["foods"]
    assert cold["foods"][0]["high_min"] / food["high_min"] == pytest.approx(
        1.444 ** (36 / 25), 1e-3
    )
    assert cold["foods"][0]["low_min"] / food["low_min"] == pytest.approx(1.444 ** (12 / 25), 1e-3)
    assert (food["trust"], cold["foods"][0]["temperature_trust"]) == ("common-practice",) * 2


def test_the_slowest_food_decides_and_water_adds_up(ask: Asked) -> None:
    told = ask.data("soak", "90 g bulgur", "50g couscous", "--water-temp", "64.4F")
    by_id = {food["food"]: food for food in told["foods"]}
    assert told["slowest"] == "bulgur"
    assert told["plan_min"] == max(food["high_min"] for food in told["foods"])
    per_g = {food: by_id[food]["water_ml_per_g"] for food in by_id}
    assert told["water_ml"] == pytest.approx(90 * per_g["bulgur"] + 50 * per_g["couscous"])
    assert told["water_unknown"] == []


def test_a_food_without_a_known_time_makes_the_jar_unknown(ask: Asked) -> None:
    told = ask.data("soak", "couscous", "rice noodles", "--water-temp", "15")
    assert (told["slowest"], told["minutes"], told["plan_min"]) == (None, None, None)
    assert told["water_ml"] is None
    assert "soak-unknown" in rules(told, "caution")
    _, out, _ = ask("soak", "couscous", "rice noodles", "--water-temp", "15")
    assert "unknown" in out


def test_raw_pulses_are_never_just_soaked(ask: Asked) -> None:
    # FDA Bad Bug Book, 2nd ed. 2012: soak 5 h, pour away, boil 30 min.
    for food, rule in (("black-beans-dry", "raw-lectin-pulse"), ("red-lentils", "raw-pulse")):
        told = ask.data("soak", food, "--water-temp", "15", status=1)
        assert rule in rules(told, "error")


def test_a_long_soak_is_measured_against_two_and_four_hours(ask: Asked) -> None:
    # USDA FSIS: 2 h; Food Code 3-501.19: 4 h.  Cold water alone keeps nothing cold; cold air does.
    slow = ask.data("soak", "bulgur", "--water-temp", "8")
    assert 120 < slow["plan_min"] < 240
    assert "wet-hold" in rules(slow, "caution")
    slower = ask.data("soak", "bulgur", "--water-temp", "2", status=1)
    assert slower["plan_min"] > 240
    assert "wet-hold" in rules(slower, "error")
    cold = ask.data("soak", "bulgur", "--water-temp", "2", "--air", "3")
    assert "wet-hold" not in rules(cold, "error", "caution")


def test_a_hot_pour_starts_at_the_boil_of_that_height(ask: Asked) -> None:
    low = ask.data("soak", "couscous", "--way", "hot-pour")
    high = ask.data("soak", "couscous", "--way", "hot-pour", "--altitude", "4200")
    assert (low["water_c"], high["water_c"]) == (99.974, pytest.approx(85.96, abs=0.005))
    assert high["minutes"] > low["minutes"]


EVENING = ("wet", "--arrive", "17:30-18:30", "--soak", "40-75", "--air", "15")


def test_an_ordinary_evening_by_hand(ask: Asked) -> None:
    told = ask.data(*EVENING, "--hold", "4 h", "--water-at", "spring 14:40-15:10")
    # Last bite 18:50 at the latest, 240 min back: 14:50.  Done at 17:30, 75 min back: 16:15.
    assert (told["outcome"], told["earliest"], told["latest"]) == ("ready", "14:50", "16:15")
    assert (told["earliest_min"], told["latest_min"]) == (890, 975)
    assert told["carry_from"] == ["spring"]
    assert rules(told, "caution") == {"wet-hold"}  # 4 h is the limit, 2 h the advice


def test_half_past_five_in_the_afternoon(ask: Asked) -> None:
    ours = ask.data(*EVENING, "--carry-water")
    theirs = ask.data(
        "wet", "--arrive", "5:30pm to 6:30 p.m.", "--soak", "40-75 min", "--air", "59F",
        "--carry-water",
    )  # fmt: skip
    assert ours == theirs


@pytest.mark.parametrize(("air", "hold"), [("32", 120), ("33", 60), ("95F", 60), (None, 120)])
def test_the_default_hold_is_two_hours_and_one_in_the_heat(
    ask: Asked, air: str | None, hold: float
) -> None:
    # USDA FSIS, food safety while hiking and camping: 2 h, 1 h above 90 F.
    words = ("wet", "--arrive", "18:00", "--soak", "20", "--carry-water")
    told = ask.data(*words, *(("--air", air) if air else ()))
    assert told["hold_min"] == hold
    assert ("wet-hold" in rules(told, "caution")) == (air is None)


@pytest.mark.parametrize(
    ("air", "hold", "severity"),
    [("20", "120", None), ("20", "121", "caution"), ("20", "241", "error"),
     ("33", "61", "caution"), ("33", "121", "error"), ("3", "720", "caution")],
)  # fmt: skip
def test_a_longer_hold_of_ones_own_is_told(
    ask: Asked, air: str, hold: str, severity: str | None
) -> None:
    words = ("wet", "--eat", "07:00", "--soak", "20", "--carry-water", "--hold", hold)
    told = ask.data(*words, "--air", air, status=1 if severity == "error" else 0)
    said = [one["severity"] for one in told["findings"] if one["rule"] == "wet-hold"]
    assert said == ([severity] if severity else [])


def test_what_cannot_be_is_an_error_with_its_reason(ask: Asked) -> None:
    told = ask.data("wet", "--arrive", "18:00", "--soak", "105", "--air", "20", status=1)
    assert (told["outcome"], told["earliest"]) == ("impossible", None)
    assert "soak-longer-than-hold" in rules(told, "error")  # 105 + 20 min > 2 h
    told = ask.data(*EVENING, "--dry-camp", status=1)
    assert "no-water-in-time" in rules(told, "error")


def test_breakfast_is_wetted_the_evening_before(ask: Asked) -> None:
    told = ask.data(
        "wet", "--eat", "7:00", "--soak", "60-120", "--hold", "12h", "--air", "3", "--carry-water"
    )  # fmt: skip
    # 7:20 less 12 h is 19:20 the evening before; 7:00 less 2 h is 5:00.
    assert (told["earliest"], told["latest"]) == ("19:20 (-1 d)", "05:00")


def test_eating_later_than_arriving_shifts_the_window(ask: Asked) -> None:
    told = ask.data(*EVENING, "--carry-water", "--eat", "19:00")
    assert (told["eat_early_min"], told["eat_late_min"]) == (1140, 1140)
    assert (told["earliest"], told["latest"]) == ("17:20", "17:45")


def test_over_midnight_the_band_goes_on(ask: Asked) -> None:
    told = ask.data("wet", "--arrive", "23:30-00:30", "--soak", "30", "--carry-water")
    assert (told["eat_early_min"], told["eat_late_min"]) == (1410, 1470)


def test_the_jar_of_foods_gives_the_same_soak_as_the_soak_command(ask: Asked) -> None:
    soak = ask.data("soak", "couscous", "tomato-powder", "--water-temp", "15")
    wet = ask.data(
        "wet", "--arrive", "18:00", "--jar", "couscous", "--jar", "tomato-powder",
        "--water-temp", "15", "--air", "15",
    )  # fmt: skip
    assert wet["soak_high_min"] == soak["plan_min"]
    assert wet["soak_low_min"] == max(food["low_min"] for food in soak["foods"])


OWN = (
    "stove-or-none", "--kit", "310g", "--fuel-a-day", "16g", "--jar", "60g",
    "--soak-water", "300 ml", "--soak-share", "37.5%", "--extra-food", "40g",
)  # fmt: skip


def test_stove_or_none_by_hand(ask: Asked) -> None:
    told = ask.data(*OWN, "--days", "5")
    # S + f n/2 = 310 + 40 = 350; J + W 3/8 + d (n + 1)/2 = 60 + 112.5 + 120 = 292.5.
    assert (told["stove_mean_g"], told["none_mean_g"]) == (350.0, 292.5)
    # Even at 310 + 8 n = 192.5 + 20 n: n = 9.79; even food (350 - 172.5)/3 = 59.2 g a day.
    assert told["even_days"] == pytest.approx(9.792, abs=0.001)
    assert told["stove_from_days"] == 10
    assert told["even_extra_g_per_day"] == pytest.approx(59.17, abs=0.01)
    # First morning: half a day's fuel is burnt: 310 + 4.5 x 16; nothing is eaten: 172.5 + 5 x 40.
    assert told["by_day"][0] == {"day": 1, "stove_g": 382.0, "none_g": 372.5}
    assert sum(day["none_g"] for day in told["by_day"]) / 5 == 292.5
    assert told["given"] == ["extra_g", "fuel_g", "jar_g", "kit_g", "soak_share", "soak_water_ml"]


def test_whole_canisters_by_hand(ask: Asked) -> None:
    words = (
        "stove-or-none", "--days", "6", "--burner", "75g", "--pot", "110g", "--rest", "25g",
        "--canister", "110g 100g", "--canister", "230g 145g", "--fuel-a-day", "16g",
        "--reserve", "15%",
    )  # fmt: skip
    steps = ask.data(*words)["canister_steps"]
    # 96 g, 110.4 g with the reserve: one of 230 g; 210 + 145 + 134 left + 48 on the mean day.
    assert steps["canisters"] == [{"net_g": 230, "count": 1}]
    assert (steps["tare_g"], steps["left_g"], steps["stove_mean_g"]) == (145, 134, 537)
    without = ask.data(*words[:-2], "--reserve", "10%")["canister_steps"]
    # 105.6 g go into one of 110 g: 210 + 100 + 14 + 48.
    assert without["stove_mean_g"] == 372


def test_a_bottle_has_no_steps(ask: Asked) -> None:
    assert ask.data("stove-or-none", "--kit", "310g")["canister_steps"] is None
    _, out, _ = ask("stove-or-none", "--kit", "310g")
    assert "Canisters" not in out


def test_the_turn_is_where_the_means_cross(ask: Asked) -> None:
    told = ask.data(*OWN)
    ahead = {row["days"]: row["stove_mean_g"] < row["none_mean_g"] for row in told["by_length"]}
    assert next(days for days, stove in ahead.items() if stove) == told["stove_from_days"] == 10


def test_extra_food_from_two_densities(ask: Asked) -> None:
    told = ask.data(
        "stove-or-none", "--energy", "3000", "--cooked", "4.4", "--cold", "4.2"
    )  # fmt: skip
    # 3000/4.2 - 3000/4.4 = 714.3 - 681.8 = 32.5 g.
    assert told["extra_food_g_per_day"] == pytest.approx(32.5, abs=0.05)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "no stove is the lighter on shorter stretches, the stove from 10 days on"),
        (("--extra-food", "-5g"), "No stove is the lighter for any length"),
        (("--kit", "150g"), "The stove is the lighter for any length"),
        (("--kit", "120g", "--fuel-a-day", "60g", "--extra-food", "10g"),
         "the stove is the lighter on shorter stretches, no stove on longer ones"),
    ],
)  # fmt: skip
def test_the_turn_is_said_in_words(ask: Asked, words: tuple[str, ...], said: str) -> None:
    code, out, _ = ask(*OWN, *words)
    assert code == 0
    assert said in " ".join(out.split())


def test_defaults_are_marked_as_such(ask: Asked) -> None:
    _, out, _ = ask("stove-or-none", "--kit", "295g")
    taken = [line for line in out.splitlines() if line.rstrip().endswith(("usual", "yours"))]
    assert len(taken) == 8
    assert next(line for line in taken if "yours" in line).split()[-3:] == ["295", "g", "yours"]


def test_no_water_soaking_on_the_way_is_allowed(ask: Asked) -> None:
    told = ask.data(*OWN, "--soak-water", "0")
    assert told["none_mean_g"] == 292.5 - 112.5


def test_the_whole_jar_stands_wet_as_long_as_its_slowest_food(ask: Asked) -> None:
    quick = ask.data("soak", "couscous", "--water-temp", "18", "--air", "18")
    assert "wet-hold" not in rules(quick, "caution", "error")
    both = ask.data("soak", "couscous", "bulgur", "--water-temp", "8", "--air", "18")
    assert "wet-hold" in rules(both, "caution")
