"""Every paper of a menu as a file: PDF, one page for a telephone, tables, or all in one."""

from __future__ import annotations

from collections.abc import Mapping
from io import BytesIO
from typing import Any, Final, Literal
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from litestar import Response, get
from litestar.exceptions import NotFoundException
from litestar.params import FromPath, FromQuery

from fellfare.files.provision_csv import provision_csv
from fellfare.mistake import Mistake
from fellfare.paper.grid import read_grid
from fellfare.paper.kinds import KINDS
from fellfare.paper.labels import label_rows
from fellfare.paper.papers_of_trip import LabelSheet, Papers
from fellfare.web.drawing import page
from fellfare.web.here import FromHere
from fellfare.web.pages.keeping import as_file
from fellfare.web.pages.kitchen.provided import Provided, provided

#: The zip says the same whenever it is made.
_WHEN: Final = (1980, 1, 1, 0, 0, 0)
Size = Literal["a4", "letter"]


def size_of(text: str, units: str = "") -> Size:
    """Sheet of paper: as asked, or as the reader's measures suggest."""
    if text in ("a4", "letter"):
        return "a4" if text == "a4" else "letter"
    return "letter" if units == "us" else "a4"


def label_sheet_of(asked: Mapping[str, str], size: Size) -> LabelSheet:
    """How the labels lie on their sheets.

    Raises
    ------
    Mistake
        As :func:`fellfare.paper.grid.read_grid`; ``not-a-number``.
    """
    code = asked.get("code", "")
    return LabelSheet(
        grid=read_grid(
            asked.get("grid") or None,
            size,
            **{key: _millimetres(asked, key) for key in _LENGTHS},
        ),
        skip=int(_number(asked, "skip", whole=True) or 0),
        code="never" if code == "never" else "if-room" if code == "if-room" else "always",
        outline=asked.get("outline", "") in ("1", "on", "yes"),
    )


#: Field of the form → what it is.
_LENGTHS: Final = (
    "width_mm", "height_mm", "margin_left_mm", "margin_top_mm", "gap_across_mm", "gap_down_mm",
)  # fmt: skip


def _millimetres(asked: Mapping[str, str], key: str) -> float | None:
    return _number(asked, key)


def _number(asked: Mapping[str, str], key: str, *, whole: bool = False) -> float | None:
    text = asked.get(key, "").strip().replace(",", ".")
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not 0.0 <= value <= 1000.0 or (whole and value != int(value)):
        raise Mistake(
            "not-a-number",
            f"{text[:20]!r} is no {'whole number' if whole else 'length in millimetres'}",
            f"write a {'whole number' if whole else 'number'} from 0 to 1 000",
            key,
        )
    return value


@get("/kitchen/{name:str}/papers/{kind:str}", sync_to_thread=True, include_in_schema=False)
def paper(
    here: FromHere,
    name: FromPath[str],
    kind: FromPath[str],
    size: FromQuery[str] = "",
    grid: FromQuery[str] = "",
    width_mm: FromQuery[str] = "",
    height_mm: FromQuery[str] = "",
    margin_left_mm: FromQuery[str] = "",
    margin_top_mm: FromQuery[str] = "",
    gap_across_mm: FromQuery[str] = "",
    gap_down_mm: FromQuery[str] = "",
    skip: FromQuery[str] = "",
    code: FromQuery[str] = "",
    outline: FromQuery[str] = "",
) -> Response[Any]:
    """One paper, or 'all' of them as a zip."""
    if kind not in (*KINDS, "all"):
        raise NotFoundException
    there = provided(here, name)
    sheet = size_of(size, here.units)
    asked = {
        "size": sheet, "grid": grid, "width_mm": width_mm, "height_mm": height_mm,
        "margin_left_mm": margin_left_mm, "margin_top_mm": margin_top_mm,
        "gap_across_mm": gap_across_mm, "gap_down_mm": gap_down_mm, "skip": skip, "code": code,
        "outline": outline,
    }  # fmt: skip
    try:
        papers = Papers(there.one, sheet, label_sheet_of(asked, sheet))
        kinds = list(KINDS) if kind == "all" else [kind]
        made = papers.made(kinds)
    except Mistake as mistake:
        if kind != "labels":
            raise
        return page(
            here, "kitchen/labels.html", "kitchen", status=422, there=there, one=there.one,
            name=name, tab="labels", trip=there.made.trip, asked=asked,
            faults={_field(mistake): [mistake]}, rows_of=label_rows,
        )  # fmt: skip
    if not made:
        raise NotFoundException  # boxes of a trip without any
    if kind in ("all", "csv"):
        return as_file(zipped(made), f"{name}-{'papers' if kind == 'all' else 'tables'}.zip",
                       "application/zip")  # fmt: skip
    ((file, data),) = made.items()
    media = "text/html; charset=utf-8" if kind == "html" else "application/pdf"
    return as_file(data, f"{name}-{file}", media)


def _field(mistake: Mistake) -> str:
    named = mistake.where.rpartition(" > ")[2]
    return named if named in (*_LENGTHS, "skip") else "grid"


def zipped(files: Mapping[str, bytes]) -> bytes:
    """The files in one; the same files give the same bytes."""
    held = BytesIO()
    with ZipFile(held, "w", ZIP_DEFLATED) as whole:
        for name, data in sorted(files.items()):
            whole.writestr(ZipInfo(name, _WHEN), data, ZIP_DEFLATED)
    return held.getvalue()


@get("/kitchen/{name:str}/tables/{file:str}", sync_to_thread=True, include_in_schema=False)
def table(here: FromHere, name: FromPath[str], file: FromPath[str]) -> Response[bytes]:
    """One list for a spreadsheet."""
    text = tables_of(provided(here, name)).get(file)
    if text is None:
        raise NotFoundException
    return as_file(text.encode(), f"{name}-{file}", "text/csv; charset=utf-8")


def tables_of(there: Provided) -> dict[str, str]:
    """File name to text of every list for a spreadsheet."""
    return provision_csv(there.one)


PRINTING: Final[list[Any]] = [paper, table]
