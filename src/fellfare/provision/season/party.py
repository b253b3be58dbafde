"""One party of the season, provided for."""

from __future__ import annotations

from datetime import date, timedelta
from hashlib import blake2b

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.trip.provision import Provision


class Party(Struct, frozen=True, kw_only=True, eq=False):
    """A party by its name in the season's document."""

    name: str
    provision: Provision

    @property
    def sets_out(self) -> date | None:
        """First day of the walk; None = not fixed yet."""
        return self.provision.plan.trip.start_date

    @property
    def is_back(self) -> date | None:
        """Last day of the walk."""
        first = self.sets_out
        return None if first is None else first + timedelta(days=len(self.provision.plan.days) - 1)

    @property
    def home_bags(self) -> tuple[PlannedBag, ...]:
        """The bags that are filled in the store room, for pack and post."""
        shops = set(self.provision.shops)
        return tuple(bag for bag in self.provision.bags if bag.stop not in shops)

    @property
    def bags_mark(self) -> str:
        """The same as long as the same grams for the same eaters are in the same bags."""
        made = blake2b(digest_size=6)
        for bag in self.home_bags:
            held = [
                f"{one.food.id} {'?' if one.mass_g is None else f'{one.mass_g:.1f}'}"
                for one in bag.contents
            ]
            told = (str(bag.number), str(bag.day), bag.stop, *bag.eaters, *held)
            made.update("\0".join((*told, "\n")).encode("utf-8", "surrogatepass"))
        return made.hexdigest()

    def when(self, today: date | None) -> str:
        """'to come', 'out', 'back', or 'no date'."""
        first, last = self.sets_out, self.is_back
        if today is None or first is None or last is None:
            return "no date"
        return "to come" if today < first else "out" if today <= last else "back"


def by_date(parties: tuple[Party, ...]) -> tuple[Party, ...]:
    """The order in which they set out; those without a date last.

    Raises
    ------
    Mistake
        ``party-twice``.
    """
    names = [party.name for party in parties]
    for name in names:
        if names.count(name) > 1:
            raise Mistake(
                "party-twice", f"two parties are called {name!r}", "give each its own name", name
            )
    return tuple(
        sorted(parties, key=lambda p: (p.sets_out is None, p.sets_out or date.max, p.name))
    )
