"""What is drawn of a menu: the load day by day, energy against need, a front.

Only places on the paper are reckoned here; every figure comes from the menu.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from fellfare.measure.units import POUND_G
from fellfare.menu.trip_menu import TripMenu
from fellfare.trip.plan import TripPlan
from fellfare.web.figures import Units
from fellfare.web.pages.trips.pictures import DayBar, Mark, NeedPicture, levels_of
from fellfare.web.work.results import FrontFound


def _unit_g(units: Units) -> float:
    """Grams of one of the axis: a pound for US readers, else a kilogram."""
    return float(POUND_G) if units == "us" else 1000.0


class LoadBar(Struct, frozen=True, kw_only=True):
    """A walker's morning: the whole pack, and the food in it."""

    walker: int
    x: float
    pack: float
    food: float


class LoadPicture(Struct, frozen=True, kw_only=True):
    """All walkers' mornings, day by day."""

    width: int
    height: int
    foot: float
    wide: float
    bars: tuple[LoadBar, ...]
    days: tuple[Mark, ...]
    levels: tuple[Mark, ...]


def load_picture(menu: TripMenu, units: Units, width: int = 900, height: int = 240) -> LoadPicture:
    """The pack in the mornings, food below, everything else above it."""
    most = max((one.pack_g or one.load_g for day in menu.days for one in day.eaters), default=1.0)
    unit_g = _unit_g(units)
    _, high, step = levels_of(0.0, most / unit_g, 5)
    left, foot, top = 62.0, height - 26.0, 16.0
    each = (width - left - 6.0) / max(len(menu.days), 1)
    many = max(len(menu.walkers), 1)
    wide = min(each * 0.8 / many, 30.0)

    def y(grams: float) -> float:
        return round(foot - grams / unit_g / high * (foot - top), 1)

    bars, days = [], []
    for n, day in enumerate(menu.days):
        middle = left + (n + 0.5) * each
        days.append(Mark(round(middle, 1), foot + 18, str(day.day)))
        for w, one in enumerate(day.eaters):
            x = middle + (w - many / 2) * wide
            pack = one.load_g if one.pack_g is None else one.pack_g
            bars.append(LoadBar(walker=w, x=round(x, 1), pack=y(pack), food=y(one.load_g)))
    count = round(high / step)
    levels = tuple(Mark(left, y(n * step * unit_g), f"{n * step:g}") for n in range(count + 1))
    return LoadPicture(
        width=width, height=height, foot=foot, wide=round(wide - 2, 1), bars=tuple(bars),
        days=tuple(days), levels=levels,
    )  # fmt: skip


def energy_picture(
    plan: TripPlan, menu: TripMenu, walker: int, width: int = 560, height: int = 270
) -> NeedPicture:
    """The band of the need, the need under this menu's load, and what the menu brings."""
    need = plan.walkers[walker].need
    mine = [day.eaters[walker] for day in menu.days]
    most = max((day.high_kcal for one in plan.walkers for day in one.need.days), default=1.0)
    most = max(most, *(one.energy_kcal for day in menu.days for one in day.eaters))
    _, high, step = levels_of(0.0, most, 5)
    left, foot, top = 62.0, height - 24.0, 18.0
    wide = (width - left - 6.0) / max(len(mine), 1)

    def y(kcal: float) -> float:
        return round(foot - kcal / high * (foot - top), 1)

    bars = tuple(
        DayBar(
            day=band.day, x=round(left + n * wide, 1), low=y(band.low_kcal),
            high=y(band.high_kcal), need=y(one.need_kcal), target=y(one.energy_kcal),
        )
        for n, (band, one) in enumerate(zip(need.days, mine, strict=True))
    )  # fmt: skip
    levels = tuple(
        Mark(left, y(n * step), f"{n * step:,.0f}".replace(",", " "))
        for n in range(round(high / step) + 1)
    )
    return NeedPicture(
        walker=need.walker, width=width, height=height, step=round(wide, 1), bars=bars,
        levels=levels, foot=foot,
    )  # fmt: skip


class FrontPicture(Struct, frozen=True, kw_only=True):
    """Mass against variety, or money."""

    width: int
    height: int
    points: tuple[Mark, ...]
    line: str
    levels: tuple[Mark, ...]
    foot: float


def front_picture(
    found: FrontFound, units: Units, width: int = 620, height: int = 260
) -> FrontPicture:
    """One dot for each menu, lightest first."""
    masses = [point.mass_g for point in found.points]
    unit_g = _unit_g(units)
    low, high, step = levels_of(min(masses) / unit_g, max(masses) / unit_g, 4)
    if high <= low:
        high = low + step
    worth = [_worth(found, n) for n in range(len(masses))]
    left, foot, top = 60.0, height - 30.0, 14.0
    span = max(worth) - min(worth) or 1.0

    def x(value: float) -> float:
        return round(left + 20 + (value - min(worth)) / span * (width - left - 50), 1)

    def y(grams: float) -> float:
        return round(foot - (grams / unit_g - low) / (high - low) * (foot - top), 1)

    points = tuple(
        Mark(x(value), y(mass), f"{value:g}") for value, mass in zip(worth, masses, strict=True)
    )
    line = "M" + "L".join(f"{point.x} {point.y}" for point in points)
    levels = tuple(
        Mark(left, y((low + n * step) * unit_g), f"{low + n * step:g}")
        for n in range(round((high - low) / step) + 1)
    )
    return FrontPicture(
        width=width, height=height, points=points, line=line, levels=levels, foot=foot
    )


def _worth(found: FrontFound, n: int) -> float:
    point = found.points[n]
    return float(point.different) if found.by == "variety" else float(point.cost or 0.0)


def energy_pictures(plan: TripPlan, menu: TripMenu, who: str = "") -> Sequence[NeedPicture]:
    """One for each walker, all to one measure."""
    return [
        energy_picture(plan, menu, n)
        for n, one in enumerate(plan.walkers)
        if not who or one.walker == who
    ]
