"""What could harm somebody?  Rules, each with its source; never a verdict.

:func:`case_of` puts a recipe together with its foods, masses and eaters;
:func:`check` asks every rule of :data:`RULES` about it; :func:`check_sheet`
does both for a recipe's sheet.  That nothing comes
back only means that no rule fired.
"""

from fellfare.safety.case import RISKS, Case, Eater, Part, Risk, case_of
from fellfare.safety.notes import no_rule_fired, standing_findings, standing_notes
from fellfare.safety.of_sheet import check_sheet
from fellfare.safety.registry import RULES, check
from fellfare.safety.rule import Rule
from fellfare.safety.rules.figures import measure_mismatch

__all__ = [
    "RISKS",
    "RULES",
    "Case",
    "Eater",
    "Part",
    "Risk",
    "Rule",
    "case_of",
    "check",
    "check_sheet",
    "measure_mismatch",
    "no_rule_fired",
    "standing_findings",
    "standing_notes",
]
