"""What must happen to a text before it is printed, and where a bad letter stands."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator
from typing import Any, Final

#: Values under these keys are pictures, or are needed letter by letter.
AS_IS: Final = ("code", "kind", "document")

#: A word of more letters than this may be broken anywhere.
LONG_WORD: Final = 22

_LONG: Final = re.compile(rf"\S{{{LONG_WORD + 1},}}")
_FIGURE: Final = re.compile(
    r"(?<=[0-9½⅓⅔¼¾⅛⅜⅝⅞]) (?=(?:ml|l|g|kg|oz|lb|min|h|cups?|tbsp|tsp|kcal|kJ|°C|%)\b)"
)

#: Letters that run from right to left (Unicode bidi classes R and AL: Hebrew, Arabic, Syriac,
#: Thaana, N'Ko and kin, and their forms of presentation), with what stands between them.
_RIGHT: Final = "\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc\U00010800-\U00010fff\U0001e800-\U0001efff"
_LEFTWARD: Final = re.compile(rf"[{_RIGHT}](?:[^\w\n]*[{_RIGHT}])*")
#: First strong isolate and its end (UAX #9): what is inside cannot move its neighbours.
_ISOLATED: Final = "\u2068{}\u2069"

#: Marks that we set ourselves.
_SHAPELESS: Final = re.compile("[\u200b\u2068\u2069]")

Path = tuple[str | int, ...]


def plain(text: str) -> str:
    """The text without characters that have no shape of their own.

    A control character becomes a space (a line break stays); a lone surrogate
    and what is no character at all become U+FFFD.
    """
    return text if text.isprintable() else "".join(_shown(char) for char in text)


def isolated(text: str) -> str:
    """The text with each stretch of right-to-left letters set apart.

    Without that, '64 ‹name› %' comes of '‹name› 64 %': the figure moves to the other side.
    """
    if text.isascii() or "\u2068" in text:
        return text
    return _LEFTWARD.sub(lambda found: _ISOLATED.format(found[0]), text)


def set_in_type(text: str) -> str:
    """Plain, with breaks allowed inside very long words, and figures kept with their units;
    right-to-left stretches are set apart."""
    text = isolated(plain(text))
    if len(text) > LONG_WORD:
        text = _LONG.sub(lambda found: "\u200b".join(_clusters(found[0])), text)
    return _FIGURE.sub("\u00a0", text)


def each_text(data: Any, change: Callable[[str], str]) -> Any:
    """The same data with every text changed, but for those under :data:`AS_IS`."""
    if isinstance(data, str):
        return change(data)
    if isinstance(data, dict):
        return {
            key: value if key in AS_IS else each_text(value, change) for key, value in data.items()
        }
    if isinstance(data, list | tuple):
        return [each_text(value, change) for value in data]
    return data


def find_in(data: object, lacking: str) -> tuple[str, str, Path]:
    """The first of the characters ``lacking`` in ``data``, the text around it, the way there.

    A template may set a text in capitals; what then is lacking is looked for there too.
    """
    for said in (str, str.upper):
        for path, text in _texts(data, ()):
            for char in said(text):
                if char in lacking:
                    return char, _excerpt(said(text), char), path
    return lacking[0], "", ()


def _excerpt(text: str, char: str, room: int = 48) -> str:
    at = max(0, text.index(char) - room // 2)
    some = _SHAPELESS.sub("", " ".join(text[at : at + room].split()))
    # What has no picture is called by its number: an empty excerpt shows nobody the place.
    some = "".join(c if c.isprintable() else f"U+{ord(c):04X}" for c in some)
    return f"{'…' if at else ''}{some}{'…' if at + room < len(text) else ''}"


def _texts(data: object, path: Path) -> Iterator[tuple[Path, str]]:
    if isinstance(data, str):
        yield path, data
    elif isinstance(data, dict):
        for key, value in data.items():
            if key not in AS_IS:
                yield from _texts(value, (*path, key))
    elif isinstance(data, list | tuple):
        for place, value in enumerate(data):
            yield from _texts(value, (*path, place))


def _clusters(word: str) -> list[str]:
    """The letters of a word, each with the marks that sit on it."""
    found: list[str] = []
    for char in word:
        if found and (unicodedata.combining(char) or unicodedata.category(char) in ("Mn", "Cf")):
            found[-1] += char
        else:
            found.append(char)
    return found


def _shown(char: str) -> str:
    kind = unicodedata.category(char)
    if kind == "Cs" or (kind == "Cn" and ord(char) & 0xFFFE == 0xFFFE):
        return "\ufffd"
    if char == "\ufeff":  # a mark of byte order, no letter
        return ""
    return " " if kind == "Cc" and char != "\n" else char
