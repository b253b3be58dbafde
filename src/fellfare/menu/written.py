"""The menu as a document: plates and rations, for provision, pages and the next day's change."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from msgspec import Struct

from fellfare.menu.answer import Plate
from fellfare.mistake import Finding

if TYPE_CHECKING:  # the solver's rooms are not needed to read a menu
    from fellfare.menu.trip_menu import TripMenu


class WrittenRation(Struct, frozen=True, kw_only=True):
    """Food of one walker's day that goes by weight."""

    day: int
    walker: str
    times: tuple[str, ...]
    mass_g: float
    energy_kcal: float


class WrittenMenu(Struct, frozen=True, kw_only=True):
    """What a menu document says."""

    title: str
    plates: tuple[Plate, ...]
    #: Dish to the steps that make up a serving of it.
    steps_per_serving: Mapping[str, int]
    rations: tuple[WrittenRation, ...] = ()
    #: What was asked for beside the trip's document when the menu was made: 'Cy must not meet
    #: tree-nut'.
    asked_otherwise: tuple[str, ...] = ()


def minding_late(menu: WrittenMenu) -> tuple[Finding, ...]:
    """A caution where the menu knows what the trip's document need not say."""
    if not menu.asked_otherwise:
        return ()
    return (
        Finding(
            severity="caution",
            rule="asked-otherwise",
            text=f"This menu was asked for with: {'; '.join(menu.asked_otherwise)}.  Labels, cards "
            "and all other papers go by the trip's document: write it there too, or they do not "
            "know of it.",
            source="the menu's own document (asked_otherwise)",
            about=menu.asked_otherwise,
        ),
    )


def written(menu: TripMenu) -> WrittenMenu:
    """The part of a menu that is kept."""
    return WrittenMenu(
        title=menu.title,
        plates=menu.plates,
        steps_per_serving=dict(menu.steps_per_serving),
        rations=tuple(
            WrittenRation(
                day=day.day,
                walker=one.walker,
                times=one.times,
                mass_g=one.mass_g,
                energy_kcal=one.energy_kcal,
            )
            for day in menu.days
            for one in day.rations
        ),
    )
