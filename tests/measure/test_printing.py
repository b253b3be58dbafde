"""What is printed, typed by hand as a cook would say it."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest

from fellfare.measure import (
    Printed,
    System,
    print_amount,
    print_distance,
    print_energy,
    print_height,
    print_mass,
    print_temperature,
    print_volume,
    read_amount,
)
from fellfare.mistake import Mistake


@pytest.mark.parametrize(
    ("mass_g", "system", "text"),
    [
        # grams: 1 g from 10 g up, 0.1 g below, as good kitchen scales show
        (90, "metric", "90 g"),
        (90.4, "metric", "90 g"),
        (90.5, "metric", "91 g"),
        (9.94, "metric", "9.9 g"),
        (9.96, "metric", "10 g"),
        (4.44, "metric", "4.4 g"),
        (0.3, "metric", "0.3 g"),
        (0.05, "metric", "50 mg"),
        (999.4, "metric", "999 g"),
        (999.6, "metric", "1 kg"),
        (1234, "metric", "1.23 kg"),
        (12345, "metric", "12.3 kg"),
        (250, "australian", "250 g"),
        # ounces: 0.1 oz up to a pound, then pounds and ounces
        (Fraction("28.349523125"), "us", "1 oz"),
        (90, "us", "3.2 oz"),
        (10, "us", "0.35 oz"),
        (1, "us", "0.04 oz"),
        (Fraction("453.59237"), "us", "1 lb"),
        (453, "us", "1 lb"),
        (450, "us", "15.9 oz"),
        (600, "us", "1 lb 5.2 oz"),
        (Fraction("907.18474"), "us", "2 lb"),
        (1000, "imperial", "2 lb 3.3 oz"),
        # the label ounce of 28 g does not go into a pound
        (28, "us-label", "1 oz"),
        (448, "us-label", "16 oz"),
        (600, "us-label", "21.4 oz"),
        (0, "metric", "0 g"),
        (0, "us", "0 oz"),
    ],
)
def test_masses(mass_g: Fraction | float, system: System, text: str) -> None:
    assert print_mass(mass_g, system).text == text


@pytest.mark.parametrize(
    ("volume_ml", "system", "text"),
    [
        (150, "metric", "150 ml"),
        (152, "metric", "150 ml"),
        (153, "metric", "155 ml"),
        (49.4, "metric", "49 ml"),
        (12.3, "metric", "12 ml"),
        (4.2, "metric", "4.2 ml"),
        (0.3, "metric", "0.3 ml"),
        (998, "metric", "1 l"),
        (1234, "metric", "1.23 l"),
        (12345, "metric", "12.3 l"),
        (4.93, "us", "1 tsp"),
        (7.4, "us", "1½ tsp"),
        (3.7, "us", "¾ tsp"),
        (2.46, "us", "½ tsp"),
        (1.23, "us", "¼ tsp"),
        (0.62, "us", "⅛ tsp"),
        (14.8, "us", "1 tbsp"),  # not 3 tsp
        (29.6, "us", "2 tbsp"),  # not 6 tsp
        (22.2, "us", "1½ tbsp"),
        (59.1, "us", "¼ cup"),  # not 4 tbsp, not 12 tsp
        (78.9, "us", "⅓ cup"),
        (118, "us", "½ cup"),
        (158, "us", "⅔ cup"),
        (177, "us", "¾ cup"),
        (237, "us", "1 cup"),
        (355, "us", "1½ cups"),
        (73.9, "us", "¼ cup + 1 tbsp"),
        (20, "us", "1 tbsp + 1 tsp"),
        (946.35, "us", "4 cups"),
        (3785.4, "us", "4 quarts"),
        (240, "us-label", "1 cup"),
        (20, "australian", "1 tbsp"),
        (15, "australian", "3 tsp"),
        (250, "australian", "1 cup"),
        (57, "imperial", "2 fl oz"),
        (284, "imperial", "10 fl oz"),
        (568, "imperial", "20 fl oz"),
        (1136.5, "imperial", "2 pints"),
        (0, "us", "0 tsp"),
        (0, "metric", "0 ml"),
    ],
)
def test_volumes(volume_ml: float, system: System, text: str) -> None:
    assert print_volume(volume_ml, system).text == text


def test_metric_spoons_on_request() -> None:
    assert print_volume(15, "metric", spoons=True).text == "1 tbsp"
    assert print_volume(250, "metric", spoons=True).text == "1 cup"
    assert print_volume(118, "us", spoons=False).text == "120 ml"


def test_plain_characters_on_request() -> None:
    assert print_volume(355, "us", ascii_only=True).text == "1 1/2 cups"
    assert print_volume(73.9, "us", ascii_only=True).text == "1/4 cup + 1 tbsp"
    assert print_volume(0.1, "us", ascii_only=True).note == "less than 1/8 tsp"


def test_a_pinch_says_that_nothing_measures_it_and_how_wrong_it_may_be() -> None:
    pinch = print_volume(0.2, "us")
    assert (pinch.text, pinch.measurable, pinch.note) == ("a pinch", False, "less than ⅛ tsp")
    assert pinch.value == Fraction("4.92892159375") / 16
    assert pinch.error == pytest.approx(0.54, abs=0.005)  # 0.308 / 0.2 - 1, by hand
    assert read_amount(pinch.text).volume_ml is None


@pytest.mark.parametrize(("mass_g", "system"), [(0.05, "metric"), (0.1, "us")])
def test_less_than_a_scale_shows_says_so(mass_g: float, system: System) -> None:
    assert not print_mass(mass_g, system).measurable
    assert print_mass(5, system).measurable


def test_the_error_is_signed_and_relative() -> None:
    assert print_mass(90.4).error == pytest.approx(-0.4 / 90.4)
    assert print_mass(90.6).error == pytest.approx(0.4 / 90.6)
    assert print_mass(90).error == 0
    assert print_volume(5, "us-label").error == 0


@pytest.mark.parametrize("door", [print_mass, print_volume])
@pytest.mark.parametrize("amount", [-1, float("nan"), float("inf"), float("-inf")])
def test_what_is_no_amount_is_not_printed(door: Callable[[Any], Printed], amount: float) -> None:
    with pytest.raises(Mistake, match="amount-not-printable"):
        door(amount)


@pytest.mark.parametrize(
    ("text", "again"),
    [
        ("3 heaping tablespoons", "3 heaped tbsp"),
        ("1.5 cups", "1½ cups"),
        ("1,5 dl", "1.5 dl"),
        ("1/2 cup (70 g)", "½ cup (70 g)"),
        ("two to three cloves", "2 to 3 cloves"),
        ("1 cup plus 1 tbsp", "1 1/16 cups"),
        ("2 x 85 g packets", "2 (85 g) packets"),
        ("2 x 85 g", "2 x 85 g"),
        ("1 can (14 oz / 400 g)", "1 can (14 oz (400 g) each)"),
        ("3 slices (20 g each)", "3 slices (20 g each)"),
        ("2 large eggs", "2 large pieces"),
        ("1 packed cup", "1 packed cup"),
        ("about 90 g", "about 90 g"),
        ("1 lb 4 oz", "1¼ lb"),
        ("to taste", "to taste"),
        ("2 pinches", "2 pinches"),
        ("2 cloves (6 g)", "2 cloves / 6 g"),
    ],
)
def test_an_amount_is_written_out_in_one_spelling(text: str, again: str) -> None:
    assert print_amount(read_amount(text)) == again


def test_an_odd_share_of_an_amount_can_still_be_written() -> None:
    amount = read_amount("1 cup").times(Fraction(123456, 7654321))
    again = read_amount(print_amount(amount))
    # Six significant figures: half of the last one is at most 5 in a million.
    assert float(again.low / amount.low) == pytest.approx(1, abs=5e-6)


@pytest.mark.parametrize(
    ("temperature_c", "system", "text"),
    [
        # Food Code pairs: 57 °C is 135 °F, 74 °C is 165 °F, 5 °C is 41 °F.
        (57.2, "us", "135 °F"),
        (73.9, "us-label", "165 °F"),
        (5, "us", "41 °F"),
        (-40, "us", "-40 °F"),
        (100, "us", "212 °F"),
        (57.2, "metric", "57 °C"),
        (-0.4, "metric", "0 °C"),
    ],
)
def test_temperatures(temperature_c: float, system: System, text: str) -> None:
    assert print_temperature(temperature_c, system) == text


def test_energies() -> None:
    assert print_energy(450) == "450 kcal"
    assert print_energy(100, kj=True) == "418 kJ"  # 418.4
    assert print_energy(0) == "0 kcal"


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -300.0])
def test_no_such_temperature_or_energy(bad: float) -> None:
    with pytest.raises(Mistake, match="temperature-not-printable"):
        print_temperature(bad)
    with pytest.raises(Mistake, match="energy-not-printable"):
        print_energy(bad)


@pytest.mark.parametrize(
    ("distance_m", "metric", "us"),
    [
        # NIST SP 811 B.8: 1 mile = 1.609 344 km exactly, 1 foot = 0.3048 m.
        (1609.344, "1.6 km", "1.0 mi"),
        (42_195, "42.2 km", "26.2 mi"),  # the marathon, as both say it
        (160_934.4, "160.9 km", "100.0 mi"),
        (304.8, "300 m", "1000 ft"),
        (0, "0 m", "0 ft"),
        (994, "990 m", "0.6 mi"),
        (996, "1.0 km", "0.6 mi"),
    ],
)
def test_distances(distance_m: float, metric: str, us: str) -> None:
    assert (print_distance(distance_m), print_distance(distance_m, "us")) == (metric, us)


@pytest.mark.parametrize(
    ("height_m", "metric", "us"),
    [
        # 4 000 ft is 1 219.2 m, exactly; the Dead Sea's shore lies below the sea.
        (1219.2, "1 219 m", "4 000 ft"),
        (304.8, "305 m", "1 000 ft"),
        (-430, "-430 m", "-1 411 ft"),
        (0.2, "0 m", "1 ft"),
    ],
)
def test_heights(height_m: float, metric: str, us: str) -> None:
    assert (print_height(height_m), print_height(height_m, "us-label")) == (metric, us)


def test_no_such_distance_or_height() -> None:
    for bad in (float("nan"), float("inf"), -1.0):
        with pytest.raises(Mistake, match="distance-not-printable"):
            print_distance(bad)
    with pytest.raises(Mistake, match="height-not-printable"):
        print_height(float("nan"))
