"""In which letters is it written?  XML bytes made fit for expat."""

from __future__ import annotations

import codecs
import re
from typing import Final

from fellfare.mistake import Mistake

#: expat reads these by itself.
_NATIVE: Final = frozenset({"utf-8", "utf-16", "iso8859-1", "ascii"})

#: Other character sets that we decode first.  A fixed list: some of Python's
#: text codecs take time that grows with the square of the length.
_DECODED: Final = frozenset(
    {"utf-8-sig", "utf-32", "utf-32-le", "utf-32-be", "utf-16-le", "utf-16-be"}
    | {f"iso8859-{n}" for n in (*range(2, 12), 13, 14, 15, 16)}
    | {f"cp{n}" for n in (437, 850, 852, 866, 932, 949, 950, *range(1250, 1259))}
    | {"koi8-r", "koi8-u", "mac-roman", "big5", "gb2312", "gbk", "gb18030"}
    | {"shift_jis", "euc_jp", "euc_kr", "iso2022_jp"}
)

_DECLARATION: Final = re.compile(
    rb"<\?xml[^<>]{0,200}?encoding\s{0,20}=\s{0,20}[\"']([A-Za-z0-9._-]{1,40})[\"']"
)

#: Byte order marks; UTF-32 stands first because its mark begins like that of UTF-16.
_MARKS: Final = (
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def for_expat(data: bytes) -> tuple[bytes, str | None]:
    """The bytes to parse and the encoding to force on the parser (None = as declared).

    Raises
    ------
    Mistake
        ``gpx-encoding``: a character set that is not known, or bytes that are not in it.
    """
    name = next((name for mark, name in _MARKS if data.startswith(mark)), None)
    if name is None:
        match = _DECLARATION.match(data)
        if match is None:
            return data, None
        name = _known(match[1].decode("ascii"))
    if name == "utf-16":
        return data, None
    if name in _NATIVE:
        return data, {"iso8859-1": "iso-8859-1", "ascii": "us-ascii"}.get(name, name)
    try:
        return data.decode(name).removeprefix("\ufeff").encode(), "utf-8"
    except (UnicodeError, ValueError) as error:
        at = getattr(error, "start", 0)
        line = data.count(b"\n", 0, at if isinstance(at, int) else 0) + 1
        raise Mistake(
            "gpx-encoding",
            what=f"the file says that its letters are {name}, but not all bytes are",
            mend="save it again as UTF-8",
            where=f"line {line}",
        ) from error


def _known(declared: str) -> str:
    try:
        name = codecs.lookup(declared).name
    except (LookupError, ValueError):
        name = ""
    if name not in _NATIVE and name not in _DECODED:
        raise Mistake(
            "gpx-encoding",
            what=f"the character set '{declared}' is not one that we read",
            mend="save the file as UTF-8",
            where="line 1",
        )
    return name
