"""How are amounts, waits and sums said on paper?"""

from __future__ import annotations

from collections.abc import Iterable

from fellfare.provision.label import LabelStep, minutes_said


def step_figures(step: LabelStep) -> str:
    """'310 ml (1⅓ cups) · 5 min': what to measure and how long to wait."""
    parts = []
    if step.water is not None:
        parts.append(f"{step.water.metric} ({step.water.us})")
    elif step.water_unknown:
        parts.append("water not known: try it at home")
    if step.minutes is not None:
        parts.append(minutes_said(step.minutes, step.most_minutes))
    if step.batches > 1:
        parts.append(f"in {step.batches} batches")
    return " · ".join(parts)


def doing(steps: Iterable[LabelStep], wet: str) -> list[tuple[str, str]]:
    """What is done, line by line, each with its figures; after the soaking, when to wet it."""
    lines = []
    for step in steps:
        lines.append((capital(step.said), step_figures(step)))
        if wet and step.act == "soak":
            lines.append((wet, ""))
            wet = ""
    return [*lines, (wet, "")] if wet else lines


def capital(text: str) -> str:
    """The text with its first letter large."""
    return text[:1].upper() + text[1:]


def number(value: float) -> str:
    """'1 240': groups of three with a thin space that does not break."""
    return f"{value:,.0f}".replace(",", "\u202f")
