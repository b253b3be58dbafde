"""The trail: every day by the clock, its food, and the card that comes along."""

from __future__ import annotations

from typing import Any, Final

from litestar import get
from litestar.params import FromPath
from litestar.response import Template
from msgspec import Struct

from fellfare.paper.papers_of_trip import LabelSheet, Papers
from fellfare.paper.trail import day_foot, day_head, meal_lines
from fellfare.provision.cards.trail import CardDay
from fellfare.safety.trip.planned import hold_minutes_of
from fellfare.trip.minding import clock_text
from fellfare.trip.plan import PlanDay, TripPlan
from fellfare.trip.timetable import Moment, timetable_of
from fellfare.web.drawing import page
from fellfare.web.here import FromHere
from fellfare.web.pages.kitchen.papers import label_sheet_of
from fellfare.web.pages.kitchen.provided import Provided
from fellfare.web.pages.kitchen.read import menus_with_trips, shown


class When(Struct, frozen=True, kw_only=True):
    """One thing by the clock."""

    clock: str
    #: 'leave', 'eat', 'last-water', 'wet', 'arrive', 'eat-by'.
    what: str
    text: str
    #: Walked so far on that day [m]; None where it says nothing.
    at_m: float | None


class TrailDay(Struct, frozen=True, kw_only=True):
    """One day: the way, the clock, the food."""

    day: PlanDay
    head: str
    sub: str
    whens: tuple[When, ...]
    #: None = nothing of the pack is eaten.
    card: CardDay | None
    #: (meal, its lines), in the order of the day.
    meals: tuple[tuple[Any, list[dict[str, str]]], ...]
    foot: str


def trail_days(there: Provided) -> tuple[TrailDay, ...]:
    """Every day of the walk."""
    sheet: LabelSheet = label_sheet_of({}, "a4")
    card = Papers(there.one, "a4", sheet).trail_card
    by_day = {day.day: day for day in card.days}
    return tuple(_day(there.one.plan, day, by_day.get(day.day)) for day in there.one.plan.days)


def _day(plan: TripPlan, day: PlanDay, card: CardDay | None) -> TrailDay:
    moments = timetable_of(plan, day, hold_minutes=hold_minutes_of(day.stage.day_c))
    head, sub = (f"Day {day.day}", "") if card is None else day_head(card)
    return TrailDay(
        day=day,
        head=head,
        sub=sub,
        whens=tuple(_when(one, day) for one in moments),
        card=card,
        meals=() if card is None else tuple((meal, meal_lines(meal)) for meal in card.meals),
        foot="" if card is None else day_foot(card),
    )


def _when(one: Moment, day: PlanDay) -> When:
    name = one.name.removeprefix(f"day {day.day}, ")
    text = {
        "leave": "leave",
        "eat": name,
        "last-water": f"last water{': ' + name if name else ''}",
        "arrive": name or "there",
        "eat-by": "a cold dinner is eaten by now",
        "ready": "ready",
        "cook": "light the stove",
        "wet": f"not before: wet the jar{', water of ' + name if name else ''}",
    }[one.what]
    on_the_way = 0 < one.at_m < day.stage.distance_m and not name.startswith("km ")
    return When(
        clock=clock_text(one.hour), what=one.what, text=text,
        at_m=one.at_m if on_the_way else None,
    )  # fmt: skip


@get("/trail", sync_to_thread=True, include_in_schema=False)
def trails(here: FromHere) -> Template:
    """Menus that can be taken along."""
    return page(here, "trail/trails.html", "trail", rows=menus_with_trips(here))


@get("/trail/{name:str}", sync_to_thread=True, include_in_schema=False)
def trail(here: FromHere, name: FromPath[str]) -> Template:
    """Timetable and trail card, day by day, and what is printed or kept of them."""

    def given(there: Provided) -> dict[str, Any]:
        return {"days": trail_days(there)}

    return shown(here, name, "trail/trail.html", "trail", given, room="trail")


TRAIL: Final[list[Any]] = [trails, trail]
