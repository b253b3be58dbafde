"""What is refused, with which code, and at which column."""

from __future__ import annotations

import pickle
from typing import cast

import pytest

from fellfare.measure import System, read_amount, read_leading_amount
from fellfare.measure.reading.cursor import MENDS
from fellfare.mistake import Mistake

REFUSED = [
    # nothing, or nothing that can be seen
    ("", "amount-empty", 1),
    ("   ", "amount-empty", 1),
    ("\t\u00a0", "amount-empty", 1),
    ("90\u200b g", "odd-character", 3),  # zero width space
    ("\u200e90 g", "odd-character", 1),  # left-to-right mark
    ("90 \u202eg", "odd-character", 4),  # right-to-left override
    ("90\u200d g", "odd-character", 3),  # zero width joiner
    ("90\x00 g", "odd-character", 3),
    ("90 g\n", "odd-character", 5),
    ("90 g\r\n1 cup", "odd-character", 5),
    ("\ufeff90 g", "odd-character", 1),  # byte order mark
    ("90 g\ud800", "odd-character", 5),  # half a surrogate pair
    ("9" * 201, "amount-too-long", 1),
    # numbers that are none
    ("1/0 cup", "division-by-zero", 1),
    ("1 1/0 cup", "division-by-zero", 3),
    ("0/0", "division-by-zero", 1),
    ("1 and 1/0 cup", "division-by-zero", 7),
    ("1/2/3 cup", "amount-not-understood", 4),
    ("½½ cup", "number-ambiguous", 1),
    ("½ ½ cup", "number-ambiguous", 1),
    ("1 7/4 cup", "number-ambiguous", 1),
    ("11/2 cups", "number-ambiguous", 1),
    ("21/4 tsp", "number-ambiguous", 1),
    ("1,000 g", "number-ambiguous", 1),
    ("12,500 ml", "number-ambiguous", 1),
    ("1,000,000 g", "number-ambiguous", 1),
    ("1.2.3 g", "number-ambiguous", 1),
    ("1.500 g", "number-ambiguous", 1),
    ("2.000 ml", "number-ambiguous", 1),
    ("1 000 g", "number-ambiguous", 1),
    ("1\u2009000 g", "number-ambiguous", 1),
    ("1 400 g", "number-ambiguous", 1),
    ("1 2 cups", "number-ambiguous", 1),
    ("1 1/2 oz packet", "number-ambiguous", 10),
    ("400 g cans", "number-ambiguous", 7),
    ("-3 g", "amount-negative", 1),
    ("\u22123 g", "amount-negative", 1),  # minus sign
    ("\u2013½ cup", "amount-negative", 1),
    ("0 g", "amount-zero", 1),
    ("0.0 g", "amount-zero", 1),
    ("0/5 cup", "amount-zero", 3),
    ("nan g", "amount-missing", 1),
    ("inf g", "amount-missing", 1),
    ("1e5 g", "unknown-unit", 2),
    ("0x10 g", "amount-zero", 1),
    ("٣ g", "amount-missing", 1),  # Arabic-Indic three
    ("９０ g", "amount-missing", 1),  # full-width figures
    ("1234567890 g", "amount-absurd", 1),
    ("0.1234567890 g", "amount-absurd", 1),
    ("1/9999999999 g", "amount-absurd", 3),
    ("1001 kg", "amount-absurd", 6),
    ("1001 l", "amount-absurd", 6),
    ("0.1 mg", "amount-absurd", 5),
    ("999999 cloves", "amount-absurd", 8),
    ("99999 x 900 kg", "amount-absurd", 1),
    ("999 kg + 999 kg", "amount-absurd", 10),
    # ranges
    ("3-2 cloves", "range-descends", 2),
    ("1 - 3/4 cup", "range-descends", 3),
    ("150 g to 100 g", "range-descends", 7),
    ("1-2-3 cloves", "amount-not-understood", 4),
    ("100 g to 1 cup", "amount-not-understood", 7),
    ("1 tsp - 15 ml", "amount-not-understood", 7),
    # units
    ("3 glorps", "unknown-unit", 3),
    ("3 sausages", "unknown-unit", 3),
    ("1 generous cup", "unknown-unit", 3),
    ("1 lightly packed cup", "unknown-unit", 3),
    ("2 cu", "unknown-unit", 3),
    ("2 C", "unit-doubtful", 3),
    ("5 gr", "unit-doubtful", 3),
    ("50 mcg", "unit-doubtful", 4),
    ("1 large cup", "amount-not-understood", 3),
    ("1 heaped g", "amount-not-understood", 3),
    ("a heaped pinch", "amount-not-understood", 3),
    ("scant 2 x 85 g packets", "amount-not-understood", 1),
    ("20%", "amount-not-understood", 3),
    ("65 °C", "amount-not-understood", 4),
    # words instead of an amount
    ("cup", "amount-missing", 1),
    ("g", "amount-missing", 1),
    ("some", "amount-missing", 1),
    ("a few sprigs", "amount-not-understood", 1),
    ("a little", "amount-not-understood", 1),
    ("a couple cloves", "amount-not-understood", 1),
    ("clove of garlic", "amount-missing", 1),
    # sums and brackets
    ("1 cup plus", "amount-not-understood", 7),
    ("1 cup plus 20 g", "not-summable", 12),
    ("1 clove + 1 slice", "not-summable", 11),
    ("1 heaped tbsp + 1 tsp", "not-summable", 17),
    ("2 cans (400 g)", "each-or-total", 8),
    ("2 (85 g)", "each-or-total", 3),
    ("1 g (1 g each)", "amount-not-understood", 10),
    ("1 (14 oz) can (3 oz each)", "amount-not-understood", 21),
    ("1 cup (70 g", "amount-not-understood", 12),
    ("1 cup 70 g)", "amount-not-understood", 7),
    ("1 cup ()", "amount-not-understood", 7),
    ("1 cup (chopped)", "amount-not-understood", 7),
    ("1 cup (2)", "amount-not-understood", 9),
    ("1 (1 (1 (1 (1 g", "amount-not-understood", 10),
    ("90 g of", "amount-not-understood", 6),
    ("90 g oats", "amount-not-understood", 6),
    ("90 g, 90 g", "amount-not-understood", 5),
    ("2 x", "unknown-unit", 3),
    ("2 x 3 cloves", "amount-not-understood", 3),
    ("(90 g)", "amount-missing", 1),
]


