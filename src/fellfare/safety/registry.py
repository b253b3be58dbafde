"""Which rules are there, and what do they say together?"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from fellfare.mistake import SEVERITIES, Finding
from fellfare.safety.case import Case, with_swap
from fellfare.safety.rule import Rule
from fellfare.safety.rules import (
    bag,
    doses,
    eaters,
    figures,
    keeping,
    packing,
    pulses,
    raw,
    ready,
    wet,
)

#: Every rule; the order is the order of the findings within one severity.
RULES: Final[tuple[Rule[Case], ...]] = (
    figures.impossible_figure,
    eaters.allergen,
    eaters.unknown_swap,
    pulses.raw_lectin_pulse,
    pulses.raw_pulse,
    raw.raw_meat,
    raw.raw_fish,
    raw.raw_egg,
    raw.raw_milk,
    raw.raw_flour,
    raw.sprouts,
    raw.dried_meat,
    raw.core_temperature,
    ready.not_made_edible,
    ready.water_doubtful,
    packing.fresh_in_oil,
    packing.reduced_oxygen,
    packing.absorber_in_the_pot,
    packing.perishable,
    packing.wetted_at_home,
    wet.wet_hold,
    wet.cold_by_word,
    wet.untreated_water,
    wet.animal_powder_wet,
    wet.starch_leftovers,
    bag.mixed_bag,
    bag.crisp_with_moist,
    eaters.honey_infant,
    eaters.listeria_high_risk,
    eaters.high_risk_eater,
    doses.salt_dose,
    doses.caffeine,
    doses.strong_spice,
    eaters.sulphite,
    eaters.favism,
    eaters.label_only,
    keeping.home_jerky_age,
    keeping.keeping,
    keeping.altitude,
    figures.mismatched_measures,
    figures.odd_spoons,
    figures.odd_minutes,
)

#: Rules about what a food is, asked again for every swap; 'allergen' and
#: 'impossible-figure' look at swaps themselves.
_OF_THE_FOOD: Final = (
    pulses.raw_lectin_pulse,
    pulses.raw_pulse,
    raw.raw_meat,
    raw.raw_fish,
    raw.raw_egg,
    raw.raw_milk,
    raw.raw_flour,
    raw.sprouts,
    raw.dried_meat,
    ready.not_made_edible,
    packing.fresh_in_oil,
    packing.reduced_oxygen,
    packing.perishable,
    bag.mixed_bag,
    eaters.honey_infant,
    eaters.listeria_high_risk,
)


def check(case: Case) -> tuple[Finding, ...]:
    """Everything that the rules say, gravest first.

    An empty answer means that no rule of the list fired, and nothing more; see
    :func:`fellfare.safety.no_rule_fired`.
    """
    by_rule = {one.id: one(case) for one in RULES}
    found = [finding for findings in by_rule.values() for finding in findings]
    found += _of_swaps(case, by_rule)
    return tuple(sorted(found, key=lambda finding: SEVERITIES.index(finding.severity)))


def _of_swaps(case: Case, by_rule: Mapping[str, tuple[Finding, ...]]) -> list[Finding]:
    """What would go wrong with a swap, as cautions: it is a wish, not the plan."""
    said: list[Finding] = []
    for part in case.parts:
        for food in part.swaps:
            swapped = with_swap(case, part, food)
            for one in _OF_THE_FOOD:
                before = {(f.severity, f.about) for f in by_rule[one.id]}
                label = f"line {part.number} ({food.id})"
                for finding in one(swapped):
                    new = label in finding.about and (finding.severity, finding.about) not in before
                    if new and finding.severity != "note":
                        said.append(
                            Finding(
                                severity="caution",
                                rule=finding.rule,
                                text=f"If {food.name} stands in for {part.food.name}: "
                                f"{finding.text}",
                                source=finding.source,
                                about=finding.about,
                            )
                        )
    return said
