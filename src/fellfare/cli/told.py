"""Findings on standard error, the gravest first, each with its source."""

from __future__ import annotations

import sys
from collections.abc import Iterable

import click

from fellfare.cli.layout import paragraph
from fellfare.mistake import SEVERITIES, Finding, Mistake, Mistakes


def tell(findings: Iterable[Finding]) -> None:
    """Print them; nothing at all when there are none."""
    findings = tuple(findings)
    sys.stdout.flush()
    for severity in SEVERITIES:
        for finding in findings:
            if finding.severity != severity:
                continue
            where = f" ({'; '.join(finding.about)})" if finding.about else ""
            opening = f"{severity.upper() if severity == 'error' else severity}: "
            for line in paragraph(opening + finding.text + where, "    ", ""):
                click.echo(line, err=True)
            for line in paragraph(f"[{finding.rule}] {finding.source}", "    "):
                click.echo(line, err=True)


def tell_mistake(mistake: Mistake) -> None:
    """Where, what and how to mend, on standard error; several in the order of the document."""
    sys.stdout.flush()
    for one in mistake.each if isinstance(mistake, Mistakes) else (mistake,):
        # One line for place and fault, so that a path can be copied and a program can read it.
        click.echo(f"{one.where}: {one.what}" if one.where else one.what, err=True)
        for line in paragraph(f"{one.mend} [{one.code}]", " " * 8, "  mend: "):
            click.echo(line, err=True)
