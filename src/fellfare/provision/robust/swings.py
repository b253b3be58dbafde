"""Which assumptions move the answer most?  One at a time, both ways, everything else as it is.

The answer is the food that is carried [g], and the fuel.  The steps are what is usually not
known better: judgements, no source, named with each.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.camp.fuel.efficiency import efficiency
from fellfare.mistake import Mistake
from fellfare.trip.ground import NO_GROUND, Ground
from fellfare.trip.plan import TripPlan, plan_trip
from fellfare.trip.trip import Trip


class Swing(Struct, frozen=True, kw_only=True):
    """One assumption, and what the plan says when it is wrong either way."""

    assumption: str
    #: 'walking energy 15 % less' and 'more'.
    low: str
    high: str
    #: Food carried over the whole walk [g]; None = no such plan can be made.
    low_food_g: float | None
    high_food_g: float | None
    low_fuel_g: float | None
    high_fuel_g: float | None

    def moves_g(self, food_g: float, fuel_g: float) -> float:
        """Largest change of food and fuel together, against the plan [g]."""
        pairs = ((self.low_food_g, self.low_fuel_g), (self.high_food_g, self.high_fuel_g))
        return max(
            (
                abs(food - food_g) + abs(fuel - fuel_g)
                for food, fuel in pairs
                if food is not None and fuel is not None
            ),
            default=0.0,
        )


def swings_of(plan: TripPlan, ground: Ground = NO_GROUND) -> tuple[Swing, ...]:
    """Every assumption that applies to the trip, the one that moves most first."""
    trip = plan.trip
    made = []
    for name, low, high, change in _CHANGES:
        less, more = change(trip, -1), change(trip, +1)
        if less is None or more is None:
            continue
        (low_food, low_fuel), (high_food, high_fuel) = _sums(less, ground), _sums(more, ground)
        made.append(
            Swing(
                assumption=name,
                low=low,
                high=high,
                low_food_g=low_food,
                high_food_g=high_food,
                low_fuel_g=low_fuel,
                high_fuel_g=high_fuel,
            )
        )
    food, fuel = food_and_fuel(plan)
    return tuple(sorted(made, key=lambda swing: (-swing.moves_g(food, fuel), swing.assumption)))


def food_and_fuel(plan: TripPlan) -> tuple[float, float]:
    """Food and fuel that the plan carries over the whole walk [g]."""
    food = sum(sum(walker.food_g) + walker.spare_g for walker in plan.walkers)
    return food, sum(leg.filled_g for leg in plan.fuel)


def _sums(trip: Trip, ground: Ground) -> tuple[float | None, float | None]:
    try:
        return food_and_fuel(plan_trip(trip, ground))
    except Mistake:
        return None, None


def _walking(trip: Trip, way: int) -> Trip | None:
    factor = 1.0 + 0.15 * way
    return replace(
        trip,
        walkers=tuple(
            replace(w, energy_factor=min(max(w.energy_factor * factor, 0.5), 2.0))
            for w in trip.walkers
        ),
    )


def _pace(trip: Trip, way: int) -> Trip | None:
    factor = 1.2**way
    return replace(
        trip,
        walkers=tuple(
            replace(w, pace_factor=min(max(w.pace_factor * factor, 0.3), 2.0)) for w in trip.walkers
        ),
    )


def _density(trip: Trip, way: int) -> Trip | None:
    rules = replace(trip.rules, kcal_per_g=trip.rules.kcal_per_g * (1.0 + 0.10 * way))
    return replace(trip, rules=rules)


def _appetite(trip: Trip, way: int) -> Trip | None:
    if not trip.rules.follow_appetite:
        return None
    factor = 1.0 + 0.10 * way
    return replace(
        trip,
        walkers=tuple(
            replace(
                w,
                appetite=tuple(
                    replace(step, share=min(max(step.share * factor, 0.2), 2.0))
                    for step in w.appetite
                ),
            )
            for w in trip.walkers
        ),
    )


def _pack(trip: Trip, way: int) -> Trip | None:
    return replace(
        trip,
        walkers=tuple(
            replace(w, base_pack_kg=max(w.base_pack_kg + 2.0 * way, 0.0)) for w in trip.walkers
        ),
    )


def _body(trip: Trip, way: int) -> Trip | None:
    return replace(
        trip,
        walkers=tuple(replace(w, mass_kg=w.mass_kg * (1.0 + 0.05 * way)) for w in trip.walkers),
    )


def _air(trip: Trip, way: int) -> Trip | None:
    if trip.way.day_c is None or trip.way.night_c is None:
        return None
    shift = 6.0 * way
    return replace(
        trip,
        way=replace(trip.way, day_c=trip.way.day_c + shift, night_c=trip.way.night_c + shift),
        days=tuple(
            replace(
                day,
                day_c=None if day.day_c is None else day.day_c + shift,
                night_c=None if day.night_c is None else day.night_c + shift,
            )
            for day in trip.days
        ),
    )


def _stove(trip: Trip, way: int) -> Trip | None:
    if not any(kitchen.stove for kitchen in trip.kitchens):
        return None
    return replace(
        trip,
        kitchens=tuple(
            kitchen
            if kitchen.stove is None
            else replace(
                kitchen,
                efficiency=min(
                    (kitchen.efficiency or efficiency(kitchen.stove).eta) * (1.0 + 0.2 * way), 0.95
                ),
            )
            for kitchen in trip.kitchens
        ),
    )


_Change = Callable[[Trip, int], Trip | None]
_CHANGES: Final[tuple[tuple[str, str, str, _Change], ...]] = (
    ("walking energy", "15 % less", "15 % more", _walking),
    ("pace", "a fifth slower", "a fifth faster", _pace),
    ("energy density of the food", "10 % less", "10 % more", _density),
    ("appetite", "10 % less", "10 % more", _appetite),
    ("pack without food", "2 kg less each", "2 kg more each", _pack),
    ("body mass", "5 % less", "5 % more", _body),
    ("air", "6 °C colder", "6 °C warmer", _air),
    ("stove", "a fifth less efficient", "a fifth more efficient", _stove),
)
