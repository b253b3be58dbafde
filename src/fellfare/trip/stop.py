"""Where on the way is food or fuel to be had?"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Literal

from msgspec import Struct

StopKind = Literal["hut", "shop", "box"]


class TripStop(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """A hut, a shop or a box on the way; placed by the file, or by day and metres."""

    name: str
    kind: StopKind
    #: Name of its place in the GPX file; '' = the stop's own name.
    place: str = ""
    #: Where the file has no such place: the day, and the metres walked on it.
    day: int | None = None
    at_m: float | None = None
    #: Is the food for what follows taken up here?  None = at shop and box yes, at a hut no.
    resupply: bool | None = None
    #: What can be had: ids of the pantry, or words.
    offers: tuple[str, ...] = ()
    #: Ids of fuels that can be had, or that lie in the box; None = nobody has told.
    fuels: tuple[str, ...] | None = None
    #: Eating times of that day that are eaten here and not carried.
    meals: tuple[str, ...] = ()
    #: A box: when it is posted, how long it is under way [days], how long it is kept [days].
    posted: date | None = None
    transit_days: tuple[int, int] | None = None
    hold_days: int | None = None
    #: Warmest that the box gets in the post and where it waits [°C]; None = not known.
    warmest_c: float | None = None
    #: A box: what it may weigh [kg] and hold [L] of food and packing; None = no such limit.
    most_kg: float | None = None
    most_litres: float | None = None
    #: What it costs to use it, postage or fare, and what it takes beside the way [min].
    fee: Decimal | None = None
    effort_min: float | None = None
    #: Was it asked what those with an allergy or a diet can eat here?  None = not told.
    asked: bool | None = None
    #: Weekdays on which it is shut, 'monday' to 'sunday'.
    shut: tuple[
        Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"], ...
    ] = ()
    note: str = ""

    @property
    def takes_food(self) -> bool:
        """Whether one sets out from here with new food."""
        return self.kind != "hut" if self.resupply is None else self.resupply

    @property
    def place_name(self) -> str:
        """What its place is called in the file."""
        return self.place or self.name
