"""Are there more bags than a cook will fill, and how many would do?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from fellfare.mistake import Finding
from fellfare.provision.bags.plan import PlannedBag, bags_of
from fellfare.provision.planned import Planned

#: The rule that says it.
MANY_BAGS: Final = "many-bags"
#: So many bags for a person and day are an evening's work for a week's walk (judgement).
MANY: Final = 6.0
#: It is worth saying from so many bags fewer on (judgement).
WORTH: Final = 0.1


def many_bags(
    dishes: Sequence[Planned], bags: Sequence[PlannedBag], person_days: int, fewest: bool
) -> tuple[Finding, ...]:
    """A note where there are many bags and fewer would do; ``fewest`` = they are the fewest."""
    if fewest or person_days < 1 or len(bags) <= MANY * person_days:
        return ()
    least = len(bags_of(dishes, regroup=True))
    if least > (1.0 - WORTH) * len(bags):
        return ()
    return (
        Finding(
            severity="note",
            rule=MANY_BAGS,
            text=f"{len(bags)} bags, {len(bags) / person_days:.0f} for each person and day.  With "
            f"fewest_bags = true in provision.toml it is {least}: what is used together and "
            "keeps together shares a bag, whatever the recipe's own bags are.",
            source="own judgement",
        ),
    )
