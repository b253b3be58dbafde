"""Bag labels, ready to stick: one label a bag, on sheets of any grid."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final, Literal

from fellfare.mistake import Mistake
from fellfare.paper.code import code_svg
from fellfare.paper.days import day_said
from fellfare.paper.grid import Grid, checked
from fellfare.paper.press import Place, press
from fellfare.paper.words import capital, doing
from fellfare.provision.label import BagLabel, eaters_said

Code = Literal["always", "if-room", "never"]

#: More labels than this in one go is a slip of the pen.
MOST_LABELS: Final = 20_000

#: Blank border inside a label, and the least distance of text from the edge of
#: the sheet, which most printers leave white [mm]: common practice, no source.
INSET_MM: Final = 2.5
EDGE_MM: Final = 5.0

#: Up to here no letter is wider than 1.1 em.
_LATIN_END: Final = "\u0530"

#: Steps from large to small: text [pt], the code's squares [mm], run together.  First with
#: the advice for the packing evening; where that has no room at 10 pt, without it.
#: At 6 pt the small letters of Libertinus Serif are 0.9 mm high (x-height 0.43 em), which
#: is what Regulation (EU) No 1169/2011, Article 13(3), asks of small packs.  Squares under
#: 0.25 mm are lost on common printers and telephones: common practice, no source.
WITH_ADVICE: Final = (
    (13.0, 0.50, False),
    (12.0, 0.50, False),
    (11.0, 0.45, False),
    (10.0, 0.45, False),
)
WITHOUT: Final = (
    (12.0, 0.50, False),
    (11.0, 0.45, False),
    (10.0, 0.40, False),
    (9.5, 0.40, False),
    (9.0, 0.36, False),
    (8.5, 0.36, False),
    (8.0, 0.33, False),
    (7.5, 0.33, True),
    (7.0, 0.33, True),
    (7.0, 0.28, True),
    (6.5, 0.28, True),
    (6.5, 0.25, True),
    (6.0, 0.25, True),
)


def labels_pdf(
    labels: Sequence[BagLabel],
    grid: Grid,
    *,
    title: str = "Bag labels",
    skip: int = 0,
    code: Code = "always",
    outline: bool = False,
) -> bytes:
    """Sheets of labels as a PDF.

    Parameters
    ----------
    labels
        From :func:`fellfare.provision.label.labels`.
    grid
        From :func:`fellfare.paper.grid.read_grid`.
    skip
        Cells of the first sheet that are used up already.
    code
        Whether each label carries its text as a QR code: 'always', 'never', or 'if-room',
        which leaves it off where the text would have no room beside it, or is too long for it.
    outline
        Draw each label's edge, to cut plain paper.

    Raises
    ------
    Mistake
        ``no-labels``, ``too-many-labels``, ``skip-out-of-range``, ``no-room``,
        ``no-glyph``, ``code-too-long`` (for 'always' alone), and as
        :func:`fellfare.paper.grid.checked`.
    """
    grid = checked(grid)
    if not labels:
        raise Mistake("no-labels", "there is no label to print", "plan at least one bag")
    if len(labels) > MOST_LABELS:
        raise Mistake(
            "too-many-labels",
            f"{len(labels)} labels",
            f"print at most {MOST_LABELS} in one go",
        )
    if not 0 <= skip < grid.cells:
        raise Mistake(
            "skip-out-of-range",
            f"{skip} labels of the first sheet are used already",
            f"a sheet has {grid.cells}: skip 0 to {grid.cells - 1}",
        )
    codes = [_code(label, code) for label in labels]
    data = {
        "grid": {
            "columns": grid.columns,
            "rows": grid.rows,
            "width": grid.width_mm,
            "height": grid.height_mm,
            "left": grid.margin_left_mm,
            "top": grid.margin_top_mm,
            "across": grid.gap_across_mm,
            "down": grid.gap_down_mm,
            "inset-x": max(INSET_MM, EDGE_MM - grid.margin_left_mm),
            "inset-y": max(INSET_MM, EDGE_MM - grid.margin_top_mm),
        },
        "steps": _steps(WITH_ADVICE, True) if any(label.advice for label in labels) else [],
        "last-steps": _steps(WITHOUT, False),
        "skip": skip,
        "outline": outline,
        "if-room": code == "if-room",
        # Apart from the labels: they are looked at again and again while they are fitted.
        "code": [svg for svg, _ in codes],
        "labels": [
            _label(label, place, squares)
            for place, (label, (_, squares)) in enumerate(zip(labels, codes, strict=True))
        ],
    }
    less = "write it shorter, or take a larger label"
    if code == "always":
        less = (
            "write it shorter, take a larger label, or print the code only where it has room "
            "(--code if-room)"
        )
    places = tuple(
        Place(name=f"label {one.number} of {one.count} ({one.title}, {one.dish[:40]})", mend=less)
        for one in labels
    )
    return press("labels.typ", data, grid.size, title, places)


def _code(label: BagLabel, code: Code) -> tuple[str, int]:
    """Its picture and squares; nothing where none is wanted, or none can hold so much text."""
    if code == "never":
        return "", 0
    try:
        return code_svg(label)
    except Mistake as mistake:
        if code == "if-room" and mistake.code == "code-too-long":
            return "", 0
        raise


def _steps(steps: Sequence[tuple[float, float, bool]], advice: bool) -> list[dict[str, Any]]:
    return [
        {"size": size, "square": square, "advice": advice, "compact": compact}
        for size, square, compact in steps
    ]


def _label(label: BagLabel, place: int, squares: int) -> dict[str, Any]:
    rows = [
        {
            **row,
            "word": max(map(len, row["text"].split()), default=0),
            "plain": max(row["text"], default=" ") < _LATIN_END,
        }
        for row in label_rows(label)
    ]
    return {
        "rows": rows,
        "coded": squares > 0,
        "squares": squares,
        "again": f"Bag {label.number} of {label.count}, {label.dish}",
        "at": place,
    }


def label_rows(label: BagLabel) -> list[dict[str, str]]:
    """What is printed, row by row, each with its kind; a 'do' has its figures apart."""
    rows = [
        {
            "kind": "when",
            "text": f"Day {label.day} · {label.time}",
            "figures": f"for {eaters_said(label)}",
        },
        {"kind": "name", "text": label.dish},
        {"kind": "bag", "text": _bag(label)},
    ]
    told = label.deeds
    # What only goes in later stands beside the code.
    aside = 0 if label.joins or label.into else sum(one.act is None for one in told)
    done = len(told) - aside
    rows += [
        {"kind": "do", "text": text, "figures": figures}
        for text, figures in doing(told[:done], label.wet)
    ]
    said = [("add-ins", one.line) for one in told[done:]]
    if label.divide:
        said.append(("add-ins", f"Divide: {label.divide}"))
    said += [("not-for", f"NOT FOR {one}") for one in label.not_for]
    said += [("not-for", one) for one in label.minds]
    said += [
        ("contains" if line.startswith("Contains") else "allergens", line)
        for line in label.allergens.lines
    ]
    if label.eat_on is not None:
        said.append(("eat-by", f"Eat {day_said(label.eat_on)}"))
    said.append(("keeping", _keeps(label)))
    said += [("advice", one) for one in label.advice]
    rows += [{"kind": kind, "text": capital(text)} for kind, text in said if text]
    return rows


def _bag(label: BagLabel) -> str:
    net = "not weighed"
    if label.net is not None:
        net = f"{label.net.metric} ({label.net.us})"
        if label.mass_unknown:
            net = f"at least {net}"
    return f"{capital(label.bag)} · {net} · bag {label.number} of {label.count}"


def _keeps(label: BagLabel) -> str:
    keeps, said = label.keeps, []
    if label.packed_on is not None:
        said.append(f"packed {day_said(label.packed_on, weekday=False)}")
    if keeps.until is not None:
        before = label.eat_on is not None and keeps.until < label.eat_on
        lead = "QUALITY ENDS BEFORE THAT:" if before else "quality until"
        said.append(f"{lead} {day_said(keeps.until, weekday=False)} ({keeps.food})")
    elif keeps.days is not None:
        said.append(f"quality for {keeps.days} days ({keeps.food})")
    if keeps.unknown:
        said.append(f"keeping not known: {', '.join(keeps.unknown)}")
    return "; ".join(said)
