"""How does a published recipe write '1 hour 15 minutes'?  As ISO 8601: PT1H15M.

A duration is ``P`` with years, months, weeks and days, then ``T`` with hours, minutes
and seconds [ISO-8601].  Years and months have no fixed length, so they are refused.
STATUS: the grammar is from memory; only the last number may have a decimal fraction.
"""

from __future__ import annotations

import re
from math import isfinite
from typing import Final

from fellfare.mistake import Mistake

_NUMBER: Final = r"(\d{1,9}(?:[.,]\d{1,9})?)"
_FORM: Final = re.compile(
    rf"P(?!$)(?:{_NUMBER}W)?(?:{_NUMBER}D)?(?:T(?!$)(?:{_NUMBER}H)?(?:{_NUMBER}M)?(?:{_NUMBER}S)?)?"
)
#: Minutes in a week, a day, an hour, a minute, a second.
_MINUTES: Final = (10080.0, 1440.0, 60.0, 1.0, 1 / 60)
#: A year: nothing that is cooked takes longer [min].
MOST_MINUTES: Final = 525_600.0


def write_duration(minutes: float) -> str:
    """``minutes`` as an ISO 8601 duration, to the second.

    >>> write_duration(75), write_duration(8), write_duration(0.5), write_duration(1440)
    ('PT1H15M', 'PT8M', 'PT30S', 'P1D')

    Raises
    ------
    Mistake
        ``duration-out-of-range``: below zero, not a number, or longer than a year.
    """
    if not (isfinite(minutes) and 0 <= minutes <= MOST_MINUTES):
        raise Mistake(
            "duration-out-of-range",
            what=f"{minutes} minutes cannot be written as a duration",
            mend=f"give minutes from 0 to {MOST_MINUTES:.0f}; leave out what is not known",
        )
    whole, seconds = divmod(round(minutes * 60), 60)
    whole_hours, whole = divmod(whole, 60)
    days, hours = divmod(whole_hours, 24)
    date = f"{days}D" if days else ""
    parts = ((hours, "H"), (whole, "M"), (seconds, "S"))
    time = "".join(f"{count}{letter}" for count, letter in parts if count)
    return f"P{date}T{time}" if time else f"P{date}" if date else "PT0S"


def read_duration(text: str) -> float:
    """The minutes of an ISO 8601 duration.

    >>> read_duration("PT1H15M"), read_duration("P1DT30S")
    (75.0, 1440.5)

    Raises
    ------
    Mistake
        ``duration-not-understood``: another form, years or months, or longer than a year.
    """
    found = _FORM.fullmatch(text.strip().upper()[:80])
    numbers = [] if found is None else [part for part in found.groups() if part is not None]
    # A fraction may stand in the last number only.
    if not numbers or any("." in part or "," in part for part in numbers[:-1]):
        raise _not_understood(text)
    assert found is not None
    minutes = sum(
        float(part.replace(",", ".")) * size
        for part, size in zip(found.groups(), _MINUTES, strict=True)
        if part is not None
    )
    if minutes > MOST_MINUTES:
        raise _not_understood(text)
    return minutes


def _not_understood(text: str) -> Mistake:
    return Mistake(
        "duration-not-understood",
        what=f"{text[:40]!r} is no duration of at most a year",
        mend="write it as ISO 8601: PT1H15M is one hour and a quarter",
    )
