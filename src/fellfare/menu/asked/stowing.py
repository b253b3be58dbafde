"""How much room do food, rubbish and what smells take at night, in bags and canisters?

The menu and the provision both reckon by these figures, so that what the menu lets through
has room when it is packed.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from fellfare.menu.asked.taking import Take
from fellfare.menu.pool import Leg, Litres
from fellfare.trip.trip import Trip

#: Room in the food bags of one walker for soap and other things that smell [L]
#: (common practice, no source).
SMELLABLES_L: Final = 0.5
#: Rubbish of repackaged food [g per person and day]: common practice 15 to 40, weighed by
#: nobody in print; shop packs left on make 60 to 120.
RUBBISH_G: Final = (15.0, 40.0)
#: Squeezed empties, and packed bags over the sum of their own volumes, for the air between
#: them: own judgement, no source.
RUBBISH_G_PER_ML: Final = 0.20
GAPS: Final = 1.10
#: Room that is left for food where there is next to none [L]: a limit is above zero.
_LEAST_L: Final = 0.1


def rubbish_l(grams: float, days_out: int, people: int) -> float:
    """Room of the rubbish of so many people after so many days, each leaving ``grams`` [L]."""
    return days_out * people * grams / RUBBISH_G_PER_ML / 1000.0


def litres_of(trip: Trip, legs: Iterable[tuple[Leg, Take]]) -> tuple[Litres, ...]:
    """What is left for food, night by night, where every walker has a bag or canister.

    From all litres together go what smells and the most rubbish that is usual; rubbish grows
    from the day on which food is taken up.  What is taken up in camp lies there that night.
    """
    walkers = {walker.name for walker in trip.walkers}
    if {one.walker for one in trip.containers} != walkers:
        return ()
    litres = sum(one.litres for one in trip.containers)
    out: list[Litres] = []
    for leg, take in legs:
        for night in range(take.day, leg.last_day):
            used = SMELLABLES_L * len(walkers)
            used += rubbish_l(RUBBISH_G[1], night - take.day + 1, len(walkers))
            out.append(
                Litres(
                    wish=f"food bags of {litres:g} L together",
                    litres=max((litres - used) / GAPS, _LEAST_L),
                    days=(night,),
                    rubbish_share=0.0,
                )
            )
    return tuple(out)
