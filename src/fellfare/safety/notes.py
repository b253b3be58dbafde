"""What is always said, whatever the rules find?"""

from __future__ import annotations

from typing import Final

from fellfare.mistake import Finding
from fellfare.safety.registry import RULES

_OWN: Final = "own judgement"

#: (rule id, text, source), in the order in which they are printed.
_NOTES: Final = (
    (
        "who-decides",
        "Local rules, product labels and licensed advice come before anything said here.  This "
        "is no hazard plan for a food business, and no medical or nutrition advice.",
        _OWN,
    ),
    (
        "when-in-doubt",
        "When in doubt, throw it out: smell and look do not show what makes ill.",
        "[USDA-FSIS-OUTDOORS]",
    ),
    (
        "not-looked-at",
        "The rules see only what the recipe says.  They do not see your kitchen, your cool bag, "
        "printed dates, or how long it has lain.",
        _OWN,
    ),
    (
        "allergens-declared",
        "'Not declared' does not mean 'free from': recipes and labels change, and spoons, boards "
        "and pots are shared.  Keep the allergic eater's food, pot and spoon apart.",
        "[FDA-ALLERGENS-2025]",
    ),
    (
        "hands",
        "Wash hands with soap; sanitizer (60 % alcohol or more) does little on dirty hands and "
        "against norovirus.",
        "[USDA-FSIS-OUTDOORS]; norovirus: from memory",
    ),
    (
        "water",
        "Treat all water from springs, streams and snow: a rolling boil of 1 min, 3 min from "
        "1524 m (agencies differ; this is the strictest), or as the filter's or tablet's label "
        "says.  Boiling takes out no chemicals.",
        "[CDC-EID-2025]",
    ),
    (
        "stove",
        "Never cook in a closed tent, hut porch or vehicle: carbon monoxide kills without smell.  "
        "Keep fuel apart from food.  Fire bans, permits and food storage: the land manager's "
        "current order counts.",
        "[MMWR-48-32] 1999, deaths in tents",
    ),
    (
        "how-well-known",
        "Soak times, uptake of water and keeping times are common practice unless a source "
        "stands beside them.  Try the meal at home first.",
        _OWN,
    ),
    (
        "emergency",
        "After eating something doubtful, or with trouble breathing, speaking or seeing: call "
        "112, 911 or the poison centre.",
        _OWN,
    ),
)


def standing_findings() -> tuple[Finding, ...]:
    """The notes that belong on every plan, once, each with its source."""
    return tuple(
        Finding(severity="note", rule=name, text=text, source=source)
        for name, text, source in _NOTES
    )


def standing_notes() -> tuple[str, ...]:
    """Their texts alone, in the order in which they are printed."""
    return tuple(text for _, text, _ in _NOTES)


def no_rule_fired() -> str:
    """What to print when :func:`~fellfare.safety.registry.check` finds nothing."""
    return (
        f"No rule of this list of {len(RULES)} fired.  That is no verdict on the food: the rules "
        "see only what the recipe says."
    )
