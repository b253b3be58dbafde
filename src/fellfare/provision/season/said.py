"""What is said of each party's menu and provision, put together for the whole season."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from fellfare.mistake import Finding
from fellfare.provision.minding import gathered


class Said(Struct, frozen=True, kw_only=True):
    """One finding, and the parties of which it is said."""

    parties: tuple[str, ...]
    finding: Finding


def said_of(findings: Mapping[str, Sequence[Finding]]) -> tuple[Said, ...]:
    """Every error and caution of every party by its name, the same of several once."""
    names: dict[Finding, dict[str, None]] = {}
    for party, said in findings.items():
        for finding in gathered(said):
            if finding.severity != "note":
                names.setdefault(finding, {})[party] = None
    return tuple(Said(parties=tuple(names[one]), finding=one) for one in names)


def in_short(said: Sequence[Said]) -> tuple[Finding, ...]:
    """Errors in full, with the parties in front; of cautions how many each party has."""
    made = [
        replace(one.finding, text=f"{', '.join(one.parties)}: {one.finding.text}")
        for one in said
        if one.finding.severity == "error"
    ]
    many: dict[str, int] = {}
    for one in said:
        if one.finding.severity == "caution":
            for party in one.parties:
                many[party] = many.get(party, 0) + 1
    if many:
        told = ", ".join(f"{party} {count}" for party, count in many.items())
        made.append(
            Finding(
                severity="caution",
                rule="party-cautions",
                text=f"Cautions on menu and provision, by party: {told}. 'fellfare provision' of "
                "the party's trip tells them, --json tells them all.",
                source="each party's own findings",
            )
        )
    return tuple(made)
