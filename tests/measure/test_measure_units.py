"""Every constant against a hand-worked table and against pint, exactly."""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path
from typing import cast

import pint
import pytest

from fellfare.measure import SYSTEMS, UNITS, System
from fellfare.measure.units import KILOCALORIE_KJ, KINDS, PACKS, SIZES

TABLE = Path(__file__).parents[1] / "reference" / "measure-units.csv"

#: pint 0.25 with exact fractions: an oracle that shares nothing with us.
PINT = pint.UnitRegistry(non_int_type=Fraction)

IN_PINT: list[tuple[str, System, str]] = [
    ("tsp", "us", "teaspoon"),
    ("tbsp", "us", "tablespoon"),
    ("fl-oz", "us", "fluid_ounce"),
    ("cup", "us", "cup"),
    ("pint", "us", "pint"),
    ("quart", "us", "quart"),
    ("gallon", "us", "gallon"),
    ("dry pint", "us", "dry_pint"),
    ("dry quart", "us", "dry_quart"),
    ("bushel", "us", "bushel"),
    ("fl-oz", "imperial", "imperial_fluid_ounce"),
    ("pint", "imperial", "imperial_pint"),
    ("quart", "imperial", "imperial_quart"),
    ("gallon", "imperial", "imperial_gallon"),
    ("oz", "us", "ounce"),
    ("lb", "us", "pound"),
    ("mg", "us", "milligram"),
    ("g", "us", "gram"),
    ("kg", "us", "kilogram"),
    ("ml", "us", "milliliter"),
    ("cl", "us", "centiliter"),
    ("dl", "us", "deciliter"),
    ("l", "us", "liter"),
]


def rows() -> list[tuple[str, System, str]]:
    with TABLE.open(encoding="utf-8") as file:
        table = csv.DictReader(line for line in file if not line.startswith("#"))
        return [(r["unit"], cast(System, r["system"]), r["size"]) for r in table]


@pytest.mark.parametrize(("unit", "system", "size"), rows())
def test_sizes_are_exactly_those_of_the_table(unit: str, system: System, size: str) -> None:
    assert UNITS[unit].size(system) == Fraction(size)  # exact: no tolerance


@pytest.mark.parametrize(("unit", "system", "name"), IN_PINT)
def test_sizes_are_exactly_those_of_pint(unit: str, system: System, name: str) -> None:
    base = "gram" if UNITS[unit].kind == "mass" else "milliliter"
    theirs = PINT.Quantity(Fraction(1), name).to(base).magnitude
    assert UNITS[unit].size(system) == theirs  # exact: no tolerance


def test_every_measured_unit_is_checked_somewhere() -> None:
    checked = {(unit, system) for unit, system, _ in rows()}
    checked |= {(unit, system) for unit, system, _ in IN_PINT}
    # Tied to checked ones by the three tests below.
    alike = {"mg", "g", "kg", "lb", "ml", "cl", "dl", "l", "dessertspoon"}
    alike |= {"dry pint", "dry quart", "bushel"}
    for name, unit in UNITS.items():
        for system in SYSTEMS:
            if unit.size(system) is not None and name not in alike and system != "australian":
                assert (name, system) in checked


def test_a_dessertspoon_is_two_teaspoons_everywhere() -> None:
    for system in SYSTEMS:
        assert SIZES[system]["dessertspoon"] == 2 * SIZES[system]["tsp"]


def test_australia_keeps_the_imperial_fluid_measures() -> None:
    for unit in ("fl-oz", "pint", "quart", "gallon", "oz"):
        assert SIZES["australian"][unit] == SIZES["imperial"][unit]


def test_some_units_do_not_depend_on_the_system() -> None:
    units = ["mg", "g", "kg", "ml", "cl", "dl", "l", "lb", "dry pint", "dry quart", "bushel"]
    for unit in units:
        assert len({SIZES[system][unit] for system in SYSTEMS}) == 1


def test_the_metric_set_has_no_pint() -> None:
    assert UNITS["pint"].size("metric") is None
    assert "pint" not in SIZES["metric"]


def test_label_and_customary_differ_by_the_known_shares() -> None:
    # 240/236.588 = +1.442 %, 28/28.3495 = -1.233 %, 20/14.787 = +35 %:
    # worked by hand from the two sets; half of the last figure.
    assert float(SIZES["us-label"]["cup"] / SIZES["us"]["cup"]) == pytest.approx(1.01442, abs=5e-6)
    assert float(SIZES["us-label"]["oz"] / SIZES["us"]["oz"]) == pytest.approx(0.98767, abs=5e-6)
    ratio = SIZES["australian"]["tbsp"] / SIZES["us"]["tbsp"]
    assert float(ratio) == pytest.approx(1.35, abs=0.005)


def test_a_kilocalorie_is_the_thermochemical_one() -> None:
    theirs = PINT.Quantity(Fraction(1), "kilocalorie").to("kilojoule").magnitude
    assert theirs == KILOCALORIE_KJ


def test_counted_and_unmeasured_units_have_no_size() -> None:
    for name, kind in KINDS.items():
        if kind in ("count", "unmeasured"):
            assert all(UNITS[name].size(system) is None for system in SYSTEMS)


def test_packs_are_counted_things() -> None:
    assert all(KINDS[name] == "count" for name in PACKS)
