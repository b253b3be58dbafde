"""CSV lists by RFC 4180, without live formulas.

The independent reader is Python's csv module in its strict mode.  That a cell opening with
= + - @ or a tab can be run as a formula: OWASP, CSV Injection (from memory).
"""

from __future__ import annotations

import csv
import io
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.files.lists_csv import csv_text, foods_csv, sheet_lines_csv
from fellfare.files.shipped import shipped_pantry
from fellfare.recipe.document import Line, Recipe
from fellfare.recipe.sheet import make_sheet


def rows(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline=""), strict=True))


def table(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True))


# ------------------------------------------------------------------ RFC 4180


def test_lines_end_in_cr_lf_and_quotes_are_doubled() -> None:
    text = csv_text(("a", "b"), [('say "oats"', "x, y"), ("two\nlines", "")])
    assert text == 'a,b\r\n"say ""oats""","x, y"\r\n"two\nlines",\r\n'


@given(st.lists(st.lists(st.text(), min_size=3, max_size=3), max_size=6))
def test_every_text_comes_back_but_for_the_guard(cells: list[list[str]]) -> None:
    back = rows(csv_text(("a", "b", "c"), cells))
    assert len(back) == len(cells) + 1
    for written, read in zip(cells, back[1:], strict=True):
        for one, other in zip(written, read, strict=True):
            assert other.removeprefix("'") == one.replace("\x00", "").removeprefix("'")


def test_the_mark_at_the_beginning_is_asked_for() -> None:
    assert csv_text(("a",), [], bom=True).encode("utf-8") == b"\xef\xbb\xbfa\r\n"
    assert csv_text(("a",), []).encode("utf-8") == b"a\r\n"


# ------------------------------------------------------------------ formulas


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t=", " =", "\r", "\n+", "＝", "\x00="])
def test_no_text_is_live(sign: str) -> None:
    (cell,) = rows(csv_text(("a",), [(f"{sign}1+1",)]))[1]
    assert cell.startswith("'")


@given(st.text(max_size=12))
def test_no_text_opens_as_a_formula(text: str) -> None:
    (cell,) = rows(csv_text(("a",), [(text,)]))[1] or [""]
    assert not re.match(r"\s*[=+\-@]|[\t\r\n]", cell)


def test_figures_are_not_guarded() -> None:
    text = csv_text(("a", "b", "c", "d"), [(-5, -0.5, None, True)])
    assert rows(text)[1] == ["-5", "-0.5", "", "yes"]


# ------------------------------------------------------------------ lists


def test_the_lines_of_a_sheet_are_whole_and_unknown_is_empty() -> None:
    lines = (
        Line(food="bulgur", amount="80 g", bag="=pot", note="fine"),
        Line(food="salt", amount="to taste", optional=True),
        Line(food="sumac", amount="5 g"),
    )
    sheet = make_sheet(Recipe(title="Dish", serves=1, lines=lines), shipped_pantry())
    found = table(sheet_lines_csv(sheet, bom=True))
    assert [row["food"] for row in found] == ["bulgur", "salt", "sumac"]
    assert [row["mass_g"] for row in found] == ["80", "", "5"]
    assert float(found[0]["mass_oz"]) == pytest.approx(80 / 28.349523125, abs=5e-4)
    assert [row["optional"] for row in found] == ["no", "yes", "no"]
    assert found[0]["bag"] == "'=pot"
    assert found[2]["energy_kcal"] == ""  # nobody has told
    assert found[1]["energy_kcal"] == "0"  # salt has none, whatever its mass


def test_foods_keep_their_figures_and_their_gaps() -> None:
    foods = tuple(shipped_pantry())
    found = table(foods_csv(foods))
    assert len(found) == len(foods)
    for food, row in zip(foods, found, strict=True):
        assert row["food"] == food.id
        told = row["sodium_mg_per_100g"]
        known = food.per_100g.sodium_mg
        assert (told == "") == (known is None)
        if known is not None:
            assert float(told) == pytest.approx(known, abs=5e-4)
