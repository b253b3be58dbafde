"""The findings of a walk as they are read: alike ones together, nothing named twice."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from msgspec.structs import replace

from fellfare.mistake import Finding
from fellfare.trip.trip import Trip

#: Text that tells its days: 'day 3', 'days 1 to 9', 'Day 5'.
_DAYS: Final = re.compile(r"\b[Dd]ays? \d")
_DAY: Final = re.compile(r"(day|night) \d+")


def told_once(findings: Iterable[Finding], trip: Trip) -> tuple[Finding, ...]:
    """For reading, not for counting: fewer findings, each with what its text does not name.

    Findings of one rule that end alike after their first colon become one; of what they are
    about, the title, the names and the days that the text holds already are left out.
    """
    alike: dict[tuple[str, str, str], list[Finding]] = {}
    for finding in findings:
        _, colon, tail = finding.text.partition(": ")
        key = tail if colon else finding.text
        alike.setdefault((finding.severity, finding.rule, key), []).append(finding)
    out = []
    for (_, _, tail), group in alike.items():
        heads = list(dict.fromkeys(one.text.partition(": ")[0] for one in group))
        text = group[0].text if len(heads) == 1 else f"{'; '.join(heads)}: {tail}"
        about = dict.fromkeys(word for one in group for word in one.about)
        out.append(
            replace(group[0], text=text, about=tuple(w for w in about if _new(w, text, trip)))
        )
    return tuple(out)


def _new(word: str, text: str, trip: Trip) -> bool:
    """Whether a word of ``about`` says what the text does not."""
    if word == trip.title or word in text:
        return False
    return not (_DAYS.search(text) and _DAY.fullmatch(word))
