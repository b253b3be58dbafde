"""How does a page become a PDF?  The one door to typst: offline, the same bytes every time."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any, Final, Literal

import typst
from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.paper.glyphs import each_text, find_in, plain, set_in_type

Size = Literal["a4", "letter"]

#: ISO 216 A4, and ANSI/ASME Y14.1 size A ('US Letter', 8.5 x 11 in): width, height [mm].
PAGES: Final[dict[Size, tuple[float, float]]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}

#: Where the templates lie; typst reads nothing outside this folder.
SHEETS: Final = Path(__file__).parent / "sheets"

#: Accessible PDF, ISO 14289-1 (PDF/UA-1): tagged, titled, and every glyph must exist.
STANDARD: Final = "ua-1"

#: Letters of the title that are said again at the foot of each page.
RUNNING: Final = 60

_NO_GLYPH: Final = re.compile(r"the text `\"(.*?)\"` could not be displayed", re.DOTALL)
_NO_ROOM: Final = re.compile(r"no-room/(\d+)/([a-z-]+)")
_ESCAPE: Final = re.compile(r"\\u\{([0-9a-fA-F]+)\}")


class Place(Struct, frozen=True, kw_only=True):
    """What to call one numbered block of a template when its text has no room."""

    name: str
    mend: str


def press(
    template: str, data: dict[str, Any], size: Size, title: str, places: tuple[Place, ...] = ()
) -> bytes:
    """The PDF of ``data`` drawn by ``template``.

    The data reach typst as JSON text, so nothing in them is ever run as markup
    or code.  Only the fonts inside typst are used, and no date is written: the
    same data give the same bytes on every machine.

    Parameters
    ----------
    template
        File name in the folder of templates.
    data
        Texts, figures and lists; see each template's first lines.
    size
        Sheet of paper.
    title
        Title of the document.
    places
        Names of the blocks that the template fits by steps, in its own order.

    Raises
    ------
    Mistake
        ``no-glyph``: a character that none of the fonts can draw; ``no-room``:
        a text that does not fit, however small.
    """
    width_mm, height_mm = page_of(size)
    told = each_text(
        {
            "page": {"width": width_mm, "height": height_mm},
            "title": title or "Untitled",
            "document": plain(title) or "Untitled",
            "running": title if len(title) <= RUNNING else f"{title[:RUNNING]}…",
            **data,
        },
        set_in_type,
    )
    try:
        made = typst.compile(
            str(SHEETS / template),
            root=str(SHEETS),
            ignore_system_fonts=True,
            format="pdf",
            pdf_standards=[STANDARD],
            timestamp=0,
            sys_inputs={"data": json.dumps(told, ensure_ascii=False)},
        )
    except typst.TypstError as error:
        mistake = _mistake(str(error.diagnostic), told, places)
        if mistake is None:
            raise
        raise mistake from None
    assert isinstance(made, bytes)
    return made


def lacking_in(text: str) -> set[str]:
    """The characters that none of the fonts can draw.

    Characters without a shape of their own do not count: see
    :func:`fellfare.paper.glyphs.plain`.
    """
    if text.isascii():
        return set()
    try:
        typst.compile(
            str(SHEETS / "letters.typ"),
            root=str(SHEETS),
            ignore_system_fonts=True,
            format="pdf",
            pdf_standards=[STANDARD],
            timestamp=0,
            sys_inputs={"data": json.dumps({"text": plain(text)}, ensure_ascii=False)},
        )
    except typst.TypstError as error:
        return {char for one in _NO_GLYPH.findall(str(error.diagnostic)) for char in _plain(one)}
    return set()


def page_of(size: str) -> tuple[float, float]:
    """Width and height of a sheet [mm].

    Raises
    ------
    Mistake
        ``unknown-paper``.
    """
    for name, sides in PAGES.items():
        if name == size:
            return sides
    raise Mistake("unknown-paper", f"no paper size {size[:40]!r}", "say 'a4' or 'letter'")


def _mistake(diagnostic: str, data: dict[str, Any], places: tuple[Place, ...]) -> Mistake | None:
    """What typst refused, in our words; None when it is a fault of our own."""
    lacking = "".join(
        dict.fromkeys(char for text in _NO_GLYPH.findall(diagnostic) for char in _plain(text))
    )
    if lacking:
        return _no_glyph(lacking, data, places)
    if found := _NO_ROOM.search(diagnostic):
        number, field = int(found[1]), found[2].replace("-", " ")
        place = places[number] if number < len(places) else Place(name="", mend="write it shorter")
        return Mistake(
            "no-room",
            f"the text does not fit, however small; {field} takes most of the room",
            place.mend,
            place.name,
        )
    return None


def _plain(text: str) -> str:
    return _ESCAPE.sub(lambda found: chr(int(found[1], 16)), text)


def _no_glyph(lacking: str, data: dict[str, Any], places: tuple[Place, ...]) -> Mistake:
    char, text, path = find_in(data, lacking)
    more = f" (and {len(lacking) - 1} more such)" if len(lacking) > 1 else ""
    shown = f"'{char}' " if char.isprintable() else ""
    mistake = Mistake(
        "no-glyph",
        f"no font here can print the character {shown}(U+{ord(char):04X}){more}",
        "write it in Latin, Greek, Cyrillic, Hebrew or Arabic letters, or take it out; "
        "the HTML card shows what the reader's own fonts can",
        f"‘{text}’" if text else str(data.get("document") or "the paper"),
    )
    # Numbered blocks come as told.labels or told.days, in the order of their places.
    place = path[1] if len(path) > 1 else None
    if isinstance(place, int) and place < len(places):
        return mistake.at(places[place].name)
    return mistake
