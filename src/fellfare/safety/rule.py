"""What is a rule?  A name, a source, one sentence of meaning, and a function."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Generic, TypeVar

from msgspec import Struct

from fellfare.mistake import Finding, Severity

#: What the rules of one list look at: a recipe's case, or a trip's.
Seen = TypeVar("Seen")


class Hit(Struct, frozen=True):
    """What a rule found, before it is signed with the rule's name and source."""

    severity: Severity
    text: str
    about: tuple[str, ...] = ()


class Rule(Struct, Generic[Seen], frozen=True, kw_only=True):
    """One rule; call it with a case."""

    #: Never changes.
    id: str
    #: The gravest thing that it may say.
    severity: Severity
    #: Bibliography key and place, or 'own judgement', 'common practice, no source'.
    source: str
    #: One sentence: when it fires.
    meaning: str
    look: Callable[[Seen], Iterator[Hit]]

    def __call__(self, case: Seen) -> tuple[Finding, ...]:
        """Everything that the rule says about the case."""
        return tuple(self.sign(hit) for hit in self.look(case))

    def sign(self, hit: Hit) -> Finding:
        """The hit as a finding of this rule."""
        return Finding(
            severity=hit.severity,
            rule=self.id,
            text=hit.text,
            source=self.source,
            about=hit.about,
        )


def rule(
    name: str, severity: Severity, source: str, meaning: str
) -> Callable[[Callable[[Seen], Iterator[Hit]]], Rule[Seen]]:
    """Make a :class:`Rule` of the function below it."""

    def make(look: Callable[[Seen], Iterator[Hit]]) -> Rule[Seen]:
        return Rule(id=name, severity=severity, source=source, meaning=meaning, look=look)

    return make
