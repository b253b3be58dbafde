"""A finding: an answer that somebody should act on, with its source."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Literal

from msgspec import Struct

Severity = Literal["error", "caution", "note"]

#: From the gravest to the mildest.
SEVERITIES: Final[tuple[Severity, ...]] = ("error", "caution", "note")


class Finding(Struct, frozen=True, kw_only=True):
    """One thing that one rule says about a recipe, a walk or a plan.

    ``error`` blocks the plan, ``caution`` must be shown wherever the figures
    are shown, ``note`` is said once.  That no finding came back only means
    that no rule of the list fired; it is never a verdict of harmlessness.
    """

    severity: Severity
    #: Name of the rule; never changes (``raw-pulse``).
    rule: str
    #: One or two plain sentences for the person who cooks.
    text: str
    #: Bibliography key and place, or 'common practice, no source'.
    source: str
    #: What fired it: line numbers, food ids, step numbers ('line 3 (rice)').
    about: tuple[str, ...] = ()


def worst(findings: Iterable[Finding]) -> Severity | None:
    """The gravest severity among them, or None when there is no finding."""
    seen = {finding.severity for finding in findings}
    return next((severity for severity in SEVERITIES if severity in seen), None)
