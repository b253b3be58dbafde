"""The recipe as plain text, for the field under a video or the body of a mail.

No line is longer than :data:`WIDTH`; nothing hangs on bold type, tables or tabs; angle
brackets, which some fields refuse, are replaced.  The ingredient lines read back.
"""

from __future__ import annotations

from typing import Final

from fellfare.files.publish.told import WEIGH, Told
from fellfare.files.publish.wrapping import wrapped

#: Columns; longer lines are broken.
WIDTH: Final = 100
#: A usual limit of description fields [characters]: common practice, no source.
USUAL_LIMIT: Final = 5000


def plain_text(told: Told) -> str:
    """The whole publication; ends in one line feed."""
    lines = [*wrapped(told.title, WIDTH), ""]
    for stop in told.stops:
        lines += wrapped(f"STOP. Do not make it as written: {stop}", WIDTH)
    if told.stops:
        lines.append("")
    if told.about:
        lines += [*wrapped(told.about, WIDTH), ""]
    lines.append(f"Serves {told.serves}")
    for fact in told.facts:
        lines += wrapped(fact, WIDTH)
    lines += [*wrapped(WEIGH[told.measures], WIDTH), "", "Ingredients"]
    for group in told.groups:
        if group.bag:
            lines += wrapped(f'Bag "{group.bag}":', WIDTH)
        for line in group.lines:
            lines += wrapped(line, WIDTH)
    number = 0
    for heading, steps in (("At home", told.home), ("In camp", told.camp)):
        if steps:
            lines += ["", heading]
        for step in steps:
            number += 1
            lines += wrapped(f"{number}. {step}", WIDTH)
    for heading, paragraphs in (
        ("Nutrition", told.nutrition),
        ("Allergens", told.allergens),
        ("Packing", told.packing),
        ("Please mind", (*told.cautions, *told.notes, *told.standing)),
    ):
        if paragraphs:
            lines += ["", heading]
        for paragraph in paragraphs:
            lines += wrapped(paragraph, WIDTH)
    if told.origin:
        lines += ["", *wrapped(f"Origin: {told.origin}", WIDTH)]
    return "\n".join(lines).replace("<", "‹").replace(">", "›") + "\n"
