"""How heavy is the pack at each place of the way?  The saw-tooth, for drawing and reading."""

from __future__ import annotations

from msgspec import Struct

from fellfare.walk.demand import Demand, load_kg
from fellfare.walk.figures import Array
from fellfare.walk.load import Stretches


class LoadStep(Struct, frozen=True, kw_only=True):
    """One stretch: between two places where the load changes."""

    #: Day of the walk, 1 for the first.
    day: int
    #: Distance walked that day [m].
    from_m: float
    to_m: float
    #: All that is on the back at its start and end [kg]; only water is drunk between.
    start_kg: float
    end_kg: float

    @property
    def mean_kg(self) -> float:
        """The load that the need of this stretch is reckoned with [kg]."""
        return 0.5 * (self.start_kg + self.end_kg)


def load_line(
    demand: Demand, stretches: Stretches, food_kg: Array, walker: int
) -> tuple[LoadStep, ...]:
    """The load of one walker (index from 0) along the whole way.

    ``demand`` must be of these ``stretches``; ``food_kg`` is walkers x days [kg].
    """
    mean = load_kg(demand, food_kg)[walker]
    half = 0.5 * (stretches.water_start_kg - stretches.water_end_kg)
    return tuple(
        LoadStep(
            day=int(stretches.day[s]) + 1,
            from_m=float(stretches.from_m[s]),
            to_m=float(stretches.to_m[s]),
            start_kg=float(mean[s] + half[s]),
            end_kg=float(mean[s] - half[s]),
        )
        for s in range(len(stretches.day))
    )
