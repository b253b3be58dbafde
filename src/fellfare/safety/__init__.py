"""What could harm somebody?  Rules, each with its source; never a verdict.

:func:`case_of` puts a recipe together with its foods, masses and eaters
(:func:`fellfare.safety.dish.case_of_dish` does so for a sheet);
:func:`check` asks every rule of :data:`RULES` about it.  That nothing comes
back only means that no rule fired.  The rules of a whole trip are in
:mod:`fellfare.safety.trip`.
"""

from fellfare.safety.case import RISKS, Case, Eater, Part, Risk, case_of
from fellfare.safety.notes import no_rule_fired, standing_findings, standing_notes
from fellfare.safety.registry import RULES, check
from fellfare.safety.rule import Rule
from fellfare.safety.rules.figures import measure_mismatch
from fellfare.safety.water_treatment import AGENCIES, Agency, boil_minutes

__all__ = [
    "AGENCIES",
    "RISKS",
    "RULES",
    "Agency",
    "Case",
    "Eater",
    "Part",
    "Risk",
    "Rule",
    "boil_minutes",
    "case_of",
    "check",
    "measure_mismatch",
    "no_rule_fired",
    "standing_findings",
    "standing_notes",
]
