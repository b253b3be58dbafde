"""The QR code of a label: its plain text, and nothing to look up."""

from __future__ import annotations

import io
from typing import Final

import segno

from fellfare.mistake import Mistake
from fellfare.provision.label import BagLabel

#: Error correction M restores about 15 % of the code (ISO/IEC 18004).
LEVEL: Final = "m"

#: The standard asks for the best of eight masks; readers take any.  A fixed one makes
#: the code four times as fast, and the same label always has the same code.
MASK: Final = 0


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
    out = io.BytesIO()
    code.save(
        out, kind="svg", border=0, xmldecl=False, omitsize=True, svgclass=None, lineclass=None
    )
    return out.getvalue().decode("utf-8"), len(code.matrix)
