"""How a document gets from disk to a value: one way, one kind of error.

Every reader of a text document goes through :func:`read_document`, so size,
encoding, syntax and shape are refused alike: file, line, field, and a remedy.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any, Final, TypeVar

import msgspec

from fellfare.mistake import Mistake

#: A document that a person writes is a few kB; 2 MB is far beyond any.
MOST_BYTES: Final = 2_000_000

T = TypeVar("T")


def read_bytes(path: Path, most: int = MOST_BYTES) -> bytes:
    """The bytes of one file.

    Raises
    ------
    Mistake
        ``file-missing``, ``file-unreadable``, ``file-too-large``.
    """
    try:
        with path.open("rb") as file:
            data = file.read(most + 1)
    except FileNotFoundError as error:
        raise Mistake(
            "file-missing", "there is no such file", "check the name and the folder", str(path)
        ) from error
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise Mistake(
            "file-unreadable", f"cannot be read ({reason})", "give a readable file", str(path)
        ) from error
    if len(data) > most:
        raise Mistake(
            "file-too-large",
            f"holds more than {most / 1e6:g} MB",
            "a document is text of a few kB; is it the right file?",
            str(path),
        )
    return data


def read_text(path: Path) -> str:
    """The text of one UTF-8 file (a leading byte-order mark is dropped).

    Raises
    ------
    Mistake
        As :func:`read_bytes`, and ``not-utf8`` with the line.
    """
    data = read_bytes(path)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise Mistake(
            "not-utf8",
            f"byte {data[error.start]:#04x} is no UTF-8 text",
            "save the file as UTF-8",
            f"{path}:{line}",
        ) from error


def read_document(
    path: Path, shape: type[T], guide: str = "docs/recipe-document.md"
) -> tuple[T, str]:
    """A TOML document as a value of ``shape``, and its text (to find lines in).

    ``guide`` is the page that explains the keys, for the remedy.

    Raises
    ------
    Mistake
        As :func:`read_text`, ``not-toml`` and ``wrong-shape`` with the line.
    """
    text = read_text(path)
    return parse_document(text, path, shape, guide), text


def parse_document(
    text: str, path: Path, shape: type[T], guide: str = "docs/recipe-document.md"
) -> T:
    """The same for a text at hand; ``path`` is the name that its mistakes give it, never opened.

    Raises
    ------
    Mistake
        As :func:`read_document`; ``not-utf8`` for half a character, which no file could hold.
    """
    text = text.removeprefix("\ufeff")
    try:
        text.encode("utf-8")
    except UnicodeEncodeError as error:
        broken = text.count("\n", 0, error.start) + 1
        raise Mistake(
            "not-utf8",
            "holds half a character (a lone surrogate)",
            "type that place anew",
            f"{path}:{broken}",
        ) from error
    try:
        plain: dict[str, Any] = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        line, reason = _syntax(str(error))
        raise Mistake(
            "not-toml",
            f"is not TOML: {reason}",
            f"compare with the example in {guide} (a pasted recipe: 'fellfare read')",
            f"{path}:{line}" if line else str(path),
        ) from error
    except RecursionError as error:
        raise Mistake(
            "not-toml", "is nested too deeply", "a document needs three levels at most", str(path)
        ) from error
    try:
        return msgspec.convert(plain, shape)
    except msgspec.ValidationError as error:
        what, _, where = str(error).partition(" - at `")
        field = where.removesuffix("`").removeprefix("$").lstrip(".")
        unknown = re.search(r"unknown field `(\w+)`", what)
        if unknown is not None:  # the key itself stands in the file: name its line
            field = f"{field}.{unknown.group(1)}".lstrip(".")
        raise Mistake(
            "wrong-shape",
            _shape_fault(what),
            f"see the keys in {guide}",
            place(path, text, field) if field else f"{path}:1",
        ) from error


def _shape_fault(what: str) -> str:
    """The decoder's words in ours: which key is unknown, which is missing."""
    for theirs, ours in (
        (r"^Object contains unknown field `(.+)`$", "the key '{}' is not known here"),
        (r"^Object missing required field `(.+)`$", "the key '{}' is missing"),
    ):
        match = re.match(theirs, what)
        if match is not None:
            return ours.format(match.group(1))
    return what


def place(path: Path, text: str, field: str) -> str:
    """'soup.toml:14 > line[2].amount': where a field of a document stands."""
    line = line_of(text, field)
    spot = f"{path}:{line}" if line else str(path)
    return f"{spot} > {field}" if field else spot


def line_of(text: str, field: str) -> int | None:
    """The line (from 1) on which a field such as ``line[2].amount`` stands.

    Found by its table header and key; None when the document writes it in
    some other way (inline tables), where no line could be promised.
    """
    match = re.match(r"(\w+)(?:\[(\d+)\])?(?:\.(\w+))?", field)
    if match is None:
        return None
    lines, headers = _laid_out(text)
    table, index, key = match.group(1), match.group(2), match.group(3)
    if index is None:
        found = _key_line(lines, 0, table)
        if found is not None:
            return found
    starts = headers.get((table, index is not None), [])
    if not starts and index is not None:
        return _key_line(lines, 0, table)  # a plain list: 'contains = ["oats"]'
    place_in_file = int(index or 0)
    if place_in_file >= len(starts):
        return None
    start = starts[place_in_file]
    return (_key_line(lines, start + 1, key) if key else None) or start + 1


_HEADER: Final = re.compile(r"\s*(?:\[\[\s*(\w+)\s*\]\]|\[\s*(\w+)\s*\])")


@lru_cache(8)  # a reader asks for the place of every row of one text
def _laid_out(text: str) -> tuple[tuple[str, ...], dict[tuple[str, bool], list[int]]]:
    """The lines, and where the headers of each table stand: (name, in double brackets)."""
    lines = tuple(text.split("\n"))  # not splitlines(): TOML counts line feeds only
    headers: dict[tuple[str, bool], list[int]] = {}
    for number, line in enumerate(lines):
        found = _HEADER.match(line)
        if found is not None:
            headers.setdefault((found[1] or found[2], found[1] is not None), []).append(number)
    return lines, headers


def _key_line(lines: Sequence[str], start: int, key: str) -> int | None:
    wanted = re.compile(rf"\s*{re.escape(key)}\s*=")
    header = re.compile(r"\s*\[")
    for number in range(start, len(lines)):
        if wanted.match(lines[number]):
            return number + 1
        if header.match(lines[number]):
            return None
    return None


def _syntax(message: str) -> tuple[int | None, str]:
    """tomllib's '… (at line 3, column 5)' as (3, reason with the column)."""
    match = re.search(r" \(at line (\d+), column (\d+)\)$", message)
    if match is None:
        return None, message
    return int(match.group(1)), f"{message[: match.start()]} (column {match.group(2)})"
