"""The room's own door: names, laziness, and the examples in the docstrings."""

from __future__ import annotations

import doctest
import pkgutil
import subprocess
import sys
from importlib import import_module

import pytest

import fellfare.camp as camp

MODULES = sorted(
    module.name for module in pkgutil.walk_packages(camp.__path__, prefix="fellfare.camp.")
)


@pytest.mark.parametrize("name", camp.__all__)
def test_every_public_name_is_there_and_documented(name: str) -> None:
    found = getattr(camp, name)
    assert found is not None
    if callable(found) and not name.isupper() and isinstance(found, type | type(lambda: 0)):
        assert found.__doc__


def test_the_lazy_list_is_the_public_list() -> None:
    assert sorted(camp._HOME) == sorted(camp.__all__)
    assert set(camp.__all__) <= set(dir(camp))


def test_other_names_are_missing() -> None:
    with pytest.raises(AttributeError):
        camp.__getattr__("campfire_song")


def test_asking_for_the_boiling_point_loads_no_kitchen() -> None:
    code = (
        "import sys; from fellfare.camp import boil_at; boil_at(3000);"
        "print('fellfare.camp.kitchen' in sys.modules, 'numpy' in sys.modules)"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.split() == ["False", "False"]


@pytest.mark.parametrize("name", MODULES)
def test_examples_in_the_docstrings_hold(name: str) -> None:
    module = import_module(name)
    told = doctest.testmod(module)
    assert told.failed == 0
