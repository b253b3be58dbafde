"""What is printed can be read back, and is as near as it says."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.measure import SYSTEMS, System, print_mass, print_volume, read_amount
from fellfare.measure.printing import number_text

systems = st.sampled_from(SYSTEMS)
#: Spread over all sizes alike, from a crumb to a sack.
sizes = st.floats(math.log(1e-3), math.log(9e5)).map(math.exp)


@given(sizes, systems)
def test_a_printed_mass_reads_back_as_it_says(mass_g: float, system: System) -> None:
    printed = print_mass(mass_g, system)
    assert read_amount(printed.text, system).mass_g == printed.value  # exact
    # The error is reckoned exactly and rounded once to a float.
    assert printed.error == pytest.approx(float(printed.value / Fraction(mass_g) - 1), abs=1e-12)


@given(sizes, systems, st.sampled_from([None, True, False]), st.booleans())
def test_a_printed_volume_reads_back_as_it_says(
    volume_ml: float, system: System, spoons: bool | None, ascii_only: bool
) -> None:
    printed = print_volume(volume_ml, system, spoons=spoons, ascii_only=ascii_only)
    assert ascii_only <= printed.text.isascii()
    if printed.text == "a pinch":
        assert not printed.measurable
        return
    assert read_amount(printed.text, system).volume_ml == printed.value  # exact
    assert printed.error == pytest.approx(float(printed.value / Fraction(volume_ml) - 1), abs=1e-12)


@given(st.floats(10, 9e5), systems)
def test_a_mass_that_can_be_weighed_is_near(mass_g: float, system: System) -> None:
    # Half of the last figure shown: 0.5 g of 10 g, 0.05 oz of 1 oz, 0.005 oz of 10 g.
    assert abs(print_mass(mass_g, system).error) <= 0.0501


@given(st.floats(5, 9e5), systems)
def test_a_volume_that_a_spoon_holds_is_near(volume_ml: float, system: System) -> None:
    # Common practice, no source: a cook does not mind a tenth of a spoonful.
    assert abs(print_volume(volume_ml, system, spoons=True).error) <= 0.105


@given(st.floats(50, 9e5))
def test_millilitres_are_near(volume_ml: float) -> None:
    assert abs(print_volume(volume_ml).error) <= 0.05  # half of 5 ml of 50 ml


@given(sizes, systems)
def test_no_more_than_two_measures_are_dirtied(volume_ml: float, system: System) -> None:
    text = print_volume(volume_ml, system, spoons=True).text
    assert text.count("+") <= 1


@given(st.lists(sizes, min_size=2, max_size=6, unique=True), systems)
def test_more_never_prints_as_less_mass(masses: list[float], system: System) -> None:
    values = [print_mass(mass, system).value for mass in sorted(masses)]
    assert all(a <= b for a, b in pairwise(values))


@given(st.fractions(Fraction(1, 999), 999, max_denominator=999), st.booleans(), st.booleans())
def test_a_number_reads_back_exactly(value: Fraction, ascii_only: bool, decimal: bool) -> None:
    text = number_text(value, ascii_only=ascii_only, decimal=decimal)
    assert read_amount(f"{text} cups").low == value


@given(st.integers(1, 400), systems)
def test_printing_again_what_was_printed_changes_nothing(step: int, system: System) -> None:
    first = print_volume(step * 2.5, system, spoons=True)
    again = print_volume(first.value, system, spoons=True)
    assert again.value == first.value
