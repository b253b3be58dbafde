"""How is an answer given?  Figures on standard output, findings on standard error, or JSON."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final, NoReturn

import click
from msgspec import to_builtins

from fellfare.cli.layout import heading, paragraph, shown_width
from fellfare.cli.told import tell
from fellfare.mistake import Finding, worst
from fellfare.safety import standing_findings

#: Figures are rounded here, at the printing end, and nowhere before.
PLACES: Final = 3


def titled(text: str) -> list[str]:
    """A title over its double rule."""
    return [text, "═" * shown_width(text)]


def known(*said: tuple[str, str]) -> list[str]:
    """How well it is known: a trust and its source, line by line."""
    lines = heading("How well this is known")
    for trust, source in dict.fromkeys(said):
        lines += paragraph(f"{trust.replace('-', ' ')}: {source}", "    ", "  ")
    return lines


def degrees(c: float) -> str:
    """'8 °C (46 °F)'."""
    return f"{c:.0f} °C ({c * 1.8 + 32.0:.0f} °F)".replace("-0 ", "0 ")


def height(m: float) -> str:
    """'4 200 m (13 780 ft)'."""
    return f"{m:,.0f} m ({m / 0.3048:,.0f} ft)".replace(",", " ")


def litres(ml: float) -> str:
    """'500 ml' or '2 L'."""
    return f"{ml:.0f} ml" if ml < 1000.0 else f"{ml / 1000.0:.2f}".rstrip("0").rstrip(".") + " L"


def grams(g: float) -> str:
    """Tenths below 20 g, whole ones above: '8.3 g', '57 g'."""
    return f"{g:.1f} g" if abs(g) < 19.95 else f"{g:,.0f} g".replace(",", " ")


def standing(*rules: str) -> tuple[Finding, ...]:
    """The standing notes of these names."""
    return tuple(note for note in standing_findings() if note.rule in rules)


def answer(
    lines: Sequence[str],
    data: Mapping[str, Any],
    findings: Iterable[Finding],
    notes: Iterable[Finding],
    *,
    as_json: bool,
) -> NoReturn:
    """Print and leave: status 1 with an error finding, else 0.

    ``findings`` go to standard error, ``notes`` below the figures; both are in the JSON.
    """
    findings, notes = tuple(findings), tuple(notes)
    if as_json:
        both = [to_builtins(finding) for finding in (*findings, *notes)]
        click.echo(json.dumps({**_rounded(data), "findings": both}, ensure_ascii=False, indent=1))
    else:
        click.echo("\n".join(lines))
        if notes:
            click.echo("\n".join(heading("Mind")))
        for note in notes:
            source = note.source if note.source.startswith("[") else f"[{note.source}]"
            click.echo("\n".join(paragraph(f"{note.text}  {source}", "    ", "  · ")))
        tell(findings)
    raise SystemExit(1 if worst(findings) == "error" else 0)


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, PLACES)
    if isinstance(value, Mapping):
        return {key: _rounded(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(one) for one in value]
    return value
