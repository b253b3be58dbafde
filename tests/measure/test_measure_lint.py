"""Slips that were published, each caught; and their right forms, each let pass.

The slips are those of printed ration tables, substitution lists and soaking
charts as described in the comments; the pages themselves are not reproduced.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fellfare.measure import read_amount
from fellfare.measure.lint import (
    check_beside,
    check_density,
    check_ratio,
    check_shares,
    check_soak_hours,
    check_text,
)
from fellfare.mistake import Finding, Mistake


def rules(findings: tuple[Finding, ...]) -> list[str]:
    return [finding.rule for finding in findings]


# -- a soak of 30 minutes in a column of hours (a rehydration chart, for meat and soy) --------


def test_thirty_hours_of_soaking_are_minutes() -> None:
    (finding,) = check_soak_hours(30, (0.25, 1), "textured soy")
    assert finding.rule == "hours-or-minutes"
    assert "30 minutes would fit" in finding.text
    assert finding.about == ("textured soy",)


def test_half_a_minute_of_soaking_is_half_an_hour() -> None:
    (finding,) = check_soak_hours(0.5 / 60, (0.25, 1))
    assert "0.5 hours would fit" in finding.text


@pytest.mark.parametrize("hours", [0.25, 0.5, 1, 2, 4, 1000])
def test_other_soaks_pass(hours: float) -> None:
    assert check_soak_hours(hours, (0.25, 1)) == ()  # 1000 h is odd, but no column slip


# -- '1 teaspoon (15 mL)' beside '1 teaspoon (5 mL)' (a list of substitutions) ------------------

LIST = """
Lemon juice: 1 teaspoon (5 mL) is 1/2 teaspoon (2.5 mL) of vinegar.
Mustard: 1 teaspoon (15 mL) prepared is 1/4 teaspoon (1 mL) of dry (if fresh).
"""


def test_a_teaspoon_of_fifteen_is_a_tablespoon() -> None:
    (finding,) = check_beside(read_amount("1 teaspoon (15 mL)"))
    assert finding.rule == "beside-mismatch"
    assert "Did it mean 1 tbsp?" in finding.text


def test_two_teaspoons_in_one_list() -> None:
    found = check_text(LIST)
    assert "two-conversions" in rules(found)
    (slip,) = [f for f in found if f.rule == "beside-mismatch" and "15" in f.text]
    assert slip.about == ("1 teaspoon (15 mL)",)


def test_a_bare_unit_in_front_of_the_brackets_is_one_of_it() -> None:
    found = check_text("a tsp (5 mL) here and a tsp (15 mL) there")
    assert rules(found) == ["beside-mismatch", "two-conversions"]
    assert check_text("per tsp (5 mL)") == ()


@pytest.mark.parametrize(
    "text",
    [
        "1 teaspoon (5 mL)",
        "1 tbsp (15 ml)",
        "1 tbsp (20 ml)",  # Australian
        "1 cup (240 ml)",
        "1 cup (250 ml)",
        "1 cup (284 ml)",  # imperial
        "1 oz (28 g)",
        "1 oz (30 g)",
        "1 lb (450 g)",
        "1 pint (500 ml)",
        "1 pint (568 ml)",
        "1/2 cup (70 g)",
        "1 cup (340 g)",  # honey
        "1 cup (8.9 g)",  # fresh dill, the lightest of SR28's cups that we know
        "2 cloves (6 g)",
        "1 heaped tsp (15 ml)",
        "to taste",
    ],
)
def test_usual_roundings_pass(text: str) -> None:
    assert check_beside(read_amount(text)) == ()


@pytest.mark.parametrize(
    "text", ["1 lb (1 kg)", "1 oz (100 g)", "1 cup (15 ml)", "1 cup (7 kg)", "1 cup (1 g)"]
)
def test_figures_that_cannot_both_be_true_are_caught(text: str) -> None:
    assert rules(check_beside(read_amount(text))) == ["beside-mismatch"]


def test_roundings_and_spoons_beside_them_are_one_conversion() -> None:
    # 1 oz is 28.349 523 125 g (NIST SP 811, App. B): 20 g are 0.7055 oz, 6 g are 0.2116 oz,
    # 106 g are 3.739 oz, 0.4 g are 0.0141 oz.
    text = "20 g (0.71 oz / 1 1/2 tbsp) a\n6 g (0.21 oz / 3/4 cup + 3 tbsp) b\n106 g (3.7 oz) c\n"
    assert check_text(text) == ()
    assert check_text("0.4 g (0.01 oz)") == ()
    assert rules(check_text("20 g (0.71 oz / 1 tbsp)\n20 g (0.53 oz / 1 tbsp)")) == [
        "beside-mismatch",
        "two-conversions",
    ]


def test_text_without_amounts_passes() -> None:
    assert check_text("Soak (covered) until soft (or longer). (") == ()
    assert check_text("") == ()
    assert check_text("1/0 cup (15 mL), \u200b1 cup (x") == ()


# -- ration factors in pounds read as per cent (a forum's planning project) ----------------------


def test_pounds_read_as_per_cent_sum_to_150() -> None:
    # Pounds per person-day of the eight groups of a 1.5 lb ration table.
    factors = [0.24, 0.27, 0.19, 0.32, 0.11, 0.10, 0.06, 0.21]
    (finding,) = check_shares([100 * factor for factor in factors])
    assert finding.rule == "shares-sum"
    assert "150 %" in finding.text


@pytest.mark.parametrize("shares", [[50, 35, 15], [33, 33, 33], [33.3, 33.3, 33.4], []])
def test_shares_of_a_whole_pass(shares: list[float]) -> None:
    assert check_shares(shares) == ()


# -- '12-15 lb for 5 days' in the room of 6 litres (a general article) --------------------------


def test_fifteen_pounds_do_not_fit_into_six_litres() -> None:
    # 15 lb = 6804 g, by hand; 1.13 kg/L.
    (finding,) = check_density(6804, 6000)
    assert finding.rule == "density-slip"
    assert "1.13 kg/L" in finding.text


def test_the_lower_end_of_that_slip_is_not_caught() -> None:
    # 12 lb = 5443 g in 6 L is 0.91 kg/L: as dense as a bag of rice, so it passes.
    assert check_density(5443, 6000) == ()


@pytest.mark.parametrize(("mass_g", "fits"), [(50, False), (200, True), (800, True), (1200, False)])
def test_a_litre_of_food(mass_g: float, fits: bool) -> None:
    assert (check_density(mass_g, 1000) == ()) == fits


# -- 'three to one': 3 tbsp fresh shown as 1 tsp dried (a list of kitchen hints) -------------------


def test_three_tablespoons_to_a_teaspoon_is_nine_to_one() -> None:
    (finding,) = check_ratio(3, read_amount("3 tbsp"), read_amount("1 tsp"), "fresh : dried herbs")
    assert finding.rule == "ratio-mismatch"
    assert "9 to 1, not 3 to 1" in finding.text


def test_a_tablespoon_to_a_teaspoon_is_three_to_one() -> None:
    assert check_ratio(3, read_amount("1 tbsp"), read_amount("1 tsp")) == ()
    assert check_ratio(4, read_amount("1 tbsp", "australian"), read_amount("1 tsp")) == ()


def test_what_cannot_be_compared_gives_no_finding() -> None:
    assert check_ratio(3, read_amount("1 tbsp"), read_amount("5 g")) == ()
    assert check_ratio(3, read_amount("3 cloves"), read_amount("1 clove")) == ()


# -- no figure, no verdict -------------------------------------------------------------------------


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -1.0])
def test_figures_that_are_none_are_refused(bad: float) -> None:
    checks: list[Callable[[], object]] = [
        lambda: check_shares([bad]),
        lambda: check_soak_hours(bad, (1, 2)),
        lambda: check_soak_hours(1, (1, bad)),
        lambda: check_density(bad, 1),
        lambda: check_density(1, bad),
        lambda: check_ratio(bad, read_amount("1 g"), read_amount("1 g")),
    ]
    for check in checks:
        with pytest.raises(Mistake, match="figure-out-of-range"):
            check()
    with pytest.raises(Mistake, match="figure-out-of-range"):
        check_density(1, 0)


def test_every_finding_has_a_source_and_says_where() -> None:
    found = (
        *check_text(LIST),
        *check_shares([150]),
        *check_density(2000, 1000),
        *check_soak_hours(30, (0.25, 1)),
        *check_ratio(3, read_amount("3 tbsp"), read_amount("1 tsp")),
    )
    assert len(found) >= 6
    assert all(f.source and f.about and f.severity == "caution" for f in found)
