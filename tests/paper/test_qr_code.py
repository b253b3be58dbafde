"""QR codes: module by module as another encoder makes them, and read by another program."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
import segno
from numpy.typing import NDArray

from fellfare.paper.qr import qr_modules

Codes = Callable[[NDArray[np.uint8]], list[str]]


@pytest.mark.parametrize("version", range(1, 41))
def test_every_version_is_the_code_of_an_independent_encoder(version: int) -> None:
    # segno pads text without the mark by one zero byte more than ISO/IEC 18004, 7.4.9 asks;
    # with the mark both fill up alike.
    text = longest_of(version)
    theirs = segno.make_qr(
        text, error="m", mask=0, version=version, encoding="utf-8", eci=True, boost_error=False
    )
    ours = qr_modules(text)
    assert ours is not None
    assert np.array_equal(ours, np.array([list(row) for row in theirs.matrix]))


def longest_of(version: int) -> str:
    """The longest text of ours that still lies in this version."""
    side = 4 * version + 17
    low, high = 2, 2330
    while low < high:
        middle = (low + high + 1) // 2
        made = qr_modules(sized(middle))
        if made is not None and len(made) <= side:
            low = middle
        else:
            high = middle - 1
    return sized(low)


def sized(count: int) -> str:
    """'½' (two bytes) and letters, ``count`` bytes in all."""
    return "½" + ("Oats 60 g, milk 20 g; " * 110)[: count - 2]


def drawn(modules: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """With the blank border of four squares, eight dots a square."""
    framed = np.pad(modules, 4)
    picture: NDArray[np.uint8] = np.kron(255 * (1 - framed), np.ones((8, 8))).astype(np.uint8)
    return picture


@pytest.mark.parametrize("text", ["A", "Day 3 dinner: oats", "1⅓ cups · Möhren", "x" * 2331])
def test_another_program_reads_the_text_back(text: str, codes_of: Codes) -> None:
    made = qr_modules(text)
    assert made is not None
    assert codes_of(drawn(made)) == [text]


def test_too_long_a_text_has_no_code() -> None:
    assert qr_modules("x" * 2332) is None
    assert qr_modules("½" + "x" * 2329) is None
    assert qr_modules("½" + "x" * 2328) is not None
