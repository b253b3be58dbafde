"""Did a unit slip in the text?  Doubts about figures that came from elsewhere.

Published tables carry such slips: a teaspoon said to hold 15 mL beside one of
5 mL in the same list, a soak of 30 minutes printed in a column of hours, pounds
per person-day read as per cent, a ratio of three to one shown as nine to one,
more food in a bag than would sink.  Each check takes the figures and returns
findings; that none came back means only that no rule fired.
"""

from __future__ import annotations

from fellfare.measure.lint.conversions import check_beside, check_text
from fellfare.measure.lint.figures import (
    check_density,
    check_ratio,
    check_shares,
    check_soak_hours,
)

__all__ = [
    "check_beside",
    "check_density",
    "check_ratio",
    "check_shares",
    "check_soak_hours",
    "check_text",
]
