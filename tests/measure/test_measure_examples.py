"""The examples in the docstrings of the measure room are run."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest

import fellfare.measure

MODULES = [
    module.name for module in pkgutil.walk_packages(fellfare.measure.__path__, "fellfare.measure.")
]


@pytest.mark.parametrize("name", MODULES)
def test_examples_are_true(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_there_are_examples() -> None:
    modules = [importlib.import_module(name) for name in MODULES]
    assert sum(doctest.testmod(module).attempted for module in modules) >= 12
