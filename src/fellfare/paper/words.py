"""How are amounts, waits and sums said on paper?"""

from __future__ import annotations

from collections.abc import Iterable

from fellfare.provision.acts import Deed, LabelStep, wetted


def step_figures(step: LabelStep) -> str:
    """'310 ml (1⅓ cups) · 5 min': what to measure and how long to wait."""
    return " · ".join(step.figures)


def doing(deeds: Iterable[Deed], wet: str) -> list[tuple[str, str]]:
    """What is done, line by line, each with its figures; after the soaking, when to wet it."""
    return [(capital(one.said), " · ".join(one.figures)) for one in wetted(deeds, wet)]


def capital(text: str) -> str:
    """The text with its first letter large."""
    return text[:1].upper() + text[1:]


def number(value: float) -> str:
    """'1 240': groups of three with a thin space that does not break."""
    return f"{value:,.0f}".replace(",", "\u202f")