@pytest.mark.parametrize(("text", "code", "column"), REFUSED, ids=lambda v: ascii(v)[:40])
def test_it_is_refused(text: str, code: str, column: int) -> None:
    with pytest.raises(Mistake) as caught:
        read_amount(text)
    assert (caught.value.code, caught.value.where) == (code, f"column {column}")
    assert caught.value.mend


def test_there_are_refusals_enough() -> None:
    assert len(REFUSED) >= 60


@pytest.mark.parametrize("unit", ["pint", "fl oz", "quart", "gallon"])
def test_the_metric_set_asks_whose_pint(unit: str) -> None:
    with pytest.raises(Mistake, match="unit-not-in-system"):
        read_amount(f"1 {unit}", "metric")
    assert read_amount(f"1 imperial {unit}", "metric").volume_ml


def test_a_system_that_we_do_not_know_is_refused() -> None:
    with pytest.raises(Mistake, match="unknown-system"):
        read_amount("1 cup", cast(System, "roman"))


def test_an_endless_number_takes_no_time() -> None:
    # The length is looked at before anything else, so this returns at once.
    with pytest.raises(Mistake, match="amount-too-long"):
        read_amount("9" * 10_000_000)
    with pytest.raises(Mistake, match="amount-absurd"):
        read_amount("9" * 200)


def test_every_code_has_a_mend_and_is_tried_here() -> None:
    tried = {code for _, code, _ in REFUSED}
    tried |= {"unit-not-in-system", "unknown-system", "second-amount"}  # second: test_lines
    assert tried == set(MENDS)


def test_the_part_not_understood_is_shown() -> None:
    with pytest.raises(Mistake) as caught:
        read_amount("3 glorps of oil")
    assert "'glorps of oil'" in caught.value.what


def test_a_mend_for_a_comma_names_both_readings() -> None:
    with pytest.raises(Mistake) as caught:
        read_amount("1,250 g")
    assert caught.value.mend == "write '1250' for the one, '1.25' for the other"


def test_a_refusal_survives_the_way_home_from_another_process() -> None:
    with pytest.raises(Mistake) as caught:
        read_leading_amount("salt")
    again = pickle.loads(pickle.dumps(caught.value))
    assert str(again) == str(caught.value)
