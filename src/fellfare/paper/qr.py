"""A QR code of a text, quickly: a plan has hundreds of labels, each with its own.

Model 2, byte mode, error correction level M, mask 0, versions 1 to 40, after ISO/IEC
18004:2015 (from memory; compared module by module with an independent encoder in the tests,
and decoded by another program).  The standard asks for the best of eight masks; readers take
any, and with a fixed one the same text always has the same code.  What does not depend on
the text is made once for each version.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

Bits: TypeAlias = NDArray[np.uint8]
Places: TypeAlias = NDArray[np.intp]

#: Level M, versions 1 to 40: check codewords of each block, and number of blocks (ISO/IEC
#: 18004:2015, table 9).
_CHECKS: Final = (
    10, 16, 26, 18, 24, 16, 18, 22, 22, 26, 30, 22, 22, 24, 24, 28, 28, 26, 26, 26,
    26, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28,
)  # fmt: skip
_BLOCKS: Final = (
    1, 1, 1, 2, 2, 4, 4, 4, 5, 5, 5, 8, 9, 9, 10, 10, 11, 13, 14, 16,
    17, 17, 18, 20, 21, 23, 25, 26, 28, 29, 31, 33, 35, 37, 38, 40, 43, 45, 47, 49,
)  # fmt: skip
#: Format bits of level M and mask 0, masked as the standard says (annex C), first bit first.
_FORMAT: Final = tuple(int(bit) for bit in "101010000010010")
#: Generator of the 18 version bits (annex D), and of the field of 256 (x^8+x^4+x^3+x^2+1).
_VERSION_POLY: Final = 0x1F25
_FIELD_POLY: Final = 0x11D
#: 'UTF-8 follows' (ECI 26) and 'bytes follow'.
_ECI_UTF8: Final = (0b0111, 4, 26, 8)
_BYTES: Final = 0b0100


def qr_modules(text: str) -> Bits | None:
    """Dark (1) and light (0) squares, row by row, without the blank border.

    None when the text is too long for any code (2 331 bytes, 2 330 with the mark for UTF-8).
    """
    data = text.encode("utf-8")
    for version in range(1, 41):
        codewords = _codewords(data, version, marked=not text.isascii())
        if codewords is not None:
            return _placed(codewords, version)
    return None


def _codewords(data: bytes, version: int, *, marked: bool) -> bytes | None:
    """The text as data codewords, filled up; None when it has no room."""
    room = 8 * _data_count(version)
    fields = [(_BYTES, 4), (len(data), 8 if version < 10 else 16)]
    if marked:
        fields = [_ECI_UTF8[:2], _ECI_UTF8[2:], *fields]
    head, many = 0, 0
    for value, width in fields:
        head, many = head << width | value, many + width
    if many + 8 * len(data) > room:
        return None
    number = (head << 8 * len(data)) | int.from_bytes(data, "big")
    used = many + 8 * len(data)
    ends = min(4, room - used)  # the terminator, as far as it has room
    ends += -(used + ends) % 8
    number, used = number << ends, used + ends
    spare = (room - used) // 8
    return number.to_bytes(used // 8, "big") + (b"\xec\x11" * (spare // 2 + 1))[:spare]


def _total_count(version: int) -> int:
    return len(_frame(version)[1]) // 8


def _data_count(version: int) -> int:
    return _total_count(version) - _CHECKS[version - 1] * _BLOCKS[version - 1]


@lru_cache(maxsize=1)
def _field() -> tuple[Places, NDArray[np.uint8]]:
    """Logarithms and powers of 2 in the field of 256."""
    power = np.zeros(510, dtype=np.uint8)
    log = np.zeros(256, dtype=np.intp)
    value = 1
    for exponent in range(255):
        power[exponent] = power[exponent + 255] = value
        log[value] = exponent
        value <<= 1
        value ^= _FIELD_POLY if value & 0x100 else 0
    return log, power


@lru_cache(maxsize=64)
def _check_logs(data: int, checks: int) -> Places:
    """Logarithm of what each data codeword adds to each check codeword (data x checks)."""
    log, power = _field()
    poly = [1]
    for root in range(checks):
        factor = int(power[root])
        grown = [*poly, 0]
        for at, term in enumerate(poly):
            if term:
                grown[at + 1] ^= int(power[log[term] + log[factor]])
        poly = grown
    rows = np.zeros((data, checks), dtype=np.uint8)
    now = [0] * checks
    now[0] = 1  # x^(checks-1): one step below the first
    for at in range(data - 1, -1, -1):  # x^(n) mod poly, step by step
        first = now[0]
        now = [*now[1:], 0]
        if first:
            now = [
                term ^ int(power[log[first] + log[poly[k + 1]]]) if poly[k + 1] else term
                for k, term in enumerate(now)
            ]
        rows[at] = now
    return np.where(rows == 0, -1, log[rows])


def _checks_of(block: NDArray[np.uint8], checks: int) -> NDArray[np.uint8]:
    log, power = _field()
    table = _check_logs(len(block), checks)
    known = (block[:, None] > 0) & (table >= 0)
    terms = np.where(known, power[(log[block][:, None] + table) % 255], 0)
    found: NDArray[np.uint8] = np.bitwise_xor.reduce(terms.astype(np.uint8), axis=0)
    return found


def _placed(codewords: bytes, version: int) -> Bits:
    checks, count = _CHECKS[version - 1], _BLOCKS[version - 1]
    short = len(codewords) // count
    longer = len(codewords) % count
    whole = np.frombuffer(codewords, dtype=np.uint8)
    blocks, at = [], 0
    for number in range(count):
        size = short + (number >= count - longer)
        blocks.append(whole[at : at + size])
        at += size
    rows = np.zeros((count, short + 1), dtype=np.uint8)
    there = np.zeros_like(rows, dtype=bool)
    for number, block in enumerate(blocks):
        rows[number, : len(block)] = block
        there[number, : len(block)] = True
    mixed = rows.T[there.T]
    found = np.stack([_checks_of(block, checks) for block in blocks])
    stream = np.concatenate([mixed, found.T.ravel()])
    frame, order, mask = _frame(version)
    modules = frame.copy()
    bits = np.zeros(len(order), dtype=np.uint8)
    bits[: 8 * len(stream)] = np.unpackbits(stream)
    modules.ravel()[order] = bits ^ mask
    return modules


@lru_cache(maxsize=40)
def _frame(version: int) -> tuple[Bits, Places, Bits]:
    """All that does not depend on the text; where its bits go, in order; and their mask."""
    side = 4 * version + 17
    dark = np.zeros((side, side), dtype=np.uint8)
    taken = np.zeros((side, side), dtype=bool)
    for row, column in ((0, 0), (0, side - 7), (side - 7, 0)):
        dark[row : row + 7, column : column + 7] = _square(7)
        taken[max(row - 1, 0) : row + 8, max(column - 1, 0) : column + 8] = True
    for row in _centres(version, side):
        for column in _centres(version, side):
            if taken[row, column]:
                continue  # a corner
            dark[row - 2 : row + 3, column - 2 : column + 3] = _square(5)
            taken[row - 2 : row + 3, column - 2 : column + 3] = True
    beats = np.arange(8, side - 8)
    dark[6, beats] = dark[beats, 6] = (beats % 2 == 0).astype(np.uint8)
    taken[6, :] = taken[:, 6] = True
    _tell_format(dark, taken, side)
    if version >= 7:
        _tell_version(dark, taken, side, version)
    order = _order(taken, side)
    rows, columns = np.divmod(order, side)
    return dark, order, ((rows + columns) % 2 == 0).astype(np.uint8)


def _square(side: int) -> Bits:
    """Rings of dark, light, dark."""
    away = np.abs(np.arange(side) - side // 2)
    ring = np.maximum(away[:, None], away[None, :])
    made: Bits = (ring != side // 2 - 1).astype(np.uint8)
    return made


def _centres(version: int, side: int) -> list[int]:
    """Rows and columns of the alignment squares (annex E, as even steps from the far end)."""
    if version == 1:
        return []
    many = version // 7 + 2
    step = 26 if version == 32 else (version * 4 + many * 2 + 1) // (many * 2 - 2) * 2
    return [6, *sorted(side - 7 - step * k for k in range(many - 1))]


def _tell_format(dark: Bits, taken: NDArray[np.bool_], side: int) -> None:
    down = [*range(6), 7, 8, *range(side - 7, side)]
    for bit, value in enumerate(reversed(_FORMAT)):
        dark[down[bit], 8] = value
        across = side - 1 - bit if bit < 8 else (7 if bit == 8 else 14 - bit)
        dark[8, across] = value
    taken[:9, 8] = taken[8, :9] = True
    taken[side - 8 :, 8] = taken[8, side - 8 :] = True
    dark[side - 8, 8] = 1


def _tell_version(dark: Bits, taken: NDArray[np.bool_], side: int, version: int) -> None:
    rest = version << 12
    for shift in range(5, -1, -1):
        if rest >> (shift + 12) & 1:
            rest ^= _VERSION_POLY << shift
    bits = version << 12 | rest
    for bit in range(18):
        row, column = bit // 3, side - 11 + bit % 3
        dark[row, column] = dark[column, row] = bits >> bit & 1
    taken[:6, side - 11 : side - 8] = True
    taken[side - 11 : side - 8, :6] = True


def _order(taken: NDArray[np.bool_], side: int) -> Places:
    """The free places in pairs of columns from the right, up and down in turn."""
    places = []
    upward = True
    for right in (*range(side - 1, 6, -2), *range(5, 0, -2)):
        rows = range(side - 1, -1, -1) if upward else range(side)
        places += [
            row * side + column
            for row in rows
            for column in (right, right - 1)
            if not taken[row, column]
        ]
        upward = not upward
    return np.array(places, dtype=np.intp)
