"""Was the formula asked outside the range it was made for?

Refuse the impossible, flag the extrapolated: the doors of the models refuse
nonsense; these notes tell of legs that are possible but lie outside what the
authors measured.  Kept apart from the doors so that the sums stay fast.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from fellfare.mistake import Finding
from fellfare.walk.figures import Array, Figure


class Range(Struct, frozen=True, kw_only=True):
    """Where a published model was measured; None = the model does not say."""

    model: str
    source: str
    speed_m_s: tuple[float, float] | None = None
    #: Rise over run, fraction.
    grade: tuple[float, float] | None = None
    load_kg: tuple[float, float] | None = None
    #: Load over body mass.
    load_share: tuple[float, float] | None = None


def range_notes(
    published: Range, *, body_kg: Figure, load_kg: Figure, speed_m_s: Figure, grade: Figure
) -> tuple[Finding, ...]:
    """Notes for every quantity that leaves the published range; empty when none does.

    Arguments as for the model, single numbers or arrays that broadcast.  Each
    note counts the places outside and names the farthest value.
    """
    asked: tuple[tuple[str, str, tuple[float, float] | None, Figure], ...] = (
        ("speed", "m/s", published.speed_m_s, speed_m_s),
        ("grade", "rise/run", published.grade, grade),
        ("load", "kg", published.load_kg, load_kg),
        ("load over body mass", "", published.load_share, load_kg / body_kg),
    )
    notes = (
        _note(published, name, unit, limits, np.atleast_1d(np.asarray(values, dtype=np.float64)))
        for name, unit, limits, values in asked
        if limits is not None
    )
    return tuple(note for note in notes if note is not None)


def _note(
    published: Range, name: str, unit: str, limits: tuple[float, float], values: Array
) -> Finding | None:
    least, most = limits
    beyond = np.maximum(least - values, values - most)
    outside = beyond > 1e-9
    if not outside.any():
        return None
    worst = float(values.flat[int(np.argmax(beyond))])
    unit = f" {unit}" if unit else ""
    return Finding(
        severity="note",
        rule="energy-outside-range",
        text=f"{published.model} was measured for {name} {least:g} to {most:g}{unit};"
        f" {int(outside.sum())} of {values.size} lie outside, the farthest at {worst:.3g}{unit}."
        " The figure is an extrapolation.",
        source=published.source,
    )
