"""The ground floor: how we say no, and how we say 'mind this'.

A :class:`Mistake` means "we cannot go on with what we were given".  A
:class:`Finding` is an answer: something a cook or walker should know, with
its source.
"""

from fellfare.mistake.finding import SEVERITIES, Finding, Severity, worst
from fellfare.mistake.mistake import Mistake, Mistakes

__all__ = ["SEVERITIES", "Finding", "Mistake", "Mistakes", "Severity", "worst"]
