"""The QR code of a label: its plain text, and nothing to look up."""

from __future__ import annotations

import base64
import struct
import zlib
from typing import Final

import numpy as np
import zxingcpp
from numpy.typing import NDArray

from fellfare.mistake import Mistake
from fellfare.provision.label import BagLabel

#: Error correction M restores about 15 % of the code (ISO/IEC 18004).
LEVEL: Final = "M"
#: The standard asks for the best of eight masks; readers take any.  A fixed one makes
#: the code six times as fast.
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
    marked = {} if text.isascii() else {"eci": "utf-8"}
    try:
        code = zxingcpp.create_barcode(
            text, zxingcpp.BarcodeFormat.QRCode, ec_level=LEVEL, data_mask=MASK, **marked
        )
    except ValueError:
        raise Mistake(
            "code-too-long",
            "the label holds more text than a code can carry",
            "write it shorter, or print the code only where it has room (--code if-room), or never",
            f"label {label.number} of {label.count} ({label.title}, {label.dish[:40]})",
        ) from None
    light = np.asarray(code.to_image(scale=DOTS, add_quiet_zones=False)) > 0
    squares = len(light) // DOTS
    return _drawn(light, squares), squares


def _drawn(light: NDArray[np.bool_], squares: int) -> str:
    """A bitmap inside an SVG: typst takes pictures from a template's data as text only, and a
    bitmap is set in a third of the time of the same squares as paths."""
    data = base64.b64encode(_png(light)).decode("ascii")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'viewBox="0 0 {squares} {squares}"><image width="{squares}" height="{squares}" '
        f'image-rendering="optimizeSpeed" xlink:href="data:image/png;base64,{data}"/></svg>'
    )


def _png(light: NDArray[np.bool_]) -> bytes:
    """One bit a dot (PNG, ISO/IEC 15948)."""
    lines = np.packbits(light, axis=1)
    head = struct.pack(">IIBBBBB", len(light), len(light), 1, 0, 0, 0, 0)
    rows = np.insert(lines, 0, 0, axis=1).tobytes()  # each line says first: no filter
    parts = ((b"IHDR", head), (b"IDAT", zlib.compress(rows, 1)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        for kind, body in parts
    )
