"""The QR code of a label, against another library and against a reader of its own."""

from __future__ import annotations

import base64
import re
import struct
import zlib
from typing import Any

import numpy as np
import pytest
import segno
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from fellfare.paper.code import DOTS, MASK, code_svg
from fellfare.provision.label import BagLabel


def squares_of(svg: str) -> NDArray[np.bool_]:
    """True where the picture is dark, one value a square (PNG, ISO/IEC 15948)."""
    found = re.search(r"base64,([^\"]+)", svg)
    assert found is not None
    png = base64.b64decode(found[1])
    (side,) = struct.unpack(">I", png[16:20])
    at = png.index(b"IDAT")
    (long,) = struct.unpack(">I", png[at - 4 : at])
    lines = np.frombuffer(zlib.decompress(png[at + 4 : at + 4 + long]), np.uint8)
    light = np.unpackbits(lines.reshape(side, -1)[:, 1:], axis=1)[:, :side]
    dark: NDArray[np.bool_] = light[::DOTS, ::DOTS] == 0
    return dark


@pytest.mark.parametrize("dish", ["Couscous with lemon", "Grützwurst · ½ Tasse", "粥 каша"])
def test_squares_are_those_of_another_library(our: Any, dish: str) -> None:
    # segno 1.6.6, pure Python, the same level and mask (ISO/IEC 18004).
    label: BagLabel = our.label(dish=dish)
    svg, squares = code_svg(label)
    text = label.payload
    judge = segno.make_qr(
        text, error="m", mask=MASK, encoding="utf-8", eci=not text.isascii(), boost_error=False
    )
    assert squares == len(judge.matrix)
    assert (squares_of(svg) == np.array(judge.matrix, dtype=bool)).all()


@settings(max_examples=60, deadline=None)
@given(dish=st.text(min_size=1, max_size=200))
def test_whatever_is_written_has_a_code_always_the_same(our: Any, dish: str) -> None:
    label: BagLabel = our.label(dish=dish)
    svg, squares = code_svg(label)
    assert squares_of(svg).shape == (squares, squares)
    assert (svg, squares) == code_svg(label)
