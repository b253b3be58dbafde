"""What bulk rationing is asked: people, days, a column of the factor table, groups and foods."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from msgspec import Struct

from fellfare.provision.shopping.packs import Pack
from fellfare.walk.walker import Walker

#: A bag that a cook can still handle and a pot group can share out [g].
USUAL_BAG_G: Final = 1000.0


class GroupWish(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """What one food group is filled with."""

    name: str
    #: Food id → share of the group's mass; together 1.
    foods: dict[str, float]
    #: Instead of the ration factor, which some groups have not in every column.
    g_per_person_day: float | None = None


class BulkAsked(Struct, frozen=True, kw_only=True):
    """Everything that bulk rationing is asked."""

    people: int
    days: float
    #: Column of the factor table [lb per person-day].
    column_lb: float
    groups: tuple[GroupWish, ...]
    avoid: tuple[str, ...] = ()
    packs: Mapping[str, tuple[Pack, ...]] = {}
    bag_g: float = USUAL_BAG_G
    #: Need of a walk, of all its walkers over all days [kcal], to compare with; None = not known.
    need_kcal: float | None = None
    #: Walkers and days of that walk; None = those of the ration.
    need_people: int | None = None
    need_days: int | None = None
    #: Who eats of it, as far as a trip tells: no food may be what they avoid or break a diet.
    eaters: tuple[Walker, ...] = ()
    #: Word behind the cost; '' = whatever the person counts in.
    currency: str = ""

    @property
    def as_the_walk(self) -> bool:
        """Whether the ration is for as many people and days as the walk has.

        A half day at either end is no other walk: less than a day's difference is none.
        """
        return (self.need_people or self.people) == self.people and abs(
            (self.need_days or self.days) - self.days
        ) < 1
