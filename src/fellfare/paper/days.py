"""How is a date written so that nobody on either side of the ocean misreads it?"""

from __future__ import annotations

from datetime import date
from typing import Final

_DAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS: Final = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split()


def day_said(day: date, *, weekday: bool = True) -> str:
    """'Thu 1 Jul 2027': the month as a word."""
    text = f"{day.day} {_MONTHS[day.month - 1]} {day.year}"
    return f"{_DAYS[day.weekday()]} {text}" if weekday else text
