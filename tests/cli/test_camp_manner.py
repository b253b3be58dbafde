"""``fellfare camp``: keys that stay, eighty columns, one clear refusal, laws of the readers."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import suppress
from typing import Any, Final

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.cli.asking_camp import Asked

from fellfare.cli.camp import QUESTIONS
from fellfare.cli.camp.burning import read_fuel, read_pot
from fellfare.cli.camp.reading import (
    read_altitude_m,
    read_clock_band,
    read_clock_min,
    read_mass_difference_g,
    read_mass_g,
    read_named_band,
    read_share,
    read_temperature_c,
    read_water_ml,
)
from fellfare.cli.layout import WIDTH, shown_width
from fellfare.mistake import Mistake

FUEL: Final = ("fuel", "--water", "2L", "--from", "3", "--altitude", "1800")
BOILED: Final = ("calibrate", "--water", "500ml", "--from", "15")

#: (words, exit status): every question, with much in it.
ASKED: Final = (
    (("boil", "-400"), 0),
    (("boil", "4200", "--cook", "45 min", "--weather", "-20"), 0),
    ((*FUEL, "--boils", "3", "--days", "120", "--snow", "50%", "--have", "90kg"), 0),
    ((*FUEL, "--fuel", "alcohol", "--pot", "titanium 95g", "--simmer", "8", "--food", "4oz"), 0),
    ((*FUEL, "--fuel", "wood 15%", "--stove", "open-fire", "--have", "10g"), 1),
    (("fuel", "--water", "2L", "--from", "3", "--have", "5g"), 1),
    (("soak", "90 g bulgur", "30g instant rice", "peas-freeze-dried-no", "--water-temp", "8"), 2),
    (("soak", "90 g bulgur", "1 cup couscous", "green-peas-freeze-dried", "--water-temp", "18"), 0),
    (("soak", "black-beans-dry", "rice noodles", "tomato-powder", "--water-temp", "0"), 1),
    (("soak", "couscous", "--way", "hot-pour", "--altitude", "9500ft"), 0),
    (("soak-test", "bulgur", "--water-temp", "11", "--not-yet", "45", "--done", "52"), 0),
    (("soak-test", "chickpeas-dry", "--water-temp", "11", "--done", "5"), 1),
    (("gas", "--fuel", "gas-butane", "--coldest", "-2", "--altitude", "0"), 0),
    (("gas", "--fuel", "butane", "--coldest", "-20", "--altitude", "0"), 1),
    (("gas", "--altitude", "2900"), 0),
    (("wet", "--arrive", "17:30-18:30", "--soak", "40-60", "--water-at", "spring 14:40-15:10",
      "--water-at", "a ford with a name that goes on and on 16:20-16:50"), 0),
    (("wet", "--arrive", "18:00", "--jar", "bulgur", "--water-temp", "8"), 1),
    (("stove-or-none", "--days", "200"), 0),
    (("stove-or-none", "--days", "12", "--extra-food", "60g", "--canister", "230g 148g"), 0),
    (("stove-or-none", "--days", "1", "--kit", "0", "--extra-food", "-300g"), 0),
    ((*BOILED, "--used", "7.5g", "--pot", "120 g steel", "--altitude", "6000 ft"), 0),
)  # fmt: skip


@pytest.mark.parametrize(("words", "status"), ASKED)
def test_text_keeps_to_eighty_columns_and_json_says_the_same(
    ask: Asked, words: tuple[str, ...], status: int
) -> None:
    code, out, err = ask(*words)
    assert code == status
    if status == 2:
        assert out == ""
        return
    for line in (out + err).splitlines():
        assert shown_width(line) <= WIDTH
        assert line == line.rstrip()
    code, out_json, err_json = ask(*words, "--json")
    assert (code, err_json) == (status, "")
    findings = json.loads(out_json)["findings"]
    assert findings, "a standing note belongs to every question"
    for finding in findings:
        assert finding["source"]
        told = err if f"[{finding['rule']}]" in err else out
        assert " ".join(finding["text"].split()[:4]) in " ".join(told.split())
    assert ("error" in {finding["severity"] for finding in findings}) == (status == 1)
    assert ("ERROR:" in err) == (status == 1)
    assert "How well this is known" in out


#: Keys whose value has no unit: shares, factors, counts, words.
UNITLESS: Final = frozenset(
    "factor efficiency efficiency_low efficiency_high stove_from_days days day boils_per_day "
    "count calm breeze strong".split()
)
UNITS: Final = tuple("_c _f _hpa _m _ml _g _min _kj _share _ml_per_g _g_per_day _days".split())


def numbers(value: Any, key: str = "") -> Iterator[tuple[str, float]]:
    if isinstance(value, dict):
        for name, one in value.items():
            yield from numbers(one, key if key == "mix_mass_share" else name)
    elif isinstance(value, list):
        for one in value:
            yield from numbers(one, key)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield key, value


@pytest.mark.parametrize(("words", "status"), [one for one in ASKED if one[1] != 2])
def test_every_number_in_the_json_has_its_unit_in_its_key(
    ask: Asked, words: tuple[str, ...], status: int
) -> None:
    _, out, _ = ask(*words, "--json")
    bare = {"minutes", "pressure_share_of_sea_level", "melt_share_of_heat"}
    for key, _ in numbers(json.loads(out)):
        assert key in UNITLESS | bare or key.endswith(UNITS)


#: Keys that others may lean on; more may come, none may go.
KEYS: Final = {
    "boil": "altitude_m boils_c boils_f low_c high_c band_hpa pressure_hpa cooking "
    "treat_water_boil_min trust source findings",
    "fuel": "water_ml start_c altitude_m boils_c fuel stove pot boils_per_day days reserve_share "
    "heat floor_g wind snow findings",
    "soak": "way water_c boils_c slowest minutes plan_min water_ml water_unknown foods findings",
    "soak-test": "food way water_c minutes low_min high_min pantry_min factor uptake_ml_per_g "
    "by_water tested trust source findings",
    "gas": "fuel mix_mass_share altitude_m pressure_hpa coldest_c full_c last_third_c "
    "last_grams_c caution_below_c limits trust source findings",
    "wet": "outcome reason earliest_min latest_min earliest latest wait_min wet_at carry_from text "
    "eat_early_min eat_late_min soak_low_min soak_high_min soak_source hold_min hold_source "
    "meal_min air_c findings",
    "stove-or-none": "days lighter stove_mean_g none_mean_g even_days stove_from_days "
    "even_extra_g_per_day by_day by_length stove_kit_g fuel_g_per_day jar_g soak_water_ml "
    "soak_share extra_food_g_per_day given trust source findings",
    "calibrate": "fuel used_g water_ml start_c to_c boils_c efficiency efficiency_low "
    "efficiency_high litre_g litre_low_g litre_high_g trust source findings",
}


@pytest.mark.parametrize("question", list(QUESTIONS))
def test_keys_stay(ask: Asked, question: str) -> None:
    words = next(words for words, status in ASKED if words[0] == question and status != 2)
    _, out, _ = ask(*words, "--json")
    assert set(json.loads(out)) >= set(KEYS[question].split())


@pytest.mark.parametrize("question", list(QUESTIONS))
def test_every_question_explains_itself(ask: Asked, question: str) -> None:
    code, out, _ = ask(question, "--help")
    assert code == 0
    assert "--json" in out
    assert max(map(shown_width, out.splitlines())) <= WIDTH


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("boil", "nan"), "altitude-unclear"),
        (("boil", "inf"), "altitude-unclear"),
        (("boil", ""), "altitude-unclear"),
        (("boil", "4.200"), "altitude-unclear"),
        (("boil", "4200x"), "altitude-unclear"),
        (("boil", "12 34"), "altitude-unclear"),
        (("boil", "9" * 400), "altitude-unclear"),
        (("boil", "42000"), "altitude-out-of-range"),
        (("boil", "30000 ft"), "altitude-out-of-range"),
        (("boil", "2000", "--cook", "3 days"), "time-unclear"),
        (("boil", "2000", "--cook", "-5"), "minutes-out-of-range"),
        (("boil", "2000", "--weather", "990"), "weather-out-of-range"),
        ((*FUEL, "--water", "-2 l"), "amount-negative"),
        ((*FUEL, "--water", "0 l"), "amount-zero"),
        ((*FUEL, "--water", "2"), "amount-of-water-unclear"),
        ((*FUEL, "--water", "1-2 l"), "amount-unclear"),
        ((*FUEL, "--from", "46"), None),
        ((*FUEL, "--from", "460"), "temperature-out-of-range"),
        ((*FUEL, "--from", "-3"), "heat-input-out-of-range"),
        ((*FUEL, "--from", "98"), "temperatures-reversed"),
        ((*FUEL, "--fuel", "butan"), "unknown-fuel"),
        ((*FUEL, "--fuel", "isobutane 80, propan 20"), "gas-mix-unclear"),
        ((*FUEL, "--fuel", "isobutane 80"), "gas-mix-unclear"),
        ((*FUEL, "--fuel", "isobutane 50, isobutane 50"), "gas-mix-unclear"),
        ((*FUEL, "--fuel", "spirit 30%"), "spirit-out-of-range"),
        ((*FUEL, "--fuel", "wood 90%"), "wood-moisture-out-of-range"),
        ((*FUEL, "--stove", "spirit"), "stove-burns-other-fuel"),
        ((*FUEL, "--stove", "gas-screned"), "unknown-stove"),
        ((*FUEL, "--stove", "gas-open", "--efficiency", "50%"), "stove-and-efficiency"),
        ((*FUEL, "--efficiency", "50"), "share-unclear"),
        ((*FUEL, "--efficiency", "0"), "efficiency-out-of-range"),
        ((*FUEL, "--pot", "120g"), "pot-unclear"),
        ((*FUEL, "--pot", "copper 120g"), "pot-unclear"),
        ((*FUEL, "--snow", "120%"), "heat-input-out-of-range"),
        ((*FUEL, "--snow-temp", "5"), "heat-input-out-of-range"),
        ((*FUEL, "--reserve", "500%"), "reserve-out-of-range"),
        ((*FUEL, "--have", "-5g"), "amount-negative"),
        (("soak", "bulgur"), "water-temperature-missing"),
        (("soak", "bulgr", "--water-temp", "8"), "unknown-food"),
        (("soak", "90 g", "--water-temp", "8"), "food-missing"),
        (("soak", "bulgur", "--water-temp", "-3"), "water-too-cold"),
        (("soak", "bulgur", "--way", "hot-pour", "--water-temp", "40"), "pour-too-cold"),
        (("soak", "bulgur", "--way", "hot-pour", "--water-temp", "99", "--altitude", "3000"),
         "water-too-hot"),
        (("gas", "--altitude", "0", "--fuel", "wood"), "fuel-is-no-gas"),
        (("gas", "--altitude", "0", "--coldest", "60"), "gas-temperature-out-of-range"),
        (("wet", "--soak", "30"), "eating-time-missing"),
        (("wet", "--eat", "7", "--soak", "30"), "time-of-day-unclear"),
        (("wet", "--eat", "25:00", "--soak", "30"), "time-of-day-unclear"),
        (("wet", "--eat", "0:30pm", "--soak", "30"), "time-of-day-unclear"),
        (("wet", "--arrive", "18:30-17:30", "--soak", "30"), "band-of-times-unclear"),
        (("wet", "--eat", "18:00"), "soak-missing"),
        (("wet", "--eat", "18:00", "--soak", "9", "--jar", "bulgur"), "soak-missing"),
        (("wet", "--eat", "18:00", "--soak", "75-40"), "band-of-minutes-unclear"),
        (("wet", "--eat", "18:00", "--jar", "bulgur"), "water-temperature-missing"),
        (("wet", "--eat", "18:00", "--jar", "udon", "--water-temp", "9"), "soak-unknown"),
        (("wet", "--eat", "18:00", "--soak", "9", "--hold", "0"), "hold-limit-unclear"),
        (("wet", "--eat", "18:00", "--soak", "9", "--water-at", "spring"), "water-point-unclear"),
        (("stove-or-none", "--kit", "heavy"), "amount-missing"),
        (("stove-or-none", "--kit", "300g", "--burner", "80g"), "stove-kit-twice"),
        (("stove-or-none", "--canister", "230g"), "canister-unclear"),
        (("stove-or-none", "--canister", "0g 90g"), "canister-size-out-of-range"),
        (("stove-or-none", "--fuel-morning", "150%"), "stove-or-stoveless-unclear"),
        (("stove-or-none", "--energy", "3000"), "extra-food-unclear"),
        (("stove-or-none", "--energy", "nan", "--cooked", "4", "--cold", "4"),
         "energy-density-out-of-range"),
        ((*BOILED,), "fuel-mass-missing"),
        ((*BOILED, "--used", "5g", "--before", "9g"), "fuel-mass-missing"),
        ((*BOILED, "--before", "300g", "--after", "310g"), "fuel-mass-out-of-range"),
        ((*BOILED, "--used", "1g"), "scale-too-coarse"),
        ((*BOILED, "--used", "2g"), "efficiency-impossible"),
        ((*FUEL, "--efficiency", "110%"), "efficiency-impossible"),
        ((*BOILED, "--used", "9g", "--altitude", "3000", "--to", "99"), "water-too-hot"),
    ],
)  # fmt: skip
def test_bad_input_is_one_clear_refusal(
    ask: Asked, words: tuple[str, ...], code: str | None
) -> None:
    status, out, err = ask(*words)
    if code is None:
        assert status == 0
        return
    assert (status, out) == (2, "")
    assert err.count("mend: ") == 1
    assert f"[{code}]" in err
    assert "Traceback" not in err


def test_an_unknown_fuel_is_met_with_a_suggestion(ask: Asked) -> None:
    _, _, err = ask(*FUEL, "--fuel", "isobutan")
    assert "did you mean isobutane" in err
    _, _, err = ask(*FUEL, "--fuel", "plutonium")
    assert "white-gas" in err


@pytest.mark.parametrize("words", [(), ("boil",), ("boill", "4200"), ("fuel", "--watr", "2 l")])
def test_slips_of_the_command_itself_have_status_two(ask: Asked, words: tuple[str, ...]) -> None:
    status, _, err = ask(*words)
    assert status == 2
    assert err


heights = st.integers(-430, 9000)


@given(heights)
def test_a_height_reads_alike_however_it_is_written(metres: int) -> None:
    ways = [
        str(metres),
        f"{metres}m",
        f"{metres} m",
        f"{metres:,} m",
        f"{metres:,}".replace(",", " "),
    ]
    assert {read_altitude_m(way) for way in ways} == {float(metres)}


@given(st.integers(-1400, 29000))
def test_feet_are_exact(feet: int) -> None:
    # International foot: 0.3048 m exactly (NIST SP 811).
    assert read_altitude_m(f"{feet:,} ft") == pytest.approx(feet * 0.3048, abs=1e-9)


@given(st.integers(-100, 200))
def test_fahrenheit_is_exact(f: int) -> None:
    # NIST SP 811 B.8: t/C = (t/F - 32)/1.8.
    assert read_temperature_c(f"{f}°F") == pytest.approx((f - 32) / 1.8, abs=1e-9)
    assert read_temperature_c(f"{f} F") == read_temperature_c(f"{f}°F")


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text: str) -> None:
    for reader in (
        read_altitude_m, read_temperature_c, read_share, read_water_ml, read_mass_g,
        read_mass_difference_g, read_clock_min, read_clock_band, read_named_band, read_fuel,
        read_pot,
    ):  # fmt: skip
        with suppress(Mistake):
            reader(text)


@given(st.integers(0, 1439), st.integers(0, 720))
def test_a_band_of_times_is_read_back(early: int, long: int) -> None:
    late = early + long
    said = [f"{t // 60 % 24}:{t % 60:02d}" for t in (early, late)]
    span = read_clock_band("-".join(said))
    assert (span.early, span.late) == (early, late)


@pytest.mark.parametrize(
    ("text", "ml"),
    # A US cup is 236.588 236 5 mL (NIST HB 44); a gram of water is taken as a millilitre.
    [("2L", 2000), ("500 ml", 500), ("2 cups", 473.176473), ("300 g", 300), ("1/2 l", 500)],
)
def test_water_is_read_in_the_measures_of_the_kitchen(text: str, ml: float) -> None:
    assert read_water_ml(text) == pytest.approx(ml)


@pytest.mark.parametrize(
    ("text", "g"), [("0", 0), ("0 g", 0), ("120", 120), ("4oz", 113.398), ("1 kg", 1000)]
)
def test_masses(text: str, g: float) -> None:
    assert read_mass_g(text) == pytest.approx(g, abs=0.001)
    assert read_mass_difference_g(f"-{text}") == pytest.approx(-g, abs=0.001)


@pytest.mark.parametrize(
    ("text", "fuel_id"),
    [("white gas", "white-gas"), ("alcohol", "denatured-spirit"), ("spirit 90% vol", "spirit-90"),
     ("ethanol 95", "ethanol-95"), ("Isobutane", "isobutane"), ("80 isobutane + 20 propane",
     "gas-mix"), ("70% butane / 30% propane", "gas-mix"), ("wood", "wood-20"),
     ("wood 15 %", "wood-15")],
)  # fmt: skip
def test_fuels_by_their_everyday_names(text: str, fuel_id: str) -> None:
    assert read_fuel(text).id == fuel_id


@pytest.mark.parametrize(
    "text", ["aluminium 120g", "120 g aluminum", "Aluminum 120", "120g  ALUMINIUM"]
)
def test_pots_either_way_round(text: str) -> None:
    pot = read_pot(text)
    assert (pot.material, pot.mass_g) == ("aluminium", 120.0)


def test_names_of_water_points_may_hold_numbers() -> None:
    name, span = read_named_band("camp 2 14:40 - 15:10")
    assert (name, span.early, span.late) == ("camp 2", 880.0, 910.0)
