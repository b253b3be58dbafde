"""The QR code of a label: its plain text, and nothing to look up."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

import segno

from fellfare.mistake import Mistake
from fellfare.provision.label import BagLabel

#: Error correction M restores about 15 % of the code (ISO/IEC 18004).
LEVEL: Final = "m"

#: The standard asks for the best of eight masks; readers take any.  A fixed one makes
#: the code four times as fast, and the same label always has the same code.
MASK: Final = 0

_DARK: Final = re.compile(b"\x01+")


def code_svg(label: BagLabel) -> tuple[str, int]:
    """The picture (SVG, no border) and how many squares it has along a side.

    Raises
    ------
    Mistake
        ``code-too-long``: more text than a QR code can hold (2 331 bytes at level M,
        ISO/IEC 18004, version 40).
    """
    text = label.payload.encode("utf-8", "replace").decode("utf-8")
    try:
        # Without the mark for UTF-8 (ECI 26) readers guess, and '·' or '½' come out as rubbish.
        code = segno.make_qr(
            text,
            error=LEVEL,
            mask=MASK,
            encoding="utf-8",
            eci=not text.isascii(),
            boost_error=False,
        )
    except segno.DataOverflowError:
        raise Mistake(
            "code-too-long",
            "the label holds more text than a code can carry",
            "write it shorter, or leave the code out",
            f"label {label.number} of {label.count} ({label.title}, {label.dish[:40]})",
        ) from None
    return _drawn(code.matrix), len(code.matrix)


def _drawn(rows: Sequence[Sequence[int]]) -> str:
    """Every run of dark squares as one stroke, a square wide."""
    strokes = "".join(
        f"M{run.start()} {line}.5h{run.end() - run.start()}"
        for line, row in enumerate(rows)
        for run in _DARK.finditer(bytes(row))
    )
    box = f"0 0 {len(rows)} {len(rows)}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}">'
        f'<path stroke="#000" d="{strokes}"/></svg>'
    )
