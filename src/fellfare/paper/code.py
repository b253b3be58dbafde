"""The QR code of a label: its plain text, and nothing to look up."""

from __future__ import annotations

import base64
import struct
import zlib
from typing import Final

import numpy as np
import segno
from numpy.typing import NDArray

from fellfare.mistake import Mistake
from fellfare.provision.label import BagLabel

#: Error correction M restores about 15 % of the code (ISO/IEC 18004).
LEVEL: Final = "m"
#: The standard asks for the best of eight masks; readers take any.  A fixed one makes
#: the code four times as fast, and the same label always has the same code.
MASK: Final = 0
#: Dots along a square's side: enough that a reader which smooths pictures does no harm.
DOTS: Final = 4


def code_svg(label: BagLabel) -> tuple[str, int]:
    """The picture (SVG, no border) and how many squares it has along a side.

    Text outside ASCII is marked as UTF-8 (ECI 26): without the mark readers guess, and '·'
    or '½' come out as rubbish.

    Raises
    ------
    Mistake
        ``code-too-long``: more text than a QR code can hold (2 331 bytes at level M,
        ISO/IEC 18004, version 40).
    """
    text = label.payload.encode("utf-8", "replace").decode("utf-8")
    try:
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
    return _drawn(np.array(code.matrix, dtype=np.uint8)), len(code.matrix)


def _drawn(modules: NDArray[np.uint8]) -> str:
    """A bitmap inside an SVG: typst takes pictures from a template's data as text only, and a
    bitmap is set in a third of the time of the same squares as paths."""
    side = len(modules)
    data = base64.b64encode(_png(modules)).decode("ascii")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'viewBox="0 0 {side} {side}"><image width="{side}" height="{side}" '
        f'image-rendering="optimizeSpeed" xlink:href="data:image/png;base64,{data}"/></svg>'
    )


def _png(modules: NDArray[np.uint8]) -> bytes:
    """One bit a dot, :data:`DOTS` dots a square (PNG, ISO/IEC 15948)."""
    light = np.kron(1 - modules, np.ones((DOTS, DOTS), dtype=np.uint8))
    lines = np.packbits(light, axis=1)
    head = struct.pack(">IIBBBBB", len(light), len(light), 1, 0, 0, 0, 0)
    rows = b"".join(b"\0" + line.tobytes() for line in lines)
    parts = ((b"IHDR", head), (b"IDAT", zlib.compress(rows, 6)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        for kind, body in parts
    )
