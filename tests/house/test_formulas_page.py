"""The page of formulas is fit for a stranger: every row is whole, no scraps of code or names."""

from __future__ import annotations

import ast
import importlib
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs/formulas.md").read_text("utf-8")
BOOKS = (ROOT / "docs/bibliography.md").read_text("utf-8")


def rows(part: str) -> list[list[str]]:
    """Cells of the rows in a part of the page, heads left out."""
    found = [re.split(r"(?<!\\)\|", line)[1:-1] for line in part.split("\n") if line[:2] == "| "]
    return [[cell.strip() for cell in row] for row in found if row[0].strip() not in HEADS]


HEADS = {"what it gives", "rule", "where"}
FORMULAS = rows(PAGE.split("## Rules of safety")[0])
RULES = rows(PAGE.split("## Rules of safety")[1].split("\n## ")[0])
TABLES = rows(PAGE.split("## Tables, constants")[1])


def test_every_formula_has_its_equation_unit_range_source_place_and_check() -> None:
    assert len(FORMULAS) > 40
    for what, equation, holds, source, place in FORMULAS:
        assert re.search(r"\[[^\]]+\]", what), f"no unit: {what}"
        assert re.search(r"`[^`]*\w[^`]*`", equation), f"no equation: {what}"
        assert holds, what
        assert holds.count("(") == holds.count(")"), holds
        assert re.search(r"[A-Z][A-Z0-9]+-[A-Z0-9.-]+", source), f"no key: {what}"
        assert "tests/" in place, f"nothing checks it: {what}"


def test_sources_begin_with_the_first_author() -> None:
    # From the papers' own title pages, as the bibliography has them.
    for key, first in {
        "MIFFLIN-1990": "Mifflin et al. 1990",
        "MINETTI-2002": "Minetti et al. 2002",
        "PANDOLF-1977": "Pandolf et al. 1977",
        "LOONEY-2022": "Looney et al. 2022",
        "CAMPBELL-2022": "Campbell et al. 2022",
        "HENRY-2005": "Henry 2005",
        "NAISMITH-1892": "Naismith 1892",
        "ROZA-1984": "Roza & Shizgal 1984",
    }.items():
        assert f"{first} [{key}]" in PAGE
        assert f"| [{key}]" in BOOKS
    for tail in ("Jeor 1990", "Susta & Ferretti", "Daugherty & Koh", "December 2012"):
        assert tail not in PAGE


def test_every_key_of_the_page_stands_in_the_bibliography() -> None:
    keys = set(re.findall(r"\b[A-Z][A-Z0-9]+(?:-[A-Z0-9.]+)+\b", PAGE)) - {"ACTIVITIES"}
    known = set(re.findall(r"^\| \[([^\]]+)\]", BOOKS, re.M))
    assert {key for key in keys if f"[{key}]" in PAGE} - known == set()


def test_rules_are_told_in_words() -> None:
    assert "rule(" not in PAGE
    assert len(RULES) > 60
    for name, severity, what, source in RULES:
        assert re.fullmatch(r"`[a-z0-9-]+`", name)
        assert severity in ("error", "caution", "note")
        assert what.endswith("."), name
        assert source, name


def test_every_rule_of_the_registries_is_told() -> None:
    found = set()
    for path in (ROOT / "src/fellfare/safety").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "rule":
                found.add(str(ast.literal_eval(node.args[0])))
    assert {name.strip("`") for name, *_ in RULES} == found


@pytest.mark.parametrize(
    ("equation", "values", "expected"),
    [  # Worked examples from outside: Mifflin's men; Tobler's fastest; US Standard Atmosphere.
        ("walk/resting/mifflin.mifflin_kcal", {"W": 75, "H": 178, "A": 40, "male": True}, 1667.5),
        ("walk/pace/tobler.tobler_km_h", {"s": -0.05}, 6.0),
        ("walk/energy/acsm.acsm_ml_per_kg_min", {"v": 80, "i": 0.0}, 11.5),
        ("walk/pace/naismith.naismith_hours", {"km": 20, "up_m": 1000}, 5.6667),
    ],
)
def test_the_equation_as_printed_gives_the_worked_example(
    equation: str, values: dict[str, float], expected: float
) -> None:
    row = next(row for row in FORMULAS if f"`{equation}`" in row[4])
    printed = row[1].strip("`").replace("\\|", "|")
    numpy = importlib.import_module("numpy")
    got = eval(printed, {"exp": numpy.exp, "abs": abs}, dict(values))
    assert got == pytest.approx(expected, rel=1e-4)


def test_nothing_that_names_an_author_is_left_out_as_a_tail() -> None:
    for where, what, source in TABLES:
        assert source, where
        assert what, where
        assert not re.match(r"(?:January|December|Formulation|Atmosphere) ", source), where
