"""What could harm somebody on this walk?  The trip's rules, each with its source.

:func:`trip_case` takes the document and plain facts of the plan; :func:`check_trip` asks
every rule of :data:`TRIP_RULES`.  What is left out is unknown, and that is said.
"""

from fellfare.safety.trip.case import trip_case
from fellfare.safety.trip.facts import (
    BoxFact,
    CarriedFood,
    DayFacts,
    Jar,
    Ration,
    Stretch,
    TripCase,
    WaterFact,
)
from fellfare.safety.trip.registry import TRIP_RULES, check_trip, no_trip_rule_fired
from fellfare.safety.trip.stays import LifeUsed, Stay, life_used_over

__all__ = [
    "TRIP_RULES",
    "BoxFact",
    "CarriedFood",
    "DayFacts",
    "Jar",
    "LifeUsed",
    "Ration",
    "Stay",
    "Stretch",
    "TripCase",
    "WaterFact",
    "check_trip",
    "life_used_over",
    "no_trip_rule_fired",
    "trip_case",
]
