"""What do the trip's rules look at?  The document, and what the plan has reckoned.

None always means that nobody knows; an empty tuple means that somebody knows, and there
is none.
"""

from __future__ import annotations

from datetime import date
from typing import Final, Literal, get_args

from msgspec import Struct

from fellfare.camp.fuel.efficiency import Wind
from fellfare.camp.water import boil_at
from fellfare.mistake import Finding
from fellfare.pantry.food import Keeping
from fellfare.safety.trip.stays import Stay
from fellfare.safety.water_treatment import Agency, Treatment
from fellfare.trip.trip import Trip
from fellfare.trip.way import FireRule, Reliability

#: Water between sources; whether boxes are there in time; gas in the cold; gaps of energy.
Reckoned = Literal["water", "boxes", "gas", "gaps"]
RECKONED: Final[tuple[Reckoned, ...]] = get_args(Reckoned)


class DayFacts(Struct, frozen=True, kw_only=True):
    """One day of the walk and the camp at its end."""

    #: From 1.
    day: int
    #: False: no night follows, as on the last day.
    sleeps_out: bool = True
    camp: str = ""
    camp_m: float | None = None
    #: Warmest by day, coldest by night [°C].
    day_c: float | None = None
    night_c: float | None = None
    fire: FireRule | None = None
    wind: Wind = "calm"
    #: Who eats nothing heated on this day, by plan.
    cold: tuple[str, ...] = ()

    @property
    def boils_c(self) -> float | None:
        """Boiling point at the camp in usual weather [°C]; None = unknown."""
        return None if self.camp_m is None else boil_at(self.camp_m).boils_c

    @property
    def said(self) -> str:
        return f"day {self.day}"


class Ration(Struct, frozen=True, kw_only=True):
    """Need and carried food of one walker, one figure per day [kcal]; None = unknown."""

    walker: str
    need_kcal: tuple[float | None, ...] | None = None
    target_kcal: tuple[float | None, ...] | None = None
    #: Body fat [kg]; None = not known.
    fat_kg: float | None = None


class Jar(Struct, frozen=True, kw_only=True):
    """One meal that soaks, on the move or in camp."""

    walker: str
    day: int
    #: From the first water to the last bite [min]; None = not planned yet.
    minutes: float | None = None
    #: Warmth around the jar [°C]; None = that of the day, its warmest.
    at_c: float | None = None
    dish: str = ""

    @property
    def said(self) -> str:
        return f"day {self.day}, {self.walker}" + (f", {self.dish}" if self.dish else "")


class WaterFact(Struct, frozen=True, kw_only=True):
    """What is known of one water point."""

    name: str
    reliability: Reliability | None = None
    cloudy: bool | None = None
    #: Mine, field, road or works above it, bloom of algae, salt.
    chemicals: bool | None = None


class Stretch(Struct, frozen=True, kw_only=True):
    """The way from one water to the next, in walking order."""

    day: int
    #: '' = the start of the walk; '' at the end = the end of it.
    begins: str = ""
    ends: str = ""
    distance_m: float | None = None
    #: Under way [h].
    hours: float | None = None
    #: Water of a dry camp on it, for one walker [mL]; None = a camp, and not reckoned.
    camp_ml: float | None = 0.0

    @property
    def said(self) -> str:
        return f"day {self.day}: {self.begins or 'start'} to {self.ends or 'end'}"


class BoxFact(Struct, frozen=True, kw_only=True):
    """A box or parcel at a stop."""

    name: str
    #: Day of the walk on which it is fetched; None = not known.
    day: int | None = None
    posted: date | None = None
    transit_days: tuple[int, int] | None = None
    hold_days: int | None = None
    #: Ids of fuels packed into it; None = nobody has told.
    fuels: tuple[str, ...] | None = None
    #: Warmest that it gets on its way and where it waits [°C].
    warmest_c: float | None = None


class CarriedFood(Struct, frozen=True, kw_only=True):
    """A food of the trip and where it has lain until it is eaten."""

    name: str
    keeping: Keeping | None = None
    #: Empty = nobody knows.
    stays: tuple[Stay, ...] = ()


class TripCase(Struct, frozen=True, kw_only=True):
    """Everything that a trip's rule may look at; made by :func:`.case.trip_case`."""

    trip: Trip
    days: tuple[DayFacts, ...] = ()
    rations: tuple[Ration, ...] = ()
    jars: tuple[Jar, ...] = ()
    #: What is done with water, everybody's; () = nothing.
    treatment: tuple[Treatment, ...] | None = None
    agency: Agency = "strictest"
    sources: tuple[WaterFact, ...] = ()
    stretches: tuple[Stretch, ...] | None = None
    #: What the plan has looked at and told of; it is not said twice.
    reckoned: tuple[Reckoned, ...] = ()
    boxes: tuple[BoxFact, ...] = ()
    foods: tuple[CarriedFood, ...] | None = None
    #: What the camp found about gas in the cold; None = reckoned here.
    gas: tuple[Finding, ...] | None = None
    cooking_inside: bool | None = None
    #: Is a raw pulse cooked on the way?
    raw_pulses: bool | None = None
    #: Who has a pot and spoon that nobody else uses.
    own_pot: tuple[str, ...] = ()
    flies: bool | None = None
    #: Names of stops that were asked about diets and allergies.
    stops_asked: tuple[str, ...] = ()
    #: Was everybody asked about allergies and illness?
    health_asked: bool | None = None

    def nights(self) -> tuple[DayFacts, ...]:
        """The days that end in a camp."""
        return tuple(day for day in self.days if day.sleeps_out)

    def day(self, number: int) -> DayFacts | None:
        return next((day for day in self.days if day.day == number), None)
