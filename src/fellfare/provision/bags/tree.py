"""In which bag does each bag lie?  Line, bag, day bag, box; and other views of the same plan."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import ceil
from typing import Final, Literal

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.provision.bags.plan import PlannedBag
from fellfare.recipe.packing import ZIP_BAGS, ZIP_FILL

#: The largest usual zip bag holds a day's bags; more than that takes several.
_LARGEST: Final = ZIP_BAGS[-1]

View = Literal["day", "meal", "person", "box", "food", "dish"]


class DayBag(Struct, frozen=True, kw_only=True):
    """Everything of one day of one carry, and the bag for its rubbish afterwards."""

    day: int
    leg: int
    stop: str
    bags: tuple[PlannedBag, ...]
    #: Net food, food with its bags, and all with the day bag itself [g].
    mass_g: float
    gross_g: float
    mass_unknown: tuple[str, ...]
    volume_ml: float
    volume_unknown: tuple[str, ...]
    #: 'one 4-litre freezer bag'.
    size: str
    count: int
    tare_g: float


class Parcel(Struct, frozen=True, kw_only=True):
    """What is taken up at one place: at the start, or from one box or shop."""

    #: '' = the start.
    stop: str
    leg: int
    days: tuple[DayBag, ...]
    mass_g: float
    gross_g: float
    mass_unknown: tuple[str, ...]
    volume_ml: float
    volume_unknown: tuple[str, ...]

    @property
    def bags(self) -> tuple[PlannedBag, ...]:
        """All bags in it."""
        return tuple(bag for day in self.days for bag in day.bags)


class Row(Struct, frozen=True, kw_only=True):
    """One line of a view: the grams under one heading."""

    key: str
    mass_g: float
    mass_unknown: tuple[str, ...]
    #: Numbers of the bags that hold it.
    bags: tuple[int, ...]


def tree_of(bags: Sequence[PlannedBag]) -> tuple[Parcel, ...]:
    """The bags in their day bags, and those in the parcels of the plan."""
    keys = sorted({(bag.leg, bag.stop) for bag in bags})
    return tuple(
        _parcel(leg, stop, [bag for bag in bags if (bag.leg, bag.stop) == (leg, stop)])
        for leg, stop in keys
    )


def _parcel(leg: int, stop: str, bags: Sequence[PlannedBag]) -> Parcel:
    days = tuple(
        _day_bag(day, leg, stop, tuple(bag for bag in bags if bag.day == day))
        for day in sorted({bag.day for bag in bags})
    )
    return Parcel(
        stop=stop,
        leg=leg,
        days=days,
        mass_g=sum(day.mass_g for day in days),
        gross_g=sum(day.gross_g for day in days),
        mass_unknown=_once(food for day in days for food in day.mass_unknown),
        volume_ml=sum(day.volume_ml for day in days),
        volume_unknown=_once(food for day in days for food in day.volume_unknown),
    )


def _day_bag(day: int, leg: int, stop: str, bags: tuple[PlannedBag, ...]) -> DayBag:
    volume_ml = sum(bag.volume_ml for bag in bags)
    fitting = [size for size in ZIP_BAGS if volume_ml <= size[1] * ZIP_FILL]
    name, brim_ml, tare_g = fitting[0] if fitting else _LARGEST
    count = max(1, ceil(volume_ml / (brim_ml * ZIP_FILL)))
    return DayBag(
        day=day,
        leg=leg,
        stop=stop,
        bags=bags,
        mass_g=sum(bag.mass_g for bag in bags),
        gross_g=sum(bag.gross_g for bag in bags) + count * tare_g,
        mass_unknown=_once(food for bag in bags for food in bag.mass_unknown),
        volume_ml=volume_ml,
        volume_unknown=_once(food for bag in bags for food in bag.volume_unknown),
        size=name,
        count=count,
        tare_g=count * tare_g,
    )


def view(bags: Iterable[PlannedBag], by: View) -> tuple[Row, ...]:
    """The same grams under other headings.

    ``person`` divides by who eats, not by who carries
    (:mod:`fellfare.provision.carrying` does that).

    Raises
    ------
    Mistake
        ``unknown-view``.
    """
    if by not in _HEADINGS:
        raise Mistake(
            "unknown-view",
            what=f"there is no view by {by!r}",
            mend="write one of: " + ", ".join(_HEADINGS),
        )
    heading = _HEADINGS[by]
    grams: dict[str, float] = {}
    unknown: dict[str, list[str]] = {}
    numbers: dict[str, list[int]] = {}
    for bag in bags:
        for content in bag.contents:
            for name, portion_g in content.portions:
                key = heading(bag, content.food.name, name)
                grams.setdefault(key, 0.0)
                numbers.setdefault(key, []).append(bag.number)
                if portion_g is None:
                    unknown.setdefault(key, []).append(content.food.id)
                else:
                    grams[key] += portion_g
    return tuple(
        Row(
            key=key,
            mass_g=mass_g,
            mass_unknown=_once(unknown.get(key, ())),
            bags=tuple(dict.fromkeys(numbers[key])),
        )
        for key, mass_g in grams.items()
    )


_HEADINGS: Final[dict[str, Callable[[PlannedBag, str, str], str]]] = {
    "day": lambda bag, _food, _name: f"day {bag.day}",
    "meal": lambda bag, _food, _name: bag.time,
    "person": lambda _bag, _food, name: name,
    "box": lambda bag, _food, _name: bag.stop or "from the start",
    "food": lambda _bag, food, _name: food,
    "dish": lambda bag, _food, _name: bag.dish,
}


def _once(foods: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(foods))
