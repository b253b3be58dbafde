"""What is a trip?  The document as its author wrote it, frozen.

Keys and meaning are ours (see ``docs/trip-document.md``).  Reading and writing
TOML is the work of the ``files`` room; what is wrong with a trip is told by
:func:`fellfare.trip.faults.faults_of`; what follows from it by
:func:`fellfare.trip.plan.plan_trip`.
"""

from __future__ import annotations

from datetime import date, timedelta

from msgspec import Struct

from fellfare.trip.care import Care
from fellfare.trip.kit import Container, Kitchen
from fellfare.trip.stop import TripStop
from fellfare.trip.way import DayWord, FireWord, StageLine, WaterSource, Way
from fellfare.trip.wishes import USUAL_EATING, Eating, FixedDish, LikedDish, Rules
from fellfare.walk.walker import Walker


class Trip(Struct, frozen=True, kw_only=True):
    """A party, a way, a kit, the stops, the rules and what was settled beforehand."""

    title: str
    #: The party; names differ.
    walkers: tuple[Walker, ...]
    way: Way
    about: str = ""
    #: The first day; None = not fixed yet.
    start_date: date | None = None
    #: One line per day where there is no track.
    stages: tuple[StageLine, ...] = ()
    days: tuple[DayWord, ...] = ()
    #: Fire rules that change on the way.
    fire: tuple[FireWord, ...] = ()
    water: tuple[WaterSource, ...] = ()
    kitchens: tuple[Kitchen, ...] = ()
    containers: tuple[Container, ...] = ()
    stops: tuple[TripStop, ...] = ()
    eating: tuple[Eating, ...] = USUAL_EATING
    rules: Rules = Rules()
    care: Care = Care()
    fixed: tuple[FixedDish, ...] = ()
    liked: tuple[LikedDish, ...] = ()
    #: Folders of recipes, seen from the folder of the document.
    recipes: tuple[str, ...] = ("recipes",)

    def day_word(self, day: int) -> DayWord:
        """What the document says of that day alone."""
        return next((word for word in self.days if word.day == day), DayWord(day=day))

    def date_of(self, day: int) -> date | None:
        """The date of a day of the walk (1 = first); None without a start date."""
        return None if self.start_date is None else self.start_date + timedelta(days=day - 1)

    def kitchen_of(self, walker: str) -> Kitchen | None:
        """Where this walker eats; None = the document does not say."""
        return next((kitchen for kitchen in self.kitchens if walker in kitchen.walkers), None)
