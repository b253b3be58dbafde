"""Grammar-aware fuzzing: a few hundred cases of each kind here, 100 000 by ``bench/fuzz.py``."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from random import Random

import pytest
from tests.fuzz.grammar import GROWN
from tests.fuzz.reading import try_reading

CASES = {"amount": 1500, "pasted": 30, "recipe": 250, "trip": 80, "gpx": 300, "json-ld": 150}


@pytest.mark.parametrize("kind", GROWN)
def test_whatever_comes_is_read_or_told(kind: str, tmp_path: Path) -> None:
    told: Counter[str] = Counter()
    for number in range(CASES[kind]):
        text = GROWN[kind](Random(f"{kind} {number}"))
        told[try_reading(kind, text, tmp_path)] += 1
    assert told["read"] > 0, told  # the grammar still grows something right
    # pasted text and pages carry what is wrong line by line in their answer
    least = 1 if kind in ("pasted", "json-ld") else 4
    assert len(told) >= least, told
